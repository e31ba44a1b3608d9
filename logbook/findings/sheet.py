"""The measured engine: bores, rods, volumes and cam of one engine, put together from the log."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.findings.measures import Measure, by_place, entries_of, single
from logbook.findings.saying import figures
from logbook.job.model import Engine, Job
from logbook.units import UNITS


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is known of one engine's inside. Lengths in m, volumes in m3; None or empty where not measured."""

    engine: Engine
    bores: dict[int, Measure]
    stroke: Measure | None
    rod: Measure | None
    chambers: dict[int, Measure]
    pistons: dict[int, Measure]
    decks: dict[int, Measure]
    gasket_thickness: Measure | None
    gasket_bore: Measure | None
    cam: dict[str, Measure]  # 'intake opens', 'intake closes' ...
    rev_limit: Measure | None

    @property
    def cylinders(self) -> int:
        return len(self.engine.cylinders)

    @property
    def bore(self) -> Measure | None:
        return mean(list(self.bores.values())) if self.bores else None

    def complete(self, cylinder: int) -> bool:
        """Whether a compression ratio can be had for this cylinder."""
        each = (self.chambers, self.pistons, self.decks)
        there = all(cylinder in found for found in each) and cylinder in self.bores
        return bool(there and self.stroke and self.gasket_thickness and self.gasket_bore)


def sheet(job: Job, engine: Engine) -> Sheet:
    """The measured engine. A bore is the mean of what was measured at its top, middle and bottom."""
    levels = [by_place(job, "bore", engine.name, qualifiers=(q,)) for q in ("top", "middle", "bottom")]
    bores = {
        cylinder: m
        for cylinder in engine.cylinders
        if (m := mean([level[cylinder] for level in levels if cylinder in level])) is not None
    } or by_place(job, "bore", engine.name)
    cam = {}
    for valve in ("intake", "exhaust"):
        for slot in ("opens", "closes", "lift", "centre", "duration"):
            measure = single(job, "cam", slot=slot, qualifiers=(valve,))
            if measure is not None and not (slot in ("opens", "closes", "duration") and at_a_lift(job, measure)):
                cam[f"{valve} {slot}"] = measure
    return Sheet(
        engine,
        bores,
        single(job, "stroke"),
        single(job, "rod length"),
        by_place(job, "chamber", engine.name),
        by_place(job, "piston volume", engine.name),
        by_place(job, "deck", engine.name),
        single(job, "gasket", slot="thickness"),
        single(job, "gasket", slot="bore"),
        cam,
        single(job, "rev limit"),
    )


_A_LIFT = re.compile(r"(?<![0-9])0?\.0[3-9]0?\b|\b(?:1\.27|1\.0+|1) ?mm\b")


def at_a_lift(job: Job, measure: Measure) -> bool:
    """Whether a cam's figure was taken at .050 in or 1 mm of lift, where the valve has long been open."""
    lines = " ".join(job.entries[e].line_text.partition("@")[2] for e in measure.entries)
    return bool(_A_LIFT.search(lines))


def mean(measures: Sequence[Measure]) -> Measure | None:
    """Mean of several measures, its spread from theirs; None for none."""
    if not measures:
        return None
    first = measures[0]
    value = math.fsum(m.value for m in measures) / len(measures)
    u = math.sqrt(math.fsum(m.u**2 for m in measures)) / len(measures)
    text = first.text if len(measures) == 1 else f"mean of {len(measures)}: {_in(first, value)}"
    return Measure(value, u, first.dimension, first.unit, text, entries_of(measures), first.subject, first.place)


def _in(like: Measure, value: float) -> str:
    unit = UNITS.get(like.unit)
    if unit is None:
        return figures(value, 5)
    shown = unit.from_si(value) if unit.dimension not in ("angle", "percent", "rpm") else value
    return f"{figures(shown, 5)} {unit.symbol or unit.name}"
