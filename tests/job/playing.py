"""A job from lines, and the few things that most tests ask of it."""

from __future__ import annotations

from logbook.job.ledger import build
from logbook.job.model import Job, Place, Reading
from logbook.text.reader import read

ENGINE = "engine: inline 4, coil near plug, leads, injection port"


def job(*lines: str, card: str = ENGINE, path: str = "jobs/van.txt", **more: object) -> Job:
    text = "\n".join([*card.split("\n"), "2026-05-04", *lines, ""])
    return build(read(path, text.encode()), **more)  # type: ignore[arg-type]


def numbers(made: Job) -> list[int]:
    return [p.number for p in made.problems]


def at(made: Job, kind: str, cylinder: int, engine: str = "") -> str | None:
    return made.mounted().get((kind, Place(engine, cylinder)))


def row(made: Job, kind: str) -> dict[int, str]:
    """What stands at each cylinder now."""
    return {place.cylinder: part for (k, place), part in sorted(made.mounted().items()) if k == kind}


def states(made: Job, entry: int) -> dict[int, str]:
    """The states that an entry says its cylinders were in."""
    found = [r for r in made.readings if r.entry == entry and r.test == "firing" and r.place]
    return {r.place.cylinder: r.value.word for r in found if r.place}


def said(reading: Reading) -> str:
    return reading.value.word or (reading.value.quantity.text if reading.value.quantity else "")
