"""The pure part of ``logbook work``: from the words of a command line to a calculation done."""

from __future__ import annotations

import difflib
import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from logbook import units
from logbook.formulas import registry, spread, working
from logbook.formulas.keys import ENDINGS, UNIT_DIMENSIONS, Ending
from logbook.formulas.refusals import (
    Contradiction,
    MissingInput,
    NotANumber,
    NotFinite,
    UnknownInput,
    WrongKind,
    WrongUnit,
)
from logbook.formulas.rows import Input, Row
from logbook.formulas.working import Taken, Worked

_NUMBER = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*(.*)", re.S)


_PLUS_MINUS = re.compile(r"(?:\+-|±|\+/-)\s*([0-9]*\.?[0-9]+)\s*(.*)", re.S)


_FLAGS = {"true": True, "yes": True, "1": True, "false": False, "no": False, "0": False}


@dataclass(frozen=True, slots=True)
class Asked:
    """A calculation done from words: the work, and the spread of each number that came out."""

    worked: Worked
    spreads: Mapping[str, float]


def ask(name: str, words: Sequence[str]) -> Asked:
    """Run ``name`` on words like ``bore=4.03in`` or ``bore_mm=102.36``.

    >>> round(ask("rod_ratio", ["rod=5.7in", "stroke=3.48in"]).worked.result["rod_ratio"], 4)
    1.6379
    """
    row = registry.find(name)
    given: dict[str, Taken] = {}
    steps: dict[str, float | tuple[float, ...]] = {}
    for word in words:
        key, sign, text = word.partition("=")
        if not sign:
            raise UnknownInput(word, None, "is no input; write key=value, as in bore=4.03in")
        taken, step = _read(row, key.strip(), text)
        if taken.input.sort == "open":
            before = given.get(taken.input.parameter)
            together = {**(before.inside if before else {}), key.strip(): taken.inside}
            given[taken.input.parameter] = Taken(taken.input, taken.input.key, together, together)
            continue
        parameter = taken.input.parameter
        if parameter in given:
            raise Contradiction(taken.key, taken.value, f"give it once; {given[parameter].key} is given too")
        given[parameter] = taken
        if step:
            steps[parameter] = step
    _all_there(row, given)
    taken_in_order = tuple(given[i.parameter] for i in row.inputs if i.parameter in given)
    worked = working.run(row, taken_in_order)
    values = {t.input.parameter: t.inside for t in taken_in_order}
    return Asked(worked, _spreads(row, values, steps))


def _spreads(row: Row, values: Mapping[str, Any], steps: Mapping[str, float | tuple[float, ...]]) -> dict[str, float]:
    return spread.propagate(row.function, values, steps, lambda answer: working.results(row, answer))


def _all_there(row: Row, given: Mapping[str, Taken]) -> None:
    missing = [i for i in row.inputs if not i.optional and i.parameter not in given]
    if missing:
        rest = ", ".join(f"{i.key} ({i.words})" for i in missing)
        raise MissingInput(missing[0].key, None, f"still needed: {rest}")


def _read(row: Row, key: str, text: str) -> tuple[Taken, float | tuple[float, ...] | None]:
    """One input as taken, and the standard uncertainty that its digits or its ± imply."""
    place, ending = _by_unit(row, key, text) or _place(row, key)
    if place.sort in ("text", "money") or text.strip().startswith("["):
        value = _structured(place, key, text)
        if place.depth and isinstance(value, str):
            value = [piece.strip() for piece in value.split(",")]
        return Taken(place, key, value, working.inside(place, key, value, ending), ending), None
    if place.sort == "flag":
        flag = _FLAGS.get(text.strip().casefold())
        if flag is None:
            raise WrongKind(key, text, "true or false")
        return Taken(place, key, flag, flag), None
    if place.sort == "open":
        number, _, unit = _quantity(key, text)
        if unit:
            raise WrongUnit(key, unit, "no unit here; an expression is computed with bare numbers")
        return Taken(place, key, number, number), None
    if place.depth:
        return _row_of_numbers(place, key, text, ending)
    number, step, unit = _quantity(key, text)
    ending = _unit(place, key, unit, ending)
    inside = working.inside(place, key, number, ending)
    shown = int(number) if number == int(number) and re.fullmatch(r"\s*[+-]?[0-9]+.*", text, re.S) else number
    taken = Taken(place, key, shown, inside, ending)
    if place.sort == "whole" or step == 0:
        return taken, None
    factor = ending.factor if ending else 1.0
    return taken, step * factor


def _place(row: Row, key: str) -> tuple[Input, Ending | None]:
    found = working.place_of(row, key)
    if found is not None:
        return found
    free = next((i for i in row.inputs if i.sort == "open"), None)
    if free is not None:
        return free, None
    folded = key.casefold().replace("-", "_").replace(" ", "_")
    stem = next((i for i in row.inputs if folded.startswith(i.stem.casefold() + "_")), None)
    if stem is not None and stem.dimension:
        choice = ", ".join(e.text for e in ENDINGS[stem.dimension] if e.text)
        raise WrongUnit(key, None, f"is no unit of {stem.dimension}; {stem.stem} takes {choice}")
    near = difflib.get_close_matches(folded, [i.stem for i in row.inputs] + [i.key for i in row.inputs], 2, 0.5)
    also = f"; did you mean {' or '.join(near)}?" if near else ""
    raise UnknownInput(key, None, f"is none of {', '.join(i.key for i in row.inputs)}{also}")


