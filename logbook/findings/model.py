"""Worked numbers: which formula applied to which entries, and what came out."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a worked number. ``entries`` are the indexes of the entries it was read from."""

    sign: str
    what: str
    value: str  # as shown: '9.6 ± 0.2 bar'
    entries: tuple[int, ...] = ()
    source: str = ""  # where it is not from the log: 'usual value', 'from the handbook of the trade'


@dataclass(frozen=True, slots=True)
class Number:
    """A number with its working.

    ``group`` is a heading: health, injectors, mixture, build, limits, electrical, car, money.
    """

    calculation: str  # row of the registry
    group: str
    title: str
    subject: str
    shown: str  # '9.2 ± 1.1 %'
    sentence: str  # what it means here
    formula: str
    inputs: tuple[Input, ...]
    result: tuple[
        tuple[str, float | str | bool | tuple[object, ...] | None], ...
    ]  # machine keys with units in their names
    source: str = ""
    cautions: tuple[str, ...] = ()
    missing: str = ""  # nearly there: what to add to get it; then ``shown`` is ""
    out: bool = False  # out of what is wanted
    private: bool = False
