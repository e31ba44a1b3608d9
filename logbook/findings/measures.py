"""Readings as numbers in SI with their spread, grouped into the sets in which they were taken."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from logbook.job.model import Engine, Job, Place, Reading
from logbook.text.doubts import slips
from logbook.text.entries import Condition, Quantity
from logbook.text.vocabulary import KINDS
from logbook.units import UNITS

_AS_WRITTEN = frozenset({"angle", "rpm", "percent", "ratio", "count", "mixture", "mixture lambda", "hours"})


@dataclass(frozen=True, slots=True)
class Measure:
    """One number: SI, except angles in degrees, speeds in rpm, percentages, ratios and mixtures as written.

    ``u`` is the standard uncertainty of the reading alone, from its written spread or the step of its last digit; what
    all readings of one gauge share is not in it.
    """

    value: float
    u: float
    dimension: str
    unit: str
    text: str
    entries: tuple[int, ...]
    subject: str = ""
    place: Place | None = None
    part: str = ""


def left_out(job: Job) -> tuple[Reading, ...]:
    """Readings that count in the log and feed no number: marked '?' by the writer, or hard to believe."""
    slipped = {
        item.entry.index: found
        for item in job.entries
        if item.entry.readings and item.entry.kind in KINDS and (found := slips(item.entry, KINDS[item.entry.kind]))
    }
    return tuple(
        r
        for r in job.readings
        if r.counts and (r.value.doubted or (r.value.quantity is not None and r.value.span in slipped.get(r.entry, ())))
    )


def usable(job: Job, out: Sequence[Reading] | None = None) -> Job:
    """The job without the readings that feed no number (``out``, looked up where it is not given)."""
    ids = {id(r) for r in (left_out(job) if out is None else out)}
    return job._replace(readings=tuple(r for r in job.readings if id(r) not in ids)) if ids else job


_ABOUT_STANDING = frozenset({"sent", "scrap", "order", "bought", "asked", "picked", "returned"})


def stretch(job: Job, step: int, engine: str = "") -> int:
    """How many things had been done to the engine before this step: readings of one stretch are repeats."""
    return sum(1 for e in job.events if e.step < step and e.engine in ("", engine) and e.action not in _ABOUT_STANDING)


def alike(conditions: Sequence[Condition]) -> tuple[str, ...]:
    """What two readings must share to be repeats: the words behind @, and its numbers but for the speed."""
    return tuple(sorted(c.text.casefold() for c in conditions if c.quantity is None or c.quantity.unit != "rpm"))


# Standard uncertainty that a shop's reading has at least, however fine its digits: common practice, no source.
# (kind, slot): in SI, or a share of the value where it is marked so
_AT_LEAST: dict[tuple[str, str], tuple[float, bool]] = {
    ("chamber", ""): (0.3e-6, False),
    ("piston volume", ""): (0.3e-6, False),
    ("deck", ""): (0.015e-3, False),
    ("gasket", "thickness"): (0.015e-3, False),
    ("gasket", "bore"): (0.1e-3, False),
    ("bore", ""): (0.005e-3, False),
    ("stroke", ""): (0.03e-3, False),
    ("rod length", ""): (0.05e-3, False),
    ("resistance", ""): (0.01, True),
}
# What is sold by its size: the size is exact but for the maker's tolerance, whatever its digits say.
_BY_SIZE: dict[str, float] = {"hose": 0.02, "injector rating": 0.03, "pump": 0.05, "wanted": 0.0, "tyre": 0.005}


def _believable_u(reading: Reading, value: float, u: float) -> float:
    if reading.value.quantity is not None and reading.value.quantity.plus_minus is not None:
        return u
    if reading.test in _BY_SIZE:
        return _BY_SIZE[reading.test] * abs(value)
    least, share = _AT_LEAST.get((reading.test, reading.slot), (0.0, False))
    return max(u, least * abs(value) if share else least)


def of_quantity(quantity: Quantity, entries: tuple[int, ...] = (), subject: str = "") -> Measure:
    """A quantity as a measure. Half a step of the last digit, or what stands after ±, is the half-width of an even
    distribution: u = half-width / sqrt 3 (JCGM 100:2008 4.3.7, from memory)."""
    unit = UNITS.get(quantity.unit)
    half = float(quantity.plus_minus) if quantity.plus_minus is not None else float(quantity.resolution) / 2
    half = max(half, float(quantity.high - quantity.low) / 2)
    value = float(quantity.middle)
    if quantity.about:
        half = max(half, 0.05 * abs(value))
    factor = 1.0
    if unit is not None and unit.dimension not in _AS_WRITTEN:
        value, factor = unit.to_si(value), unit.factor
    dimension = unit.dimension if unit else ""
    text = f"{quantity.text} {unit.symbol or unit.name}".strip() if unit else quantity.text
    return Measure(value, half * factor / math.sqrt(3), dimension, quantity.unit, text, entries, subject)


def of_reading(reading: Reading) -> Measure | None:
    """The number of a reading; None where it is a word, withdrawn, or beyond the end of the gauge."""
    quantity = reading.value.quantity
    if quantity is None or not reading.counts or quantity.bound:
        return None
    plain = of_quantity(quantity, (reading.entry,), reading.subject)
    text = f"{plain.text}, doubted" if reading.value.doubted else plain.text
    u = _believable_u(reading, plain.value, plain.u)
    return Measure(
        plain.value, u, plain.dimension, plain.unit, text, plain.entries, reading.subject, reading.place,
        reading.part,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class TestSet:
    """The readings of one test taken in one go: one entry, one kind of part, one engine.

    ``measures`` holds those that are numbers, ``words`` (subject, word) the others.
    """

    __test__ = False  # no test of pytest

    test: str
    qualifiers: tuple[str, ...]
    part_kind: str
    engine: str
    name: str
    entry: int
    step: int
    day: date | None
    conditions: tuple[Condition, ...]
    measures: tuple[Measure, ...]
    words: tuple[tuple[str, str], ...] = ()
    proved: bool = False
    private: bool = False

    def value(self, subject: str) -> Measure | None:
        return next((m for m in self.measures if m.subject == subject), None)

    def condition(self, *dimensions: str) -> Measure | None:
        """The first number behind @ of one of these dimensions."""
        for condition in self.conditions:
            quantity = condition.quantity
            if quantity is not None and quantity.unit in UNITS and UNITS[quantity.unit].dimension in dimensions:
                return of_quantity(quantity, (self.entry,))
        return None

    def said(self, *words: str) -> bool:
        """Whether one of these words stands behind @."""
        spoken = " ".join(c.text for c in self.conditions).casefold()
        return any(word in spoken for word in words)


def sets(job: Job, test: str, *, qualifiers: Sequence[str] | None = None, part_kind: str = "") -> tuple[TestSet, ...]:
    """All sets of a test in the order of the log; ``qualifiers`` None takes any."""
    groups: dict[tuple[int, str, str, tuple[str, ...]], list[Reading]] = {}
    for reading in job.readings:
        if reading.test != test or not reading.counts or (part_kind and reading.part_kind != part_kind):
            continue
        if qualifiers is not None and tuple(reading.qualifiers) != tuple(qualifiers):
            continue
        # a corrected value joins the set that it corrects
        entry = reading.entry if reading.corrects is None else reading.corrects
        groups.setdefault((entry, reading.part_kind, reading.engine, reading.qualifiers), []).append(reading)
    return tuple(_set(job, key[0], group) for key, group in groups.items())


def _set(job: Job, entry: int, group: Sequence[Reading]) -> TestSet:
    first = group[0]
    measured = [(r, of_reading(r)) for r in group]
    return TestSet(
        first.test,
        first.qualifiers,
        first.part_kind,
        first.engine,
        first.name,
        entry,
        first.step,
        job.entries[entry].entry.day if 0 <= entry < len(job.entries) else None,
        first.conditions,
        tuple(m for _, m in measured if m is not None),
        tuple((r.subject, r.value.word) for r, m in measured if m is None and r.value.word),
        any(r.proved for r in group),
        any(r.private for r in group),
    )


def single(job: Job, test: str, *, slot: str = "", qualifiers: Sequence[str] = ()) -> Measure | None:
    """The latest number of a test that has one, of this slot and these qualifiers."""
    found = [
        m
        for r in job.readings
        if r.test == test and r.slot == slot and set(qualifiers) <= set(r.qualifiers) and (m := of_reading(r))
    ]
    return found[-1] if found else None


def by_place(job: Job, test: str, engine: str, *, qualifiers: Sequence[str] = ()) -> dict[int, Measure]:
    """The latest number of each cylinder of one engine."""
    found: dict[int, Measure] = {}
    for reading in job.readings:
        if reading.test != test or reading.engine != engine or reading.place is None:
            continue
        if set(qualifiers) <= set(reading.qualifiers) and (measure := of_reading(reading)):
            found[reading.place.cylinder] = measure
    return dict(sorted(found.items()))


def neighbours(engine: Engine | None) -> tuple[tuple[int, int], ...]:
    return engine.neighbours() if engine is not None else ()


def listed_text(measures: Sequence[Measure]) -> str:
    """'1 10.1, 2 10.2, 3 10.0 bar': the unit once where it is one, as the log writes it."""
    unit = UNITS.get(measures[0].unit) if measures else None
    tail = f" {unit.symbol or unit.name}" if unit is not None else ""
    if not tail or any(m.unit != measures[0].unit or not m.text.endswith(tail) for m in measures):
        return ", ".join(f"{m.subject} {m.text}".strip() for m in measures)
    return ", ".join(f"{m.subject} {m.text[: -len(tail)]}".strip() for m in measures) + tail


def entries_of(measures: Iterable[Measure | None]) -> tuple[int, ...]:
    """Entries of several measures, each once, in order."""
    found: dict[int, None] = {}
    for measure in measures:
        if measure is not None:
            found.update(dict.fromkeys(measure.entries))
    return tuple(found)
