"""What passes between the head of an entry and its body."""

from __future__ import annotations

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


class Body:
    """What was read of a body; filled while its clauses are read."""

    def __init__(
        self,
        text: str = "",
        readings: tuple[Written, ...] = (),
        *,
        conditions: tuple[Condition, ...] = (),
        words: tuple[str, ...] = (),
        file: str = "",
    ) -> None:
        self.text = text
        self.readings = readings
        self.now: tuple[Written, ...] = ()
        self.now_word: str = ""
        self.spec: Value | None = None
        self.source: str = ""
        self.at: tuple[Subject, ...] = ()
        self.conditions = conditions
        self.words = words
        self.file = file
        self.qualifiers: tuple[str, ...] = ()
        self.part: str = ""
        self.kind: Kind | None = None  # where the body says that the entry is of another kind than its head
