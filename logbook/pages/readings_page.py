"""Readings: one table a kind, all dates as its columns, each number with its bar; then the engine, then recordings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from logbook.findings.recordings import Heard
from logbook.job.model import Engine, Job, Reading
from logbook.pages.build_sheet import BUILD_KINDS
from logbook.pages.csv_tables import table_path
from logbook.pages.figure_pulls import PULLS
from logbook.pages.figure_scatter import middle_of
from logbook.pages.figure_units import usual_unit
from logbook.pages.frame import Cell, Column, Sheet, ShownFigure, Table
from logbook.pages.heads import Surroundings
from logbook.pages.moments import Moment, moments, shown_readings
from logbook.pages.moments_table import moments_table
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.recordings import RecordingView, recording_views
from logbook.pages.retold import groups_words
from logbook.pages.status import is_build
from logbook.pages.values import conditions_words, value_words
from logbook.pages.words import capital

MOST_COLUMNS = 4  # the first ones and the last; the file has all
_LEFT_OUT = ("pull", "codes", "road", "place", "odometer", "fuel")


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of test: its table and what was the same throughout."""

    id: str
    heading: str
    table: Table
    caption: str
    bars: bool


@dataclass(frozen=True, slots=True)
class ReadingsPage:
    sheet: Sheet
    kinds: tuple[Kind, ...]
    whole: Table | None
    figures: tuple[ShownFigure, ...]
    recordings: tuple[RecordingView, ...]


def readings_page(job: Job, sheet: Sheet, around: Surroundings, heard: Sequence[Heard]) -> ReadingsPage | None:
    """None where nothing was read. What belongs to a build, its pulls too, is on the build sheet alone."""
    voice = voice_of(job.units)
    elsewhere = {*_LEFT_OUT, *(BUILD_KINDS if is_build(job) else ())}
    tests = [t for t in dict.fromkeys(r.test for r in job.readings) if t not in elsewhere]
    kinds: list[Kind] = []
    single: list[tuple[str, Moment]] = []
    for test in tests:
        for name, engine, found in _sorted(job, test):
            some = moments(job, [r for r in found if not r.slot], _subject)
            single += [(name, m) for m in moments(job, [r for r in found if r.slot], _subject)]
            if some and _is_told_best_in_words(some):
                single += [(name, m) for m in some]
            elif some:
                kinds.append(_kind(voice, job, test, name, engine, some, len(kinds)))
    whole = _whole(voice, job, single)
    pulls = () if is_build(job) else around.figures.get(PULLS, ())
    figures = (*around.figures.get("readings", ()), *pulls)
    recordings = recording_views(job, heard, around.figures)
    if not kinds and whole is None and not figures and not recordings:
        return None
    return ReadingsPage(sheet, tuple(kinds), whole, figures, recordings)


def _sorted(job: Job, test: str) -> Iterable[tuple[str, Engine | None, list[Reading]]]:
    """The readings of a test that can stand in one table: of one kind of part, one engine and one sort."""
    groups: dict[tuple[str, str, str], list[Reading]] = {}
    for reading in shown_readings(job, test):
        traced = job.entries[reading.entry].entry.kind == "trace"
        if not reading.after_action and not reading.speed and not traced:
            sort = " ".join(q for q in reading.qualifiers if q not in ("dry", "wet"))
            part = job.entries[reading.entry].entry.part  # as written: what is understood by itself needs no name
            groups.setdefault((part, sort, reading.engine), []).append(reading)
    for (kind, sort, engine), found in groups.items():
        name = " ".join(w for w in (sort, kind, test) if w)
        yield (f"{name} of {engine}" if engine and len(job.engines) > 1 else name), job.engine(engine), found


def _is_told_best_in_words(found: Sequence[Moment]) -> bool:
    """Words, values of one thing, and numbers that are all alike need no table."""
    readings = [r for m in found for _, r in m.readings]
    numbers = {r.value.quantity.middle for r in readings if r.value.quantity}
    return len({s for m in found for s, _ in m.readings}) < 2 or len(numbers) < 2


