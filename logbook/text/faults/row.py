"""One row of the catalogue."""

from __future__ import annotations

from typing import NamedTuple

from logbook.problems import Weight


class Fault(NamedTuple):
    """``bad`` is a log that meets this fault, ``good`` the same mended; both are read by the tests."""

    number: int
    weight: Weight
    title: str
    why: str
    bad: str
    good: str


ERROR, DOUBT, HINT = Weight.ERROR, Weight.DOUBT, Weight.HINT
