"""What a formula will not compute, and what it computes with a warning.

Every refusal is an error of its own name that states the field, the value and the limit. The small guards below are
what the formulas open with; each takes fields by name, so that the name in the message is the name of the argument.
"""

from __future__ import annotations

import math
from collections.abc import Sequence


class Refusal(ValueError):
    """A calculation not done: ``field`` is the argument, ``value`` what was given, ``limit`` what is allowed.

    ``instead`` is the input as it would be taken, 'bore=4.03in', where that is known.
    """

    instead = ""

    def __init__(self, field: str, value: object, limit: str) -> None:
        super().__init__(f"{field} = {value!r}: {limit}")
        self.field = field
        self.value = value
        self.limit = limit


class NotANumber(Refusal):
    """Text, true or false, a list or nothing where one number is due."""


class NotFinite(Refusal):
    """NaN or infinity."""


class NotPositive(Refusal):
    """Zero or less where the formula divides by it or the thing cannot exist."""


class Negative(Refusal):
    """Less than zero where zero is the least."""


class NotWhole(Refusal):
    """A count that is not a whole number."""


class OutsideRange(Refusal):
    """Beyond what the formula holds for."""


class TooFew(Refusal):
    """Fewer readings than the calculation needs."""


class NoSpread(Refusal):
    """Readings that are all alike, where their scatter is what is asked for."""


class Contradiction(Refusal):
    """Inputs that cannot both be true."""


class Blocked(Refusal):
    """Numbers that exist but must not be used now, because acting on them would do harm."""


class BinaryFloat(Refusal):
    """A binary fraction where money is due."""


class WrongKind(Refusal):
    """Something of another kind than the input asks for: a list for one number, a word that is not on offer."""


class MissingUnit(Refusal):
    """A number whose unit has to be known and was not given."""


class WrongUnit(Refusal):
    """A unit of another dimension."""


class MissingInput(Refusal):
    """An input without which there is no result."""


class UnknownInput(Refusal):
    """An input that the calculation does not have."""


class UnknownCalculation(Refusal):
    """A calculation of a name that does not exist."""


def finite(**fields: float) -> None:
    """Each field is one number, and a finite one."""
    for field, value in fields.items():
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise NotANumber(field, value, "one number")
        if not math.isfinite(value):
            raise NotFinite(field, value, "a finite number")


def above_zero(**fields: float) -> None:
    finite(**fields)
    for field, value in fields.items():
        if value <= 0:
            raise NotPositive(field, value, "above 0")


def not_negative(**fields: float) -> None:
    finite(**fields)
    for field, value in fields.items():
        if value < 0:
            raise Negative(field, value, "0 or more")


def within(low: float, high: float, words: str = "", **fields: float) -> None:
    """Each field lies in [low, high]; ``words`` say the limit where the bare numbers would not be understood."""
    finite(**fields)
    for field, value in fields.items():
        if not low <= value <= high:
            raise OutsideRange(field, value, words or f"{low:g} to {high:g}")


def above(low: float, words: str = "", **fields: float) -> None:
    finite(**fields)
    for field, value in fields.items():
        if value <= low:
            raise OutsideRange(field, value, words or f"above {low:g}")


def whole(low: int, high: int, **fields: float) -> None:
    """Each field is a whole number in [low, high]."""
    finite(**fields)
    for field, value in fields.items():
        if value != int(value):
            raise NotWhole(field, value, f"a whole number, {low} to {high}")
        if not low <= value <= high:
            raise OutsideRange(field, value, f"a whole number, {low} to {high}")


def readings(least: int, **fields: Sequence[float]) -> None:
    """Each field is a list of at least ``least`` finite numbers."""
    for field, values in fields.items():
        if isinstance(values, (str, bytes)) or not isinstance(values, Sequence):
            raise WrongKind(field, values, "a list of numbers")
        for value in values:
            finite(**{field: value})
        if len(values) < least:
            raise TooFew(field, list(values), f"at least {least} readings")


def usual(low: float, high: float, words: str, **fields: float) -> tuple[str, ...]:
    """A warning for each field outside [low, high], the range in which the formula is usually asked."""
    return tuple(f"{field}: {words}" for field, value in fields.items() if not low <= value <= high)
