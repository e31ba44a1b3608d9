"""What to do next: expected information about the repairs in question by the minute, and what outcomes would mean."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from logbook.diagnosis import candidates
from logbook.diagnosis.answers import Outcome, Step
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.candidates import Candidate
from logbook.diagnosis.gains import Gain, leading
from logbook.diagnosis.grouping import Group, grouped, leader, repair_of, strengths
from logbook.diagnosis.knowledge import STATE_EFFECT
from logbook.diagnosis.latents import place_anchor
from logbook.diagnosis.naming import mend, subject_words
from logbook.diagnosis.repair_lines import line as repair_line
from logbook.diagnosis.seats import fill
from logbook.diagnosis.trouble import Trouble, state_after, state_findings
from logbook.diagnosis.versions import NOW
from logbook.job.model import Job, Place
from logbook.job.tools import lacking

MOST_TROUBLES = 3  # cylinders asked about at once; with more, what they share comes first anyway
MOST_STEPS = 12
MOST_WAITING = 4  # of those that wait for a tool
LEAST_BITS = 0.002
SURE_ENOUGH = 0.88  # a repair is proposed when its cause is this sure ...
WASTE = 8.0  # ... and the minutes it would cost in vain, by chance, are fewer than this
WORTH_TRYING = 0.15  # a cause less likely than this is not repaired on trial
TRIED = 2.0  # a repair is tried where it tells this many times more by the minute and the money than any test left
DAY_LONG = 200.0  # minutes of a repair that one wants to be sure of before
CONFIRMS = 4.0  # how much more a test counts that bears on such a repair directly
INVASIVE = 1.25  # minutes count for more where something has to be opened
SETTING_UP = 2.0  # minutes that go with any step


def open_troubles(troubles: Sequence[Trouble]) -> list[Trouble]:
    """Those still to be worked on: in trouble now, or firing again though nothing was changed (it comes and goes)."""
    bad = [t for t in troubles if t.state != "fires" or (t.original and not t.changed)]
    return bad[:MOST_TROUBLES]


def as_it_stands(belief: Belief, trouble: Trouble) -> Trouble:
    """A cylinder still in trouble after something was exchanged is asked what stops it now, not what did at first."""
    if not trouble.changed or trouble.state not in ("dead", "weak"):
        return trouble
    network = belief.network
    condition = network.latents[trouble.latent].condition
    parents = network.parents(network.knowledge.effects[STATE_EFFECT], place_anchor(trouble.place), NOW, condition)
    return replace(trouble, causes=network.causes(parents), strength=strengths(network, parents))


def propose(belief: Belief, troubles: Sequence[Trouble], most: int = MOST_STEPS) -> tuple[Step, ...]:
    """The ``most`` best proposals, best first; those that wait for a tool behind the others."""
    job = belief.network.job
    asked = [as_it_stands(belief, t) for t in open_troubles(troubles)]
    empty = fill(belief.network) if troubles else ()
    if not asked or empty:
        return empty or first_look(belief, troubles)
    day = _day_long(belief, asked)
    found = all_candidates(belief, asked)
    waits = [lacking(job, c.tools) for c in found]
    steps: dict[bool, list[Step]] = {}
    for blocked, count in ((False, most), (True, MOST_WAITING)):
        some = [c for c, wait in zip(found, waits, strict=True) if bool(wait) == blocked]
        effort = [_effort(c, day) for c in some]
        known = [
            _step(job, c, gain, _effort(c, day))
            for c, gain in leading(belief, asked, some, effort, count)
            if gain.bits >= LEAST_BITS
        ]
        steps[blocked] = sorted(known, key=lambda s: (-s.rate, s.title))[:count]
    sure = repairs(belief, asked)
    told = steps[False][0].rate if steps[False] else 0.0
    tried = () if sure else attempts(belief, asked, TRIED * told)
    return (*[*sure, *tried, *steps[False]][:most], *steps[True])


def _effort(candidate: Candidate, day: set[int]) -> float:
    """Minutes as they count: more for what opens something, fewer for what bears on a repair of a day."""
    confirms = CONFIRMS if day & {v for latent in candidate.latents for v, _ in latent.parents} else 1.0
    return (candidate.minutes + SETTING_UP) * (INVASIVE if candidate.invasive else 1.0) / confirms


def all_candidates(belief: Belief, troubles: Sequence[Trouble]) -> list[Candidate]:
    """Tests and exchanges for each trouble, each proposed once."""
    working = _working(belief)
    found: dict[str, Candidate] = {}
    for trouble in troubles:
        for candidate in candidates.tests(belief, trouble):
            found.setdefault(candidate.title, candidate)
        if trouble.state != "fires":
            for candidate in candidates.swaps(belief, trouble, working.get(trouble.place.engine, ())):
                found.setdefault(candidate.title, candidate)
    return list(found.values())


def _working(belief: Belief) -> dict[str, list[int]]:
    seen = state_findings(belief)
    found: dict[str, list[int]] = {}
    for engine in belief.network.job.engines:
        for c in engine.cylinders:
            place = Place(engine.name, c)
            if state_after(belief, place, seen.get(place, [])) == "fires":
                found.setdefault(engine.name, []).append(c)
    return found


def _day_long(belief: Belief, troubles: Sequence[Trouble]) -> set[int]:
    """Faults whose repair takes a day or more and that are likelier than not: they are made sure of before."""
    network = belief.network
    found = set()
    for trouble in troubles:
        groups = grouped(network, trouble.causes)
        for group, p in zip(groups, belief.any_of(groups), strict=True):
            if p >= 0.5 and repair_of(network, group).minutes >= DAY_LONG:
                found |= set(group)
    return found


def _step(job: Job, candidate: Candidate, gain: Gain, effort: float) -> Step:
    outcomes = tuple(
        Outcome(word, round(p, 9), means) for (word, _, means), p in zip(candidate.outcomes, gain.outcomes, strict=True)
    )
    return Step(
        test=candidate.name,
        kind=candidate.kind,
        subject=candidate.subject,
        title=candidate.title,
        why=candidate.why,
        minutes=candidate.minutes,
        information=round(gain.bits, 9),
        rate=round(gain.bits / effort, 9),
        tools=candidate.tools,
        cautions=candidate.cautions,
        outcomes=outcomes,
        log_as=candidate.log_as,
        blocked=lacking(job, candidate.tools),
    )


def repairs(belief: Belief, troubles: Sequence[Trouble]) -> tuple[Step, ...]:
    """Repairs of causes that are sure enough: what to do, with the look afterwards that proves it."""
    network = belief.network
    found: dict[str, Step] = {}
    for trouble in troubles:
        groups = grouped(network, trouble.causes)
        chances = belief.any_of(groups)
        for group, p in sorted(zip(groups, chances, strict=True), key=lambda row: -row[1]):
            wasted = (1 - p) * repair_of(network, group).minutes
            if p < SURE_ENOUGH or wasted > WASTE or _is_off(network.mounted(NOW), belief, group):
                continue
            step = _repair(belief, trouble, group, p, "the cause is sure enough, and nothing but the repair proves it")
            found.setdefault(step.title, step)
    return tuple(found.values())


def attempts(belief: Belief, troubles: Sequence[Trouble], least: float) -> tuple[Step, ...]:
    """A repair on trial, where it tells more than ``least`` bits by the minute and the money: the likeliest by those.

    Never one of a day or more: an engine is not opened on a chance.
    With one fault at work, repairs in falling order of chance over cost have the least expected cost (Heckerman, Breese
    and Rommelse, 1995).
    """
    network = belief.network
    why = "worth trying before what costs more: no test that is left tells as much for its cost"
    for trouble in troubles:
        groups = grouped(network, trouble.causes)
        worth: list[tuple[float, float, Group]] = []
        for group, p in zip(groups, belief.any_of(groups), strict=True):
            repair = repair_of(network, group)
            cost = repair.minutes + repair.money + SETTING_UP
            if p < WORTH_TRYING or repair.minutes >= DAY_LONG or _is_off(network.mounted(NOW), belief, group):
                continue
            if _entropy(p) / cost > least:
                worth.append((round(float(p) / cost, 9), float(p), group))
        if worth:
            _, p, group = max(worth, key=lambda row: row[0])
            return (_repair(belief, trouble, group, p, why),)
    return ()


def _is_off(mounted: object, belief: Belief, group: Group) -> bool:
    """Whether the culprit is a part that stands nowhere any more: what could be done about it has been done."""
    part = belief.network.variables[group[0]].subject.part
    return bool(part) and not _stands_at(mounted, part)


def _repair(belief: Belief, trouble: Trouble, group: Group, p: float, why: str) -> Step:
    network = belief.network
    lead = leader(belief, group)
    variable = network.variables[lead]
    repair = repair_of(network, group)
    cylinder = _stands_at(network.mounted(NOW), variable.subject.part) or trouble.place.cylinder
    held = "the new part is bad too" if variable.subject.part else "the mend does not hold"
    return Step(
        test=f"repair {repair.name}",
        kind="fit" if variable.subject.part else "repair",
        subject=subject_words(network.job, variable.subject),
        title=mend(network.job, network.knowledge, variable, cylinder),
        why=why,
        minutes=repair.minutes,
        information=round(_entropy(p), 9),
        rate=round(p / (repair.minutes + SETTING_UP), 9),
        tools=(),
        cautions=repair.cautions,
        outcomes=(
            Outcome("fires", round(p, 9), "the trouble is gone: prove it with a cut-out"),
            Outcome("dead", round(1 - p, 9), f"the fault is another one, or there are two, or {held}"),
        ),
        log_as=repair_line(repair.name, cylinder, variable.subject.cylinders or (cylinder,)),
    )


def _entropy(p: float) -> float:
    return -sum(x * math.log2(x) for x in (p, 1 - p) if x > 0)


def _stands_at(mounted: object, part: str) -> int:
    return next((place.cylinder for (_, place), p in dict(mounted).items() if p == part), 0)  # type: ignore[call-overload]


def first_look(belief: Belief, troubles: Sequence[Trouble]) -> tuple[Step, ...]:
    """Where all work again: prove it. Where something is complained of and no cylinder found wanting: measure all."""
    job = belief.network.job
    if troubles and not any(t.state != "fires" for t in troubles):
        return (_all_cylinders(belief, "Prove it: cut out every cylinder once more, warm", "proved cut-out: "),)
    complaint = any(kind == "symptom" for kind, _ in job.card)
    if not complaint or not any(r.counts for r in job.readings):
        return ()  # a build without a complaint asks for nothing
    seen = [f for some in state_findings(belief).values() for f in some]
    doubted = any(belief.misread(f) >= candidates.DOUBTED for f in seen)
    if not doubted and any(f.reading.test == "cut-out" for f in seen):
        return ()
    return (_all_cylinders(belief, "Cut out the cylinders one by one and note each drop", "cut-out: "),)


def _all_cylinders(belief: Belief, title: str, log_as: str) -> Step:
    row = belief.network.knowledge.test("cut-out")
    count = sum(len(e.cylinders) for e in belief.network.job.engines)
    return Step(
        test=row.name,
        kind=row.kind,
        subject="all",
        title=title,
        why="it says which cylinders work and which do not",
        minutes=row.minutes * max(count / 2, 1),
        information=0.0,
        rate=0.0,
        tools=row.tools,
        cautions=row.cautions,
        outcomes=tuple(Outcome(w, 0.0, row.means.get(w, "").format(n="it", part="")) for w in row.offers),
        log_as=log_as,
    )