def _by_unit(row: Row, key: str, text: str) -> tuple[Input, Ending | None] | None:
    """Where two inputs share a stem (``start=300K``, ``start=1bar``) the unit of the value says which is meant."""
    same = [i for i in row.inputs if i.stem.casefold() == key.casefold()]
    found = _NUMBER.fullmatch(text)
    if len(same) < 2 or not found:
        return None
    unit = re.sub(r"^(?:\+-|±|\+/-)\s*[0-9.]+", "", found[2].strip()).strip()
    return next(((i, None) for i in same if unit and _unit_of(i.dimension, unit)), None)


def _structured(place: Input, key: str, text: str) -> Any:
    """A word, an amount, or JSON. Numbers of JSON keep their digits where money is due."""
    stripped = text.strip()
    if not stripped.startswith(("[", '"')):
        return stripped
    try:
        return json.loads(stripped, parse_float=Decimal, parse_constant=str)
    except ValueError:
        raise WrongKind(key, text, "a list written as [150, 148, 152]") from None


def _row_of_numbers(place: Input, key: str, text: str, ending: Ending | None) -> tuple[Taken, tuple[float, ...]]:
    """``150, 148, 152 psi``: the last number's unit holds for all."""
    pieces = [p for p in re.split(r"[,;]\s*|\s+(?=[+-]?[0-9.])", text.strip()) if p]
    if not pieces:
        raise NotANumber(key, text, "numbers with commas between, or [150, 148]")
    read = [_quantity(key, piece) for piece in pieces]
    ending = _unit(place, key, read[-1][2], ending)
    for _, _, unit in read[:-1]:
        if unit and _unit(place, key, unit, ending) != ending:
            raise WrongUnit(key, text, "one unit for the whole list")
    values: list[float] = [number for number, _, _ in read]
    inside = working.inside(place, key, values, ending)
    factor = ending.factor if ending else 1.0
    shown = [int(v) if "." not in p and v == int(v) else v for v, p in zip(values, pieces, strict=True)]
    taken = Taken(place, key, shown, inside, ending)
    return taken, tuple(step * factor for _, step, _ in read)


def _quantity(key: str, text: str) -> tuple[float, float, str]:
    """Number, standard uncertainty and unit of ``4.03in`` or ``4.03 +- 0.01 in``."""
    found = _NUMBER.fullmatch(text)
    if not found:
        if text.strip().casefold().lstrip("+-") in ("nan", "inf", "infinity"):
            raise NotFinite(key, text, "a finite number")
        raise NotANumber(key, text, "a number, as in 4.03 or 4.03in")
    digits, rest = found[1], found[2].strip()
    if re.match(r"[,.'][0-9]", rest):
        raise NotANumber(key, text, "write the number with a point and no thousands sign, as in 1250.5")
    after = _PLUS_MINUS.fullmatch(rest)
    for size in (digits, after[1]) if after else (digits,):
        if abs(float(size)) > working.LARGEST:
            raise NotFinite(key, text, f"at most {working.LARGEST:g}")
    if after:
        return float(digits), float(after[1]) / math.sqrt(3), after[2].strip()
    return float(digits), resolution(digits) / math.sqrt(12), rest


def resolution(digits: str) -> float:
    """One step of the last digit; 0 for a plain whole number, whose last digit may as well be exact.

    >>> resolution("4.03"), resolution("350")
    (0.01, 0.0)
    """
    exponent = Decimal(digits).as_tuple().exponent
    return float(Decimal(1).scaleb(exponent)) if isinstance(exponent, int) and exponent < 0 else 0.0


def _unit(place: Input, key: str, written: str, ending: Ending | None) -> Ending | None:
    """The unit that holds: of the value, else of the key; both only where they agree."""
    if not written or (not place.dimension and written.replace(" ", "") in (":1", "to1")):
        return ending
    found = _unit_of(place.dimension, written)
    if found is None:
        near = ", ".join(dict.fromkeys(e.shown for e in ENDINGS.get(place.dimension, ()) if e.text))
        want = f"a unit of {place.dimension}: {near}" if near else "no unit here"
        raise WrongUnit(key, written, want)
    if ending is not None and ending.text and (ending.factor, ending.offset) != (found.factor, found.offset):
        raise WrongUnit(key, written, f"the key says {ending.shown} already")
    return found


def _unit_of(dimension: str, written: str) -> Ending | None:
    folded = re.sub(r"[\s/.·_-]+", "_", written.strip().casefold())
    for ending in ENDINGS.get(dimension, ()):
        if folded and folded in (ending.text, ending.shown.casefold()):
            return ending
    if dimension == "absolute pressure" and folded in ("psig", "barg", "kpag"):
        return None
    unit = units.find(written, UNIT_DIMENSIONS.get(dimension, ()))
    if unit is None or dimension not in UNIT_DIMENSIONS:
        return None
    if dimension in ("percent", "fraction"):
        return Ending("percent", "%", 1.0 if dimension == "percent" else 0.01)
    if dimension == "hours":
        return Ending("", unit.name, unit.factor / 3600)
    if dimension in ("angle", "rpm"):
        return ENDINGS[dimension][0]
    return Ending("", unit.symbol or unit.name, unit.factor, unit.offset)
