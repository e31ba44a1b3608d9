"""Where a job stands, by rules that the page states, and the paragraphs that say so."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.diagnosis.answers import (
    CylinderAnswer,
    CylinderState,
    Diagnosis,
    SharedAnswer,
    Standing,
    Step,
)
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.explain import chance_words
from logbook.diagnosis.naming import day_words, entry_words, joined
from logbook.diagnosis.trouble import Trouble
from logbook.job.model import FoundCause, Job, Place

SETTLED = 0.95
REPAIRS = frozenset({"fit", "repair", "clean", "adjust", "swap", "move"})
RULES: tuple[tuple[Standing, str], ...] = (
    ("looking", "No cause is at 0.95 or more, and no 'cause' entry names one."),
    ("found", "One cause is at 0.95 or more, or a 'cause' entry names it."),
    ("repaired", "It was found, something was fitted, mended or cleaned, and every cylinder in trouble now works."),
    ("proved", "It was repaired, and a test marked 'proved' is good that had been bad before."),
    ("handed over", "An entry says so."),
)


def without_engine(job: Job) -> Diagnosis:
    """A job whose engine is not known yet: nothing to reason about."""
    stands: Standing = "handed over" if job.handed_over else "looking"
    why = "The log does not say what engine it is." if stands == "looking" else "An entry says that it was handed over."
    return Diagnosis((), (), (), (), (), (), 0.0, (), stands, why, (), job.title)


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
    named = [c for c in job.causes if c.entry > since]
    if named:
        return f"Named as found: {entry_words(job, named[-1].entry)}."
    open_ones = [c for c in cylinders if c.complaint != "fires" or c.state in ("dead", "weak")]
    if open_ones and all(c.settled for c in open_ones):
        return "One cause is at 0.95 or more for every cylinder in trouble."
    return ""


def _repaired(job: Job, troubles: Sequence[Trouble], since: int) -> bool:
    first = min((t.step for t in troubles), default=-1)
    done = any(e.action in REPAIRS and e.step > max(first, since) for e in job.events)
    return done and bool(troubles) and all(t.state == "fires" for t in troubles)


def found_words(job: Job, cause: FoundCause) -> str:
    """The cause as the log names it: 'the coil found in 4 (boot split)'."""
    if cause.part:
        name = job.part(cause.part).called()
    else:
        thing = f"{cause.part_kind} {cause.what}" if cause.part_kind and cause.part_kind != cause.what else cause.what
        name = f"{thing} at {joined([p.cylinder for p in cause.places])}" if cause.places else thing
    return f"{name} ({cause.remark})" if cause.remark and name else cause.remark or name or cause.text.strip()


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


def _name(top: CylinderAnswer) -> str:
    if not top.causes or (top.none > top.causes[0].probability and top.none > 0.4):
        return "nothing that the tables know explains it"
    if top.several >= 0.5 and len(top.causes) > 1:
        return f"several faults at once: {top.causes[0].label} and {top.causes[1].label}"
    return f"{top.causes[0].label} ({chance_words(top.causes[0].probability)})"


def paragraphs(
    job: Job,
    stands: Standing,
    cylinders: Sequence[CylinderAnswer],
    shared: Sequence[SharedAnswer],
    steps: Sequence[Step],
    states: Sequence[tuple[Place, CylinderState]],
) -> tuple[str, ...]:
    """'Where it stands': the trouble and its cause, what is done, what comes next."""
    out = []
    strong = [s for s in shared if s.probability >= 0.5 and len(s.cylinders) > 1]
    covered = {c for s in strong for c in s.cylinders}
    for one in strong:
        out.append(one.sentence)
    proved = stands in ("proved", "handed over")
    for answer in cylinders:
        if answer.place.cylinder in covered or (answer.complaint == "fires" and stands not in ("looking", "found")):
            continue
        where = f"Cylinder {answer.place.cylinder}"
        was = answer.complaint if answer.complaint in ("dead", "weak") else "in trouble"
        now = {"fires": "works again", "dead": "is dead", "weak": "is weak"}.get(
            answer.state, "worked again when it was proved" if proved else "has not been looked at since"
        )
        came = (
            f"{where} was {was} and {now}."
            if answer.complaint != "fires" and answer.state != answer.complaint
            else f"{where} {now}."
        )
        sure = answer.several >= 0.5 or any(c.probability >= 0.5 for c in answer.causes)
        out.append(f"{came} {'Cause' if sure else 'Likeliest so far'}: {_name(answer)}.")
    for cause in job.causes:
        day = day_words(job, cause.entry)
        out.append(f"Found{f' on {day}' if day else ''}: {found_words(job, cause)}.")
    if stands == "handed over":
        out.append(f"Handed over on {_day(job)}.")
    if steps:
        first = next((s for s in steps if not s.blocked), steps[0])
        out.append(f"Next: {first.title[:1].lower() + first.title[1:]}; {first.why}.")
    if not out:
        dead = [p.cylinder for p, s in states if s in ("dead", "weak")]
        out.append(f"In trouble: {joined(dead)}." if dead else "No cylinder is in trouble by what the log says.")
    return tuple(out)


def one_line(
    job: Job,
    stands: Standing,
    cylinders: Sequence[CylinderAnswer],
    shared: Sequence[SharedAnswer],
    states: Sequence[tuple[Place, CylinderState]],
) -> str:
    """The job in one line, for the shelf."""
    if job.causes and stands != "looking":
        return found_words(job, job.causes[-1])
    strong = next((s for s in shared if s.probability >= 0.5 and len(s.cylinders) > 1), None)
    if strong is not None:
        return strong.label
    original = [c for c in cylinders if c.complaint != "fires"]
    if original:
        parts = [f"{c.place.cylinder}: {_name(c)}" for c in original[:3]]
        return "; ".join(parts)
    dead = [p.cylinder for p, s in states if s in ("dead", "weak")]
    return f"in trouble: {joined(dead)}" if dead else "nothing amiss so far"
