"""The next test: its finished lines are lines of the log, and its outcomes know what is ruled out."""

from __future__ import annotations

import pytest

from logbook.diagnosis.diagnose import diagnose
from logbook.job import ledger
from logbook.pages.next_step import lines_of, next_steps, own_cautions
from logbook.text.reader import read
from tests.samples.logs import NAMES, days_of, diagnosis, shop, until_end_of

CARD = "job: Van, dead on one\nengine: inline 4, coil on plug\n\n2026-05-04\n"


@pytest.mark.parametrize("name", NAMES)
def test_every_finished_line_is_understood_as_it_stands(name: str) -> None:
    seen = 0
    for day in days_of(name):
        text = until_end_of(name, day)
        _, found = diagnosis(name, text)
        before = len(read("x.txt", text.encode(), shop()).problems)
        for line in lines_of(found.next):
            after = read("x.txt", f"{text.rstrip()}\n{line}\n".encode(), shop()).problems
            assert len(after) == before, (line, after[-1].message)
            seen += 1
    assert seen or name in ("two-wrecks", "hill-climb-turbo")


def test_a_repair_names_the_cylinder_in_its_finished_line() -> None:
    text = CARD + "firing: 3 dead, rest fires\nspark: 3 none, rest strong\nswap coil 3 4: now 4 dead, 3 fires\n"
    steps = diagnose(ledger.build(read("van.txt", text.encode()))).next
    fit = next(s for s in steps if s.kind == "fit")
    assert list(lines_of([fit])) == ["fit coil: new in 4, now 4 fires", "fit coil: new in 4, now 4 dead"]


def test_a_number_that_is_to_be_read_has_a_mark_and_no_finished_line() -> None:
    job, found = diagnosis("hay-baler", until_end_of("hay-baler", "2026-07-06"))
    test = next_steps(job, found).test
    assert test is not None and test.write == "compression: 3 …, 2 …, 4 …"
    assert {o.write for o in test.outcomes} == {""}


def test_a_first_look_foretells_no_chances() -> None:
    log = CARD.replace("engine", "symptom: shakes\nengine") + "spark: 3 strong\n"
    job = ledger.build(read("van.txt", log.encode()))
    test = next_steps(job, diagnose(job)).test
    assert test is not None and test.outcomes and {o.chance for o in test.outcomes} == {""}


def test_the_log_s_own_cautions_are_told_once_each() -> None:
    log = "job: Van\ncaution: hot pipe\n\n2026-05-04\ncaution: hot pipe\ncaution: no ramp\n"
    assert own_cautions(ledger.build(read("van.txt", log.encode()))) == ("Hot pipe.", "No ramp.")