def _subject(reading: Reading) -> str:
    if reading.slot:
        return reading.slot
    if reading.place is not None and not reading.letter and reading.subject == str(reading.place.cylinder):
        return str(reading.place.cylinder)
    return reading.bank or reading.subject or "engine"


def _kind(
    voice: Voice, job: Job, test: str, name: str, engine: Engine | None, found: Sequence[Moment], number: int
) -> Kind:
    shown = _columns(found)
    subjects = _in_order(engine, dict.fromkeys(s for m in found for s, _ in m.readings))
    head = voice.say("readings.cylinder" if all(s.isdigit() for s in subjects) else "readings.part")
    table = moments_table(job, "", head, shown, subjects, table_path(job.address, test))
    barred = _barred(table, shown, subjects)
    same = {conditions_words(r.conditions) for m in shown for _, r in m.readings}
    conditions = same.pop() if len(same) == 1 else ""
    sign = table.caption.removeprefix(", ")
    caption = ", ".join(w for w in (sign, conditions) if w)
    named = replace(barred or table, caption=capital(name))
    return Kind(f"kind-{number + 1}", capital(name), named, caption, bool(barred))


def _columns(found: Sequence[Moment]) -> list[Moment]:
    """The first moments and the last, where there are more than a phone has room for."""
    if len(found) <= MOST_COLUMNS:
        return list(found)
    return [*found[: MOST_COLUMNS - 1], found[-1]]


def _in_order(engine: Engine | None, subjects: Iterable[str]) -> list[str]:
    """Cylinders as they lie, bank by bank; parts as they were first named."""
    names = list(subjects)
    order = [str(c) for bank in engine.banks for c in bank.cylinders] if engine else []
    return sorted(names, key=lambda s: (s not in order, order.index(s) if s in order else names.index(s)))


def _barred(table: Table, found: Sequence[Moment], subjects: Sequence[str]) -> Table | None:
    """The table with a bar beside each number; None where all are alike or there are no numbers."""
    unit = usual_unit([r for m in found for _, r in m.readings])
    values = [[middle_of(m, s, unit) if m.reading(s) else None for m in found] for s in subjects]
    numbers = [v for row in values for v in row if v is not None]
    if len(numbers) < 2 or max(numbers) <= 0 or min(numbers) < 0 or min(numbers) > 0.97 * max(numbers):
        return None
    last = len(found) - 1
    rows = tuple(
        (
            row[0],
            *(
                replace(cell, bar=-1.0 if v is None else round(100 * v / max(numbers), 1), was=n < last)
                for n, (cell, v) in enumerate(zip(row[1:], line, strict=True))
            ),
        )
        for row, line in zip(table.rows, values, strict=True)
    )
    return replace(table, rows=rows)


def _whole(voice: Voice, job: Job, found: Sequence[tuple[str, Moment]]) -> Table | None:
    """What has one value at a time: a row a test, its values with their days."""
    if not found:
        return None
    rows: dict[str, list[str]] = {}
    for name, moment in found:
        day = voice.day(moment.day) if moment.day else voice.say("readings.card")
        readings = [r for _, r in moment.readings]
        if len(readings) > 1 and not any(r.slot for r in readings):
            rows.setdefault(name, []).append(f"{groups_words(voice, readings)}, {day}")
            continue
        for subject, reading in moment.readings:
            who = "" if subject in (name, "engine", reading.test) else f", {subject}"
            at = conditions_words(reading.conditions)
            how = f" ({at})" if at else ""
            rows.setdefault(f"{name}{who}", []).append(f"{value_words(reading.value)}{how}, {day}")
    cells = tuple((Cell(capital(name)), Cell("; ".join(dict.fromkeys(told)))) for name, told in rows.items())
    columns = (Column(voice.say("readings.test")), Column(voice.say("readings.read")))
    return Table(voice.say("readings.whole"), columns, cells)
