"""Jobs from a few lines of a log, and what the tables make of them, for the tests."""

from __future__ import annotations

from logbook.diagnosis.framing import Framing
from logbook.diagnosis.knowledge import load
from logbook.diagnosis.observe import Seen
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

FOUR = "four in line, fires 1 3 4 2, coil on plug, injection port"
SIX = "V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug, injection port"
OLD = "straight six, fires 1 5 3 6 2 4, coil one, leads, distributor, carburettor"
DIESEL = "four in line, fires 1 3 4 2, diesel, common rail"


def told(*lines: str, engine: str = FOUR, card: str = "") -> Job:
    """A job of one day; no line of it may be a problem that is an error."""
    head = ["job: told", "units: metric", f"engine: {engine}", *([card] if card else [])]
    job = build(read("told.txt", "\n".join([*head, "", "2026-01-05", *lines, ""]).encode()))
    wrong = [p.message for p in job.problems if p.weight == "error"]
    assert not wrong, wrong
    return job


def framed(*lines: str, engine: str = FOUR, card: str = "") -> Framing:
    return Framing(told(*lines, engine=engine, card=card), load(), {})


def seen(framing: Framing, test: str, cylinder: int = 0) -> list[Seen]:
    """What was seen of a test, at a cylinder where one is asked for."""
    found = [s for s in framing.observations.seen if s.test.name == test]
    return [s for s in found if not cylinder or (s.observation.place and s.observation.place.cylinder == cylinder)]


def best(one: Seen) -> frozenset[str]:
    """The signs of the row that fits best."""
    likelihood = one.observation.likelihood
    return one.test.rows[likelihood.index(max(likelihood))].signs
