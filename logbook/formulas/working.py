"""Run one calculation on inputs as they come from a person or a file: keys with units, numbers, lists, words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any

from logbook.formulas import believable, registry
from logbook.formulas.keys import ENDINGS, Ending
from logbook.formulas.refusals import (
    BinaryFloat,
    Contradiction,
    MissingInput,
    MissingUnit,
    NotANumber,
    NotFinite,
    NotWhole,
    Refusal,
    UnknownInput,
    WrongKind,
)
from logbook.formulas.rows import Input, Row

SMALLEST, LARGEST = 1e-15, 1e15  # what goes in may not be larger; what is smaller counts as 0


@dataclass(frozen=True, slots=True)
class Taken:
    """One input as understood: the key and value as given, and the value the function gets."""

    input: Input
    key: str
    value: Any
    inside: Any
    ending: Ending | None = None


@dataclass(frozen=True, slots=True)
class Worked:
    """A calculation done: what went in, what came out under its keys, and the warnings that go with it."""

    row: Row
    taken: tuple[Taken, ...]
    result: dict[str, Any]
    warnings: tuple[str, ...]


def work(name: str, given: Mapping[str, object]) -> Worked:
    """Run the calculation ``name`` on inputs by key, units in the keys.

    >>> round(work("displacement", {"bore_in": 4.0, "stroke_in": 3.48, "cylinders": 8}).result["displacement_cu_in"], 2)
    349.85
    """
    row = registry.find(name)
    taken = take(row, given)
    return run(row, taken)


def run(row: Row, taken: Sequence[Taken]) -> Worked:
    """Run ``row``; a refusal comes out with the key and value as they were given."""
    try:
        answer = row.function(**{t.input.parameter: t.inside for t in taken})
    except Refusal as refusal:
        raise _as_given(refusal, row, taken) from None
    return Worked(row, tuple(taken), results(row, answer), _warnings(row, answer, taken))


def take(row: Row, given: Mapping[str, object]) -> tuple[Taken, ...]:
    """Match keys to inputs and turn values into what the function takes."""
    found: dict[str, Taken] = {}
    free = next((i for i in row.inputs if i.sort == "open"), None)
    loose: dict[str, float] = {}
    for key, value in given.items():
        place, ending = place_of(row, key) or (free, None)
        if place is None:
            raise UnknownInput(key, None, "is none of " + ", ".join(i.key for i in row.inputs))
        if place.sort == "open":
            loose[key] = _number(place, key, value, None)
            continue
        if place.parameter in found:
            other = found[place.parameter].key
            raise Contradiction(key, value, f"give {place.stem} once; {other} is given too")
        found[place.parameter] = Taken(place, key, value, inside(place, key, value, ending), ending)
    if free is not None and loose:
        found[free.parameter] = Taken(free, free.key, loose, loose)
    for place in row.inputs:
        if place.parameter not in found and not place.optional:
            raise MissingInput(place.key, None, f"is needed: {place.words}")
    return tuple(found[i.parameter] for i in row.inputs if i.parameter in found)


def place_of(row: Row, key: str) -> tuple[Input, Ending | None] | None:
    """The input that takes ``key``, and the unit that the key names; ``lambda`` is taken for ``lambda_``."""
    folded = key.strip().casefold().replace("-", "_").replace(" ", "_")
    if re.search(r"_M(?:J|V|A|H|ohm)$", key.strip()):
        return None  # a million, where the ending in small letters is a thousandth
    found = _lookup(row.name)
    return found.get(folded) or found.get(folded + "_")


@cache
def _lookup(name: str) -> dict[str, tuple[Input, Ending | None]]:
    """Every key of a calculation; where two inputs share one, the first has it."""
    found: dict[str, tuple[Input, Ending | None]] = {}
    for place in registry.find(name).inputs:
        if place.sort != "open":
            for key, ending in place.keys().items():
                found.setdefault(key, (place, ending))
    return found


def inside(place: Input, key: str, value: object, ending: Ending | None) -> Any:
    """The value as the function takes it, checked for kind and depth."""
    return _nested(place, key, value, ending, place.depth)


def _nested(place: Input, key: str, value: object, ending: Ending | None, depth: int) -> Any:
    if depth:
        if isinstance(value, (str, bytes)) or not isinstance(value, Sequence):
            raise WrongKind(key, value, "a list" if place.depth == 1 else "a list of lists")
        return tuple(_nested(place, key, v, ending, depth - 1) for v in value)
    if isinstance(value, (Sequence, Mapping)) and not isinstance(value, (str, bytes)):
        raise WrongKind(key, value, "one value, not a list" if place.depth == 0 else f"a list {place.depth} deep")
    return _SORTS[place.sort](place, key, value, ending)


def _number(place: Input, key: str, value: object, ending: Ending | None) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float, Decimal)):
        raise NotANumber(key, value, "one number")
    try:
        number = float(value)
    except OverflowError:
        raise NotFinite(key, str(value), "a finite number") from None
    if not abs(number) <= LARGEST:
        raise NotFinite(key, str(value), f"at most {LARGEST:g}")
    if abs(number) < SMALLEST:
        number = 0.0
    if ending is None:
        if place.dimension and not any(not e.text for e in ENDINGS[place.dimension]):
            raise MissingUnit(key, value, _unit_wanted(place))
        return number
    return ending.take(number)


def _unit_wanted(place: Input) -> str:
    """'a unit of length, as in bore=4in or bore_in=4: m, mm, cm ...'."""
    endings = [e for e in ENDINGS[place.dimension] if e.text]
    shown = ", ".join(dict.fromkeys(e.shown for e in endings))
    usual = next((e for e in endings if place.key.casefold().endswith("_" + e.text)), endings[0])
    example = f"{place.stem}=...{usual.shown.replace(' ', '')} or {place.stem}_{usual.text}=..."
    return f"needs a unit of {place.dimension}, as in {example} (known: {shown})"


def _whole(place: Input, key: str, value: object, ending: Ending | None) -> int:
    number = _number(place, key, value, ending)
    if number != int(number):
        raise NotWhole(key, value, "a whole number")
    return int(number)


def _flag(place: Input, key: str, value: object, ending: Ending | None) -> bool:
    if not isinstance(value, bool):
        raise WrongKind(key, value, "true or false")
    return value


def _text(place: Input, key: str, value: object, ending: Ending | None) -> str:
    if not isinstance(value, str) or not value.strip():
        raise WrongKind(key, value, "a word")
    return value


def _money(place: Input, key: str, value: object, ending: Ending | None) -> Decimal:
    if isinstance(value, float):
        raise BinaryFloat(key, value, "an amount written as text, so that no cent is lost: '2.68'")
    if isinstance(value, bool) or not isinstance(value, (str, int, Decimal)):
        raise NotANumber(key, value, "an amount")
    if isinstance(value, str) and place.stem.startswith("hours") and ":" in value:
        return _hours(key, value)
    try:
        amount = Decimal(value.strip() if isinstance(value, str) else value)
    except InvalidOperation:
        raise NotANumber(key, value, "an amount") from None
    if isinstance(value, str) and not set(value.strip()) <= set("+-.0123456789"):
        raise (NotFinite if not amount.is_finite() else NotANumber)(key, value, "an amount in digits")
    return amount


def _hours(key: str, value: str) -> Decimal:
    """Hours written as h:mm, exact.

    >>> _hours("hours", "7:15")
    Decimal('7.25')
    """
    hours, _, minutes = value.strip().partition(":")
    if not (hours.isascii() and hours.isdigit() and minutes.isascii() and minutes.isdigit() and len(minutes) == 2):
        raise NotANumber(key, value, "hours as 7.25 or 7:15")
    if int(minutes) > 59:
        raise NotANumber(key, value, "minutes of 00 to 59")
    return Decimal(hours) + Decimal(minutes) / 60


_SORTS = {"number": _number, "whole": _whole, "flag": _flag, "text": _text, "money": _money}


def results(row: Row, answer: Any) -> dict[str, Any]:
    """The function's answer under the row's keys and in their units; what does not apply is left out."""
    found: dict[str, Any] = {}
    for output in row.outputs:
        value = getattr(answer, output.field) if output.field else answer
        if value is not None:
            found[output.key] = _given(value, output.ending)
    return found


def _given(value: Any, ending: Ending | None) -> Any:
    if isinstance(value, tuple):
        return [_given(v, ending) for v in value]
    if isinstance(value, Decimal):
        return str(value)
    if ending is None or isinstance(value, (bool, str)):
        return value
    return ending.give(value)


def _as_given(refusal: Refusal, row: Row, taken: Sequence[Taken]) -> Refusal:
    for t in taken:
        if t.input.parameter == refusal.field:
            value = refusal.value
            if value == t.inside or t.ending is None:
                value = t.value if value == t.inside else value
            elif isinstance(value, (int, float)) and not isinstance(value, bool):
                value = t.ending.give(value)
            return _again(refusal, t.key, value)
    left_out = next((i.key for i in row.inputs if i.parameter == refusal.field), refusal.field)
    return _again(refusal, left_out, refusal.value)


def _again(refusal: Refusal, field: str, value: object) -> Refusal:
    made = type(refusal)(field, value, refusal.limit)
    made.instead = refusal.instead
    return made


def _warnings(row: Row, answer: Any, taken: Sequence[Taken]) -> tuple[str, ...]:
    names = {t.input.parameter: t.key for t in taken}
    told = []
    for warning in getattr(answer, "warnings", ()):
        field, colon, words = warning.partition(": ")
        told.append(f"{names[field]}: {words}" if colon and field in names else warning)
    for t in taken:
        if words := believable.doubt(t.input.stem, t.input.dimension, t.inside, t.ending):
            told.append(f"{t.key}: {words}")
    told += [f"{t.key}: between 0.8 and 1.1 psi; was bar meant?" for t in taken if _bar_as_psi(t)]
    for output in row.outputs:
        value = getattr(answer, output.field, None) if output.field else answer
        if words := believable.doubt(output.key, output.dimension, value, output.ending):
            told.append(f"{output.key}: {words}")
    return tuple(dict.fromkeys(told))


def _bar_as_psi(taken: Taken) -> bool:
    values = taken.value if isinstance(taken.value, (list, tuple)) else (taken.value,)
    in_psi = taken.ending is not None and taken.ending.shown == "psi" and taken.input.dimension == "pressure"
    return in_psi and any(isinstance(v, (int, float)) and 0.8 <= v <= 1.1 for v in values)
