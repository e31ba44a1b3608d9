"""``check --as json``: the problems of every log, and what was understood of every entry, for programs.

Keys never change meaning; ``check.schema.json`` documents them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal

from logbook.commands.checking import Checked, CheckedFile
from logbook.job.model import Event, FoundCause, Job, JobEntry, Place, Reading, Trade
from logbook.problems import Problem
from logbook.text.entries import Entry, Quantity, Value, Written
from logbook.text.forms import entry_line
from logbook.text.source import line_and_column

Json = dict[str, object]
_COUNTED = frozenset({"codes", "codes cleared"})  # a code's subject is its place in the row


def as_data(checked: Checked) -> Json:
    """All that ``check`` found, as plain values."""
    return {"files": [_file(file) for file in checked.files]}


def _file(file: CheckedFile) -> Json:
    return {
        "path": file.shown,
        "lines": {name: getattr(file.lines, name) for name in ("blank", "day", "entry", "note", "problem")},
        "problems": [_problem(file.text, problem) for problem in file.problems],
        "days": [_day(day.line, day.day, day.title) for day in file.job.days] if file.job else [],
        "entries": understood(file.job) if file.job else [],
    }


def _problem(text: str, problem: Problem) -> Json:
    line, column = line_and_column(text, problem.span.start)
    return {
        "number": problem.number,
        "weight": str(problem.weight),
        "line": line,
        "column": column,
        "message": problem.message,
        "mend": problem.mend,
    }


def _day(line: int, day: object, title: str) -> Json:
    return {"line": line, "date": str(day) if day else None, "title": title}


class _Told:
    """What a job says of one entry."""

    def __init__(self) -> None:
        self.readings: list[Reading] = []
        self.events: list[Event] = []
        self.causes: list[FoundCause] = []
        self.trades: list[Trade] = []


def understood(job: Job) -> list[Json]:
    """What is understood of every entry of a job, in the order of the file."""
    told: Mapping[int, _Told] = defaultdict(_Told)
    for reading in job.readings:
        told[reading.entry].readings.append(reading)
    for event in job.events:
        told[event.entry].events.append(event)
    for cause in job.causes:
        told[cause.entry].causes.append(cause)
    for trade in job.trades:
        told[trade.entry].trades.append(trade)
    return [_entry(job, item, told[item.entry.index]) for item in job.entries]


def _entry(job: Job, item: JobEntry, told: _Told) -> Json:
    entry = item.entry
    written, canonical = item.line_text.strip(), entry_line(entry)
    money = [t for t in told.trades if t.kind != "hours" and t.total is not None]
    hours = [t for t in told.trades if t.kind == "hours" and t.total is not None]
    return {
        "line": entry.line,
        "written": written,
        "heard": None if canonical == written else canonical,
        "kind": entry.kind,
        "part": entry.part,
        "qualifiers": list(entry.qualifiers),
        "name": entry.name,
        "readings": [_reading(r) for r in told.readings] or _named(job, entry, told),
        "moves": _moves(job, told.events),
        "money": _sum(t.total for t in money),
        "currency": money[0].currency if money else None,
        "hours": _sum(t.total for t in hours),
        "date": entry.day.isoformat() if entry.day else None,
        "text": _text(entry),
        "proved": entry.proved,
        "corrects": entry.correct,
        "private": item.private,
    }


def _reading(reading: Reading) -> Json:
    at = "engine" if reading.test in _COUNTED else reading.subject or "engine"
    qualifiers = list(reading.qualifiers)
    if reading.speed:  # of a pull: what was read, at which speed
        at = reading.slot or next(iter(qualifiers), at)
        qualifiers = [*(q for q in qualifiers if q != at), f"{reading.speed} rpm"]
    conditions = [*qualifiers, *(c.text for c in reading.conditions)]
    return {"test": reading.test, "at": at, **_value(reading.value), "conditions": conditions}


def _value(value: Value | None) -> Json:
    """A number, or the two ends of a range; a word; and how far it is believed."""
    quantity = value.quantity if value else None
    single = quantity is not None and quantity.low == quantity.high
    return {
        "value": float(quantity.low) if quantity and single else None,
        "low": float(quantity.low) if quantity and not single else None,
        "high": float(quantity.high) if quantity and not single else None,
        "unit": _unit(quantity),
        "word": value.word if value else "",
        "about": bool(quantity and quantity.about),
        "bound": quantity.bound if quantity else "",
        "doubt": bool(value and value.doubted),
        "words": list(value.remark_words) if value else [],
        "remark": value.remark if value else "",
    }


def _unit(quantity: Quantity | None) -> str:
    return quantity.unit if quantity else ""


def _named(job: Job, entry: Entry, told: _Told) -> list[Json]:
    """Places and parts that an entry names without a value: 'clean injector: 4', 'cause coil: 3', 'scrap: A2'."""
    parts = {part.id: part.name for part in job.parts}
    places = [_at(p) for e in told.events for p in e.places] + [_at(p) for c in told.causes for p in c.places]
    ids = [p for e in told.events if not e.moves for p in e.parts] + [p for t in told.trades for p in t.parts]
    moved = any(event.moves for event in told.events)
    names = [] if moved else places or [parts.get(p, p) for p in ids]
    return [
        {"test": entry.kind, "at": name, **_value(None), "conditions": list(entry.qualifiers)}
        for name in dict.fromkeys(names)
    ]


def _at(place: Place) -> str:
    return f"{place.engine} {place.cylinder}".strip()


def _moves(job: Job, events: Iterable[Event]) -> list[list[str]]:
    """Kind of part, from, to: cylinders by number, '' off the engine; what came off the shelf by its name."""
    parts = {part.id: part for part in job.parts}
    rows = []
    for move in (m for event in events for m in event.moves):
        part = parts[move.part]
        start = _at(move.out_of) if move.out_of else part.name
        rows.append([part.kind, start, _at(move.into) if move.into else ""])
    return rows


def _sum(amounts: Iterable[Decimal | None]) -> float | None:
    found = [amount for amount in amounts if amount is not None]
    return float(sum(found, Decimal(0))) if found else None


def _text(entry: Entry) -> str:
    """Free text, else what stands beside the readings."""
    return entry.text.strip() or ", ".join(dict.fromkeys(filter(None, map(_beside, entry.readings))))


def _beside(written: Written) -> str:
    return written.text or written.remark or (written.value.remark if written.value else "")
