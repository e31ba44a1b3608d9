"""Numbers of readings against densities: in the row's unit, against the reading's own set, against the writer's limits.

A reading is compared with its own set where there is one (a compression with the rest of its engine, a drop with the
drops of the same look), never with a figure from a book that fits another engine.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import median

from logbook.diagnosis.knowledge import Density, TestRow
from logbook.job.model import Job, Reading
from logbook.text.entries import Quantity
from logbook.units import UNITS

COPPER = 0.00393  # 1/K at 20 C; IEC 60028
SEA_LEVEL_KPA = 101.325
BENCH = ("flow", "port flow")
LOW = 0.10  # a compression this far below its set is low: only then oil tells anything
OIL_LIFTS = 1.07  # what oil does to a good cylinder; trade handbook, from memory
SOUND_BAR = 11.0  # of a sound gasoline engine at sea level: common practice, no source
_SHOWN_STOICH = 14.7  # what displays multiply lambda with; a convention
_SQRT2 = math.sqrt(2)
_HALVES_IN_K = 17.5  # a thermistor of 2500 ohms at 20 C and 300 at 80 C
_DWELL = 0.6  # share of a turn's part between two sparks for which points are closed
Numbers = tuple[list[float], list[float]]  # by row: density, and the part of it that is a stray reading


def density(x: float, numbers: Density, noise: float) -> float:
    """[centre, spread] is a normal density, [low, high, edge] a flat one; ``noise`` is the instrument's own spread."""
    if len(numbers) == 2:
        spread = math.hypot(numbers[1], noise)
        return math.exp(-0.5 * ((x - numbers[0]) / spread) ** 2) / (spread * math.sqrt(2 * math.pi))
    low, high, edge = numbers[0], numbers[1], math.hypot(numbers[2], noise)
    return (_below((x - low) / edge) - _below((x - high) / edge)) / (high - low)


def _below(x: float) -> float:
    return 0.5 * (1 + math.erf(x / _SQRT2))


def _reach(numbers: Density) -> tuple[float, float]:
    if len(numbers) == 2:
        return numbers[0] - 4 * numbers[1], numbers[0] + 4 * numbers[1]
    return numbers[0] - 2 * numbers[2], numbers[1] + 2 * numbers[2]


def set_centre(values: Sequence[float], apart: float) -> float:
    """The middle of those members of a set that are not far below its largest.

    A plain median breaks where half the set is bad; the good ones are known by lying close to the top.
    """
    top = max(values)
    return float(median([v for v in values if v >= apart * top] or list(values)))


def station_pressure_share(altitude_m: float) -> float:
    """Air pressure at an altitude as a share of that at sea level (ISO 2533; -500 to 11000 m)."""
    geopotential = 6356766 * altitude_m / (6356766 + altitude_m)
    return float((1 - 0.0065 * geopotential / 288.15) ** 5.25588)


