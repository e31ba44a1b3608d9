"""The engine on its pages: the plan as it is now, small plans of a day, and the engine in a few words."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.diagnosis.answers import CylinderState, Diagnosis
from logbook.job.model import Engine, Job, Place
from logbook.pages import plan as drawing
from logbook.pages.naming import part_name
from logbook.pages.phrases import voice_of
from logbook.pages.words import capital

_FUEL_TRADE = {"port": "port injection", "direct": "direct injection", "single-point": "one injector for all"}
_SPARK_TRADE = {
    "on-plug": "coil on plug",
    "near-plug": "a coil beside each plug",
    "pair": "coils shared by pairs",
    "one": "one coil and a distributor",
}


@dataclass(frozen=True, slots=True)
class EngineView:
    id: str
    heading: str  # "" where the job has one engine
    plan: drawing.Plan


def engine_views(job: Job, diagnosis: Diagnosis) -> tuple[EngineView, ...]:
    """One view an engine of the card that says where its cylinders are."""
    views = (_view(job, diagnosis, engine) for engine in job.engines)
    return tuple(v for v in views if v)


def engine_words(engine: Engine, *, us: bool = False) -> str:
    """'V6, coil on plug, port injection'."""
    spark = _SPARK_TRADE.get(engine.ignition, "")
    leads = "leads" if engine.leads and engine.ignition in ("pair", "near-plug") else ""
    carburetor = "carburetor" if us else "carburettor"
    fuel = carburetor if engine.fuelling == "carburettor" else _FUEL_TRADE.get(engine.fuelling, "")
    return ", ".join(w for w in (capital(drawing.engine_name(engine)), spark, leads, fuel) if w)


def small_plans(job: Job, diagnosis: Diagnosis) -> dict[int, tuple[drawing.SmallPlan, ...]]:
    """The plans at the end of each day, by the last step of the day; one an engine."""
    return {
        step: tuple(p for e in job.engines if (p := drawing.small_plan(e, states_of(states, e), lying=True)))
        for step, states in diagnosis.states_by_day
    }


def states_of(found: tuple[tuple[Place, CylinderState], ...], engine: Engine) -> dict[int, CylinderState]:
    return {p.cylinder: s for p, s in found if p.engine == engine.name}


def _view(job: Job, diagnosis: Diagnosis, engine: Engine) -> EngineView | None:
    shown = drawing.plan(engine, states_of(diagnosis.states, engine), _moved_tags(job, engine))
    if shown is None:
        return None
    heading = ""
    if len(job.engines) > 1:
        heading = f"Engine {engine.name}" if engine.name else "The engine of the card"
    return EngineView(f"plan-{engine.name.lower()}" if engine.name else "plan", heading, shown)


def _moved_tags(job: Job, engine: Engine) -> dict[int, tuple[str, ...]]:
    """Names of the parts that are not where they began, at the cylinder where they are now."""
    names: dict[int, tuple[str, ...]] = {}
    parts = {p.id: p for p in job.parts}
    began = {(s.part, s.place) for s in job.stays if s.since < 0}
    for (_, place), part in sorted(job.mounted().items()):
        if place.engine == engine.name and (part, place) not in began:
            tag = drawing.tag(part_name(voice_of(job.units), parts[part], parts[part].home))
            names[place.cylinder] = (*names.get(place.cylinder, ()), tag)
    return names
