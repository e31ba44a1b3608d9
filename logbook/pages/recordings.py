"""The recordings of a job: what each says, its facts and tables, and the figures drawn from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from logbook.findings.recordings import Heard
from logbook.job.model import Job
from logbook.pages.figure_pulls import last_heard, pen_of
from logbook.pages.figure_values import Dash, FigureSpec, Mark, Panel, Placed, Series, Stack, Tone
from logbook.pages.frame import Cell, Column, Link, ShownFigure, Table
from logbook.pages.phrases import voice_of
from logbook.pages.places import is_hidden
from logbook.pages.words import capital, short_date
from logbook.traces.analysis import Found, laid_over
from logbook.traces.analysis import Series as Traced

_TITLES = {
    "cranking": "Current while cranking",
    "speed": "Crank speed",
    "sound": "Sound",
    "injector": "Current of the injectors",
    "coil": "Current of the coils",
    "running": "A running record",
    "pull": "Pulls, recorded",
}


_PENS: tuple[tuple[Tone, Dash], ...] = (("ink", "solid"), ("blue", "dashed"), ("ink", "dotted"), ("blue", "dot-dash"))


@dataclass(frozen=True, slots=True)
class RecordingView:
    """One recording: heading, the entry that names it, sentences, facts, tables and figures."""

    id: str
    heading: str
    entry: Link
    sentences: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    tables: tuple[Table, ...]
    figures: tuple[ShownFigure, ...]


def recording_views(
    job: Job, heard: Sequence[Heard], figures: Mapping[str, tuple[ShownFigure, ...]]
) -> tuple[RecordingView, ...]:
    """Those that this copy shows, in the order of the log."""
    return tuple(
        RecordingView(
            _place(one),
            f"{_TITLES[one.found.kind]}{_when(job, one)}: {one.found.name}",
            Link("its line in the log", anchor=job.entries[one.entry].anchor),
            one.found.sentences,
            one.found.facts,
            (*_by_cylinder(one.found), *(_table(t) for t in one.found.tables)),
            figures.get(_place(one), ()),
        )
        for one in _shown(job, heard)
    )


def recording_figures(job: Job, heard: Sequence[Heard]) -> tuple[Placed, ...]:
    """Series that share their axes in one small figure; a later recording of a kind lies over the first one of it."""
    shown = _shown(job, heard)
    placed: list[Placed] = []
    for one in shown:
        first = next(o for o in shown if o.found.kind == one.found.kind)
        over = laid_over(first.found, one.found) if first is not one else None
        span = _x_span(one.found.series)
        if one.found.kind == "pull" and span is not None:
            placed.append(Placed(_place(one), _stack(job, one, span)))
            continue
        for number, (_, grouped) in enumerate(groupby(one.found.series, key=lambda s: (s.x_name, s.y_name)), start=1):
            lines = list(grouped)
            title = lines[0].name if len(lines) == 1 else lines[0].y_name.partition(",")[0]
            if over is not None and number == 1:
                lines = [replace(first.found.series[0], name=f"before{_when(job, first)}"), replace(over, name="after")]
                title = f"{title}, laid over {first.found.name}"
            placed.append(Placed(_place(one), _figure(job, one, number, title, lines, span)))
    return tuple(placed)


def _shown(job: Job, heard: Sequence[Heard]) -> list[Heard]:
    return [one for one in sorted(heard, key=lambda h: h.entry) if not is_hidden(job, one.entry)]


def _place(one: Heard) -> str:
    return f"recording-{one.entry}"


def _when(job: Job, one: Heard) -> str:
    day = job.entries[one.entry].entry.day
    return f", {short_date(day, us=job.units == 'us')}" if day else ""


def _x_span(series: Iterable[Traced]) -> tuple[float, float] | None:
    """One level axis for all series that share its name: pulls stand under one another."""
    xs = [x for s in series for x in s.x]
    names = {s.x_name for s in series}
    return (min(xs), max(xs)) if len(names) == 1 and xs and min(xs) < max(xs) else None


def _figure(
    job: Job, one: Heard, number: int, title: str, lines: Sequence[Traced], span: tuple[float, float] | None
) -> FigureSpec:
    named = f"{capital(title)}, {one.found.name}"
    return FigureSpec(
        kind="recording",
        name=f"{job.entries[one.entry].anchor}-{number}",
        title=named,
        alt=" ".join(one.found.sentences) or f"{named}, {lines[0].y_name}.",
        unit=lines[0].y_name,
        series=tuple(_line(line, n) for n, line in enumerate(lines)),
        x_label=lines[0].x_name,
        x_span=span,
        small=True,
    )


def _stack(job: Job, one: Heard, span: tuple[float, float]) -> Stack:
    """Pulls: every channel over one axis of speed, with what was heard in them."""
    runs = list(dict.fromkeys(s.name for s in one.found.series))
    heard = last_heard(job, runs)
    panels = []
    for what, grouped in groupby(one.found.series, key=lambda s: s.y_name):
        lines = (Series(s.name, tuple(map(Mark, s.x, s.y)), "line", *pen_of(runs, s.name, heard)) for s in grouped)
        panels.append(Panel(capital(what), tuple(lines)))
    return Stack(
        name=f"{job.entries[one.entry].anchor}-1",
        title=f"{_TITLES['pull']}: {one.found.name}",
        alt=" ".join([*one.found.sentences, *_tops(panels)]),
        panels=tuple(panels),
        x_label="rpm",
        x_span=span,
        event=heard.speed if heard else None,
        event_label=voice_of(job.units).say("pulls.heard", what=heard.what, run=heard.run) if heard else "",
    )


def _tops(panels: Sequence[Panel]) -> Iterable[str]:
    for panel in panels:
        top = max((m for s in panel.series for m in s.marks), key=lambda m: m.y)
        yield f"{panel.label}: {top.y:.3g} at {top.x:.0f} rpm."


def _line(series: Traced, number: int) -> Series:
    tone, dash = _PENS[number % len(_PENS)]
    if series.spread:
        marks = [Mark(x, y, y - s, y + s) for x, y, s in zip(series.x, series.y, series.spread, strict=True)]
        return Series(series.name, tuple(marks), "filled" if number else "open", tone)
    return Series(series.name, tuple(Mark(x, y) for x, y in zip(series.x, series.y, strict=True)), "line", tone, dash)


def _by_cylinder(found: Found) -> tuple[Table, ...]:
    rows = tuple(
        (Cell(str(c.cylinder)), Cell(c.test), Cell(_measured(c.test, c.value, c.spread, c.word)))
        for c in found.cylinders
    )
    columns = (Column("Cylinder"), Column("Measured"), Column("Value", number=True))
    return (Table("By cylinder", columns, rows),) if rows else ()


def _measured(test: str, value: float, spread: float, word: str) -> str:
    if test == "needle":
        return f"opens after {value:.2f} ms" if word == "clicks" else "no kink: it does not seem to move"
    if test == "winding resistance":
        return f"{value:.1f} Ω"
    shown = f"{100 * value:.0f} ± {200 * spread:.0f} %"
    return f"{shown}, {word}" if word else shown


def _table(table: tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]]) -> Table:
    caption, heads, rows = table
    columns = tuple(Column(head, number=position > 0) for position, head in enumerate(heads))
    return Table(caption, columns, tuple(tuple(Cell(cell) for cell in row) for row in rows))
