"""Where a job stands, by rules that the page states."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.diagnosis.answers import (
    Cause,
    CylinderAnswer,
    CylinderState,
    Diagnosis,
    Standing,
)
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.naming import entry_words, joined
from logbook.diagnosis.subjects import part_at
from logbook.diagnosis.trouble import Trouble
from logbook.diagnosis.versions import NOW
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


def standing(belief: Belief, troubles: Sequence[Trouble], cylinders: Sequence[CylinderAnswer]) -> tuple[Standing, str]:
    """The standing of a job and the sentence that says by which rule."""
    job = belief.network.job
    since = max(job.came_back, default=-1)
    if job.handed_over is not None and not _after(job, since):
        return "handed over", f"Handed over on {_day(job)}."
    proofs = _proofs(belief, since)
    if proofs:
        return "proved", f"Proved by {entry_words(job, proofs[-1])}."
    found = _found(job, cylinders, since)
    still = _outlived(belief, troubles, cylinders)
    if still and not _named(job, since):
        do = "does" if len(still) == 1 else "do"
        return "looking", f"What was found at {joined(still)} was put right, and {joined(still)} still {do} not work."
    if not found and not troubles:
        return "looking", "No cylinder is known to be in trouble."
    if not found:
        return "looking", "No cause is sure enough yet, and no 'cause' entry names one."
    if _repaired(job, troubles, since):
        return "repaired", "What was in trouble works again; a test marked 'proved' is still to come."
    return "found", found


def _day(job: Job) -> str:
    day = job.handed_over
    return f"{day.day} {day:%B} {day.year}" if day else ""


def _after(job: Job, came_back: int) -> bool:
    """Whether it came back after it was handed over."""
    if came_back < 0 or job.handed_over is None:
        return False
    day = job.entries[came_back].entry.day
    return day is not None and day >= job.handed_over


def _proofs(belief: Belief, since: int) -> list[int]:
    """Entries marked as proof that show no trouble any more."""
    job = belief.network.job
    good: dict[int, bool] = {}
    for finding in belief.findings:
        if finding.reading.proved and finding.entry > since:
            like = finding.likelihood
            good[finding.entry] = good.get(finding.entry, True) and like[0] >= max(like[1:])
    for reading in job.readings:
        if reading.proved and reading.counts and reading.entry > since:
            good.setdefault(reading.entry, True)
    return sorted(entry for entry, fine in good.items() if fine)


def _found(job: Job, cylinders: Sequence[CylinderAnswer], since: int) -> str:
    named = _named(job, since)
    if named:
        return f"Named as found: {entry_words(job, named[-1].entry)}."
    open_ones = [c for c in cylinders if c.complaint != "fires" or c.state in ("dead", "weak")]
    if open_ones and all(c.settled for c in open_ones):
        return "One cause is at 0.95 or more for every cylinder in trouble."
    return ""


def _named(job: Job, since: int) -> list[FoundCause]:
    return [c for c in job.causes if c.entry > since]


def _outlived(belief: Belief, troubles: Sequence[Trouble], cylinders: Sequence[CylinderAnswer]) -> list[int]:
    """Cylinders that still do not work though the cause that is settled for them was put right."""
    return [
        trouble.place.cylinder
        for trouble, answer in zip(troubles, cylinders, strict=True)
        if answer.settled and trouble.state in ("dead", "weak") and _is_put_right(belief, trouble, answer.causes[0])
    ]


def _is_put_right(belief: Belief, trouble: Trouble, cause: Cause) -> bool:
    """Whether a repair of it was done; a part is out of harm's way where it no longer serves the cylinder."""
    network = belief.network
    if cause.part:
        engine = network.engine(trouble.place.engine)
        kind = cause.part.partition("/")[0]
        return engine is not None and part_at(engine, kind, trouble.place.cylinder, network.mounted(NOW)) != cause.part
    chains = (
        chain
        for (fault, subject), chain in network.versions.items()
        if fault == cause.fault and not subject.part and set(cause.cylinders) == set(subject.cylinders)
    )
    return any(network.mended.get(version) for chain in chains for version in chain)


def _repaired(job: Job, troubles: Sequence[Trouble], since: int) -> bool:
    first = min((t.step for t in troubles), default=-1)
    done = any(e.action in REPAIRS and e.step > max(first, since) for e in job.events)
    return done and bool(troubles) and all(t.state == "fires" for t in troubles)


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
