"""A closed job as the shop's record sees it: its cause, and where that cause had stood before it was written down."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis
from logbook.diagnosis.knowledge import load
from logbook.diagnosis.learning import faults_named
from logbook.job.model import FoundCause, Job
from logbook.pages import frame
from logbook.pages.causes import cause_words
from logbook.pages.places import is_hidden

_NOT_COMPARED = None, 0.0, 0.0  # a cause in words of its own is none of those listed


@dataclass(frozen=True, slots=True)
class ClosedJob:
    """A job whose cause was found. The ranking is that of the entry before the cause was written down.

    ``rank`` of the true cause among those listed then, 0 where it was not listed; ``stated`` is the chance given to it,
    ``top`` the chance given to the one that stood first. None where nothing was ranked before.
    """

    title: str
    path: str
    day: date | None
    what: str
    text: str
    anchor: str
    proved: bool
    hours: Decimal | None
    settled_by: str
    rank: int | None
    stated: float
    top: float


def closed_job(job: Job, diagnosis: Diagnosis, knowledge: str = "") -> ClosedJob | None:
    """The job as a row here; None while no cause was written down. ``knowledge`` is the shop's own, laid over ours."""
    shown = [c for c in job.causes if not is_hidden(job, c.entry) and not (job.copy == "public" and c.private)]
    if not shown:
        return None
    found = shown[0]
    entry = job.entries[found.entry]
    answer, true = _true_cause(diagnosis, found, {fault.name for fault in faults_named(found, load(knowledge))})
    rank, stated, top = _before(answer, true, found.entry) if found.what or found.part else _NOT_COMPARED
    return ClosedJob(
        job.title,
        frame.story_path(job.address),
        entry.entry.day,
        found.what or "not named",
        cause_words(job, found),
        entry.anchor,
        diagnosis.standing in ("proved", "handed over"),
        _hours(job),
        _settled_by(job, answer, true, found.entry),
        rank,
        stated,
        top,
    )


def _true_cause(
    diagnosis: Diagnosis, found: FoundCause, faults: Collection[str]
) -> tuple[CylinderAnswer | None, int | None]:
    """The answer and the index of the listed cause that the log names as found."""
    for answer in diagnosis.cylinders:
        for index, cause in enumerate(answer.causes):
            if _same(cause, found, answer, faults):
                return answer, index
    places = set(found.places)
    named = next((a for a in diagnosis.cylinders if a.place in places), None)
    return named or (diagnosis.cylinders[0] if diagnosis.cylinders else None), None


def _same(cause: Cause, found: FoundCause, answer: CylinderAnswer, faults: Collection[str]) -> bool:
    if found.part or cause.part:
        return bool(found.part) and cause.part == found.part
    here = not found.places or answer.place in found.places or cause.place in found.places
    named = found.what in (cause.fault, cause.scope, *cause.fault.split("_"), *cause.label.split())
    return here and (named or cause.fault in faults)


def _before(answer: CylinderAnswer | None, true: int | None, told: int) -> tuple[int | None, float, float]:
    """Rank of the true cause, the chance given to it and to the first, before entry ``told``."""
    points = [p for p in answer.history if p.entry < told] if answer else []
    if not points:
        return None, 0.0, 0.0
    chances = points[-1].probabilities
    top = max(chances, default=0.0)
    if true is None or true >= len(chances):
        return 0, 0.0, top
    return 1 + sum(c > chances[true] for c in chances), chances[true], top


def _hours(job: Job) -> Decimal | None:
    if job.copy == "public":
        return None
    spent = [
        t.amount
        for t in job.trades
        if t.kind == "hours" and t.label == "diagnosis" and t.counts and t.amount is not None
    ]
    return sum(spent, Decimal(0)) if spent else None


def _settled_by(job: Job, answer: CylinderAnswer | None, true: int | None, told: int) -> str:
    """The kind of the entry that spoke most for the true cause before it was told."""
    if answer is None or true is None:
        return ""
    weights = [
        w for w in answer.causes[true].weights if w.entry < told and w.decibans > 0 and not is_hidden(job, w.entry)
    ]
    if not weights:
        return ""
    entry = job.entries[max(weights, key=lambda w: (w.decibans, -w.entry)).entry].entry
    return f"{entry.kind} {entry.part}".strip()
