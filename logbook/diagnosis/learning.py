"""What proved jobs teach: counts of causes found, laid beside the base rates with the prior's weight stated.

A job learns only from jobs proved before its own first day; so a finished page never changes when a later one
closes, and a job is never its own evidence.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from logbook.diagnosis.instances import Instances
from logbook.diagnosis.knowledge import PART_SCOPES, FaultRow, Tables
from logbook.diagnosis.observe import Observations
from logbook.job.model import FoundCause, Job

PRIOR_WEIGHT = 400.0  # the tables count as much as this many parts, places or engines of the shop's own


@dataclass(frozen=True, slots=True)
class Lesson:
    """What one proved job says: how often each fault could have been there, and how often it was."""

    address: str
    proved: date
    found: tuple[tuple[str, float], ...]  # fault, share of the causes found that are put down to it
    exposed: tuple[tuple[str, int], ...]  # fault, parts, places, groups or engines that could have had it


def lesson(job: Job, tables: Tables) -> Lesson | None:
    """The lesson of a job, or None where nothing that the tables know was both found and proved."""
    proofs = [r.entry for r in job.readings if r.proved and r.counts]
    days = [d for e in proofs if (d := job.entries[e].entry.day) is not None]
    if not job.causes or not days or job.came_back:
        return None
    found: dict[str, float] = {}
    for cause in job.causes:
        rows = faults_named(cause, tables)
        total = sum(r.base for r in rows)
        times = max(len(cause.places), 1)
        for row in rows:
            found[row.name] = found.get(row.name, 0.0) + times * row.base / total
    if not found:
        return None
    exposed = _one_of(tuple(sorted(_exposed(job, tables).items())))
    return Lesson(job.address, max(days), tuple(sorted(found.items())), exposed)


@lru_cache(maxsize=256)
def _one_of(exposed: tuple[tuple[str, int], ...]) -> tuple[tuple[str, int], ...]:
    """Jobs with like engines share one: thousands of jobs have few kinds of engines."""
    return exposed


def faults_named(cause: FoundCause, tables: Tables) -> list[FaultRow]:
    """The faults that a 'cause' entry may mean: those whose words stand in it, else all of that part or thing.

    None where it stands in words of its own: what they mean is not guessed.
    """
    if not (cause.what or cause.part):
        return []
    said = f"{cause.part_kind} {cause.what} {cause.remark}".casefold()
    rows = [f for f in tables.faults.values() if _about(f, cause)]
    by_words = [(sum(word in said for word in f.words), f) for f in rows]
    best = max((n for n, _ in by_words), default=0)
    return [f for n, f in by_words if n == best] if best else rows


def _about(fault: FaultRow, cause: FoundCause) -> bool:
    if cause.part or cause.what in PART_SCOPES:
        return fault.scope == (cause.part.partition("/")[0] or cause.what)
    return fault.scope not in PART_SCOPES and cause.what in " ".join((*fault.words, fault.label))


def _exposed(job: Job, tables: Tables) -> dict[str, int]:
    """How many things that came with the engine could have had each fault."""
    found = Instances(Observations(job, tables), {})
    return dict(Counter(one.row.name for one in found.all if one.origin == "found"))


def lessons_before(earlier: Sequence[Lesson], job: Job) -> tuple[Lesson, ...]:
    """The lessons that a job may learn from, by address: proved before its first day, and not its own."""
    first = job.first_day
    if first is None:
        return ()
    return tuple(sorted((e for e in earlier if e.proved < first and e.address != job.address), key=lambda e: e.address))


def learned_base(tables: Tables, lessons: Sequence[Lesson]) -> Mapping[str, float]:
    """Base rates with the shop's own counts: (weight x base + found) / (weight + exposed)."""
    found: dict[str, float] = {}
    exposed: dict[str, float] = {}
    for one in lessons:
        for fault, n in one.found:
            found[fault] = found.get(fault, 0.0) + n
        for fault, m in one.exposed:
            exposed[fault] = exposed.get(fault, 0.0) + m
    rates = {}
    for name, n in exposed.items():
        if name in tables.faults:
            base = tables.faults[name].base
            rate = (PRIOR_WEIGHT * base + found.get(name, 0.0)) / (PRIOR_WEIGHT + n)
            rates[name] = min(max(rate, 1e-6), 0.5)
    return rates
