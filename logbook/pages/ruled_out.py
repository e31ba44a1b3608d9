"""Ruled out: what the log has cleared, by the entry that did most to clear it."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis, EntryWeight
from logbook.job.model import Job
from logbook.pages.evidence import told
from logbook.pages.frame import Link
from logbook.pages.places import KEPT_PRIVATE, entry_link, is_hidden
from logbook.pages.remains import told_alike
from logbook.pages.words import capital, listed, spelled, times_words

_CLEARED = -7.0  # decibans of one entry alone: five times less likely by it


@dataclass(frozen=True, slots=True)
class Clearing:
    """One entry and the causes that it spoke against the most, each with its weight."""

    day: Link
    kind: str
    words: str
    causes: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class RuledOut:
    heading: str
    clearings: tuple[Clearing, ...]
    others: str  # what was unlikely from the start and has not been tested


def ruled_out(job: Job, diagnosis: Diagnosis) -> tuple[RuledOut, ...]:
    """One list for each cylinder, or for several of which the same is said."""
    found = (_ruled_out(job, answers) for answers in told_alike(diagnosis.cylinders))
    return tuple(r for r in found if r.clearings)


def is_cleared(cause: Cause) -> bool:
    """Was it put out of the question by an entry, or only unlikely from the start?"""
    return bool(cause.against) and cause.against[0].decibans <= _CLEARED


def _ruled_out(job: Job, answers: list[CylinderAnswer]) -> RuledOut:
    first, *rest = answers
    heading = f"At cylinder {first.place.cylinder}"
    if rest:
        heading += f", and alike at {listed(str(a.place.cylinder) for a in rest)}"
    cleared = [c for c in first.ruled_out if is_cleared(c)]
    groups: dict[int, list[tuple[Cause, EntryWeight]]] = {}
    for cause in cleared:
        groups.setdefault(cause.against[0].entry, []).append((cause, cause.against[0]))
    more = len(first.ruled_out) - len(cleared)
    others = f"{capital(spelled(more))} more {'was' if more == 1 else 'were'} unlikely from the start." if more else ""
    return RuledOut(heading, tuple(_clearing(job, e, groups[e]) for e in sorted(groups)), others)


def _clearing(job: Job, entry: int, found: list[tuple[Cause, EntryWeight]]) -> Clearing:
    strongest = sorted(found, key=lambda f: (f[1].decibans, f[0].label))
    causes = tuple((cause.label, times_words(weight.decibans)) for cause, weight in strongest)
    if is_hidden(job, entry):
        return Clearing(Link(""), "", KEPT_PRIVATE, causes)
    link = entry_link(job, entry)
    kind, words = told(strongest[0][1].words, link.text)
    return Clearing(link, kind, words, causes)
