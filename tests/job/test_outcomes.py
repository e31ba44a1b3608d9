"""What is said right after something was done, without a cylinder: it is about the place that was worked on."""

from __future__ import annotations

import pytest

from logbook.problems import Weight
from tests.job.playing import job, numbers, states

BEFORE = "cut-out: 1 fires, 2 fires, 3 dead, 4 dead"
CARD = "engine: inline 4, coil near plug, leads, injection port"


@pytest.mark.parametrize(
    ("line", "seen"),
    [
        ("fit coil: new in 3, now fires", {3: "fires"}),
        ("fit plug: new in 3 and 4, now ok", {3: "fires", 4: "fires"}),
        ("clean injector: 4, now dead", {4: "dead"}),
        ("repair injector connector: 4, now fires", {4: "fires"}),
        ("swap coil: 3 1, now fires", {3: "fires", 1: "fires"}),
        ("swap coil: 3 1, now same, 2 dead", {3: "dead", 1: "fires", 2: "dead"}),
        ("swap coil: 3 1, now moved", {3: "fires", 1: "dead"}),
        ("fit coil: new in 3, now all fires", {1: "fires", 2: "fires", 3: "fires", 4: "fires"}),
        ("adjust timing: +2 deg, now fires", {1: "fires", 2: "fires", 3: "fires", 4: "fires"}),
    ],
)
def test_it_is_about_what_was_worked_on(line: str, seen: dict[int, str]) -> None:
    made = job(BEFORE, line, card=CARD)
    assert states(made, 2) == seen and numbers(made) == []


def test_one_coil_for_two_cylinders_is_about_both() -> None:
    made = job("fit coil: new in 1, now fires", card="engine: inline 4, fires 1 3 4 2, coil pair")
    assert states(made, 1) == {1: "fires", 4: "fires"}


@pytest.mark.parametrize("word", ["dead", "weak", "intermittent"])
def test_of_the_two_of_a_swap_nobody_knows_which(word: str) -> None:
    made = job(BEFORE, f"swap coil: 3 1, now {word}", card=CARD)
    assert numbers(made) == [231] and not made.events
    assert made.problems[0].mend == f"write 'swap coil: 3 1, now 3 {word}' or 'swap coil: 3 1, now 1 {word}'"


@pytest.mark.parametrize("said", ["same", "no change", "no difference"])
def test_unplugged_and_nothing_changed_is_a_cut_out_without_a_drop(said: str) -> None:
    made = job(f"unplug coil: 2, now {said}", card=CARD)
    assert [(r.test, r.subject, r.value.word) for r in made.readings] == [("cut-out", "2", "none")]


def test_unplugged_and_dead_says_nothing_of_the_cylinder() -> None:
    made = job("unplug coil: 2, now 2 dead", card=CARD)
    assert not made.readings and numbers(made) == [553]
    assert made.problems[0].weight is Weight.HINT


def test_a_sensor_is_no_cylinder() -> None:
    made = job(BEFORE, "unplug sensor: , now same".replace(": ,", ","), card=CARD)
    assert all(r.test != "cut-out" or r.entry == 1 for r in made.readings)


def test_a_spare_that_was_never_declared_is_taken() -> None:
    made = job("fit injector: A9 in 3", card=CARD)
    assert [(p.number, p.weight) for p in made.problems] == [(554, Weight.HINT)]
    assert [p.origin for p in made.parts if p.name == "A9"] == ["unknown"]
    assert len(made.events) == 1


def test_leads_that_the_card_does_not_name_are_taken() -> None:
    made = job(BEFORE, "swap lead: 3 1, now moved", card="engine: inline 4, coil on plug")
    assert [(p.number, p.weight) for p in made.problems] == [(555, Weight.HINT)]
    assert made.engines[0].leads and states(made, 2) == {3: "fires", 1: "dead"}


def test_a_diesel_has_no_leads() -> None:
    assert 510 in numbers(job("swap lead: 3 1, now 3 dead", card="engine: inline 4, coil none, injection direct"))


def test_a_value_that_is_hard_to_believe_is_doubted_and_moves_no_other() -> None:
    """A drop of 700 rpm is a speed that was written for a drop: it must not make the others weak beside it."""
    from logbook.diagnosis.diagnose import diagnose

    made = job("cut-out: 1 70, 2 65, 3 70, 4 700", card="units: us\n" + CARD)
    assert [r.value.doubted for r in made.readings] == [False, False, False, True]
    assert {p.cylinder: state for p, state in diagnose(made).states if state != "not known"} == {
        1: "fires", 2: "fires", 3: "fires", 4: "fires",
    }  # fmt: skip
