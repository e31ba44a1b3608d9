"""The catalogue of problems as the problems page explains it: every number of every stage."""

from __future__ import annotations

from logbook.job.faults import FAULTS as OF_THE_JOB
from logbook.job.faults import Fault as JobFault
from logbook.job.file_faults import FAULTS as OF_FILES
from logbook.pages.problems import Explanation
from logbook.text.faults import Fault
from logbook.text.faults import faults as of_the_text


def explanations() -> tuple[Explanation, ...]:
    """All of them, by number."""
    rows: list[Fault | JobFault] = [*of_the_text().values(), *OF_THE_JOB.values(), *OF_FILES.values()]
    found = [Explanation(r.number, r.weight.value, r.title, r.why, _line(r.bad), _line(r.good)) for r in rows]
    return tuple(sorted(found, key=lambda e: e.number))


def _line(log: str) -> str:
    """The last line of an example: what comes before it only sets the scene."""
    lines = [line for line in log.split("\n") if line.strip()]
    return lines[-1] if lines else ""
