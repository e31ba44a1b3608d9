"""The pure part of ``logbook work``: from the words of a command line to a calculation done."""

from __future__ import annotations

import json
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from logbook.formulas import believable, matching, registry, spread, units_asked, working, writing
from logbook.formulas.keys import Ending
from logbook.formulas.refusals import (
    Contradiction,
    MissingInput,
    NotANumber,
    Refusal,
    UnknownInput,
    WrongKind,
    WrongUnit,
)
from logbook.formulas.rows import Input, Row
from logbook.formulas.working import Taken, Worked

_FLAGS = {"true": True, "yes": True, "1": True, "false": False, "no": False, "0": False}


@dataclass(frozen=True, slots=True)
class Asked:
    """A calculation done from words: the work, the spread of each number that came out, and what it comes from."""

    worked: Worked
    spreads: Mapping[str, float]
    spread_from: str = ""


def ask(name: str, words: Sequence[str]) -> Asked:
    """Run ``name`` on words like ``bore=4.03in``, ``bore_mm=102.36``, or bare values in the order of the inputs.

    >>> round(ask("rod_ratio", ["rod=5.7in", "stroke=3.48in"]).worked.result["rod_ratio"], 4)
    1.6379
    >>> round(ask("displacement", ["4.03in", "3.48in", "8"]).worked.result["displacement_cu_in"], 1)
    355.1
    """
    row = registry.find(name)
    given: dict[str, Taken] = {}
    told: dict[str, float | tuple[float, ...]] = {}
    for key, text in _pairs(row, words):
        taken, u = _read(row, key, text)
        parameter = taken.input.parameter
        if taken.input.sort == "open":
            before = given.get(parameter)
            together = {**(before.inside if before else {}), key: taken.inside}
            given[parameter] = Taken(taken.input, taken.input.key, together, together)
            continue
        if parameter in given:
            raise Contradiction(taken.key, taken.value, f"give it once; {given[parameter].key} is given too")
        given[parameter] = taken
        if u:
            told[parameter] = u
    _all_there(row, given)
    taken_in_order = tuple(given[i.parameter] for i in row.inputs if i.parameter in given)
    worked = working.run(row, taken_in_order)
    values = {t.input.parameter: t.inside for t in taken_in_order}
    usual, words_of = believable.spreads(row, values, told)
    values |= {p: row.input(p).default for p in usual if p not in values}
    spreads = spread.propagate(row.function, values, {**usual, **told}, lambda answer: working.results(row, answer))
    written = [f"{row.input(p).stem} as written" for p in told]
    return Asked(worked, spreads, "; ".join([*written, *words_of]))


def _pairs(row: Row, words: Sequence[str]) -> list[tuple[str, str]]:
    """Key and text of each input. A bare word goes on with the value before it; before any key, by order."""
    pairs: list[tuple[str, str]] = []
    bare: list[str] = []
    for word in words:
        key, sign, text = word.partition("=")
        if sign:
            pairs += matching.opened(row, key.strip(), text)
        elif pairs:
            pairs[-1] = (pairs[-1][0], f"{pairs[-1][1]} {word}")
        else:
            bare.append(word)
    return [*_by_order(row, bare, {k for k, _ in pairs}), *_unit_apart(row, pairs)]


def _by_order(row: Row, bare: Sequence[str], named: set[str]) -> list[tuple[str, str]]:
    taken = {place.parameter for k in named if (place := matching.place(row, k, "", quiet=True)) is not None}
    free = [i for i in row.inputs if i.parameter not in taken and i.sort != "open"]
    pairs: list[tuple[str, str]] = []
    for word in bare:
        if not free:
            raise UnknownInput(
                word, None, "is one more than this calculation takes; write key=value, as in bore=4.03in"
            )
        place = free.pop(0)
        pairs += _unit_apart(row, [(place.stem, word)])
        free = [i for i in free if i.parameter not in {k for k, _ in pairs}]
    return pairs


