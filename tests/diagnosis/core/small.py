"""The tables cut down to a few faults and tests, so that a job is answered in no time."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from logbook.diagnosis.belief import solve
from logbook.diagnosis.case import Case
from logbook.diagnosis.framing import Framing
from logbook.diagnosis.knowledge import Tables, load
from logbook.job.model import Job

FAULTS = ("coil_dead", "coil_breaks_down", "plug_dead", "coil_loom", "pump_dead")
TESTS = (
    "firing",
    "comes and goes",
    "cut-out",
    "spark",
    "pulse at a coil",
    "fuel pressure",
    "click of the pump",
    "crank",
)


@cache
def small_tables() -> Tables:
    known = load()
    return replace(
        known,
        faults={name: known.faults[name] for name in FAULTS},
        tests={name: known.tests[name] for name in TESTS},
        swaps={kind: known.swaps[kind] for kind in ("coil", "plug")},
        work=tuple(w for w in known.work if set(w.faults) & set(FAULTS)),
    )


def small_case(job: Job, tables: Tables | None = None) -> Case:
    known = tables or small_tables()
    framing = Framing(job, known, {})
    return Case(job, known, framing.problem, solve(framing.problem), framing.observations.unread)
