"""Entries made by hand, so that the ledger is tested without the reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from logbook.spans import Span
from logbook.text.entries import Day, Entry, LineCount, Log, Note, Quantity, Subject, Value, Written

FIRST = date(2026, 5, 4)


def subject(said: int | str) -> Subject:
    """3 -> place, 'old 3', 'new', 'left', 'all', 'rest', 'A3', else a slot word."""
    where = Span(0, 0)
    if isinstance(said, int):
        return Subject("place", where, number=said)
    if said.startswith("old "):
        return Subject("old", where, number=int(said[4:]))
    if said in ("new", "used", "rebuilt", "unknown"):
        return Subject("spare", where, name=said)
    if said in ("left", "right", "front", "rear"):
        return Subject("bank", where, name=said)
    if said in ("all", "rest", "odd", "even"):
        return Subject(said, where)  # type: ignore[arg-type]
    if said[-1].isdigit():
        return Subject("tag", where, name=said)
    return Subject("slot", where, name=said)


def value(said: str | float | None, unit: str = "") -> Value | None:
    if said is None:
        return None
    if isinstance(said, str) and not said.replace(".", "").isdigit():
        return Value(Span(0, 0), word=said)
    number = Decimal(str(said))
    return Value(Span(0, 0), quantity=Quantity(str(said), number, number, unit))


def reading(subjects: int | str | Sequence[int | str], said: str | float | None = None, unit: str = "") -> Written:
    many = [subjects] if isinstance(subjects, int | str) else subjects
    return Written(Span(0, 0), tuple(subject(s) for s in many), value(said, unit))


def pair(one: int | str, other: int | str) -> Written:
    return Written(Span(0, 0), (subject(one),), to=(subject(other),))


@dataclass
class Writer:
    """Writes a log entry by entry; each entry is a line of its own."""

    entries: list[Entry] = field(default_factory=list)
    days: list[Day] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)

    def add(self, kind: str, readings: Sequence[Written] = (), notes: Sequence[str] = (), **more: Any) -> Entry:
        index, line = len(self.entries), len(self.lines) + 1
        start = sum(len(one) + 1 for one in self.lines)
        text = f"{kind}: {more.get('text', '')} {index}"
        self.lines.append(text)
        part_of = "day" if self.days else "card"
        day = self.days[-1].day if self.days else None
        span = Span(start, start + len(text))
        made = tuple(Note(span, line, note) for note in notes)
        entry = Entry(index, line, span, kind, day, part_of, readings=tuple(readings), notes=made)  # type: ignore[arg-type]
        entry = entry._replace(**more)
        self.entries.append(entry)
        return entry

    def day(self, offset: int = 0) -> None:
        when = FIRST + timedelta(days=offset)
        self.lines.append(when.isoformat())
        self.days.append(Day(Span(0, 0), len(self.lines), when))

    def engine(self, text: str = "inline 4, coil on plug") -> Entry:
        return self.add("engine", text=text)

    def swap(self, part: str, one: int | str, other: int | str, **more: Any) -> Entry:
        return self.add("swap", [pair(one, other)], part=part, **more)

    def fit(self, part: str, what: int | str, place: int, **more: Any) -> Entry:
        return self.add("fit", [pair(what, place)], part=part, **more)

    def log(self, path: str = "jobs/van.txt") -> Log:
        text = "\n".join(self.lines) + "\n"
        lines = LineCount(day=len(self.days), entry=len(self.entries))
        return Log(path, text, tuple(self.entries), tuple(self.days), (), lines)
