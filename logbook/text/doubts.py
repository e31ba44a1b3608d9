"""What is read, but hard to believe: lost points, numbers out of their row, beyond what such a reading can be."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType

from logbook.problems import Problem
from logbook.spans import Span
from logbook.text.entries import Entry, Quantity, Written
from logbook.text.faults import problem
from logbook.text.kinds import Kind, Slot
from logbook.text.numbers import middle_of
from logbook.text.state import State
from logbook.units import UNITS

_FAR = 4  # times off the row
_MEND = "correct the number, or write its unit behind it"
# By kind and part: what is believable in SI, and what to ask beyond it (common practice, no source).
_SPECIAL = MappingProxyType(
    {
        ("fuel pressure", ""): ("50e3", "1e12", "bar, or psi?"),
        ("compression", ""): ("100e3", "1e12", "bar, or is a digit lost?"),
        ("resistance", "injector"): ("0.1", "60", "is the decimal point missing?"),
    }
)
_ROW = 3  # values that make a row
_WIDE = frozenset({"percent", "count", "temperature", "ohm", "rpm", "time"})  # where a value may be far off its row


def doubts(entry: Entry, kind: Kind, state: State) -> list[Problem]:
    """All doubts of one entry."""
    if not entry.readings:
        return []
    found: list[Problem] = []
    numbers: list[tuple[Span, Quantity]] = []
    speed = _speed(entry) if kind.word == "cut-out" else None
    for reading in entry.readings:
        value = reading.value
        if value is None or value.quantity is None:
            continue
        numbers.append((value.span, value.quantity))
        fault = _single(reading, value.span, value.quantity, kind, entry, speed, state)
        if fault is not None:
            found.append(fault)
    if (
        kind.word == "leak-down"
        and numbers
        and len(numbers) >= (1 if _all_named(entry) else 3)
        and all(q.low > 50 for _, q in numbers)
    ):
        found.append(
            problem(
                317,
                entry.span,
                "Every cylinder seems to lose more than half of the air.",
                "if the gauge shows what is held, write what is lost: 100 less the reading",
            )
        )
    if len(numbers) >= _ROW and not kind.slots and kind.subjects in ("cyl", "part", "bolt", "bearing"):
        flagged = {p.span for p in found}
        found.extend(_row(numbers, flagged, kind))
    return found


def slips(entry: Entry, kind: Kind) -> frozenset[Span]:
    """Where the values of an entry stand that are hard to believe."""
    if kind.dimension == "money":
        return frozenset()
    return frozenset(p.span for p in doubts(entry, kind, State("", "")) if p.number in (311, 312, 313, 316))


def unit_by_size(row: Kind | Slot, part: str, quantities: Iterable[Quantity], usual: str) -> str:
    """The one unit of the two usual ones in which all these numbers can be believed; '' where that leaves a choice.

    With a usual unit only a length is taken in the other one: inches and millimetres lie so far apart that no number
    can be meant in both.
    """
    if not row.low or not row.high or row.us == row.metric:
        return ""
    known = [q for q in quantities if not q.low == 0 == q.high]
    fits = [unit for unit in (row.us, row.metric) if all(_fits_size(row, part, q, unit) for q in known)]
    if not known or len(fits) != 1 or fits[0] == usual or (usual and row.dimension != "length"):
        return ""
    return fits[0]


def _fits_size(row: Kind | Slot, part: str, quantity: Quantity, unit: str) -> bool:
    bounds = _bounds(row, unit)
    named = (row.word, part) if isinstance(row, Kind) and row.word != "fuel pressure" else ("", "")
    low, high, _ = _SPECIAL.get(named, ("", "", ""))
    si = UNITS[unit].to_si(float(quantity.high))
    special = not low or float(low) <= si <= float(high)
    return special and bounds is not None and bounds[0] <= quantity.low and quantity.high <= bounds[1]


def _all_named(entry: Entry) -> bool:
    return any(s.kind == "all" for r in entry.readings for s in r.subjects)


def _single(
    reading: Written, span: Span, quantity: Quantity, kind: Kind, entry: Entry, speed: Decimal | None, state: State
) -> Problem | None:
    digits = quantity.text.lstrip("+-")
    if len(digits) > 1 and digits.isdigit() and digits[0] == "0":
        return problem(
            312,
            span,
            f"'{quantity.text}' begins with 0 and has no point: is the decimal point missing?",
            f"write .{digits} or 0.{digits[1:]}",
        )
    if kind.word == "cut-out":
        return _drop(span, quantity, speed)
    if kind.dimension == "money" or quantity.unit in ("", "usd", "eur"):
        return _money(span, quantity, kind, state)
    if low := _too_small(kind, entry, quantity, state):
        return problem(311, span, f"{quantity.text} {quantity.unit} looks wrong: {low}", _MEND)
    row = (_slot_of(reading, kind, entry) or kind) if kind.slots else kind
    bounds = _bounds(row, quantity.unit)
    if bounds is None or (bounds[0] <= quantity.low and quantity.high <= bounds[1]):
        return None
    asks = kind.asks or "is a point lost, or the unit another?"
    shown = (
        f"{quantity.text} {quantity.unit}"
        if UNITS[quantity.unit].dimension not in ("count", "ratio")
        else quantity.text
    )
    return problem(311, span, f"{shown} looks wrong: {asks}", _MEND)


def _too_small(kind: Kind, entry: Entry, quantity: Quantity, state: State) -> str:
    """What to ask of a number that only this part or this engine makes hard to believe; '' where it may be."""
    low, high, asks = _SPECIAL.get((kind.word, entry.part), ("", "", ""))
    unit = UNITS.get(quantity.unit)
    if not asks or unit is None or quantity.high == 0 or (kind.word == "fuel pressure" and not _injected(state, entry)):
        return ""
    value = unit.to_si(float(quantity.high))
    return asks if value < float(low) or value > float(high) else ""


def _injected(state: State, entry: Entry) -> bool:
    card = state.engines.get(entry.engine)
    return card is not None and not card.carburettor


def _slot_of(reading: Written, kind: Kind, entry: Entry) -> Slot | None:
    names = [s.name for s in reading.subjects if s.kind == "slot"]
    return next((s for s in kind.slots if s.name in names), None) or next(
        (s for s in kind.slots if s.name in entry.qualifiers), None
    )


@lru_cache(maxsize=1024)
def _bounds(row: Kind | Slot, written: str) -> tuple[Decimal, Decimal] | None:
    """What is believable, in the unit that was written; None where the row does not say, as for lambda, which is not
    the display's number.
    """
    unit = UNITS.get(row.bound_unit if isinstance(row, Kind) else row.us)
    there = UNITS.get(written)
    if not row.low or not row.high or unit is None or there is None or there.dimension != unit.dimension:
        return None
    low, high = unit.to_si(float(row.low)), unit.to_si(float(row.high))
    slack = abs(high) * 1e-9
    return Decimal(there.from_si(low - slack)), Decimal(there.from_si(high + slack))


def _speed(entry: Entry) -> Decimal | None:
    """The speed that an entry was done at."""
    return next((c.quantity.middle for c in entry.conditions if c.quantity and c.quantity.unit == "rpm"), None)


def _drop(span: Span, quantity: Quantity, speed: Decimal | None) -> Problem | None:
    if quantity.unit != "rpm":
        return None
    if speed is not None and quantity.middle * 3 > speed:
        return problem(
            316,
            span,
            f"A drop of {quantity.text} is over a third of {speed} rpm: the drop, or the speed it fell to?",
            "write the drop: the speed before less the speed after",
        )
    if quantity.high > 400 or quantity.low < -50:
        return problem(
            311,
            span,
            f"A drop of {quantity.text} rpm looks wrong. Is that the drop, or the speed it fell to?",
            "write the drop: the speed before less the speed after",
        )
    return None


def _money(span: Span, quantity: Quantity, kind: Kind, state: State) -> Problem | None:
    if kind.dimension != "money":
        return None
    exponent = quantity.low.as_tuple().exponent
    if isinstance(exponent, int) and exponent < -2:
        return problem(
            322, span, f"{quantity.text} has more than two digits behind the point.", "write the amount with two"
        )
    if quantity.unit and state.money and quantity.unit != state.money:
        return problem(
            323,
            span,
            f"{quantity.text} {quantity.unit}, and the card says {state.money}.",
            "write the amount in the card's money",
        )
    return None


def _row(numbers: list[tuple[Span, Quantity]], flagged: set[Span], kind: Kind) -> list[Problem]:
    if kind.dimension in _WIDE:
        return []
    same = [(s, q) for s, q in numbers if q.unit == numbers[0][1].unit and q.low != 0]
    if len(same) < _ROW:
        return []
    centre = middle_of(q.middle for _, q in same)
    pointless = [(s, q) for s, q in same if "." not in q.text]
    found = []
    for span, quantity in same:
        if span in flagged or centre == 0:
            continue
        ratio = quantity.middle / centre
        lost_point = len(pointless) == 1 and pointless[0][0] == span and not Decimal("0.4") < ratio < Decimal("2.5")
        small_is_strange = kind.dimension in ("length", "torque") and kind.heading == "The build"
        off = ratio >= _FAR or (small_is_strange and 0 <= ratio * _FAR <= 1)
        if lost_point or (off and (ratio >= _FAR or _near_power(ratio))):
            found.append(
                problem(
                    313,
                    span,
                    f"{quantity.text} is far off its row: is the decimal point missing?",
                    "correct the number, or put '?' behind it where it was really read",
                )
            )
    return found


def _near_power(ratio: Decimal) -> bool:
    """Whether a ratio is about 10, 100, 1000 or their inverse, as a lost point makes it."""
    size = ratio if ratio >= 1 else 1 / ratio if ratio else Decimal(0)
    return any(Decimal("0.8") * p <= size <= Decimal("1.25") * p for p in (10, 100, 1000))
