"""The engine on its page: the plan as it is now, what stands where, the order of firing, one small plan a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from logbook.diagnosis.answers import CylinderState, Diagnosis
from logbook.job.model import Engine, Job, Place, Reading
from logbook.pages import plan as drawing
from logbook.pages.frame import Cell, Column, Link, Table
from logbook.pages.values import is_absent, unit_sign, value_words
from logbook.pages.words import brief_date, capital, listed, short_date

MOST_DAYS = 12
_FUEL_TRADE = {"port": "port injection", "direct": "direct injection", "single-point": "one injector for all"}
_SPARK_TRADE = {
    "on-plug": "coil on plug",
    "near-plug": "a coil beside each plug",
    "pair": "coils shared by pairs",
    "one": "one coil and a distributor",
}


@dataclass(frozen=True, slots=True)
class DayPlan:
    """One day of the strip. ``states`` and ``tags`` are for the script that shows the day in the large plan."""

    day: str
    link: Link
    plan: drawing.SmallPlan
    summary: str
    shown: bool  # it is the one drawn above
    states: str  # '1=fires 2=dead'
    tags: str  # '1=coil A2;injector A1 2=...'


@dataclass(frozen=True, slots=True)
class EngineView:
    id: str
    heading: str  # "" where the job has one engine
    plan: drawing.Plan
    table: Table
    asides: tuple[str, ...]
    ruler: drawing.Ruler | None
    days: tuple[DayPlan, ...]
    wide: bool  # the plans of the strip lie


def engine_views(job: Job, diagnosis: Diagnosis) -> tuple[EngineView, ...]:
    """One view an engine of the card that says where its cylinders are."""
    views = (_view(job, diagnosis, engine) for engine in job.engines)
    return tuple(v for v in views if v)


def engine_words(engine: Engine) -> str:
    """'V6, coil on plug, port injection'."""
    spark = _SPARK_TRADE.get(engine.ignition, "")
    leads = "leads" if engine.leads and engine.ignition in ("pair", "near-plug") else ""
    fuel = "carburettor" if engine.fuelling == "carburettor" else _FUEL_TRADE.get(engine.fuelling, "")
    return ", ".join(w for w in (capital(drawing.engine_name(engine)), spark, leads, fuel) if w)


def short_engine_words(engine: Engine) -> str:
    """'V6, coil on plug': for a row of the shelf."""
    spark = _SPARK_TRADE.get(engine.ignition, "")
    return ", ".join(w for w in (capital(drawing.engine_name(engine)), spark) if w)


def banks_words(engine: Engine) -> str:
    """'left 1 3 5, right 2 4 6'; '1 2 3 4' where the one bank has no name."""
    return ", ".join(f"{b.name} {' '.join(map(str, b.cylinders))}".strip() for b in engine.banks)


def _view(job: Job, diagnosis: Diagnosis, engine: Engine) -> EngineView | None:
    states = _states(diagnosis.states, engine)
    kinds = _moved_kinds(job, engine)
    shown = drawing.plan(engine, states, _tags(job, engine, kinds, None))
    if shown is None:
        return None
    heading = ""
    if len(job.engines) > 1:
        heading = f"Engine {engine.name}" if engine.name else "The engine of the card"
    name = f"plan-{engine.name.lower()}" if engine.name else "plan"
    return EngineView(
        name,
        heading,
        shown,
        _table(job, engine, states, kinds),
        _asides(engine, kinds),
        drawing.ruler(engine, states),
        _days(job, diagnosis, engine, kinds),
        _lies(engine),
    )


def _states(found: tuple[tuple[Place, CylinderState], ...], engine: Engine) -> dict[int, CylinderState]:
    return {p.cylinder: s for p, s in found if p.engine == engine.name}


def _moved_kinds(job: Job, engine: Engine) -> tuple[str, ...]:
    """Kinds of part of which at least one has a name or has left its place, in the order a cylinder is served."""
    telling = {s.part for s in job.stays if s.place.engine == engine.name and (s.until is not None or s.since >= 0)}
    named = {p.kind for p in job.parts if p.id in telling or (p.tag and p.home and p.home.engine == engine.name)}
    return tuple(k for k in ("coil", "lead", "plug", "injector") if k in named)


def _tags(job: Job, engine: Engine, kinds: tuple[str, ...], step: int | None) -> dict[int, tuple[str, ...]]:
    """Names of the parts at each cylinder, for those kinds of which one has moved."""
    mounted = job.mounted(step)
    names = {p.id: drawing.tag(f"{p.kind} {p.name}") for p in job.parts}
    at = {c: [mounted.get((k, engine.seat(k, c))) for k in kinds] for c in engine.cylinders}
    return {c: tuple(names[p] for p in parts if p) for c, parts in at.items()}


def _table(job: Job, engine: Engine, states: dict[int, CylinderState], kinds: tuple[str, ...]) -> Table:
    drops = _last(job, engine, "cut-out")
    mounted = job.mounted()
    names = {p.id: p.name for p in job.parts}
    columns = [Column("Place"), Column("Now")]
    if drops:
        unit = next((unit_sign(r.value.quantity.unit) for r in drops.values() if r.value.quantity), "")
        columns.append(Column(f"Drop, {unit}" if unit else "Drop", number=True))
    columns += [Column(capital(k)) for k in kinds]
    rows = []
    for cylinder in engine.cylinders:
        state = states.get(cylinder, "not known")
        row = [Cell(str(cylinder)), Cell(state, strong=state == "dead", soft=state == "not known")]
        if drops:
            row.append(_drop(job, drops.get(cylinder)))
        for kind in kinds:
            part = mounted.get((kind, engine.seat(kind, cylinder)))
            row.append(Cell(names[part]) if part else Cell("none", soft=True))
        rows.append(tuple(row))
    day = short_date(job.last_day) if job.last_day else "now"
    return Table(f"What stands where on {day}" if job.last_day else "What stands where", tuple(columns), tuple(rows))


def _last(job: Job, engine: Engine, test: str) -> dict[int, Reading]:
    found = [r for r in job.readings if r.test == test and r.counts and r.place and r.place.engine == engine.name]
    return {r.place.cylinder: r for r in found if r.place and r.value.quantity} | {
        r.place.cylinder: r for r in found if r.place and not r.value.quantity and _only(found, r)
    }


def _only(found: list[Reading], reading: Reading) -> bool:
    """Has this place words alone?"""
    return not any(r.place == reading.place and r.value.quantity for r in found)


def _drop(job: Job, reading: Reading | None) -> Cell:
    """The last drop; one from before a part came into the place says so, as the state beside it is newer."""
    if reading is None or is_absent(reading.value):
        return Cell("not tested", soft=True)
    moved = any(s.place == reading.place and s.since > reading.step for s in job.stays)
    return Cell(value_words(reading.value, unit=False), soft=moved, note="before the move" if moved else "")


def _asides(engine: Engine, kinds: tuple[str, ...]) -> tuple[str, ...]:
    said = []
    still = [f"{k}s" for k in engine.part_kinds if k not in kinds]
    if kinds and still:
        verb = "stand where they stood"
        said.append(f"{capital(listed(still))} {verb} when the log began.")
    for group in engine.groups:
        if len(group.cylinders) > 1 and len(group.cylinders) < len(engine.cylinders):
            said.append(f"One {group.kind} serves {listed(str(c) for c in group.cylinders)}.")
    return tuple(said)


def _days(job: Job, diagnosis: Diagnosis, engine: Engine, kinds: tuple[str, ...]) -> tuple[DayPlan, ...]:
    """At most ``MOST_DAYS`` days: those on which a state changed, and the last."""
    strip: list[tuple[int, date | None, dict[int, CylinderState]]] = []
    for step, found in diagnosis.states_by_day:
        states = _states(found, engine)
        if states and 0 <= step < len(job.entries):
            strip.append((step, job.entries[step].entry.day, states))
    changed = [n for n in range(len(strip)) if n in (0, len(strip) - 1) or strip[n][2] != strip[n - 1][2]]
    kept = [strip[n] for n in (range(len(strip)) if len(strip) <= MOST_DAYS else changed[-MOST_DAYS:])]
    if len(kept) < 2:
        return ()
    return tuple(
        _day(job, engine, kinds, step, day, states, last=n == len(kept) - 1)
        for n, (step, day, states) in enumerate(kept)
    )


def _lies(engine: Engine) -> bool:
    """A long row of cylinders lies in the strip: upright it would fill a column for one day."""
    return len(engine.banks) == 1 and len(engine.cylinders) > 4


def _day(
    job: Job,
    engine: Engine,
    kinds: tuple[str, ...],
    step: int,
    day: date | None,
    states: dict[int, CylinderState],
    *,
    last: bool,
) -> DayPlan:
    when = short_date(day)
    small = drawing.small_plan(engine, states, lying=_lies(engine), when=when)
    assert small is not None  # an engine without banks has no view
    summary = drawing.states_summed(engine, states)
    tags = _tags(job, engine, kinds, step)
    return DayPlan(
        brief_date(day) if day else when,
        Link(when, anchor=f"day-{day.isoformat()}" if day else "day-unknown"),
        small,
        summary,
        last,
        ";".join(f"{c}={s}" for c, s in sorted(states.items())),
        ";".join(f"{c}={'|'.join(t)}" for c, t in sorted(tags.items()) if t),
    )
