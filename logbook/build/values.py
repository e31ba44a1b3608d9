"""Frozen values as plain JSON and back, each by its declared type: what does not fit is refused, nothing is run.

A dataclass or a named tuple is the list of its fields: ``Lesson('van', date(2026, 5, 4), ...)`` becomes
``["van", "2026-05-04", ...]``.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, Literal, NamedTuple, Union, get_args, get_origin, get_type_hints

Turn = Callable[[Any], Any]


class _Both(NamedTuple):
    to: Turn  # the value as JSON has it
    back: Turn  # raises ``TypeError`` or ``ValueError`` for what is no such value


def to_plain(kind: Any, value: Any) -> Any:
    return _turns(kind).to(value)


def from_plain(kind: Any, plain: Any) -> Any:
    """Raises ``TypeError`` or ``ValueError`` where ``plain`` is not what ``to_plain`` makes of a ``kind``."""
    return _turns(kind).back(plain)


@cache
def _turns(kind: Any) -> _Both:
    if kind in (str, int, bool, type(None)):
        return _Both(_same, _only(kind))
    if kind is float:
        return _Both(float, _number)
    origin, given = get_origin(kind), get_args(kind)
    if origin is Literal:
        return _Both(_same, _one_of(given))
    if origin in (Union, types.UnionType):
        return _optional(given)
    if origin in (tuple, frozenset) or kind is tuple:
        return _sequence(origin, given)
    if origin is not None and issubclass(origin, Mapping):
        value = _turns(given[1])
        return _Both(lambda m: {k: value.to(v) for k, v in m.items()}, _mapping(value.back))
    for known, to, back in _BY_TEXT:
        if issubclass(kind, known):
            return _Both(to, _text(back or kind))
    return _record(kind)


_BY_TEXT: tuple[tuple[type, Turn, Turn | None], ...] = (
    (bytes, lambda b: b.decode(), lambda text: text.encode()),  # rows of pages, which are UTF-8
    (date, date.isoformat, date.fromisoformat),
    (Enum, lambda e: e.value, None),
    (Decimal, str, None),
    (Path, str, None),
)


def _same(value: Any) -> Any:
    return value


def _only(kind: type) -> Turn:
    def back(plain: Any) -> Any:
        if type(plain) is not kind:
            raise TypeError(f"{kind.__name__} expected")
        return plain

    return back


def _number(plain: Any) -> float:
    if type(plain) not in (int, float):
        raise TypeError("number expected")
    return float(plain)


def _one_of(words: tuple[Any, ...]) -> Turn:
    def back(plain: Any) -> Any:
        if plain not in words:
            raise ValueError("another word expected")
        return plain

    return back


def _text(turn: Turn) -> Turn:
    check = _only(str)
    return lambda plain: turn(check(plain))


def _optional(given: tuple[Any, ...]) -> _Both:
    """None or one other kind."""
    (kind,) = [one for one in given if one is not type(None)]
    to, back = _turns(kind)
    return _Both(
        lambda value: None if value is None else to(value), lambda plain: None if plain is None else back(plain)
    )


def _sequence(origin: Any, given: tuple[Any, ...]) -> _Both:
    check = _only(list)
    if origin is frozenset or (len(given) == 2 and given[1] is Ellipsis):
        to, back = _turns(given[0])
        ordered: Callable[[Any], Any] = sorted if origin is frozenset else iter
        return _Both(lambda values: [to(v) for v in ordered(values)], lambda p: origin(back(v) for v in check(p)))
    turns = [_turns(one) for one in given]
    return _Both(
        lambda values: [turn.to(v) for turn, v in zip(turns, values, strict=True)],
        lambda plain: tuple(turn.back(v) for turn, v in zip(turns, check(plain), strict=True)),
    )


def _mapping(back: Turn) -> Turn:
    check = _only(dict)
    return lambda plain: {key: back(value) for key, value in check(plain).items()}


def _record(kind: Any) -> _Both:
    names = [f.name for f in fields(kind)] if is_dataclass(kind) else list(kind._fields)
    hints = get_type_hints(kind)
    turns = [(name, _turns(hints[name])) for name in names]
    check = _only(list)
    return _Both(
        lambda value: [turn.to(getattr(value, name)) for name, turn in turns],
        lambda plain: kind(*(turn.back(v) for (_, turn), v in zip(turns, check(plain), strict=True))),
    )
