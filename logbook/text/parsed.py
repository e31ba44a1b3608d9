"""What passes between the head of an entry and its body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from logbook.spans import NOWHERE, Span
from logbook.text.entries import Condition, Subject, Value, Written
from logbook.text.kinds import Kind


class Head(NamedTuple):
    """What stood before the body."""

    kind: Kind
    qualifiers: tuple[str, ...] = ()
    part: str = ""
    name: str = ""
    engine: str = ""
    spec: bool = False
    colon: bool = True
    span: Span = NOWHERE


@dataclass(slots=True, eq=False)
class Body:
    """What was read of a body; filled while its clauses are read."""

    text: str = ""
    readings: tuple[Written, ...] = ()
    now: tuple[Written, ...] = ()
    now_word: str = ""
    spec: Value | None = None
    source: str = ""
    at: tuple[Subject, ...] = ()
    conditions: tuple[Condition, ...] = ()
    words: tuple[str, ...] = ()
    file: str = ""
    qualifiers: tuple[str, ...] = ()
    part: str = ""
