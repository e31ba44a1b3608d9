"""Each fault of the table is met by its own bad example and gone from the good one."""

from __future__ import annotations

import pytest

from logbook.job.copy import private_values
from logbook.job.copy_doubts import Doubts
from logbook.job.faults import FAULTS, explain
from logbook.job.ledger import build
from logbook.problems import Problem, Weight
from logbook.spans import NOWHERE
from logbook.text.entries import Written
from logbook.text.faults import faults as text_faults
from logbook.text.reader import read
from tests.job.writing import Writer, pair, reading, subject

# The reader says these first and uses nothing of the line; the ledger's own word is tested with entries made by hand.
READER_FIRST = {507, 508, 509, 521, 523, 529, 530, 531, 543}
BETWEEN_LOGS = {560}  # needs a second log


def problems(text: str, hearing: bool = True) -> tuple[Problem, ...]:
    job = build(read("job.txt", text.encode(), hearing=hearing))
    return (*job.problems, *Doubts(private_values(job)).of(job))


@pytest.mark.parametrize("number", sorted(set(FAULTS) - READER_FIRST - BETWEEN_LOGS))
def test_the_bad_example_meets_its_fault(number: int) -> None:
    found = [p for p in problems(FAULTS[number].bad) if p.number == number]
    assert found
    assert found[0].weight is FAULTS[number].weight
    assert "{" not in found[0].message + found[0].mend
    assert found[0].mend


@pytest.mark.parametrize("number", sorted(READER_FIRST))
def test_what_the_reader_says_first_is_not_said_twice(number: int) -> None:
    found = problems(FAULTS[number].bad, hearing=False)
    assert [p.number for p in found if p.weight is Weight.ERROR and p.number in text_faults()]
    assert not [p for p in found if p.number in FAULTS and p.weight is Weight.ERROR]


@pytest.mark.parametrize("number", sorted(FAULTS))
def test_the_good_example_has_no_problem_of_any_weight(number: int) -> None:
    assert [(p.number, p.message) for p in problems(FAULTS[number].good)] == []


@pytest.mark.parametrize("number", sorted(FAULTS))
def test_every_number_is_explained(number: int) -> None:
    said = explain(number)
    assert said.startswith(f"{number} (") and FAULTS[number].why in said


def test_numbers_stay_in_their_block_and_are_used_once() -> None:
    assert all(500 <= number < 600 for number in FAULTS)
    assert len({row.slug for row in FAULTS.values()}) == len(FAULTS)
    assert explain(999) == ""


def test_an_address_that_another_log_has_is_said() -> None:
    log = read("van.txt", b"address: crane\nroad: none\n")
    assert [p.number for p in build(log, address="crane-ab12cd").problems] == [560]
    assert build(log, address="crane").problems == ()


A1 = Written(NOWHERE, (subject("A1"),))
BY_HAND: tuple[tuple[int, str, dict[str, object]], ...] = (
    (507, "cut-out", {"readings": [reading(5, 70)]}),
    (508, "firing", {"readings": [reading("left", "dead")]}),
    (509, "compression", {"readings": [reading(1, 150)], "engine": "D9"}),
    (520, "swap", {"readings": [pair(3, 3)], "part": "coil"}),
    (521, "swap", {"readings": [reading(3)], "part": "coil"}),
    (522, "swap", {"readings": [pair(3, 4)]}),
    (523, "swap", {"readings": [pair("A1", 3)], "part": "coil"}),
    (529, "fit", {"readings": [reading(3)], "part": "coil"}),
    (530, "fit", {"readings": [A1], "part": "coil"}),
    (531, "fit", {"readings": [Written(NOWHERE, A1.subjects, to=(subject(1), subject(2)))], "part": "coil"}),
    (543, "cut-out", {"readings": [reading((), 70), reading((), 71), reading((), 69)]}),
    (544, "cut-out", {"readings": [reading(3, 70), reading(3, 71)]}),
)


@pytest.mark.parametrize(("number", "kind", "more"), BY_HAND)
def test_the_ledger_itself_says_what_a_reader_let_through(number: int, kind: str, more: dict[str, object]) -> None:
    made = Writer()
    made.engine()
    made.add("parts", [A1], part="coil")
    made.day()
    made.add(kind, **more)  # type: ignore[arg-type]
    assert number in [p.number for p in build(made.log()).problems]


def test_places_of_a_donor_ask_for_the_donors_engine() -> None:
    said = "donor D1: a van\nparts coil: A1-A6 from D1 at 1-6\n"
    (fault,) = problems(f"job: x\n{said}")
    assert fault.number == 501 and "'engine D1: V6," in fault.mend
    assert not problems(f"job: x\nengine D1: V6, left 1 3 5, right 2 4 6\n{said}")
