"""The diagnosis within a bound of work: of the whole log, or where that is too much of as long a beginning as fits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from logbook.diagnosis import diagnose as diagnosing
from logbook.diagnosis.answers import NOTHING, Diagnosis
from logbook.diagnosis.effort import TooMuch, at_most, spend
from logbook.diagnosis.elimination import TooWide
from logbook.diagnosis.knowledge import Knowledge
from logbook.diagnosis.learning import Lesson
from logbook.job.model import Job

CELLS_A_PAIR = 8  # cells that are worked in the time that one reading takes to look at another
FIRST, THEN = 60_000_000, 20_000_000  # cells of tables that may be worked for the whole log, and for each beginning


def diagnose_within(job: Job, knowledge: Knowledge, earlier: Sequence[Lesson], folder: str) -> Diagnosis:
    """The same as ``diagnose`` wherever that takes no more work than ``FIRST``. Deterministic: work is counted.

    Elsewhere ``approximate`` says up to where the log was read for the answer.
    """
    with suppress(TooMuch, TooWide), at_most(FIRST):
        return _diagnosed(job, knowledge, earlier, folder)
    for count in _shorter(job):
        with suppress(TooMuch, TooWide), at_most(THEN):
            found = _diagnosed(beginning(job, count), knowledge, earlier, folder)
            return replace(found, approximate=_said(job, count))
    return replace(NOTHING, approximate=_said(job, 0))


def _diagnosed(job: Job, knowledge: Knowledge, earlier: Sequence[Lesson], folder: str) -> Diagnosis:
    """``diagnose``, with each reading's look at all others of its test counted as work too."""
    for count in Counter(r.test for r in job.readings if r.counts).values():
        spend(CELLS_A_PAIR * count * count)
    return diagnosing.diagnose(job, knowledge, earlier, folder)


def _shorter(job: Job) -> Iterator[int]:
    """How many entries to read: a half, a quarter and so on, up to the end of a day where one ends there."""
    count = len(job.entries) // 2
    while count:
        starts = [i for i in range(1, count + 1) if job.entries[i].entry.day != job.entries[i - 1].entry.day]
        yield starts[-1] if starts and starts[-1] * 2 > count else count
        count //= 2


def beginning(job: Job, count: int) -> Job:
    """The job as it stood after its first ``count`` entries."""
    readings = (r for r in job.readings if r.step < count and r.entry < count)
    return job._replace(
        entries=job.entries[:count],
        readings=tuple(
            r._replace(corrected_by=None) if r.corrected_by is not None and r.corrected_by >= count else r
            for r in readings
        ),
        events=tuple(e for e in job.events if e.step < count and e.entry < count),
        stays=tuple(
            s._replace(until=None) if s.until is not None and s.until >= count else s
            for s in job.stays
            if s.since < count
        ),
        causes=tuple(c for c in job.causes if c.entry < count),
        clues=tuple((word, entry) for word, entry in job.clues if entry < count),
        came_back=tuple(entry for entry in job.came_back if entry < count),
        handed_over=None,
    )


def _said(job: Job, count: int) -> str:
    why = "Too much was exchanged, repaired and measured in this job for an answer from all of it in good time: "
    if not count:
        return f"{why}nothing could be concluded."
    last, following = job.entries[count - 1].entry, job.entries[count].entry
    if last.day is not None and last.day != following.day:
        return f"{why}what is said here rests on the log up to {last.day.isoformat()}."
    return f"{why}what is said here rests on the first {count} of {len(job.entries)} entries."
