"""When a burst of hints is over: a pure function of moments."""

from __future__ import annotations

import threading

from hypothesis import given
from hypothesis import strategies as st

from logbook.watch import LONGEST_S, QUIET_S, Hints, due

moments = st.lists(st.floats(0, 10, allow_nan=False), min_size=1, max_size=50).map(sorted)


def built_at(hints: list[float]) -> list[float]:
    """The moments at which a series of hints leads to builds, by ``due`` alone."""
    builds: list[float] = []
    first = last = hints[0]
    for moment in hints[1:]:
        if moment >= due(first, last):
            builds.append(due(first, last))
            first = moment
        last = moment
    return [*builds, due(first, last)]


@given(moments)
def test_a_quiet_moment_or_the_longest_wait(hints: list[float]) -> None:
    for moment in hints:
        builds = built_at(hints)
        after = [build for build in builds if build > moment]
        assert after, "no hint is forgotten"
        assert min(after) <= moment + LONGEST_S


@given(st.floats(0, 1e6), st.integers(1, 400))
def test_steady_hints_do_not_starve_the_build(start: float, count: int) -> None:
    """Every 30 ms a hint: shorter than the quiet moment, for ever."""
    hints = [start + 0.03 * n for n in range(count)]
    assert len(built_at(hints)) >= (0.03 * (count - 1)) / (LONGEST_S + 0.06)


def test_one_hint_is_answered_after_the_quiet_moment() -> None:
    assert due(5.0, 5.0) == 5.0 + QUIET_S <= 5.05


def test_hints_from_another_thread_end_the_wait() -> None:
    stop = threading.Event()
    hints = Hints(stop)
    telling = threading.Thread(target=lambda: [hints.put() for _ in range(100)])
    telling.start()
    assert hints.wait_for_burst(30.0)
    telling.join()


def test_without_hints_nothing_is_built() -> None:
    assert not Hints(threading.Event()).wait_for_burst(0.01)


def test_a_wish_to_stop_ends_the_wait() -> None:
    stop = threading.Event()
    hints = Hints(stop)
    threading.Timer(0.01, stop.set).start()
    assert not hints.wait_for_burst(30.0)
