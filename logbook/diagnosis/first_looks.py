"""What comes before and after all reasoning: empty seats filled, all cylinders looked at, a repair proved."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

from logbook.diagnosis import guards
from logbook.diagnosis.answers import Outcome, Step
from logbook.diagnosis.case import Case
from logbook.diagnosis.naming import joined
from logbook.diagnosis.questions import LOOK, Question
from logbook.job.model import Job

ROAD = 20.0  # minutes of a drive, judgement
MINUTES = {"coil": 4.0, "lead": 2.0, "plug": 7.0, "injector": 25.0}  # judgement: one part in

UNDER = MappingProxyType(  # how it is proved where it showed under one condition, and the line to write
    {
        "hot": ("cut out every cylinder once more, hot", "proved cut-out:  @ hot"),
        "cold": ("cut out every cylinder once more, cold", "proved cut-out:  @ cold"),
        "wet": ("cut out every cylinder once more, wet", "proved cut-out:  @ wet"),
        "speed": ("cut out every cylinder once more, well above idle", "proved cut-out: "),
    }
)
WARM = ("cut out every cylinder once more, warm", "proved cut-out: ")


def empty_seats(job: Job) -> dict[tuple[str, str], tuple[int, ...]]:
    """The cylinders of an engine that lack a part of a kind that they began with: {(engine, kind): cylinders}."""
    found: dict[tuple[str, str], tuple[int, ...]] = {}
    first, now = job.mounted(-1), job.mounted()
    for engine in job.engines:
        for kind in engine.part_kinds:
            seats = {c: (kind, engine.seat(kind, c)) for c in engine.cylinders}
            out = tuple(c for c, seat in seats.items() if seat in first and seat not in now)
            if out:
                found[engine.name, kind] = out
    return found


def fill(case: Case) -> tuple[Step, ...]:
    """One step for each kind of part that is out: what was taken out goes in again, or something better."""
    steps = []
    for (engine, kind), cylinders in sorted(empty_seats(case.job).items()):
        where, several = joined(cylinders), "s" if len(cylinders) > 1 else ""
        swap = case.tables.swaps.get(kind)
        steps.append(
            Step(
                test=f"fit {kind}",
                kind="fit",
                subject=where,
                title=f"Fit the {kind}{several} of {where} again, or better ones, and start it",
                why=f"a cylinder without its {kind} can't be judged",
                minutes=MINUTES.get(kind, 10.0) * len(cylinders),
                information=0.0,
                rate=0.0,
                tools=(),
                cautions=case.cautions(swap, engine) if swap else (),
                outcomes=(),
                log_as=f"fit {kind}: ",
            )
        )
    return tuple(steps)


def first_look(case: Case, asked: Sequence[Question]) -> tuple[Step, ...]:
    """Where all work again: prove it. Where something is complained of and no cylinder found wanting: look at all."""
    job = case.job
    if asked and not any(q.in_trouble for q in asked):
        return (_proof(case, asked),)
    complaint = any(kind == "symptom" for kind, _ in job.card)
    if not complaint or not any(r.counts for r in job.readings):
        return ()  # a build without a complaint asks for nothing
    seen = [i for numbers in case.states_seen.values() for i in numbers]
    doubted = any(case.belief.misread(i) >= guards.DOUBTED for i in seen)
    if not doubted and any(case.observation(i).test == LOOK for i in seen):
        return ()
    return (_all_cylinders(case, "Cut out the cylinders one by one and note each drop", "cut-out: "),)


def _proof(case: Case, asked: Sequence[Question]) -> Step:
    """A proof counts under the condition that brought the trouble out: heat, cold, wet, load or speed; else warm."""
    shown = [case.observation(q.shown[0]) for q in asked]
    seen = next((o for o in shown if o.condition in UNDER or o.condition == "load"), None)
    if seen and seen.condition == "load":
        return _driven(case)
    how, write = UNDER[seen.condition] if seen else WARM
    speeds = [c.text for c in seen.reading.conditions if "rpm" in c.text] if seen and seen.reading else []
    if speeds and seen and seen.condition == "speed":
        how, write = f"cut out every cylinder once more at {speeds[0]}", f"proved cut-out:  @ {speeds[0]}"
    return _all_cylinders(case, f"Prove it: {how}", write)


def _driven(case: Case) -> Step:
    """The proof of what showed under load alone: nobody cuts cylinders out on the road."""
    engine = case.job.engines[0].name if case.job.engines else ""
    return Step(
        test="firing",
        kind="firing",
        subject="all",
        title="Prove it: drive it, pulling as hard as when it failed",
        why="it showed under load alone, and is proved there alone",
        minutes=ROAD,
        information=0.0,
        rate=0.0,
        tools=(),
        cautions=case.tables.cautions(("road",), case.has(engine)),
        outcomes=(
            Outcome("all fires", 0.0, "it pulls as it should: the repair is proved"),
            Outcome("weak or dead", 0.0, "the repair did not end it: the question stays open"),
        ),
        log_as="proved firing:  @ load",
    )


def _all_cylinders(case: Case, title: str, write: str) -> Step:
    row, engine = case.tables.tests[LOOK], case.job.engines[0].name if case.job.engines else ""
    return Step(
        test=row.name,
        kind=row.kind,
        subject="all",
        title=title,
        why="it says which cylinders work and which do not",
        minutes=case.minutes(row, engine) * max(len(case.places) / 2, 1),
        information=0.0,
        rate=0.0,
        tools=row.tools,
        cautions=case.cautions(row, engine),
        outcomes=tuple(Outcome(w, 0.0, row.means.get(w, "").format(n="it", part="")) for w in row.outcomes),
        log_as=write,
    )
