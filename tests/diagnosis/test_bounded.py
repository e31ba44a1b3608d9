"""The bound of a diagnosis: what it costs is counted, and where it ends is said."""

from __future__ import annotations

import pytest

from logbook.diagnosis import bounded
from logbook.diagnosis.bounded import beginning, diagnose_within
from logbook.diagnosis.diagnose import diagnose
from logbook.diagnosis.knowledge import load
from logbook.job.ledger import build
from logbook.text.reader import read

FOUR = "job: x\nunits: metric\nengine: inline 4, fires 1 3 4 2, coil on plug\nsymptom: shakes\n"
DAYS = FOUR + "".join(
    f"\n2026-05-0{day}\ncut-out: 1 70, 2 65, 3 0, 4 70\nswap coil 3 {day % 2 + 1}: now same\n" for day in range(1, 7)
)


def job_of(text: str):
    return build(read("x.txt", text.encode()))


def test_within_the_bound_it_is_the_diagnosis() -> None:
    job = job_of(DAYS)
    assert diagnose_within(job, load(), (), "") == diagnose(job, load())


def test_beyond_it_the_answer_is_that_of_the_log_up_to_a_day(monkeypatch: pytest.MonkeyPatch) -> None:
    job = job_of(DAYS)
    monkeypatch.setattr(bounded, "FIRST", 1)
    found = diagnose_within(job, load(), (), "")
    assert "rests on the log up to 2026-05-0" in found.approximate
    day = found.approximate[-11:-1]
    whole_days = DAYS[: DAYS.index(f"\n{day}")] + DAYS[DAYS.index(f"\n{day}") :].split("\n\n")[0] + "\n"
    alone = diagnose(job_of(whole_days), load())
    assert [c.causes[0].label for c in found.cylinders] == [c.causes[0].label for c in alone.cylinders]
    assert found.states == alone.states


def test_where_nothing_fits_nothing_is_concluded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bounded, "FIRST", 1)
    monkeypatch.setattr(bounded, "THEN", 1)
    found = diagnose_within(job_of(DAYS), load(), (), "")
    assert found.cylinders == ()
    assert found.approximate.endswith("nothing could be concluded.")


def test_a_beginning_names_no_entry_behind_its_end() -> None:
    job = job_of(DAYS + "correct cut-out: 3 5\ncause coil: 3\n")
    for count in range(len(job.entries)):
        part = beginning(job, count)
        assert all(r.entry < count and (r.corrected_by is None or r.corrected_by < count) for r in part.readings)
        assert all(e.entry < count for e in part.events)
        assert all(s.until is None or s.until < count for s in part.stays)
