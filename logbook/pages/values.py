"""Values as pages say them: as written, with the unit's sign, and plain words for what is absent."""

from __future__ import annotations

from decimal import Decimal

from logbook.job.model import Reading
from logbook.text.entries import Condition, Quantity, Value
from logbook.units import UNITS

_SIGNS = {"lbft": "lb-ft", "lbin": "lb-in"}  # as they are said across a bench
_ABSENT = {"not done": "not tested", "stopped": "stopped"}


def unit_sign(unit: str) -> str:
    """'rpm', 'Ω', 'lbf ft'; "" for counts, ratios and money."""
    found = UNITS.get(unit)
    if found is None:
        return ""
    return _SIGNS.get(unit) or found.symbol or ("" if found.dimension in ("count", "ratio") else found.name)


def number_words(number: Decimal) -> str:
    """A written number with a real minus sign and a nought before its point."""
    return f"{number:f}".replace("-", "−")


def quantity_words(quantity: Quantity, *, unit: bool = True) -> str:
    """'12.1 bar', 'about 160 psi', 'over 200 psi', '0.9 to 1.0 mm', '70 ± 6 rpm'."""
    plus = "+" if quantity.text.startswith("+") else ""
    body = plus + number_words(quantity.low)
    if quantity.high != quantity.low:
        body += f" to {number_words(quantity.high)}"
    if quantity.plus_minus is not None:
        body += f" ± {number_words(quantity.plus_minus)}"
    before = "about " if quantity.about else f"{quantity.bound} " if quantity.bound else ""
    sign = unit_sign(quantity.unit) if unit else ""
    glue = "" if sign in ("°", "") else " "
    return f"{before}{body}{glue}{sign}"


def value_words(value: Value, *, unit: bool = True) -> str:
    """The value of a reading; a doubted one says so."""
    said = quantity_words(value.quantity, unit=unit) if value.quantity else _ABSENT.get(value.word, value.word)
    return f"{said}, doubted" if value.doubted else said


def is_absent(value: Value) -> bool:
    return value.quantity is None and value.word in _ABSENT


def conditions_words(conditions: tuple[Condition, ...]) -> str:
    """'690 rpm, warm'."""
    return ", ".join(quantity_words(c.quantity) if c.quantity and not c.words else c.text for c in conditions)


def si(quantity: Quantity) -> float:
    """The middle of a quantity in SI; counts, ratios and money as they are."""
    unit = UNITS.get(quantity.unit)
    return unit.to_si(float(quantity.middle)) if unit else float(quantity.middle)


def subject_words(reading: Reading) -> str:
    """'cylinder 3', 'injector A3', 'left bank', 'oil'."""
    if reading.place is not None and reading.subject == str(reading.place.cylinder):
        return f"cylinder {reading.subject}"
    return f"{reading.bank} bank" if reading.bank and reading.bank == reading.subject else reading.subject
