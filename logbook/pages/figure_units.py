"""Numbers of a figure: brought to one unit, and said with its sign."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from logbook.job.model import Reading
from logbook.pages.values import number_words, unit_sign
from logbook.text.entries import Quantity
from logbook.units import UNITS


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


def axis_sign(unit: str) -> str:
    """The unit's sign as it stands over an axis: ': 1' alone would be no word."""
    sign = unit_sign(unit)
    return "to 1" if sign == ": 1" else sign


def number(value: float) -> str:
    """A value of a figure in words: four figures at most."""
    return number_words(Decimal(f"{value:.4g}")) if abs(value) < 1e4 else f"{value:.0f}"
