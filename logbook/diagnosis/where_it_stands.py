"""Where a job stands, by rules that the page states."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.diagnosis.answers import (
    Cause,
    CylinderAnswer,
    CylinderState,
    Diagnosis,
    SharedAnswer,
    Standing,
)
from logbook.diagnosis.case import Case, kind_of
from logbook.diagnosis.naming import entry_words, joined
from logbook.diagnosis.questions import Question
from logbook.job.model import FoundCause, Job, Place

SETTLED = 0.95
REPAIRS = frozenset({"fit", "repair", "clean", "adjust", "swap", "move"})
RULES: tuple[tuple[Standing, str], ...] = (
    (
        "looking",
        "No cause is at 0.95 or more and no 'cause' entry names one, or it was put right and that did not help.",
    ),
    ("found", "One cause is at 0.95 or more, or a 'cause' entry names it."),
    ("repaired", "It was found, something was fitted, mended or cleaned, and every cylinder in trouble now works."),
    ("proved", "It was repaired, and a test marked 'proved' is good that had been bad before."),
    ("handed over", "An entry says that it was handed over."),
)


def without_engine(job: Job) -> Diagnosis:
    """A job whose engine is not known yet: nothing to reason about."""
    stands: Standing = "handed over" if job.handed_over else "looking"
    why = "The log does not say what engine it is." if stands == "looking" else "An entry says that it was handed over."
    return Diagnosis((), (), (), (), (), (), 0.0, (), stands, why, (), "")


def standing(
    case: Case,
    asked: Sequence[Question],
    engines: Sequence[Question],
    cylinders: Sequence[CylinderAnswer],
    shared: Sequence[SharedAnswer],
) -> tuple[Standing, str]:
    """The standing of a job and the sentence that says by which rule."""
    job = case.job
    since = max(_last_bad(case, asked, engines), *job.came_back, -1)
    if job.handed_over is not None and not _after(job, since):
        return "handed over", f"Handed over on {_day(job)}."
    proofs = _proofs(case, since)
    if proofs:
        return "proved", f"Proved by {entry_words(job, proofs[-1])}."
    since = max(job.came_back, default=-1)
    found = _found(job, cylinders, engines, shared, since)
    still = _outlived(case, asked, cylinders)
    if still and not _named(job, since):
        do = "does" if len(still) == 1 else "do"
        return "looking", f"What was found at {joined(still)} was put right, and {joined(still)} still {do} not work."
    if not found and not asked and not engines:
        return "looking", "No cylinder is known to be in trouble."
    if not found:
        return "looking", "No cause is sure enough yet, and no 'cause' entry names one."
    if _repaired(job, case, asked, since):
        return "repaired", "What was in trouble works again; a test marked 'proved' is still to come."
    return "found", found


def _last_bad(case: Case, asked: Sequence[Question], engines: Sequence[Question]) -> int:
    """The last entry that showed trouble which is still there: no proof before it counts."""
    open_ones = [q for q in (*asked, *engines) if q.in_trouble or q.place is None]
    numbers = [i for q in open_ones for i in (q.shown if q.place is None else case.states_seen.get(q.place, []))]
    return max((case.observation(i).entry for i in numbers if case.is_bad(i)), default=-1)


def _day(job: Job) -> str:
    day = job.handed_over
    return f"{day.day} {day:%B} {day.year}" if day else ""


def _after(job: Job, entry: int) -> bool:
    """Whether it was in trouble again after it was handed over."""
    if entry < 0 or job.handed_over is None:
        return False
    day = job.entries[entry].entry.day
    over = [e.entry.index for e in job.entries if e.entry.kind == "handed over"]
    if day is None or day != job.handed_over:
        return day is not None and day > job.handed_over
    return entry in job.came_back or entry > max(over, default=entry)


def _proofs(case: Case, since: int) -> list[int]:
    """Entries marked as proof that show no trouble any more."""
    good: dict[int, bool] = {}
    for number, o in enumerate(case.problem.observations):
        if o.seen and o.reading is not None and o.reading.proved and o.entry > since:
            good[o.entry] = good.get(o.entry, True) and not case.is_bad(number)
    for reading in case.job.readings:
        if reading.proved and reading.counts and reading.entry > since:
            good.setdefault(reading.entry, True)
    return sorted(entry for entry, fine in good.items() if fine)


def _found(
    job: Job,
    cylinders: Sequence[CylinderAnswer],
    engines: Sequence[Question],
    shared: Sequence[SharedAnswer],
    since: int,
) -> str:
    named = _named(job, since)
    if named:
        return f"Named as found: {entry_words(job, named[-1].entry)}."
    open_ones = [c for c in cylinders if c.complaint != "fires" or c.state in ("dead", "weak")]
    if open_ones and all(c.settled for c in open_ones):
        return "One cause is at 0.95 or more for every cylinder in trouble."
    if engines and not open_ones and any(s.probability >= SETTLED for s in shared):
        return "One cause beyond one cylinder is at 0.95 or more."
    return ""


def _named(job: Job, since: int) -> list[FoundCause]:
    return [c for c in job.causes if c.entry > since]


def _outlived(case: Case, asked: Sequence[Question], cylinders: Sequence[CylinderAnswer]) -> list[int]:
    """Cylinders that still do not work though the cause that is settled for them was put right."""
    return [
        answer.place.cylinder
        for question, answer in zip(asked, cylinders, strict=True)
        if answer.settled and question.in_trouble and _is_put_right(case, answer.place, answer.causes[0])
    ]


def _is_put_right(case: Case, place: Place, cause: Cause) -> bool:
    """Whether a repair of it was done; a part is out of harm's way where it no longer serves the cylinder."""
    if cause.part:
        engine = case.engine(place.engine)
        kind = kind_of(cause.part)
        return engine is not None and case.mounted.get((kind, engine.seat(kind, place.cylinder))) != cause.part
    mine = [f for f in case.problem.faults if f.row == cause.fault and f.cylinders == cause.cylinders]
    return any(way.until is not None and _is_repair(case.job, way.until) for fault in mine for way in fault.ways)


def _is_repair(job: Job, step: int) -> bool:
    return any(e.step == step and e.action in REPAIRS for e in job.events)


def _repaired(job: Job, case: Case, asked: Sequence[Question], since: int) -> bool:
    first = min((case.observation(i).step for q in asked for i in q.shown), default=-1)
    done = any(e.action in REPAIRS and e.step > max(first, since) for e in job.events)
    return done and bool(asked) and all(q.state == "fires" for q in asked)


def tuning_blocked(states: Sequence[tuple[Place, CylinderState]], cylinders: Sequence[CylinderAnswer]) -> str:
    """Why mixture, timing and boost are left alone for now, or ''."""
    bad = [p.cylinder for p, s in states if s in ("dead", "weak")]
    suspected = [c.place.cylinder for c in cylinders if c.state == "not known"]
    if bad:
        return (
            f"No tuning while {joined(bad)} {'does' if len(bad) == 1 else 'do'} not work: the mixture gauge reads the "
            "air of a dead cylinder as lean, and fuel added for it floods the others."
        )
    if suspected:
        work = "works" if len(suspected) == 1 else "work"
        return f"No tuning before it is known whether {joined(suspected)} {work} again."
    return ""
