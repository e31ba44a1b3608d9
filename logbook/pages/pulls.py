"""Readings of a pull: of which run, of what, and at which engine speed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from logbook.job.model import Reading
from logbook.pages.figure_units import in_unit
from logbook.units import UNITS


def what_of(reading: Reading) -> str:
    """'boost', 'intake-air', 'knock'; 'rpm' for the line of speeds; "" where it is not said."""
    return reading.slot or next(iter(reading.qualifiers), "")


def run_of(reading: Reading) -> str:
    """'pull 3'."""
    return f"pull {reading.name}".strip()


def speed_of(readings: Sequence[Reading]) -> Callable[[Reading], float]:
    """The speed of a reading in rpm, 0 where none is written: at it, or in its run's line of speeds at its place."""
    lines = {(r.name, r.subject): r for r in readings if what_of(r) == "rpm" and r.value.quantity}

    def speed(reading: Reading) -> float:
        beside = lines.get((reading.name, reading.subject))
        of_the_line = in_unit(beside.value.quantity, "rpm") if beside and beside.value.quantity else 0.0
        return float(reading.speed) or of_the_line or (stated(reading, "rpm", "rpm") or 0.0)

    return speed


def stated(reading: Reading, dimension: str, unit: str) -> float | None:
    """The number of that dimension among the conditions, in ``unit``."""
    for condition in reading.conditions:
        written = UNITS.get(condition.quantity.unit) if condition.quantity else None
        if condition.quantity and written and written.dimension == dimension:
            return in_unit(condition.quantity, unit)
    return None
