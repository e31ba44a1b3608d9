"""One row of the catalogue."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.problems import Weight


@dataclass(frozen=True, slots=True)
class Fault:
    """``bad`` is a log that meets this fault, ``good`` the same mended; both are read by the tests."""

    number: int
    weight: Weight
    title: str
    why: str
    bad: str
    good: str


ERROR, DOUBT, HINT = Weight.ERROR, Weight.DOUBT, Weight.HINT
