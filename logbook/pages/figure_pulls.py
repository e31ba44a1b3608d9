"""Pulls: every quantity that was read over speed in one stack, with what was heard in them drawn through all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from logbook.job.model import Job, Reading
from logbook.pages.csv_tables import table_path
from logbook.pages.figure_units import axis_sign, in_unit, number, usual_unit
from logbook.pages.figure_values import Dash, Mark, Panel, Placed, Series, Stack, Tone
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.moments import shown_readings
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.pulls import run_of, speed_of, what_of
from logbook.pages.words import capital, listed

PULLS = "pulls"
MOST_RUNS = 3
MOST_PANELS = 6
_FIRST = ("boost", "afr", "lambda", "intake-air", "duty", "egt", "fuel-pressure", "oil-pressure")
_NAMED = ("afr", "egt")
_ALIKE = 0.03  # of the greatest: values nearer to one another than this say nothing over speed
_PENS: tuple[tuple[Tone, Dash, bool], ...] = (("ink", "solid", True), ("ink", "dashed", False), ("mid", "solid", False))


class _Point(NamedTuple):
    what: str
    run: str
    speed: float  # rpm
    reading: Reading


class HeardIn(NamedTuple):
    what: str  # 'knock'
    run: str
    speed: float


def pull_figures(job: Job) -> tuple[Placed, ...]:
    """One stack of the last pulls; none where nothing was read at more than one speed."""
    readings = shown_readings(job, "pull")
    points = _points(readings)
    runs = list(dict.fromkeys(p.run for p in points))[-MOST_RUNS:]
    points = [p for p in points if p.run in runs]
    speeds = [p.speed for p in points]
    if not points or min(speeds) == max(speeds):
        return ()
    voice = voice_of(job.units)
    heard = last_heard(job, runs)
    slots = sorted(dict.fromkeys(p.what for p in points), key=lambda w: (_FIRST.index(w) if w in _FIRST else 99, w))
    panels = [panel for slot in slots if (panel := _panel(voice, slot, points, runs, heard)) is not None][:MOST_PANELS]
    if not panels:
        return ()
    spec = Stack(
        name="pulls",
        title=voice.say("pulls.title"),
        alt=_alt(voice, points, panels, runs, heard),
        panels=tuple(panels),
        x_label="rpm",
        x_span=(min(speeds), max(speeds)),
        event=heard.speed if heard else None,
        event_label=voice.say("pulls.heard", what=heard.what, run=heard.run) if heard else "",
    )
    return (Placed(PULLS, spec, _table(job, voice, points, slots, runs)),)


def _points(readings: Sequence[Reading]) -> list[_Point]:
    speed = speed_of(readings)
    found = [(what_of(r), speed(r), r) for r in readings if r.value.quantity]
    return [_Point(what, run_of(r), at, r) for what, at, r in found if what not in ("", "rpm") and at]


def last_heard(job: Job, runs: Sequence[str]) -> HeardIn | None:
    """What an ear caught in the last of these pulls, where its speed was written."""
    readings = shown_readings(job, "pull")
    speed = speed_of(readings)
    for reading in reversed(readings):
        if reading.value.word == "heard" and speed(reading) and run_of(reading) in runs:
            return HeardIn(what_of(reading), run_of(reading), speed(reading))
    return None


def _panel(
    voice: Voice, slot: str, points: Sequence[_Point], runs: Sequence[str], heard: HeardIn | None
) -> Panel | None:
    """One quantity; None where it was read at one speed alone, or is the same at all of them."""
    own = [p for p in points if p.what == slot]
    unit = usual_unit(p.reading for p in own)
    marks = {run: _marks([p for p in own if p.run == run], unit) for run in runs}
    values = [m.y for found in marks.values() for m in found]
    if max(map(len, marks.values())) < 2 or max(values) - min(values) <= _ALIKE * max(map(abs, values)):
        return None
    series = tuple(Series(run, marks[run], "line", *pen_of(runs, run, heard)) for run in runs)
    at = next((m.y for m in marks[heard.run] if m.x == heard.speed), None) if heard else None
    sign = "" if slot == "afr" else axis_sign(unit)
    label = f"{capital(_name(voice, slot))}, {sign}" if sign else capital(_name(voice, slot))
    return Panel(label, series, "" if at is None else number(at))


def pen_of(runs: Sequence[str], run: str, heard: HeardIn | None) -> tuple[Tone, Dash, bool]:
    """The run in which something was heard is drawn wide, else the last one."""
    leads = heard.run if heard else runs[-1]
    others = [r for r in runs if r != leads]
    return _PENS[0] if run == leads else _PENS[1 + others.index(run) % (len(_PENS) - 1)]


def _marks(points: Sequence[_Point], unit: str) -> tuple[Mark, ...]:
    marks = (Mark(p.speed, in_unit(p.reading.value.quantity, unit)) for p in points if p.reading.value.quantity)
    return tuple(sorted(marks, key=lambda m: m.x))


def _name(voice: Voice, slot: str) -> str:
    return voice.say(f"pulls.{slot}") if slot in _NAMED else slot.replace("-", " ")


def _alt(
    voice: Voice, points: Sequence[_Point], panels: Sequence[Panel], runs: Sequence[str], heard: HeardIn | None
) -> str:
    """'Knock heard in pull 3 at 6000 rpm, with boost 0.77 bar and mixture 11.6 to 1.' or the greatest of each."""
    if heard:
        told = [f"{_small(p.label, p.at_event)}" for p in panels if p.at_event]
        words = voice.say("pulls.heard_at", what=capital(heard.what), run=heard.run, speed=f"{heard.speed:.0f}")
        return f"{words}{voice.say('pulls.with', values=listed(told)) if told else ''}."
    tops = []
    for panel in panels:
        top = max((m for s in panel.series for m in s.marks), key=lambda m: m.y)
        tops.append(voice.say("pulls.top", value=_small(panel.label, number(top.y)), speed=f"{top.x:.0f}"))
    return f"{voice.say('pulls.highest', runs=listed(runs))}: {listed(tops)}."


def _small(label: str, value: str) -> str:
    """'boost 0.77 bar' from 'Boost, bar' and '0.77'."""
    name, _, sign = label.partition(", ")
    return f"{name[:1].lower()}{name[1:]} {value} {sign}".strip()


def _table(job: Job, voice: Voice, points: Sequence[_Point], slots: Sequence[str], runs: Sequence[str]) -> Table:
    """A row a run and speed, a column a quantity."""
    units = {slot: usual_unit(p.reading for p in points if p.what == slot) for slot in slots}
    values: dict[tuple[str, float], dict[str, str]] = {}
    for point in points:
        if point.reading.value.quantity:
            shown = number(in_unit(point.reading.value.quantity, units[point.what]))
            values.setdefault((point.run, point.speed), {})[point.what] = shown
    heads = [Column(voice.say("pulls.run")), Column("rpm", number=True)]
    heads += [Column(f"{capital(_name(voice, s))} {axis_sign(units[s])}".strip(), number=True) for s in slots]
    ordered: Mapping[tuple[str, float], dict[str, str]] = dict(
        sorted(values.items(), key=lambda item: (runs.index(item[0][0]), item[0][1]))
    )
    rows = tuple(
        (Cell(run), Cell(f"{speed:.0f}"), *(Cell(found.get(slot, "")) for slot in slots))
        for (run, speed), found in ordered.items()
    )
    return Table(voice.say("pulls.title"), tuple(heads), rows, csv=table_path(job.address, "pull"))
