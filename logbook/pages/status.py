"""How far a job is, in one or two words; a build, or a car in parts, never reads as repaired."""

from __future__ import annotations

from typing import Literal

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.pages.build_sheet import BUILD_KINDS
from logbook.pages.phrases import catalogue
from logbook.pages.repair import had_fault, trouble_from

Status = Literal["open", "found", "repaired", "fixed", "back", "running", "work", "parts"]
OPEN: tuple[Status, ...] = ("open", "found", "repaired")
_BY_STANDING: dict[str, Status] = {
    "looking": "open",
    "found": "found",
    "repaired": "repaired",
    "proved": "fixed",
    "handed over": "back",
}
_SELLING = ("asked", "picked", "sent")


def status_of(job: Job, diagnosis: Diagnosis) -> Status:
    """The status of a job, of the shop's or the public copy."""
    if is_parting_out(job):
        return "parts"
    troubled = any(state in ("dead", "weak") for _, state in diagnosis.states)
    sound = bool(diagnosis.states) and all(state == "fires" for _, state in diagnosis.states)
    if not troubled and (not had_fault(job) or (is_build(job) and diagnosis.standing == "proved")):
        return "back" if diagnosis.standing == "handed over" else "running" if sound else "work"
    if diagnosis.standing == "found" and job.came_back and not any(c.entry > job.came_back[-1] for c in job.causes):
        return "open"  # the cause that was found before is not the whole of it
    return _BY_STANDING[diagnosis.standing]


def status_words(status: Status) -> str:
    """What the stamp on the page says: 'Open', 'Handed back'."""
    return catalogue()[f"stamp.{status}"]


def is_build(job: Job) -> bool:
    """Whether an engine was put together here before anything was wrong with it."""
    trouble = trouble_from(job, len(job.entries))
    return any(r.test in BUILD_KINDS and (trouble is None or r.step < trouble) for r in job.readings)


def is_parting_out(job: Job) -> bool:
    """Whether the log is there for its parts: a donor's, or parts for sale."""
    sells = any(t.kind in _SELLING and t.parts for t in job.trades)
    return bool(job.donors) and (sells or not job.engines)
