"""Pulls as curves over rpm: what the last run read, and what lies between its points."""

from __future__ import annotations

from collections.abc import Sequence
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
    """The last pull's curve of each quantity, by its slot; what the last pull lacks comes from an earlier one."""
    runs: dict[str, dict[str, list[tuple[Reading, Measure]]]] = {}
    for reading in job.readings:
        measure = of_reading(reading) if reading.test == "pull" else None
        if measure is not None:
            slot = reading.slot or (reading.qualifiers[0] if reading.qualifiers else "")
            runs.setdefault(reading.name, {}).setdefault(slot, []).append((reading, measure))
    found: dict[str, Curve] = {}
    for run, slots in runs.items():
        speeds = [m.value for _, m in slots.get("rpm", ())]
        for slot, points in slots.items():
            curve = _curve(slot, run, points, speeds)
            if curve is not None:
                found[slot] = curve
    return found


def _curve(slot: str, run: str, points: Sequence[tuple[Reading, Measure]], speeds: Sequence[float]) -> Curve | None:
    own = [float(r.speed) for r, _ in points]
    rpm = own if all(own) else list(speeds)
    if slot == "rpm" or len(rpm) < len(points) or not points:
        return None
    pairs = sorted(zip(rpm, (m.value for _, m in points), strict=False))
    if len({p for p, _ in pairs}) != len(pairs):
        return None
    entries = tuple(dict.fromkeys(r.entry for r, _ in points))
    return Curve(slot, run, tuple(p for p, _ in pairs), tuple(v for _, v in pairs), points[0][1].u, entries)
