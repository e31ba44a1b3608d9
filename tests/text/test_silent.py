"""Lines that were once read without a word and wrongly, and lines of which a part was used in spite of an error.

``understood`` is what a job must take from a line, or 'refused': then nothing of it is used, and ``offered`` is a whole
line that may be pasted. ``told`` are the numbers of the doubts and hints that must stand beside it.
"""

from __future__ import annotations

import csv

import pytest

from logbook.problems import Weight
from tests.text.jottings_told import HERE, job_with, told

ROWS = [row for name in ("silent", "rest") for row in csv.DictReader((HERE / f"{name}.csv").open(encoding="utf-8"))]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_it_is_read_right_or_refused(row: dict[str, str]) -> None:
    said, problems = told(row["setting"], row["before"], row["line"])
    errors = [p for p in problems if p.weight is Weight.ERROR]
    if row["understood"] == "refused":
        assert errors and not said, row["meant"]
    else:
        assert not errors
        assert said == row["understood"], row["meant"]
    assert {int(n) for n in row["told"].split()} <= {p.number for p in problems}


@pytest.mark.parametrize("row", [r for r in ROWS if r["offered"]], ids=lambda row: row["id"])
def test_what_is_offered_reads(row: dict[str, str]) -> None:
    _, problems = told(row["setting"], row["before"], row["line"])
    assert any(row["offered"] in p.mend for p in problems)
    job, number, text = job_with(row["setting"], row["before"], row["offered"])
    here = [p for p in job.problems if text.count("\n", 0, p.span.start) + 1 == number]
    assert not [p.message for p in here if p.weight is Weight.ERROR]