def _unit_apart(row: Row, pairs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """``value=90ft-lbs`` is value and unit where the calculation asks for both."""
    if not any(i.parameter == "unit" for i in row.inputs) or any(k == "unit" for k, _ in pairs):
        return list(pairs)
    found = []
    for key, text in pairs:
        written = writing.number(key, text) if key == "value" else None
        if written is not None and written.unit:
            found += [(key, str(written.value)), ("unit", written.unit)]
        else:
            found.append((key, text))
    return found


def _all_there(row: Row, given: Mapping[str, Taken]) -> None:
    missing = [i for i in row.inputs if not i.optional and i.parameter not in given]
    if missing:
        rest = ", ".join(f"{i.key} ({i.words})" for i in missing)
        raise MissingInput(missing[0].key, None, f"still needed: {rest}")


def _read(row: Row, key: str, text: str) -> tuple[Taken, float | tuple[float, ...]]:
    """One input as taken, and the standard uncertainty that was written with it."""
    place, ending = matching.place_and_unit(row, key, text)
    if place.sort == "number" or place.sort == "whole":
        special = writing.SPECIAL.get(place.stem.partition("_")[0])
        text = special(text) if special else text
    if place.sort == "money":
        text = writing.hours(text) if place.stem.startswith("hours") else writing.amount(text)
    if place.sort in ("text", "money") or text.strip().startswith("["):
        value = _structured(place, key, text)
        if place.depth and isinstance(value, str):
            value = [piece.strip() for piece in value.split(",")]
        return Taken(place, key, value, working.inside(place, key, value, ending), ending), 0.0
    if place.sort == "flag":
        flag = _FLAGS.get(text.strip().casefold())
        if flag is None:
            raise WrongKind(key, text, "true or false")
        return Taken(place, key, flag, flag), 0.0
    if place.sort == "open":
        written = writing.number(key, text)
        if written.unit:
            raise WrongUnit(key, written.unit, "no unit here; an expression is computed with bare numbers")
        return Taken(place, key, written.value, written.value), 0.0
    if place.depth:
        return _list(place, key, text, ending)
    written = writing.number(key, text)
    ending, sign = units_asked.unit(place, key, written, ending)
    value = sign * written.value
    shown = written.shown if sign > 0 else value
    factor = abs(ending.factor) if ending else 1.0
    return Taken(place, key, shown, working.inside(place, key, value, ending), ending), factor * written.u


def _structured(place: Input, key: str, text: str) -> Any:
    """A word, an amount, or JSON. Numbers of JSON keep their digits where money is due."""
    stripped = text.strip()
    if not stripped.startswith(("[", '"')):
        return stripped
    try:
        return json.loads(stripped, parse_float=Decimal, parse_constant=str)
    except ValueError:
        raise WrongKind(key, text, "a list written as [150, 148, 152]") from None


def _list(place: Input, key: str, text: str, ending: Ending | None) -> tuple[Taken, tuple[float, ...]]:
    """``150, 148, 152 psi``: the last number's unit holds for all."""
    read = [writing.number(key, piece) for piece in writing.pieces(text)]
    if not read:
        raise NotANumber(key, text, "numbers with commas between, or [150, 148]")
    ending, _ = units_asked.unit(place, key, read[-1], ending, whole=text)
    for one in read[:-1]:
        if one.unit and units_asked.unit(place, key, one, ending)[0] != ending:
            raise WrongUnit(key, text, "one unit for the whole list")
    values: list[float] = [one.value for one in read]
    factor = ending.factor if ending else 1.0
    taken = Taken(place, key, [one.shown for one in read], working.inside(place, key, values, ending), ending)
    return taken, tuple(one.u * factor for one in read) if any(one.u for one in read) else ()


def finished(name: str, words: Sequence[str]) -> str:
    """The command that would be taken in place of one that was refused, as far as it can be known; else the example.

    Every refusal that knows a better word for one input says it; what is missing comes from the worked example.
    """
    row = registry.find(name)
    example = dict(pair.partition("=")[::2] for pair in shlex.split(row.example))
    fixed = [f"{k}={v}" for k, v in _joined(row, words)]
    for _ in range(12):
        try:
            ask(name, fixed)
        except Refusal as refusal:
            key, _, text = refusal.instead.partition("=")
            if isinstance(refusal, MissingInput) and refusal.field:
                place = next((i for i in row.inputs if i.key == refusal.field), None)
                more = next(
                    (f"{k}={v}" for k, v in example.items() if place and matching.place(row, k, v) == place), ""
                )
                if not more:
                    break
                fixed.append(more)
            elif text and any(w.startswith(f"{refusal.field}=") for w in fixed):
                at = next(n for n, w in enumerate(fixed) if w.startswith(f"{refusal.field}="))
                fixed[at] = f"{key}={text}"
            else:
                break
        else:
            return shlex.join(["logbook", "work", row.name, *fixed])
    return f"logbook work {row.name} {row.example}".rstrip()


def _joined(row: Row, words: Sequence[str]) -> list[tuple[str, str]]:
    try:
        return _pairs(row, words)
    except Refusal:
        return []