@dataclass(frozen=True, slots=True)
class Measures:
    """The numbers of a job; each set is gathered once."""

    job: Job
    said: Mapping[int, str]  # by entry: what stands in its brackets
    _sets: dict[tuple[object, ...], list[tuple[int, float]]] = field(default_factory=dict)

    def reads(self, test: TestRow, reading: Reading) -> bool:
        """Whether this test reads this kind of entry."""
        words = set(reading.qualifiers)
        kind = reading.part_kind
        part = not kind if test.part == "-" else not test.part or kind in test.part.split(" or ")
        part &= not kind or test.not_part != kind
        slot = reading.slot if reading.slot not in words else ""
        asked = part and test.slot == slot and set(test.qualifiers) <= words and not set(test.without) & words
        if asked and (test.said or test.unsaid):
            said = self.said.get(reading.entry, "")
            return test.said in said and not (test.unsaid and test.unsaid in said)
        return asked

    def densities(self, test: TestRow, reading: Reading, quantity: Quantity) -> Numbers | None:
        """For each row of the test how likely the number is, or None where the row can say nothing about it."""
        x = self.number(test, reading, quantity)
        if x is None:
            return None
        noise = float(quantity.plus_minus or 0) + (0.05 * abs(x) if quantity.about else 0.0)
        noise = math.hypot(noise, float(quantity.high - quantity.low) / 2, test.step)
        limit = reading.limit.quantity if reading.limit is not None else None
        if test.limit and limit is not None:
            return _spread(test, _beyond(test, reading, x, limit), [r.off for r in test.rows], noise)
        numbers = [r.number for r in test.rows]
        if test.of == "limit":
            if limit is None:
                usual = [r.alone for r in test.rows]
                return _spread(test, _signed(reading, x), usual, noise) if usual[0] else None
            return _spread(test, _beyond(test, reading, x, limit), numbers, noise)
        if test.of == "recovery":
            share = self._recovery(test, reading, x)
            return None if share is None else _spread(test, share, numbers, 0.0)
        if test.of in ("ratio", "excess", "centre"):
            return self._of_set(test, reading, x, noise)
        y = self._plain(test, reading, quantity, x)
        return None if y is None else _spread(test, y, numbers, noise if test.of == "value" else 0.0)

    def number(self, test: TestRow, reading: Reading, quantity: Quantity) -> float | None:
        """The number in the row's unit, corrected for altitude or temperature."""
        x = float({"over": quantity.high, "under": quantity.low}.get(quantity.bound, quantity.middle))
        if test.unit and quantity.unit and quantity.unit != test.unit:
            x = _converted(x, quantity.unit, test.unit)
        if math.isnan(x):
            return None
        if test.corrected == "altitude" and self.job.altitude_m is not None:
            share = station_pressure_share(self.job.altitude_m)
            x = x + SEA_LEVEL_KPA * (1 - share) if test.unit == "kPa vac" else x / share
        if test.corrected == "copper":
            x /= 1 + COPPER * ((20.0 if (t := _temperature(reading)) is None else t) - 20.0)
        return x

    def _plain(self, test: TestRow, reading: Reading, quantity: Quantity, x: float) -> float | None:
        if test.of == "value":
            return x
        if test.of == "volts":
            return x if quantity.unit == "V" else None
        if test.of == "log":
            return math.log10(1 + max(x, 0.0))
        if test.of == "dwell":
            engine = self.job.engine(reading.engine) or self.job.engines[0]
            usual = 60.0 if quantity.unit == "%" else 360 * _DWELL / max(len(engine.cylinders), 1)
            return x / usual
        if quantity.unit not in ("ohm", "kohm") or x <= 0:
            return None
        ohms = UNITS["ohm"].from_si(UNITS[quantity.unit].to_si(x))
        if test.of == "ohms":
            return math.log10(ohms)
        at = _temperature(reading)
        return None if at is None else math.log10(ohms / (2500 * 0.5 ** ((at - 20.0) / _HALVES_IN_K)))

    def _of_set(self, test: TestRow, reading: Reading, x: float, noise: float) -> Numbers | None:
        if test.of == "excess":
            values = sorted(v for _, v in self._set(test, reading))
            low = median(values[: (len(values) + 1) // 2])
            return _spread(test, x / low, [r.number for r in test.rows], 0.0) if len(values) > 2 and low > 0 else None
        centre = self._centre(test, reading)
        alone = [r.alone for r in test.rows]
        if alone[0] and (centre is None or centre < test.sound):
            return _spread(test, x, alone, noise)  # no set, or one of suspects alone
        if test.of == "centre":
            values = [v for _, v in self._set(test, reading)]
            return _spread(test, set_centre(values, test.apart), [r.number for r in test.rows], 0.0) if values else None
        if centre is None or centre <= 0:
            return None
        return _spread(test, x / centre, [r.number for r in test.rows], noise / centre)

    def _centre(self, test: TestRow, reading: Reading) -> float | None:
        """The centre of the set that a reading belongs to: its own entry where that holds three, else all so far."""
        mine = self._set(test, reading)
        together = [x for entry, x in mine if entry == reading.entry]
        values = together if len(together) >= 3 else [x for _, x in mine]
        few = len(values) == 2 and (not test.rows[0].alone or max(values) >= test.sound)
        return set_centre(values, test.apart) if len(values) >= 3 or few else None

    def _recovery(self, test: TestRow, reading: Reading, wet: float) -> float | None:
        """How far oil brings a low cylinder back towards the others, beyond what oil does to a good one.

        0: as low as before, valve or gasket; 1: back among its neighbours, rings. None where it was not low dry.
        Measured alone it is compared with what a sound engine mostly gives.
        """
        dry = [x for place, x in self._dry(test, reading) if place == reading.place]
        others = [x for _, x in self._dry(test, reading)]
        wets = [x for _, x in self._set(test, reading)]
        if not dry:
            return None
        before = set_centre(others, test.apart) if len(others) > 1 else SOUND_BAR
        after = set_centre(wets, test.apart) if len(wets) >= 3 else before * OIL_LIFTS
        was, now = dry[-1] / before, wet / max(after, before)
        return None if was > 1 - LOW else (now - was) / (1 - was)

    def _dry(self, test: TestRow, reading: Reading) -> list[tuple[object, float]]:
        latest: dict[object, float] = {}
        for other in self.job.readings:
            if other.test == reading.test and not {"wet", "running"} & set(other.qualifiers):
                self._take(latest, test, reading, other, lambda x, _: x)
        return list(latest.items())

    def _set(self, test: TestRow, reading: Reading) -> list[tuple[int, float]]:
        """The latest numbers, by entry, that a reading of this test compares with."""
        terms = frozenset(c.text for c in reading.conditions) if reading.test in BENCH else None
        key = test.name, reading.step, reading.part_kind, reading.engine, terms
        if key not in self._sets:
            latest: dict[object, tuple[int, float]] = {}
            for other in self.job.readings:
                if other.test == reading.test and self.reads(test, other) and _same_terms(reading, other):
                    self._take(latest, test, reading, other, lambda x, entry: (entry, x))
            self._sets[key] = list(latest.values())
        return self._sets[key]

    def _take(self, latest, test, reading, other, made) -> None:  # type: ignore[no-untyped-def]
        """Adds the number of a comparable reading, as ``made`` wants it; a doubted one moves no set."""
        q = other.value.quantity
        if q is None or not other.counts or other.step > reading.step or other.value.doubted:
            return
        if other.part_kind == reading.part_kind and other.engine == reading.engine:
            x = self.number(test, other, q)
            if x is not None:
                latest[other.part or other.place or other.subject] = made(x, other.entry)


def _spread(test: TestRow, x: float, shapes: Sequence[Density], noise: float) -> Numbers:
    """The densities at x; a share ``stray`` of readings may be anything within the reach of the rows."""
    reaches = [_reach(s) for s in shapes]
    width = max(r[1] for r in reaches) - min(r[0] for r in reaches)
    stray = test.stray / width
    return [(1 - test.stray) * density(x, s, noise) + stray for s in shapes], [stray] * len(shapes)


def _beyond(test: TestRow, reading: Reading, x: float, limit: Quantity) -> float:
    """How far a number is outside the limits that the writer gives with it: the maker's figure outranks the table's."""
    low, high = float(limit.low), float(limit.high)
    if test.unit and limit.unit and limit.unit != test.unit:
        low, high = _converted(low, limit.unit, test.unit), _converted(high, limit.unit, test.unit)
    x = _signed(reading, x)
    return x - high if x > high else x - low if x < low else 0.0


def _signed(reading: Reading, x: float) -> float:
    """Degrees before top dead center count up, those after it down."""
    return -x if "atdc" in reading.value.remark_words or reading.value.word == "atdc" else x


def _converted(x: float, unit: str, to: str) -> float:
    have, want = UNITS.get(unit), UNITS.get(to)
    if have is None or want is None:
        return math.nan
    if (have.dimension, want.dimension) == ("mixture", "mixture lambda"):
        return x / _SHOWN_STOICH
    if have.dimension == "absolute pressure" and want.dimension == "pressure":
        return want.from_si(have.to_si(x) - SEA_LEVEL_KPA * 1e3)
    return want.from_si(have.to_si(x)) if have.dimension == want.dimension else math.nan


def _temperature(reading: Reading) -> float | None:
    for condition in reading.conditions:
        q = condition.quantity
        if q is not None and q.unit in UNITS and UNITS[q.unit].dimension == "temperature":
            return UNITS["C"].from_si(UNITS[q.unit].to_si(float(q.middle)))
    return None


def _same_terms(reading: Reading, other: Reading) -> bool:
    """Bench readings compare only at one pressure, time and fluid."""
    if reading.test not in BENCH:
        return True
    return {c.text for c in reading.conditions} == {c.text for c in other.conditions}
