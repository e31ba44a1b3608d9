"""Jobs from a few lines of a log, for the tests."""

from __future__ import annotations

from functools import cache

from logbook.diagnosis.answers import Cause, Diagnosis
from logbook.diagnosis.diagnose import diagnose
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

FOUR = "four in line, fires 1 3 4 2, coil on plug, injection port"


@cache
def told(*lines: str, engine: str = FOUR, card: str = "") -> Job:
    """A job of one day; no line of it may be a problem that is an error."""
    head = ["job: told", "units: metric", f"engine: {engine}", *([card] if card else [])]
    job = build(read("told.txt", "\n".join([*head, "", "2026-01-05", *lines, ""]).encode()))
    wrong = [p.message for p in job.problems if p.weight == "error"]
    assert not wrong, wrong
    return job


@cache
def answer(*lines: str, engine: str = FOUR, card: str = "") -> Diagnosis:
    return diagnose(told(*lines, engine=engine, card=card))


def causes(found: Diagnosis, cylinder: int) -> tuple[Cause, ...]:
    """Causes of a cylinder, those ruled out too, most probable first."""
    mine = next(c for c in found.cylinders if c.place.cylinder == cylinder)
    return tuple(sorted((*mine.causes, *mine.ruled_out), key=lambda c: (-c.probability, c.label)))


def chance(found: Diagnosis, cylinder: int, fault: str) -> float:
    return sum(c.probability for c in causes(found, cylinder) if c.fault == fault)
