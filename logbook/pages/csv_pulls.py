"""Pulls as a table to plot: a row a run and speed, a column a quantity."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from logbook.job.model import Job, Reading
from logbook.pages.figure_units import axis_sign, in_unit, usual_unit
from logbook.pages.pulls import run_of, speed_of, what_of

Cell = str | int | Decimal | None


class _Row(NamedTuple):
    day: str
    run: str
    speed: float  # 0 where none was written


def pull_rows(job: Job, readings: Sequence[Reading]) -> tuple[tuple[str, ...], list[list[Cell]]]:
    """Head and rows of the readings of 'pull' that a copy shows, the latest value of each at one speed."""
    speeds = speed_of(readings)
    told = [r for r in readings if r.counts and what_of(r) not in ("", "rpm")]
    units = {what: usual_unit(r for r in told if what_of(r) == what) for what in dict.fromkeys(map(what_of, told))}
    rows: dict[_Row, dict[str, Cell]] = {}
    for reading in told:
        day = job.entries[reading.entry].entry.day
        row = _Row(day.isoformat() if day else "", run_of(reading), speeds(reading))
        rows.setdefault(row, {})[what_of(reading)] = _cell(reading, units[what_of(reading)])
    head = (
        "day",
        "run",
        "rpm",
        *(f"{what} ({sign})" if (sign := axis_sign(unit)) else what for what, unit in units.items()),
    )
    ordered = sorted(rows, key=lambda r: (r.day, list(dict.fromkeys(x.run for x in rows)).index(r.run), r.speed))
    return head, [
        [row.day or None, row.run, Decimal(f"{row.speed:g}") if row.speed else None, *(rows[row].get(w) for w in units)]
        for row in ordered
    ]


def _cell(reading: Reading, unit: str) -> Cell:
    """To the digit where it was written in the column's unit."""
    quantity = reading.value.quantity
    if quantity is None:
        return reading.value.word or None
    if quantity.unit == unit:
        return quantity.middle
    return Decimal(f"{in_unit(quantity, unit):.6g}")
