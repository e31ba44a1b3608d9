"""Which column of a recording holds what, as written behind the file's name in an entry.

``start.csv, time s, current A, mark (cylinder 1)``: columns in the file's order. A number names another column
(``current 3 A``); a title of the file may stand in quotes (``current "Ch 2" A``); ``-`` passes a column over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from logbook.traces.model import Array, Recording, TraceError
from logbook.units import find

ROLES = {
    "time": ("time",),
    "current": ("amp",),
    "speed": ("rpm",),
    "rpm": ("rpm",),
    "mark": (),
    "boost": ("pressure",),
    "load": ("pressure", "absolute pressure", "percent", "vacuum"),
    "lambda": ("mixture lambda", "mixture"),
    "mixture": ("mixture", "mixture lambda"),
    "wanted": ("mixture", "mixture lambda"),
    "duty": ("percent",),
    "intake-air": ("temperature",),
    "throttle": ("percent",),
    "volts": ("volt",),
    "sound": (),
}
LARGEST, SMALLEST = 1e12, 1e-12  # of what an instrument shows, in any unit
_CLAUSE = re.compile(
    r'^(?P<role>[a-z][a-z-]*(?: air)?)(?:\s+(?:column\s+)?(?P<column>\d{1,2}))?(?:\s+"(?P<title>[^"]*)")?'
    r"(?:\s+(?P<unit>[^\s(]+(?:\s+(?:abs|vac))?))?(?:\s*\((?:cylinder\s*)?(?P<cylinder>\d{1,2})\))?$",
    re.IGNORECASE,
)
_FILE = re.compile(
    r'^\s*"?(?P<file>[^",;]*?\.(?:csv|txt|tsv|wav))"?\s*[,;:]?\s*(?P<rest>.*)$', re.IGNORECASE | re.DOTALL
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: ``number`` is 1-based, 0 where ``title`` names it; ``cylinder`` is whom a mark or a current is of."""

    role: str
    number: int = 0
    title: str = ""
    unit: str = ""
    cylinder: int = 0


@dataclass(frozen=True, slots=True)
class Columns:
    file: str
    columns: tuple[Column, ...]

    def of(self, role: str) -> tuple[Column, ...]:
        return tuple(c for c in self.columns if c.role == role)


def parse(text: str) -> Columns:
    """The file and its columns; raises TraceError (column: the clause's number) with the reason."""
    matched = _FILE.match(text)
    if not matched:
        raise TraceError(text.split(",")[0].strip()[:40], "no file's name ends in .csv or .wav here")
    name = matched["file"].strip()
    found: list[Column] = []
    for position, clause in enumerate(
        re.split(r"[,;]\s*", matched["rest"].strip()) if matched["rest"].strip() else [], 1
    ):
        if clause.strip() in ("-", "–"):
            continue
        found.append(_column(name, clause.strip(), position))
    return Columns(name, tuple(found))


def _column(name: str, clause: str, position: int) -> Column:
    matched = _CLAUSE.match(clause)
    role = matched["role"].lower().replace(" ", "-") if matched else ""
    role = "speed" if role == "rpm" else role
    if not matched or role not in ROLES:
        raise TraceError(name, f"'{clause}' names no column; write one of {', '.join(sorted(ROLES))}", 0, position)
    unit = ""
    if matched["unit"]:
        known = find(matched["unit"], ROLES[role] or ("volt", "amp", "count"))
        if known is None:
            raise TraceError(name, f"'{matched['unit']}' is no unit of {role}", 0, position)
        unit = known.name
    title = matched["title"] or ""
    number = int(matched["column"] or 0) or (0 if title else position)
    return Column(role, number, title, unit, int(matched["cylinder"] or 0))


def as_written(recording: Recording, column: Column) -> Array:
    """The column's values in the unit of the file; next to nothing counts as nothing.

    Raises TraceError where there is no such column, it holds no number, or one larger than any instrument shows.
    """
    number = column.number
    if column.title:
        folded = [t.casefold() for t in recording.titles]
        if column.title.casefold() not in folded:
            raise TraceError(recording.name, f"no column is called '{column.title}'", 1)
        number = folded.index(column.title.casefold()) + 1
    found = recording.channel(number)
    size = np.abs(found)
    if not np.any(size < np.inf):
        raise TraceError(recording.name, "there is no number in it", 0, number)
    large = np.flatnonzero(size > LARGEST)
    if len(large):
        row = int(large[0])
        raise TraceError(recording.name, f"{found[row]:g} is more than any instrument shows", row + 2, number)
    return np.where(size < SMALLEST, 0.0, found)


def values(recording: Recording, column: Column) -> Array:
    """The column's values in SI, or as they stand where no unit was written."""
    raw = as_written(recording, column)
    unit = find(column.unit) if column.unit else None
    return raw if unit is None else raw * unit.factor + unit.offset
