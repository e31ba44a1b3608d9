"""Pulls as curves over rpm: what the last run read, and what lies between its points."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.findings.measures import Measure, of_reading
from logbook.job.model import Job, Reading


@dataclass(frozen=True, slots=True)
class Curve:
    """One quantity of one pull over rpm; values in SI, or as written for ratios and percentages."""

    slot: str
    run: str
    rpm: tuple[float, ...]
    values: tuple[float, ...]
    u: float
    entries: tuple[int, ...]

    def at(self, rpm: float) -> float:
        """Between the points in a straight line, beyond them the nearest point."""
        if rpm <= self.rpm[0]:
            return self.values[0]
        for low, high in zip(range(len(self.rpm)), range(1, len(self.rpm)), strict=False):
            if rpm <= self.rpm[high]:
                part = (rpm - self.rpm[low]) / (self.rpm[high] - self.rpm[low])
                return self.values[low] + part * (self.values[high] - self.values[low])
        return self.values[-1]

    @property
    def peak(self) -> float:
        return max(self.values)


def curves(job: Job) -> dict[str, Curve]:
    """The last pull's curve of each quantity, by its slot; what the last pull lacks comes from an earlier one.

    A point stands at its own speed: behind @, or in the rpm row of its run. A reading without a speed beside points is
    a summary and is not used; where a run has no points it holds at every speed.
    """
    found: dict[str, Curve] = {}
    for (run, slot), points in _points(job).items():
        placed = sorted((rpm, m.value) for _, m, rpm in points if rpm > 0)
        if not placed and points:
            placed = [(1.0, max(m.value for _, m, _ in points))]
        if placed and len({rpm for rpm, _ in placed}) == len(placed):
            entries = tuple(dict.fromkeys(r.entry for r, _, rpm in points if rpm > 0 or len(placed) == 1))
            values = tuple(v for _, v in placed)
            found[slot] = Curve(slot, run, tuple(p for p, _ in placed), values, points[0][1].u, entries)
    return found


def summaries(job: Job) -> tuple[int, ...]:
    """Entries whose reading is not used because the run has points of its own."""
    return tuple(
        dict.fromkeys(
            reading.entry
            for points in _points(job).values()
            if any(rpm > 0 for _, _, rpm in points)
            for reading, _, rpm in points
            if rpm == 0
        )
    )


def _points(job: Job) -> dict[tuple[str, str], list[tuple[Reading, Measure, float]]]:
    """Reading, number and speed (0 without one) of each run's quantity; the speeds themselves are left out."""
    readings = [(r, m) for r in job.readings if r.test == "pull" and (m := of_reading(r)) is not None]
    speeds = {(r.name, r.subject): m.value for r, m in readings if _slot(r) == "rpm"}
    found: dict[tuple[str, str], list[tuple[Reading, Measure, float]]] = {}
    for reading, measure in readings:
        behind = [c.quantity.middle for c in reading.conditions if c.quantity and c.quantity.unit == "rpm"]
        rpm = float(reading.speed or (behind[0] if behind else 0)) or (
            speeds.get((reading.name, reading.subject), 0.0) if reading.subject else 0.0
        )
        if _slot(reading) not in ("", "rpm"):
            found.setdefault((reading.name, _slot(reading)), []).append((reading, measure, rpm))
    return found


def _slot(reading: Reading) -> str:
    return reading.slot or (reading.qualifiers[0] if reading.qualifiers else "")
