"""What diagnosis and findings concluded of a job, kept while only its notes and blank lines change: they read none.

Kept for the next save in memory, and for the next run in the user's cache folder, a file a log. Losing it costs one
diagnosis, nothing else.
"""

from __future__ import annotations

import contextlib
import pickle
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.build.keys import key_of, packed
from logbook.diagnosis.answers import Diagnosis
from logbook.diagnosis.learning import Lesson
from logbook.job.model import Job
from logbook.output.record import digest
from logbook.output.writing import CannotWrite, write_in_place
from logbook.text.entries import LineCount

if TYPE_CHECKING:
    from logbook.findings.model import Number

_Concluded = tuple[Diagnosis, "tuple[Number, ...]"]

_MOST_RECENT = 8
_LENGTH = 32  # of a hash
_recent: dict[str, tuple[str, _Concluded]] = {}


@dataclass(frozen=True, slots=True)
class Place:
    """Where the conclusions of one log are kept. ``taught``: from which lessons; ``code``: by which program."""

    file: Path
    taught: str
    code: str


def concluded(
    job: Job, knowledge: str, lessons: Sequence[Lesson], folder: str, place: Place | None
) -> tuple[_Concluded, str]:
    """The diagnosis and the worked numbers of a job; those of last time where it says the same but for its notes.

    And the key of all that they were concluded from, "" where nothing is kept.
    """
    job = _without_notes(job)
    if place is None:
        return _conclude(job, knowledge, lessons, folder), ""
    key = key_of(job, knowledge, folder, place.taught, place.code)
    name = str(place.file)
    known = _recent.pop(name, None)
    if known is None or known[0] != key:
        found = _recalled(place.file, key)
        if found is None:
            found = _conclude(job, knowledge, lessons, folder)
            _keep(place.file, key, found)
        known = key, found
    _recent[name] = known
    while len(_recent) > _MOST_RECENT:
        del _recent[next(iter(_recent))]
    return known[1], key


def forget() -> None:
    """As a new process begins; what lies in the cache folder stays."""
    _recent.clear()


def _conclude(job: Job, knowledge: str, lessons: Sequence[Lesson], folder: str) -> _Concluded:
    from logbook.diagnosis.bounded import diagnose_within
    from logbook.diagnosis.knowledge import load
    from logbook.findings.work import work_out

    diagnosis = diagnose_within(job, load(knowledge), lessons, folder)
    return diagnosis, work_out(job, diagnosis)


def _without_notes(job: Job) -> Job:
    entries = tuple(e._replace(entry=e.entry._replace(notes=(), line=0)) for e in job.entries)
    days = tuple(day._replace(notes=(), line=0) for day in job.days)
    return job._replace(entries=entries, days=days, problems=(), lines=LineCount())


def _recalled(file: Path, key: str) -> _Concluded | None:
    """What an earlier run concluded from the same; trusted only where it is whole."""
    try:
        data = file.read_bytes()
    except OSError:
        return None
    held = data[2 * _LENGTH :]
    if data[: 2 * _LENGTH] != f"{key}{digest(held)}".encode():
        return None
    found: _Concluded = pickle.loads(zlib.decompress(held))
    return found


def _keep(file: Path, key: str, found: _Concluded) -> None:
    held = zlib.compress(packed(found), 1)
    with contextlib.suppress(CannotWrite, OSError):
        write_in_place(file, [f"{key}{digest(held)}".encode(), held])
