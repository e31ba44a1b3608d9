"""Recordings beside the log: what each ``trace`` entry asks for, and what it adds to the job as readings.

Reading the files is the edge's work; here they are values, or the reason why they could not be read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from logbook.job.model import Engine, Job, Place, Reading
from logbook.problems import Problem, Weight
from logbook.text.entries import Entry, Quantity, Value
from logbook.traces import analysis, columns
from logbook.traces.analysis import Found, OfCylinder, Stated
from logbook.traces.model import Recording, TraceError
from logbook.units import UNITS

Recordings = Mapping[str, Recording | TraceError]  # by the file's name in the log
NUMBER = 640  # of the problem of a recording that can't be used
_CUT = re.compile(r"^(?:(?P<a>\d{1,2}) (?:cut|cut out|unplugged)|(?:cut|cut out|unplugged) (?P<b>\d{1,2}))$")
_QUALIFIERS = ("cranking", "speed", "sound", "injector", "coil", "running", "pull")


@dataclass(frozen=True, slots=True)
class Heard:
    """What one recording says; ``entry`` is the index of the entry that names it."""

    entry: int
    found: Found


def listen(job: Job, recordings: Recordings) -> tuple[tuple[Heard, ...], tuple[Problem, ...]]:
    """Every ``trace`` entry but the running ones, and a problem for each that can't be used.

    Strokes get their names from a recording of the same kind and day in which a known cylinder was cut out.
    """
    heard, problems = _each(job, recordings, "", running=False)
    return tuple(_named(job, one, heard) for one in heard), tuple(problems)


def ran(job: Job, recordings: Recordings, blocked: str) -> tuple[tuple[Heard, ...], tuple[Problem, ...]]:
    """The running recordings; no mixture correction where ``blocked`` says that a cylinder is dead or suspected."""
    heard, problems = _each(job, recordings, blocked, running=True)
    return tuple(heard), tuple(problems)


def _each(job: Job, recordings: Recordings, blocked: str, running: bool) -> tuple[list[Heard], list[Problem]]:
    heard: list[Heard] = []
    problems: list[Problem] = []
    for entry in (e.entry for e in job.entries):
        if entry.kind != "trace" or (_kind(entry) == "running") != running:
            continue
        try:
            heard.append(Heard(entry.index, _analysed(job, entry, recordings, blocked)))
        except TraceError as error:
            problems.append(_problem(entry, error))
    return heard, problems


def with_heard(job: Job, heard: tuple[Heard, ...]) -> Job:
    """The job with what the recordings measured as readings, in the order of its steps."""
    added = [r for one in heard for r in _readings(job, one)]
    if not added:
        return job
    return job._replace(readings=tuple(sorted((*job.readings, *added), key=lambda r: r.step)))


def _kind(entry: Entry) -> str:
    return next((q for q in entry.qualifiers if q in _QUALIFIERS), entry.part or "")


def _analysed(job: Job, entry: Entry, recordings: Recordings, blocked: str) -> Found:
    asked = columns.parse((entry.text or entry.file).partition("@")[0])
    read = recordings.get(entry.file)
    if read is None:
        raise TraceError(entry.file or asked.file, "not found beside the log")
    if isinstance(read, TraceError):
        raise read
    return analysis.analyse(_kind(entry), read, asked, _stated(job, entry, blocked))


def _stated(job: Job, entry: Entry, blocked: str = "") -> Stated:
    engine = _engine(job, entry)
    return Stated(
        cylinders=len(engine.cylinders) if engine else 0,
        firing_order=engine.firing_order if engine else (),
        rpm=_condition(entry, "rpm"),
        volts=_condition(entry, "volt"),
        blocked=blocked,
        cut=_cut(entry),
    )


def _engine(job: Job, entry: Entry) -> Engine | None:
    return job.engine(entry.engine) or (job.engines[0] if job.engines else None)


def _condition(entry: Entry, dimension: str) -> float | None:
    for condition in entry.conditions:
        quantity = condition.quantity
        unit = UNITS.get(quantity.unit) if quantity else None
        if quantity and unit and unit.dimension == dimension:
            value = float(quantity.middle)
            return value if dimension == "rpm" else unit.to_si(value)
    return None


def _cut(entry: Entry) -> int:
    for condition in entry.conditions:
        matched = _CUT.match(condition.text.strip().casefold())
        if matched:
            return int(matched["a"] or matched["b"])
    return 0


def _named(job: Job, one: Heard, heard: list[Heard]) -> Heard:
    """Its strokes named by the first other recording of the same kind and day with a known cylinder cut out."""
    entry = job.entries[one.entry].entry
    if one.found.strokes is None:
        return one
    if _cut(entry):
        return Heard(one.entry, analysis.to_count_from(one.found, _cut(entry)))
    for other in heard:
        beside = job.entries[other.entry].entry
        same = other.found.kind == one.found.kind and beside.day == entry.day
        if same and other is not one and _cut(beside):
            stated = _stated(job, entry)
            return Heard(one.entry, analysis.with_reference(one.found, other.found, stated, _cut(beside)))
    return one


def _readings(job: Job, one: Heard) -> tuple[Reading, ...]:
    entry = job.entries[one.entry].entry
    if _cut(entry):
        return ()  # one cylinder was cut out on purpose: it says nothing of how the engine runs by itself
    engine = _engine(job, entry)
    return tuple(
        reading
        for measured in one.found.cylinders
        if engine and measured.cylinder in engine.cylinders and (reading := _reading(job, entry, engine, one, measured))
    )


def _reading(job: Job, entry: Entry, engine: Engine, one: Heard, measured: OfCylinder) -> Reading:
    place = Place(engine.name, measured.cylinder)
    part_kind = one.found.kind if one.found.kind in ("injector", "coil") else ""
    part = job.mounted(entry.index).get((part_kind, place), "") if part_kind else ""
    ohms = measured.test == "winding resistance"
    qualifiers = () if ohms else (one.found.kind,)
    return Reading(
        step=entry.index,
        entry=entry.index,
        test="resistance" if ohms else "trace",
        subject=str(measured.cylinder),
        value=_value(entry, measured),
        qualifiers=qualifiers,
        part_kind=part_kind,
        engine=engine.name,
        place=place,
        part=part,
        conditions=entry.conditions,
        proved=entry.proved,
        private=job.entries[entry.index].private,
    )


def _value(entry: Entry, measured: OfCylinder) -> Value:
    if measured.word:
        return Value(entry.span, word=measured.word)
    number = Decimal(f"{measured.value:.3g}")
    unit = "ohm" if measured.test == "winding resistance" else ""
    spread = Decimal(f"{measured.spread:.2g}")
    shown = f"{number} +- {spread}"
    return Value(entry.span, Quantity(shown, number, number, unit, bool(unit), spread, resolution=Decimal("0.01")))


def _problem(entry: Entry, error: TraceError) -> Problem:
    where = f", row {error.row}" if error.row else ""
    where += f", column {error.column}" if error.column else ""
    return Problem(
        NUMBER,
        Weight.ERROR,
        entry.span,
        f"The recording {error.name}{where}: {error.reason}.",
        "mend the file, or the columns behind its name: 'trace cranking: start.csv, time s, current A, mark (1)'",
    )
