"""Laws of who stands where: no part in two places, no place with two parts, what was changed can be put back."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.job.model import Move, Place
from logbook.job.standing import Standing, net_moves

PLACES = [Place("", n) for n in range(1, 7)]


def standing() -> Standing:
    made = Standing()
    for place in PLACES:
        made.begin(f"coil/old-{place.cylinder}", "coil", place, -1)
    for n in range(1, 4):
        made.shelve(f"coil/A{n}", "coil")
    return made


def arrangement(made: Standing) -> dict[Place, str]:
    return {place: part for (_, place), part in made.at.items()}


def check_one_to_one(made: Standing) -> None:
    assert len(set(made.at.values())) == len(made.at)
    assert {part: place for (_, place), part in made.at.items()} == made.where


parts = st.sampled_from([*(f"coil/old-{n}" for n in range(1, 7)), "coil/A1", "coil/A2", "coil/A3"])
wanted = st.dictionaries(st.sampled_from(PLACES), st.none() | parts, min_size=1, max_size=4).filter(
    lambda asked: len([p for p in asked.values() if p]) == len({p for p in asked.values() if p})
)


@given(st.lists(wanted, max_size=8))
def test_a_place_holds_one_part_and_a_part_one_place(steps: list[dict[Place, str | None]]) -> None:
    made = standing()
    for step, asked in enumerate(steps):
        made.arrange(step, "coil", asked)
        check_one_to_one(made)
        for place, part in asked.items():
            assert made.at.get(("coil", place)) == part


@given(st.lists(wanted, max_size=8))
def test_stays_of_a_place_and_of_a_part_never_overlap(steps: list[dict[Place, str | None]]) -> None:
    made = standing()
    for step, asked in enumerate(steps):
        made.arrange(step, "coil", asked)
    for key in ("part", "place"):
        groups: dict[object, list[tuple[int, float]]] = {}
        for stay in made.stays():
            until = float("inf") if stay.until is None else stay.until
            groups.setdefault(getattr(stay, key), []).append((stay.since, until))
        for spans in groups.values():
            spans.sort()
            assert all(a_end <= b_start for (_, a_end), (b_start, _) in pairwise(spans))


@given(st.lists(wanted, max_size=6))
@settings(max_examples=200)
def test_putting_all_back_restores_the_beginning(steps: list[dict[Place, str | None]]) -> None:
    made = standing()
    before = arrangement(made)
    for step, asked in enumerate(steps):
        made.arrange(step, "coil", asked)
    made.put_back(99, "coil", PLACES)
    while made.changed_places("coil", ""):
        made.put_back(99, "coil", PLACES)
        check_one_to_one(made)
    assert arrangement(made) == before


@given(st.permutations(PLACES), st.permutations(PLACES))
def test_a_ring_and_its_reverse_leave_nothing_to_put_back(first: list[Place], second: list[Place]) -> None:
    made = standing()
    before = arrangement(made)
    ring = dict(zip(first, [before[p] for p in second], strict=True))
    made.arrange(0, "coil", ring)
    made.arrange(1, "coil", before)
    assert arrangement(made) == before
    assert made.changes == []


def test_putting_back_one_side_of_a_swap_puts_back_both() -> None:
    made = standing()
    one, two = PLACES[:2]
    made.arrange(0, "coil", {one: "coil/old-2", two: "coil/old-1"})
    moves, unmoved = made.put_back(1, "coil", [one])
    assert {m.part: m.into for m in moves} == {"coil/old-1": one, "coil/old-2": two}
    assert unmoved == ()


def test_putting_back_reaches_through_a_later_swap_of_the_same_part() -> None:
    made = standing()
    one, two, three = PLACES[:3]
    made.arrange(0, "coil", {one: "coil/old-2", two: "coil/old-1"})
    made.arrange(1, "coil", {two: "coil/old-3", three: "coil/old-1"})
    made.put_back(2, "coil", [one])
    assert arrangement(made) == {p: f"coil/old-{p.cylinder}" for p in PLACES}


def test_putting_back_one_of_several_removed_leaves_the_others_out() -> None:
    made = standing()
    made.arrange(0, "coil", dict.fromkeys(PLACES))
    made.put_back(1, "coil", PLACES[:1])
    assert arrangement(made) == {PLACES[0]: "coil/old-1"}
    made.put_back(2, "coil", PLACES)
    assert len(arrangement(made)) == 6


def test_nothing_moved_is_told_by_place() -> None:
    made = standing()
    made.arrange(0, "coil", {PLACES[0]: "coil/A1"})
    moves, unmoved = made.put_back(1, "coil", PLACES[:2])
    assert unmoved == (PLACES[1],)
    assert Move("coil/A1", PLACES[0], None) in moves


def test_net_moves_forget_what_came_back_in_the_same_moment() -> None:
    one, two = PLACES[:2]
    there = Move("coil/old-1", one, two)
    assert net_moves([there, Move("coil/old-1", two, one)]) == ()
    assert net_moves([there, Move("coil/old-1", two, None)]) == (Move("coil/old-1", one, None),)


def test_what_was_fitted_after_a_swap_goes_along_when_the_swap_is_put_back() -> None:
    made = standing()
    two, four = PLACES[1], PLACES[3]
    made.arrange(0, "coil", {two: "coil/old-4", four: "coil/old-2"})
    made.arrange(1, "coil", {two: "coil/A1"})
    made.put_back(2, "coil", [four, two])
    assert (made.at["coil", two], made.at["coil", four]) == ("coil/old-2", "coil/A1")
    made.put_back(3, "coil", [four])
    assert made.at["coil", four] == "coil/old-4"
