"""What a reading should be: by its own line, the log's limits or the shop's, at the temperature it was taken at."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.formulas.injectors import copper_temperature
from logbook.formulas.refusals import Refusal
from logbook.job.model import Job, Limit, Reading
from logbook.pages.figure_units import axis_sign, ends, in_unit, number
from logbook.pages.values import quantity_words
from logbook.text.entries import Quantity, Value
from logbook.units import UNITS

COPPER_PARTS = frozenset({"coil", "injector"})
"""Wound with copper; the leads of most engines are of carbon, and glow plugs and sensors of other metals."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a reading should be, in the figure's unit; an end that is open is None."""

    low: float | None
    high: float | None
    words: str
    moved: str = ""  # where it was moved to the temperature of the reading: '13.3 to 14.5 Ω at 73 °C'

    @property
    def bound(self) -> str:
        """'at least' or 'at most', where one end is open."""
        return "" if None not in (self.low, self.high) else "at most" if self.low is None else "at least"

    def out(self, value: float) -> str:
        """'under', 'over', or "" where the value is as wanted."""
        if self.low is not None and value < self.low - 1e-9:
            return "under"
        return "over" if self.high is not None and value > self.high + 1e-9 else ""


def wanted(value: Value | None, unit: str) -> Wanted | None:
    """'at least 10.5 bar', '9.5 to 10.5 bar' from a spec as written: 'over 10.5', '9.5-10.5', '10 +- 0.5'."""
    quantity = value.quantity if value else None
    if quantity is None:
        return None
    middle = in_unit(quantity, unit)
    if quantity.bound == "over":
        return Wanted(middle, None, f"at least {_bare(quantity)}")
    if quantity.bound == "under":
        return Wanted(None, middle, f"at most {_bare(quantity)}")
    both = ends(quantity, unit)
    return Wanted(*(both or (middle, middle)), _bare(quantity))


def _bare(quantity: Quantity) -> str:
    return f"{quantity_words(quantity).removeprefix('over ').removeprefix('under ')}".strip()


def limit_for(job: Job, reading: Reading) -> Value | None:
    """What the line itself wants, else the log's own limit of that test, else the shop's."""
    if reading.limit is not None:
        return reading.limit
    fitting = [k for k in job.limits if _fits(k, reading)]
    fitting.sort(key=lambda k: (k.from_shop, not k.subject, -k.entry))
    return fitting[0].value if fitting else None


def _fits(limit: Limit, reading: Reading) -> bool:
    return (
        limit.test == reading.test
        and (not limit.qualifiers or set(limit.qualifiers) <= set(reading.qualifiers))
        and limit.part_kind in ("", reading.part_kind)
        and limit.subject in ("", reading.subject)
        and limit.slot in ("", reading.slot)
    )


def wanted_of(job: Job, reading: Reading, unit: str) -> Wanted | None:
    """What is wanted of this reading, in ``unit``.

    Resistances are wanted at 20 degrees C: the limits of the log or the shop for a copper winding go with the
    temperature that stands at the reading. What the line itself wants was written beside that reading, and stays.
    """
    cold = wanted(limit_for(job, reading), unit)
    kelvin = _kelvin(reading)
    own = job.entries[reading.entry].entry.spec
    if cold is None or kelvin is None or own is not None:
        return cold
    if reading.test != "resistance" or reading.part_kind not in COPPER_PARTS:
        return cold
    try:
        share = copper_temperature(1.0, kelvin)
    except Refusal:  # no winding is so cold or so hot
        return cold
    return _at(cold, share, f"{number(round(kelvin - 273.15, 1))} °C", axis_sign(unit))


def _kelvin(reading: Reading) -> float | None:
    """The first temperature behind the @ of the reading."""
    for condition in reading.conditions:
        written = UNITS.get(condition.quantity.unit) if condition.quantity else None
        if condition.quantity and written and written.dimension == "temperature":
            return written.to_si(float(condition.quantity.middle))
    return None


def _at(cold: Wanted, share: float, where: str, sign: str) -> Wanted:
    """'11 to 12 Ω at 20 °C, so 13.3 to 14.5 Ω at 73 °C'."""
    if abs(share - 1) < 1e-6:
        return cold
    low, high = (None if end is None else end * share for end in (cold.low, cold.high))
    said = list(dict.fromkeys(number(float(f"{end:.3g}")) for end in (low, high) if end is not None))
    moved = f"{cold.bound} {' to '.join(said)} {sign} at {where}".strip()
    return Wanted(low, high, f"{cold.words} at 20 °C, so {moved}", moved)
