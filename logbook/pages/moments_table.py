"""The table beside a figure of places or parts."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.job.model import Job, Reading
from logbook.pages.figure_scatter import scatter_of
from logbook.pages.figure_units import axis_sign, in_unit, number, usual_unit
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.moments import Moment
from logbook.pages.values import is_absent, value_words
from logbook.pages.wanted import wanted_of
from logbook.pages.words import listed


def moments_table(
    job: Job, caption: str, head: str, found: Sequence[Moment], subjects: Sequence[str], csv: str
) -> Table:
    """A row a subject, a column a moment; what is out of what is wanted says so in words."""
    readings = [r for m in found for _, r in m.readings]
    unit = usual_unit(readings)
    columns = (Column(head), *(Column(m.label, number=True) for m in found))
    rows = tuple((Cell(s), *(_cell(job, m, s, unit) for m in found)) for s in subjects)
    sign = axis_sign(unit)
    limits = [wanted_of(job, r, unit) for r in readings if r.value.quantity]
    moved = dict.fromkeys(f"; wanted {w.words}" for w in limits if w and w.moved)
    return Table(f"{caption}{', ' if sign else ''}{sign}{''.join(moved)}", columns, rows, csv=csv)


def _cell(job: Job, moment: Moment, subject: str, unit: str) -> Cell:
    reading = moment.reading(subject)
    if reading is None:
        return Cell("not tested", soft=True)
    if is_absent(reading.value):
        return Cell(value_words(reading.value), soft=True)
    quantity = reading.value.quantity
    scatter = scatter_of(moment, subject, unit)
    words = number(scatter.middle) if scatter and scatter.tries else _value(reading, unit)
    note = f"mean of {listed(map(number, scatter.tries))}" if scatter and scatter.tries else ""
    limit = wanted_of(job, reading, unit) if quantity else None
    out = limit.out(in_unit(quantity, unit)) if limit and quantity else ""
    return Cell(f"{words}, {out}" if out else words, out=bool(out), note=note)


def _value(reading: Reading, unit: str) -> str:
    """The value without the unit that the caption has, with what was heard or seen in the bracket."""
    quantity = reading.value.quantity
    same = quantity is None or quantity.unit == unit
    said = value_words(reading.value, unit=not same)
    return f"{said}, {', '.join(reading.value.remark_words)}" if reading.value.remark_words else said
