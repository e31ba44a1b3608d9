"""What diagnosis and findings concluded of a job, kept while only its notes change: they are given none to read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.diagnosis.answers import Diagnosis
from logbook.diagnosis.learning import Lesson
from logbook.job.model import Job
from logbook.text.entries import LineCount

if TYPE_CHECKING:
    from logbook.findings.model import Number

_Given = tuple[Job, str, Sequence[Lesson], str]
_Concluded = tuple[Diagnosis, "tuple[Number, ...]"]

_MOST_RECENT = 8
_recent: dict[str, tuple[_Given, _Concluded]] = {}


def concluded(job: Job, knowledge: str, lessons: Sequence[Lesson], folder: str) -> _Concluded:
    """The diagnosis and the worked numbers of a job; those of last time where it says the same but for its notes."""
    given = (_without_notes(job), knowledge, lessons, folder)
    known = _recent.pop(job.path, None)
    if known is None or known[0] != given:
        known = (given, _conclude(*given))
    _recent[job.path] = known
    while len(_recent) > _MOST_RECENT:
        del _recent[next(iter(_recent))]
    return known[1]


def forget() -> None:
    _recent.clear()


def _conclude(job: Job, knowledge: str, lessons: Sequence[Lesson], folder: str) -> _Concluded:
    from logbook.diagnosis.diagnose import diagnose
    from logbook.diagnosis.knowledge import load
    from logbook.findings.work import work_out

    diagnosis = diagnose(job, load(knowledge), lessons, folder)
    return diagnosis, work_out(job, diagnosis)


def _without_notes(job: Job) -> Job:
    entries = tuple(e._replace(entry=e.entry._replace(notes=())) if e.entry.notes else e for e in job.entries)
    days = tuple(day._replace(notes=()) for day in job.days)
    return replace(job, entries=entries, days=days, problems=(), lines=LineCount())
