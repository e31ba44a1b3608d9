"""Readings as CSV files, a table a kind of test: values to the digit, nothing that a spreadsheet would compute.

A row is one reading; of pulls a row is one speed, ready to plot.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

from logbook.job.model import Job, Reading
from logbook.pages.csv_pulls import pull_rows
from logbook.pages.places import is_hidden
from logbook.text.entries import Value
from logbook.units import UNITS

Field = str | int | Decimal | None

HEAD = (
    "day",
    "subject",
    "engine",
    "cylinder",
    "part",
    "told apart by",
    "value",
    "low",
    "high",
    "unit",
    "plus or minus",
    "word",
    "remark",
    "doubted",
    "at",
    "proof",
    "corrected later",
    "entry",
)
_COMPUTED = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "＝",
    "＋",
    "－",
    "＠",
)  # what spreadsheets take for the start of a formula


def table_path(address: str, test: str) -> str:
    """Site path of the file with a job's readings of one kind."""
    return f"{address}/tables/{test.replace(' ', '-')}.csv"


def tables(job: Job) -> tuple[tuple[str, bytes], ...]:
    """(site path, content) of each kind of test that was read in the job, by name."""
    shown = [r for r in job.readings if not (is_hidden(job, r.entry) or (job.copy == "public" and r.private))]
    tests = sorted({r.test for r in shown})
    return tuple((table_path(job.address, t), _table(job, [r for r in shown if r.test == t])) for t in tests)


def csv_bytes(head: Sequence[str], rows: Iterable[Sequence[Field]]) -> bytes:
    """A CSV file (RFC 4180: CRLF, UTF-8): numbers bare, words guarded, None an empty cell."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return out.getvalue().encode()


def guarded(cell: Field) -> str:
    """A word that opens like a formula gets an apostrophe in front: spreadsheets then show it and compute nothing."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return f"'{cell}" if cell.lstrip(" \u00a0").startswith(_COMPUTED) else cell
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)


def _table(job: Job, readings: Sequence[Reading]) -> bytes:
    if readings[0].test == "pull":
        return csv_bytes(*pull_rows(job, readings))
    return csv_bytes(HEAD, [_row(job, reading) for reading in readings])


def _row(job: Job, reading: Reading) -> tuple[Field, ...]:
    found = job.entries[reading.entry]
    apart = [*reading.qualifiers, reading.name, f"{reading.speed} rpm" if reading.speed else "", reading.slot]
    return (
        found.entry.day.isoformat() if found.entry.day else None,
        reading.subject,
        reading.engine or None,
        reading.place.cylinder if reading.place else None,
        reading.part or None,
        ", ".join(word for word in apart if word) or None,
        *_value(reading.value),
        ", ".join(c.text for c in reading.conditions) or None,
        "proof" if reading.proved else None,
        "corrected" if not reading.counts else None,
        found.anchor,
    )


def _value(value: Value) -> tuple[Field, ...]:
    """value, low, high, unit, plus or minus, word, remark, doubted. Not done: all empty."""
    quantity = value.quantity
    doubted = "doubted" if value.doubted else None
    if quantity is None:
        word = None if value.word == "not done" else value.word
        return (None, None, None, None, None, word, value.remark or None, doubted)
    unit = UNITS.get(quantity.unit)
    bounds: tuple[Field, Field, Field] = (None, quantity.low, quantity.high)
    if quantity.bound == "over":
        bounds = (None, quantity.low, None)
    elif quantity.bound == "under":
        bounds = (None, None, quantity.high)
    elif quantity.low == quantity.high:
        bounds = (quantity.low, None, None)
    sign = (unit.symbol or unit.name) if unit else None
    return (*bounds, sign, quantity.plus_minus, value.word or None, value.remark or None, doubted)
