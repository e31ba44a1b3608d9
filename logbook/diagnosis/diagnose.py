"""From a job to its diagnosis: the one way in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from itertools import groupby

from logbook.diagnosis import causes, standing
from logbook.diagnosis.answers import NOTHING, CheckAgain, CylinderState, Diagnosis
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.elimination import TooWide
from logbook.diagnosis.evidence import Readings, findings, states_seen
from logbook.diagnosis.explain import seen
from logbook.diagnosis.knowledge import Knowledge, load
from logbook.diagnosis.learning import Lesson, learned_base, lessons_before
from logbook.diagnosis.naming import entry_words
from logbook.diagnosis.network import Network
from logbook.diagnosis.next_step import propose
from logbook.diagnosis.plan import least_cost
from logbook.diagnosis.trouble import Trouble, places, probe, state_after, state_findings, troubles
from logbook.job.model import Job, Place

MISREADING = 0.35  # P(misreading | all entries) from which an entry is named; tried on simulated jobs
States = tuple[tuple[Place, CylinderState], ...]


def believe(job: Job, knowledge: Knowledge | None = None, earlier: Sequence[Lesson] = ()) -> Belief:
    """The network of a job with all its evidence.

    Where that is too wide weak and dead are one, and where that does not help the dullest readings are left out.
    """
    known = knowledge or load()
    base = learned_base(known, lessons_before(earlier, job))
    for coarse in (False, True):
        with suppress(TooWide):
            return _believe(job, known, base, coarse, whole=True)
    return _believe(job, known, base, coarse=False, whole=False)


def _believe(job: Job, known: Knowledge, base: Mapping[str, float], coarse: bool, whole: bool) -> Belief:
    readings = Readings(job, known)
    network = Network(job, known, base, states_seen(readings), coarse=coarse)
    found, unread = findings(network, readings)
    network.close()
    probe(network, found)
    belief = Belief(network, found, whole=whole)
    belief.unread = unread
    return belief


def diagnose(
    job: Job, knowledge: Knowledge | None = None, earlier: Sequence[Lesson] = (), folder: str = ""
) -> Diagnosis:
    """What is wrong, how sure that is and why, and what to do next.

    ``earlier`` are lessons of other jobs; only those proved before this job's first day count. ``folder`` is where they
    were read from. Pure: the same values give the same answer, with chances rounded to 1e-9.
    """
    if not any(engine.cylinders for engine in job.engines):
        return standing.without_engine(job)
    used = lessons_before(earlier, job)
    belief = believe(job, knowledge, earlier)
    found = troubles(belief)
    cylinders = tuple(causes.cylinder_answer(belief, t) for t in found)
    shared = causes.shared_answers(belief, found)
    states = states_now(belief)
    steps = propose(belief, found)
    plan, minutes = least_cost(belief, found, steps)
    again = check_again(belief)
    stands, why = standing.standing(belief, found, cylinders)
    # what was taken apart after its proof throws no doubt on the repair
    doubted = () if stands in ("proved", "handed over") else cylinders
    blocked = standing.tuning_blocked(states, doubted)
    open_steps = steps if stands in ("looking", "found", "repaired") else ()
    return Diagnosis(
        cylinders=cylinders,
        states=states,
        states_by_day=states_by_day(belief),
        shared=shared,
        next=open_steps,
        plan=plan if open_steps else (),
        plan_minutes=minutes if open_steps else 0.0,
        check_again=again,
        standing=stands,
        standing_why=why,
        stand=(),
        one_line="",
        tuning_blocked=blocked,
        approximate=belief.approximate,
        unread=belief.unread,
        learned_from=len(used),
        learned_folder=folder if used else "",
    )


def states_now(belief: Belief) -> States:
    """Every cylinder's state as it stands now."""
    found = state_findings(belief)
    return tuple((p, state_after(belief, p, found.get(p, []))) for p in places(belief.network))


def states_by_day(belief: Belief) -> tuple[tuple[int, States], ...]:
    """Every cylinder's state at the end of each day that has entries: (last entry of the day, states)."""
    dated = [(e.entry.day, e.entry.index) for e in belief.network.job.entries if e.entry.day is not None]
    found = state_findings(belief)
    days = []
    for _, group in groupby(dated, key=lambda pair: pair[0]):
        last = max(index for _, index in group)
        states = tuple((p, state_after(belief, p, found.get(p, []), last)) for p in places(belief.network))
        days.append((last, states))
    return tuple(days)


def misreadings(belief: Belief) -> dict[int, tuple[float, str]]:
    """For each entry P(misreading | all entries) of its most doubtful reading, and what that is a reading of."""
    worst: dict[int, tuple[float, str]] = {}
    for finding in belief.findings:
        if finding.reading.test == "look":
            continue  # what the eye finds beside the point is there all the same
        p = causes.rounded(belief.misread(finding))
        if finding.entry not in worst or p > worst[finding.entry][0]:
            worst[finding.entry] = (p, finding.reading.subject)
    return worst


def check_again(belief: Belief) -> tuple[CheckAgain, ...]:
    """Entries that are more likely than not to be misreadings, or nearly so, given all the others."""
    job = belief.network.job
    doubtful = [(entry, p, subject) for entry, (p, subject) in misreadings(belief).items() if p >= MISREADING]
    return tuple(
        CheckAgain(entry, p, _again_words(entry_words(job, entry), subject, seen(belief, entry), p))
        for entry, p, subject in sorted(doubtful, key=lambda row: (-row[1], row[0]))
    )


def _again_words(entry: str, subject: str, said: str, p: float) -> str:
    at = f" at {subject}" if subject else ""
    how = "does not go with the rest" if p >= 0.5 else "goes badly with the rest"
    return f"Check {entry}{at} again ({said}): it {how}."


__all__ = ["NOTHING", "Trouble", "believe", "diagnose"]
