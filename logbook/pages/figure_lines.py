"""Figures of lines: how the odds moved, and pressure that should hold."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.diagnosis.answers import CylinderAnswer, Diagnosis
from logbook.job.model import Job
from logbook.pages.causes import cause_label
from logbook.pages.csv_tables import table_path
from logbook.pages.figure_units import axis_sign, in_unit, number, usual_unit
from logbook.pages.figure_values import Dash, FigureSpec, Mark, Placed, Series, Tick, Tone
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.moments import shown_readings
from logbook.pages.phrases import voice_of
from logbook.pages.places import is_hidden
from logbook.pages.pulls import stated
from logbook.pages.why_page import cylinder_id
from logbook.pages.words import capital, percent, short_date

MOST_CAUSES = 5
_SHOWN_FROM = 0.03  # a cause that never stood higher is left out
_PENS: tuple[tuple[Tone, Dash], ...] = (
    ("ink", "solid"),
    ("blue", "dashed"),
    ("ink", "dotted"),
    ("blue", "dot-dash"),
    ("ink", "dashed"),
)


# -- how the odds moved


def history_figures(job: Job, diagnosis: Diagnosis) -> tuple[Placed, ...]:
    """For each cylinder in trouble the chance of each cause after each entry."""
    return tuple(placed for answer in diagnosis.cylinders if (placed := _history(job, answer)) is not None)


def _history(job: Job, answer: CylinderAnswer) -> Placed | None:
    points = answer.history
    ever = [max((p.probabilities[n] for p in points), default=0.0) for n in range(len(answer.causes))]
    shown = [n for n in range(len(answer.causes)) if ever[n] >= _SHOWN_FROM][:MOST_CAUSES]
    if len(points) < 2 or not shown:
        return None
    voice = voice_of(job.units)
    labels = {n: cause_label(voice, job, answer.causes[n]) for n in shown}
    last, first = points[-1].probabilities, points[0].probabilities
    told = "; ".join(f"{labels[n]} from {percent(first[n])} to {percent(last[n])}" for n in shown[:2])
    place = cylinder_id(answer)
    spec = FigureSpec(
        kind="history",
        name=f"odds-{place.removeprefix('cylinder-')}",
        title=voice.say("why.moved"),
        alt=voice.say("why.moved_alt", cylinder=answer.place.cylinder, told=told),
        unit="%",
        series=tuple(_cause_line(answer, labels[n], rank, n) for rank, n in enumerate(shown)),
        ticks=tuple(_history_ticks(job, answer)),
        y_span=(0.0, 100.0),
        label_ends=True,
    )
    return Placed(place, spec)


def _cause_line(answer: CylinderAnswer, label: str, rank: int, n: int) -> Series:
    marks = tuple(Mark(float(x), round(100 * p.probabilities[n], 2)) for x, p in enumerate(answer.history))
    leads: tuple[Tone, Dash] = ("rust", "solid")
    tone, dash = leads if rank == 0 else _PENS[rank % len(_PENS)]
    return Series(label, marks, "line", tone, dash, rank == 0)


def _history_ticks(job: Job, answer: CylinderAnswer) -> Iterable[Tick]:
    """A tick an entry; the first of each day has its date. A correction stands with the day that it corrects."""
    named = {""}
    for x, point in enumerate(answer.history):
        day = _day_word(job, point.entry)
        yield Tick(float(x), "" if day in named else day)
        named.add(day)


def _day_word(job: Job, entry: int) -> str:
    if entry < 0:
        return "start"
    if is_hidden(job, entry):
        return ""
    day = job.entries[entry].entry.day
    return short_date(day, us=job.units == "us") if day else "card"


# -- pressure that should hold


def hold_figures(job: Job) -> tuple[Placed, ...]:
    """Fuel pressure over the minutes after the pump stopped: a line a day, from the key-on value where there is one."""
    readings = [r for r in shown_readings(job, "fuel pressure") if r.value.quantity]
    unit = usual_unit(readings)
    lines: dict[str, list[Mark]] = {}
    for reading in readings:
        minutes = (
            stated(reading, "time", "min")
            if "held" in reading.qualifiers
            else 0.0
            if "key-on" in reading.qualifiers
            else None
        )
        if minutes is not None and reading.value.quantity:
            day = _day_word(job, reading.entry)
            lines.setdefault(day, []).append(Mark(minutes, in_unit(reading.value.quantity, unit)))
    held = {day: sorted(marks, key=lambda m: m.x) for day, marks in lines.items() if len({m.x for m in marks}) > 1}
    if not held:
        return ()
    sign = axis_sign(unit)
    series = tuple(_line(name, marks, n) for n, (name, marks) in enumerate(held.items()))
    told = "; ".join(f"{day}: {_ends(marks, sign)}" for day, marks in held.items())
    spec = FigureSpec(
        kind="hold",
        name="fuel-pressure-hold",
        title="Fuel pressure after the pump has stopped",
        alt=f"Fuel pressure over minutes. {told}.",
        unit=f"{sign}, gauge",
        series=series,
        x_label="minutes",
        y_span=(0.0, max(m.y or 0.0 for marks in held.values() for m in marks)),
        small=True,
    )
    return (Placed("readings", spec, _points_table(job, spec, "Minutes", "fuel pressure")),)


def _ends(marks: Sequence[Mark], sign: str) -> str:
    first, last = marks[0], marks[-1]
    return f"from {number(first.y or 0.0)} to {number(last.y or 0.0)} {sign} in {number(last.x - first.x)} minutes"


def _line(name: str, marks: Sequence[Mark], order: int) -> Series:
    tone, dash = _PENS[order % len(_PENS)]
    return Series(name, tuple(marks), "line", tone, dash)


def _points_table(job: Job, spec: FigureSpec, head: str, test: str) -> Table:
    levels = sorted({m.x for s in spec.series for m in s.marks})
    at = [{m.x: m.y for m in s.marks} for s in spec.series]
    columns = (Column(head), *(Column(s.name, number=True) for s in spec.series))
    rows = tuple((Cell(number(x)), *(_point(points.get(x)) for points in at)) for x in levels)
    return Table(capital(spec.unit), columns, rows, csv=table_path(job.address, test))


def _point(value: float | None) -> Cell:
    return Cell("not read", soft=True) if value is None else Cell(number(value))
