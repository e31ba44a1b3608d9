"""Readings of one test at one time: what a figure sets side by side, and the table beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from logbook.job.model import Job, Limit, Reading
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.places import is_hidden
from logbook.pages.values import is_absent, number_words, quantity_words, unit_sign, value_words
from logbook.pages.words import short_date
from logbook.text.entries import Quantity, Value
from logbook.units import UNITS

Subject = Callable[[Reading], str]


@dataclass(frozen=True, slots=True)
class Moment:
    """One test at one time: the readings by subject, the last of each."""

    day: date | None
    qualifiers: tuple[str, ...]
    proved: bool
    step: int
    readings: tuple[tuple[str, Reading], ...]
    called: str = ""  # 'before', 'after'

    @property
    def label(self) -> str:
        """'4 May', '4 May, dry', 'after, 4 May'."""
        return ", ".join(filter(None, (self.called, short_date(self.day), *self.qualifiers)))

    def reading(self, subject: str) -> Reading | None:
        return dict(self.readings).get(subject)


def shown_readings(job: Job, test: str) -> list[Reading]:
    """The readings of a test that count and that this copy shows."""
    hidden = job.copy == "public"
    return [
        r
        for r in job.readings
        if r.test == test and r.counts and not is_hidden(job, r.entry) and not (hidden and r.private)
    ]


def moments(job: Job, readings: Iterable[Reading], subject: Subject) -> tuple[Moment, ...]:
    """Readings by day, qualifiers and proof, in time order; what was done in between parts one day in two."""
    actions = sorted(e.step for e in job.events)
    found: dict[tuple[object, ...], dict[str, Reading]] = {}
    for reading in sorted(readings, key=lambda r: r.step):
        day = job.entries[reading.entry].entry.day
        since = sum(a < reading.step for a in actions)
        key = (day, reading.qualifiers, reading.proved, since)
        found.setdefault(key, {})[subject(reading)] = reading
    return tuple(
        Moment(day, qualifiers, proved, min(r.step for r in named.values()), tuple(named.items()))  # type: ignore[arg-type]
        for (day, qualifiers, proved, _), named in found.items()
    )


def usual_unit(readings: Iterable[Reading]) -> str:
    """The unit most of the readings were written in."""
    units = [r.value.quantity.unit for r in readings if r.value.quantity]
    return max(sorted(set(units)), key=units.count, default="")


def in_unit(quantity: Quantity, unit: str) -> float:
    """The middle of a quantity in ``unit``."""
    return _converted(quantity, quantity.middle, unit)


def ends(quantity: Quantity, unit: str) -> tuple[float, float] | None:
    """The ends of a written spread or range; None where none was written."""
    if quantity.plus_minus is not None:
        low, high = quantity.middle - quantity.plus_minus, quantity.middle + quantity.plus_minus
    elif quantity.low != quantity.high:
        low, high = quantity.low, quantity.high
    else:
        return None
    return _converted(quantity, low, unit), _converted(quantity, high, unit)


def _converted(quantity: Quantity, number: Decimal, unit: str) -> float:
    if quantity.unit == unit or unit not in UNITS or quantity.unit not in UNITS:
        return float(number)
    return round(UNITS[unit].from_si(UNITS[quantity.unit].to_si(float(number))), 9)


# -- what is wanted


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a reading should be, in the figure's unit; an end that is open is None."""

    low: float | None
    high: float | None
    words: str

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


# -- the table beside a figure


def moments_table(
    job: Job, caption: str, head: str, found: Sequence[Moment], subjects: Sequence[str], csv: str
) -> Table:
    """A row a subject, a column a moment; what is out of what is wanted says so in words."""
    unit = usual_unit([r for m in found for _, r in m.readings])
    columns = (Column(head), *(Column(m.label, number=True) for m in found))
    rows = tuple((Cell(s), *(_cell(job, m.reading(s), unit) for m in found)) for s in subjects)
    sign = axis_sign(unit)
    return Table(f"{caption}, {sign}" if sign else caption, columns, rows, csv=csv)


def _cell(job: Job, reading: Reading | None, unit: str) -> Cell:
    if reading is None:
        return Cell("not tested", soft=True)
    if is_absent(reading.value):
        return Cell(value_words(reading.value), soft=True)
    quantity = reading.value.quantity
    words = _value(reading, unit)
    limit = wanted(limit_for(job, reading), unit) if quantity else None
    out = limit.out(in_unit(quantity, unit)) if limit and quantity else ""
    return Cell(f"{words}, {out}" if out else words, out=bool(out))


def _value(reading: Reading, unit: str) -> str:
    """The value without the unit that the caption has, with what was heard or seen in the bracket."""
    quantity = reading.value.quantity
    same = quantity is None or quantity.unit == unit
    said = value_words(reading.value, unit=not same)
    return f"{said}, {', '.join(reading.value.remark_words)}" if reading.value.remark_words else said


def axis_sign(unit: str) -> str:
    """The unit's sign as it stands over an axis: ': 1' alone would be no word."""
    sign = unit_sign(unit)
    return "to 1" if sign == ": 1" else sign


def number(value: float) -> str:
    """A value of a figure in words: four figures at most."""
    return number_words(Decimal(f"{value:.4g}")) if abs(value) < 1e4 else f"{value:.0f}"
