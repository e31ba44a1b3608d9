"""The simulated workshop itself: it repeats, it hides its truth, its tests see what is wrong."""

from __future__ import annotations

from collections import Counter

import pytest

from . import generator, textbook, trial
from .__main__ import _bounded
from .truth import CARDS, DATA, Engine, Setting, Trouble

NUMBERS = range(120)


def test_the_same_job_of_the_same_stream_is_the_same() -> None:
    assert [generator.history(n).text for n in range(8)] == [generator.history(n).text for n in range(8)]
    assert generator.history(0).text != generator.history(0, stream=2).text


def test_each_job_has_a_complaint_and_a_cause_for_it() -> None:
    for number in NUMBERS:
        truth = generator.start(number).truth
        assert truth.causes and all(truth.states[n] != "fires" for n in truth.causes)
        assert any(truth.causes.values())


def test_the_shares_are_those_of_the_setting() -> None:
    """Second troubles and intermittent ones turn up about as often as asked."""
    none = [generator.start(n, Setting(second=0.0, fickle=0.0)).truth for n in NUMBERS]
    many = [generator.start(n, Setting(second=1.0, fickle=3.0)).truth for n in NUMBERS]
    assert all(t.condition == "warm" for t in none)
    assert sum(t.condition != "warm" for t in many) > 5
    most = [max(len(c) for c in t.causes.values()) for t in many]
    assert sum(m > 1 for m in most) > 0.8 * len(most) > sum(max(map(len, t.causes.values())) > 1 for t in none)


def test_every_mode_of_the_workshop_is_met() -> None:
    met = Counter(m for n in range(1500) for c in generator.start(n).truth.causes.values() for m, _ in c)
    assert set(met) == set(DATA["mode"])


@pytest.mark.parametrize(
    ("mode", "where", "request_", "seen"),
    [
        ("coil dead", ("coil", "old 2"), "spark: 2", "spark: 2 none"),
        ("injector driver", ("place", "3"), "pulse injector: 3", "pulse injector: 3 none"),
        ("injector winding open", ("injector", "old 1"), "resistance injector: 1", "resistance injector: 1 open"),
        ("leads crossed", ("pair", "2 3"), "lead order: 2 3", "lead order: 2 wrong, 3 wrong"),
        ("valve leaking", ("place", "4"), "leak-down: 4", "(exhaust)"),
        ("intake leak", ("place", "4"), "smoke leak: 4", "smoke leak: 4 leaks"),
    ],
)
def test_a_test_sees_what_is_wrong(mode: str, where: tuple[str, str], request_: str, seen: str) -> None:
    """Common practice, no source: what each test is for."""
    card = CARDS[3]
    job = generator.start(1, Setting(cards=(card,), careless=0.0))
    job.tester.engine.troubles[:] = [Trouble(mode, where, 0.95)]
    answers = [job.answer(request_) for _ in range(20)]
    assert sum(a is not None and seen in a.line for a in answers) >= 17


def test_a_swap_takes_the_trouble_along() -> None:
    job = generator.start(1, Setting(cards=(CARDS[0],), careless=0.0, spoils=0.0))
    engine: Engine = job.tester.engine
    engine.troubles[:] = [Trouble("coil dead", ("coil", "old 2"), 0.99)]
    job.answer("swap coil 2 4: now")
    assert [engine.state(n, "warm") for n in (2, 4)] == ["fires", "dead"]
    job.answer("put back coil: 2 4")
    assert [engine.state(n, "warm") for n in (2, 4)] == ["dead", "fires"]


def test_a_repair_that_mends_takes_no_time_of_the_search_and_one_in_vain_takes_all() -> None:
    job = generator.start(1, Setting(cards=(CARDS[0],), careless=0.0))
    job.tester.engine.troubles[:] = [Trouble("injector wiring", ("place", "2"), 0.99)]
    tries = [job.answer(f"repair {part} connector: 2") for part in ("coil", *("injector",) * 9)]
    spent = [a.minutes for a in tries if a]
    assert spent[0] == DATA["minutes"]["repair"]
    assert spent.count(0.0) == 1  # once it is mended, the next are in vain


def test_a_trial_ends_with_the_proof() -> None:
    job, result = trial.begin(4, Setting(second=1.0), 9)
    trial.finish(job, result, 4, Setting(second=1.0), 9)
    assert job.text.rstrip().rpartition("\n")[2].startswith("cut-out: ")
    assert result.several_true


def test_a_trial_given_up_for_its_time_is_wrong_and_keeps_what_was_true_of_it() -> None:
    given_up = _bounded(3, Setting(second=1.0), 9, 1e-3)
    assert given_up.unfinished and given_up.several_true
    assert not given_up.right and not given_up.sure


def test_what_the_engine_lacks_is_not_answered() -> None:
    job = generator.start(1, Setting(cards=(CARDS[4],)))
    assert job.answer("swap injector 1 2") is None
    assert job.answer("flow: old 1") is None
    assert job.answer("polish the bonnet") is None


def test_the_fixed_order_is_answered_but_for_what_the_engine_lacks() -> None:
    job = generator.start(3)
    asked = textbook.requests(job.tester.engine.card, sorted(job.truth.causes))
    answered = [job.answer(line) for line in asked]
    assert len(asked) >= len(textbook.ORDER) - 2
    assert sum(a is not None for a in answered) > len(asked) / 2
