"""The recordings of a job: what each says, its facts and tables, and the figures drawn from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from logbook.findings.recordings import Heard
from logbook.job.model import Job
from logbook.pages.figure_places import Placed
from logbook.pages.figure_values import FigureSpec, Mark, Series
from logbook.pages.frame import Cell, Column, Link, ShownFigure, Table
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
            f"{_TITLES[one.found.kind]}{_when(job, one)}",
            Link(one.found.name, anchor=job.entries[one.entry].anchor),
            one.found.sentences,
            tuple((capital(name), value) for name, value in one.found.facts),
            (*_by_cylinder(one.found), *(_table(t) for t in one.found.tables)),
            figures.get(_place(one), ()),
        )
        for one in _shown(job, heard)
    )


def recording_figures(job: Job, heard: Sequence[Heard]) -> tuple[Placed, ...]:
    """Each series as a small figure; a later recording of the same kind lies over the first one of it."""
    shown = _shown(job, heard)
    placed: list[Placed] = []
    for one in shown:
        first = next(o for o in shown if o.found.kind == one.found.kind)
        over = laid_over(first.found, one.found) if first is not one else None
        span = _x_span(one.found.series)
        for number, series in enumerate(one.found.series, start=1):
            before = first.found.series[0] if over is not None and number == 1 else None
            drawn = over if over is not None and number == 1 else series
            placed.append(Placed(_place(one), _figure(job, one, first, number, drawn, before, span)))
    return tuple(placed)


def _shown(job: Job, heard: Sequence[Heard]) -> list[Heard]:
    return [one for one in sorted(heard, key=lambda h: h.entry) if not is_hidden(job, one.entry)]


def _place(one: Heard) -> str:
    return f"recording-{one.entry}"


def _when(job: Job, one: Heard) -> str:
    day = job.entries[one.entry].entry.day
    return f", {short_date(day)}" if day else ""


def _x_span(series: Iterable[Traced]) -> tuple[float, float] | None:
    """One level axis for all series that share its name: pulls stand under one another."""
    xs = [x for s in series for x in s.x]
    names = {s.x_name for s in series}
    return (min(xs), max(xs)) if len(names) == 1 and xs and min(xs) < max(xs) else None


def _figure(
    job: Job,
    one: Heard,
    first: Heard,
    number: int,
    drawn: Traced,
    before: Traced | None,
    span: tuple[float, float] | None,
) -> FigureSpec:
    name = f"{job.entries[one.entry].anchor}-{number}"
    lines = [_line(drawn, "after" if before else drawn.name, last=before is not None)]
    if before:
        lines.insert(0, _line(before, f"before{_when(job, first)}", last=False))
    low, high = min(drawn.y, default=0.0), max(drawn.y, default=0.0)
    title = f"{capital(drawn.name)}, {one.found.name}"
    over = f", laid over {first.found.name}" if before else ""
    return FigureSpec(
        kind="recording",
        name=name,
        title=f"{title}{over}",
        alt=f"{title}{over}: {drawn.y_name} from {low:g} to {high:g} over {drawn.x_name}.",
        unit=drawn.y_name,
        series=tuple(lines),
        x_label=drawn.x_name,
        x_span=span,
        small=True,
    )


def _line(series: Traced, name: str, last: bool) -> Series:
    reach = series.spread or (None,) * len(series.x)
    marks = tuple(
        Mark(x, y, None if s is None else y - s, None if s is None else y + s)
        for x, y, s in zip(series.x, series.y, reach, strict=True)
    )
    if series.spread or not series.line:
        return Series(name, marks, "filled" if last else "open", "blue" if last else "ink")
    return Series(name, marks, "line", "blue" if last else "ink", "dashed" if last else "solid")


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
