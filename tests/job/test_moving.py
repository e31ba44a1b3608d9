"""Parts that change places: what stands where after each kind of action, as a builder would expect it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.job.ledger import build
from logbook.job.model import Job, Place
from logbook.text.entries import Log
from tests.job.playing import ENGINE, at, job, numbers, row
from tests.job.writing import Writer, pair, reading

FOUND = {n: f"coil/old-{n}" for n in range(1, 5)}
TAGS = f"{ENGINE}\ndonor D1: van hit from behind\nparts coil: A1-A4 from D1"


def test_a_swap_changes_two_places() -> None:
    made = job("swap coil: 2 4, now 2 dead, 4 fires")
    assert row(made, "coil") == {1: "coil/old-1", 2: "coil/old-4", 3: "coil/old-3", 4: "coil/old-2"}
    assert row(made, "lead") == {n: f"lead/old-{n}" for n in range(1, 5)}
    event = made.events[0]
    assert {(m.part, m.out_of, m.into) for m in event.moves} == {
        ("coil/old-4", Place("", 4), Place("", 2)),
        ("coil/old-2", Place("", 2), Place("", 4)),
    }
    assert set(event.places) == {Place("", 2), Place("", 4)}


def test_several_swaps_in_one_line() -> None:
    made = job("swap injector: 1 2, 3 4")
    assert row(made, "injector") == {1: "injector/old-2", 2: "injector/old-1", 3: "injector/old-4", 4: "injector/old-3"}
    assert len(made.events) == 1


def test_a_ring_moves_all_at_once() -> None:
    made = job("move coil: 1 to 2, 2 to 3, 3 to 1")
    assert row(made, "coil") == {1: "coil/old-3", 2: "coil/old-1", 3: "coil/old-2", 4: "coil/old-4"}
    assert numbers(made) == []


def test_a_move_to_a_free_place_leaves_its_own_free() -> None:
    made = job("remove coil: 2", "move coil: 1 to 2")
    assert row(made, "coil") == {2: "coil/old-1", 3: "coil/old-3", 4: "coil/old-4"}
    assert numbers(made) == []


def test_a_spare_is_another_part_each_time() -> None:
    made = job("fit coil: new in 3", "fit coil: new in 4", "fit coil: new in 3")
    assert row(made, "coil") == {1: "coil/old-1", 2: "coil/old-2", 3: "coil/new-3-again1", 4: "coil/new-4"}
    assert [p.origin for p in made.parts if p.id.startswith("coil/new")] == ["new"] * 3


def test_one_new_part_for_each_of_several_places() -> None:
    made = job("fit plug: new in all")
    assert row(made, "plug") == {n: f"plug/new-{n}" for n in range(1, 5)}


def test_a_spare_tested_before_it_is_fitted_is_the_one_that_goes_in() -> None:
    made = job("resistance coil: used 0.7", "fit coil: used in 2")
    assert at(made, "coil", 2) == "coil/used"
    assert [r.part for r in made.readings if r.test == "resistance"] == ["coil/used"]


def test_a_tagged_part_goes_in_and_what_stood_there_lies_on_the_shelf() -> None:
    made = job("fit coil: A3 in 2", card=TAGS)
    assert at(made, "coil", 2) == "coil/A3"
    assert [s for s in made.stays if s.part == "coil/old-2"][-1].until is not None
    part = made.part("coil/A3")
    assert (part.origin, part.donor, part.called()) == ("donor", "D1", "coil A3")


def test_a_swapped_part_can_be_swapped_again() -> None:
    made = job("swap coil: 1 2", "swap coil: 2 3", "swap coil: old 1 old 4")
    assert row(made, "coil") == {1: "coil/old-2", 2: "coil/old-3", 3: "coil/old-4", 4: "coil/old-1"}


def test_put_back_undoes_the_latest_swap_of_these_places() -> None:
    assert row(job("swap coil: 2 4", "put back coil: 2 4"), "coil") == FOUND
    assert row(job("swap coil: 2 4", "put back coil: 2"), "coil") == FOUND
    assert row(job("swap coil: 1 2", "swap coil: 3 4", "put back coil: 1 2"), "coil") == {
        1: "coil/old-1", 2: "coil/old-2", 3: "coil/old-4", 4: "coil/old-3",
    }  # fmt: skip


def test_put_back_by_part_and_without_saying_what_moved() -> None:
    assert row(job("swap coil: 2 4", "put back coil: old 4"), "coil") == FOUND
    assert row(job("swap coil: 2 4", "put back coil"), "coil") == FOUND
    assert row(job("swap coil: 2 4", "put back: 2 4"), "coil") == FOUND


def test_swapped_back_by_hand_leaves_nothing_to_put_back() -> None:
    assert numbers(job("swap coil: 2 4", "swap coil: 4 2", "put back coil: 2 4")) == [527]


def test_what_was_fitted_in_between_goes_along_when_a_swap_is_put_back() -> None:
    made = job("swap coil: 4 2", "fit coil: new in 2", "put back coil: 4 2")
    assert row(made, "coil") == FOUND | {4: "coil/new-2"}


def test_put_back_a_removed_part() -> None:
    assert row(job("remove coil: 2 3", "put back coil: 2"), "coil") == {n: FOUND[n] for n in (1, 2, 4)}


def test_removed_and_fitted_again_is_no_new_part() -> None:
    made = job("remove injector: 4", "clean injector: old 4", "fit injector: old 4 in 4")
    assert at(made, "injector", 4) == "injector/old-4"
    assert len([p for p in made.parts if p.kind == "injector"]) == 4


def test_a_scrapped_part_leaves_its_place() -> None:
    made = job("scrap: coil old 2")
    assert at(made, "coil", 2) is None
    assert numbers(job("scrap: coil old 2", "fit coil: old 2 in 2")) == [526]


def test_a_part_taken_from_another_place_leaves_that_one_empty_and_is_doubted() -> None:
    made = job("fit coil: old 3 in 2")
    assert row(made, "coil") == {1: "coil/old-1", 2: "coil/old-3", 4: "coil/old-4"}
    assert numbers(made) == [525]


def test_waste_spark_coils_are_one_for_two_cylinders() -> None:
    made = job("swap coil: 1 2, now 2 dead, 3 dead", card="engine: inline 4, fires 1 3 4 2, coil pair, leads")
    assert row(made, "coil") == {1: "coil/old-2", 2: "coil/old-1"}
    assert row(made, "lead") == {n: f"lead/old-{n}" for n in range(1, 5)}


def test_shared_coils_may_be_said_on_a_line_of_their_own() -> None:
    made = job(card="engine: V6, left 1 2 3, right 4 5 6, coil pair\nshared coil: 1 4, 2 5, 3 6")
    assert row(made, "coil") == {1: "coil/old-1", 2: "coil/old-2", 3: "coil/old-3"}
    assert [g.cylinders for g in made.engines[0].groups] == [(1, 4), (2, 5), (3, 6)]


def test_kinds_of_part_that_the_card_does_not_list_are_found_when_they_are_named() -> None:
    made = job("swap lifter: 1 2, now same")
    assert at(made, "lifter", 1) == "lifter/old-2"


def test_a_later_engine_has_places_and_parts_of_its_own() -> None:
    made = job("swap coil: 1 2", "engine: V6, left 1 3 5, right 2 4 6", "swap coil: 1 3", "cut-out: 6 70")
    assert row_of(made, "2") == {1: "coil/2/old-3", 2: "coil/2/old-2", 3: "coil/2/old-1"} | {
        n: f"coil/2/old-{n}" for n in (4, 5, 6)
    }
    assert at(made, "coil", 1) == "coil/old-2"
    assert [r.place for r in made.readings] == [Place("2", 6)]


def row_of(made: Job, engine: str) -> dict[int, str]:
    return {p.cylinder: part for (kind, p), part in made.mounted().items() if kind == "coil" and p.engine == engine}


def test_a_donors_own_engine_is_named_in_the_head() -> None:
    made = job("compression D1: 1 150 psi, 2 151 psi, 3 90 psi, 4 150 psi", "compression: 1 140 psi", card=TAGS)
    assert [r.place for r in made.readings] == [*(Place("D1", n) for n in range(1, 5)), Place("", 1)]
    assert numbers(made) == []


# Laws, on entries made by hand.

places = st.integers(1, 4)
pairs = st.tuples(places, places).filter(lambda p: p[0] != p[1])


def played(swaps: list[tuple[int, int]], names: dict[int, int] | None = None) -> dict[int, str]:
    called = names or {n: n for n in range(1, 5)}
    return row(build(written(swaps, called)), "coil")


def written(swaps: list[tuple[int, int]], called: dict[int, int]) -> Log:
    made = Writer()
    made.engine("inline 4, coil on plug")
    made.day()
    for one, other in swaps:
        made.swap("coil", called[one], called[other])
    return made.log()


@given(st.lists(pairs, max_size=8))
def test_swapping_all_back_in_reverse_restores_the_beginning(swaps: list[tuple[int, int]]) -> None:
    assert played([*swaps, *reversed(swaps)]) == FOUND


@given(st.lists(pairs, max_size=8))
def test_the_order_of_the_two_places_of_a_swap_does_not_matter(swaps: list[tuple[int, int]]) -> None:
    assert played(swaps) == played([(other, one) for one, other in swaps])


@given(st.lists(pairs, max_size=8), st.permutations([1, 2, 3, 4]))
def test_numbering_cylinders_otherwise_changes_only_the_names(swaps: list[tuple[int, int]], to: list[int]) -> None:
    called = dict(zip(range(1, 5), to, strict=True))
    renamed = {called[n]: f"coil/old-{called[int(part[-1])]}" for n, part in played(swaps).items()}
    assert played(swaps, called) == renamed


@given(st.permutations([1, 2, 3, 4]))
def test_a_ring_is_what_its_swaps_would_do(order: list[int]) -> None:
    ring = Writer()
    ring.engine("inline 4, coil on plug")
    ring.day()
    ring.add("move", [pair(a, b) for a, b in zip(order, order[1:] + order[:1], strict=True)], part="coil")
    made = row(build(ring.log()), "coil")
    assert {b: f"coil/old-{a}" for a, b in zip(order, order[1:] + order[:1], strict=True)} == made


parts = st.sampled_from(["old 1", "old 2", "old 3", "old 4", "A1", "A2", "new", "used"])
acts = st.one_of(
    st.tuples(st.just("swap"), pairs),
    st.tuples(st.just("fit"), st.tuples(parts, places)),
    st.tuples(st.just("remove"), places),
    st.tuples(st.just("put back"), st.lists(places, min_size=1, max_size=3, unique=True)),
    st.tuples(st.just("scrap"), st.sampled_from(["old 1", "A1"])),
)


@given(st.lists(acts, max_size=12))
@settings(max_examples=150)
def test_whatever_is_done_no_part_stands_in_two_places_and_no_place_holds_two(steps: list[tuple[str, object]]) -> None:
    made = Writer()
    made.engine("inline 4, coil on plug")
    made.add("parts", [reading("A1"), reading("A2")], part="coil")
    made.day()
    for act, what in steps:
        _write(made, act, what)
    told = build(made.log())
    for step in (None, *range(len(made.entries))):
        standing = told.mounted(step)
        assert len(set(standing.values())) == len(standing)
    for part in {s.part for s in told.stays}:
        times = sorted((s.since, float("inf") if s.until is None else s.until) for s in told.stays if s.part == part)
        assert all(end <= start for (_, end), (start, _) in zip(times, times[1:], strict=False))  # noqa: RUF007
    for event in told.events:
        for move in event.moves:
            if move.into is not None:
                assert told.mounted(event.step)[event.part_kind, move.into] == move.part


def _write(made: Writer, act: str, what: object) -> None:
    if act == "swap":
        made.swap("coil", *what)  # type: ignore[misc]
    elif act == "fit":
        made.fit("coil", *what)  # type: ignore[misc]
    elif act == "remove":
        made.add("remove", [reading(what)], part="coil")  # type: ignore[arg-type]
    elif act == "put back":
        made.add("put back", [reading(n) for n in what], part="coil")  # type: ignore[attr-defined]
    else:
        made.add("scrap", [reading(what)], part="coil")  # type: ignore[arg-type]


@pytest.mark.parametrize("action", ["swap coil: 1 2", "fit plug: new in 2"])
def test_a_dash_withdraws_an_action(action: str) -> None:
    made = job(action, f"correct {action.partition(':')[0]}: -")
    assert not made.events and not made.problems
    (fault,) = job(f"{action.partition(':')[0]}: -").problems
    assert fault.number == 208
