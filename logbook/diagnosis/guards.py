"""What is never proposed, each rule by itself.

Never a step whose outcome is known, never one that the shop cannot do now, never the same again unless something
changed, no part bought before a short look that bears on it, no exchange with a part that is suspected itself, no proof
while what comes and goes is still fitted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from logbook.diagnosis.case import Array, Case, kind_of
from logbook.diagnosis.engine_model import DERIVED
from logbook.diagnosis.groups import Group, leader
from logbook.diagnosis.knowledge import TestRow
from logbook.diagnosis.observe import ran
from logbook.diagnosis.questions import Question
from logbook.diagnosis.worth import Classes, Gain, needed_after
from logbook.job.model import Engine, Event, Place

if TYPE_CHECKING:
    from logbook.diagnosis.candidates import Candidate

KINDS = 2  # kinds of reading that must speak for a mend of a day or more
KNOWN = 0.985  # P(one outcome) from which it is known beforehand
CHANGED = 0.02  # P(what matters is not as it was) from which a look is another one
DOUBTED = 0.35  # P(misreading) of a look from which it is worth another
LENDABLE = 0.10  # P(bad) above which a part is not lent for an exchange
SHORT = 10.0  # minutes of a look that goes before any part
SHARP = 0.6  # a look sees a fault itself where it comes out so differently without it
FEW = 3  # faults that a reading may mean and still be called their own
OWN_CODE = 0.55  # a code tells of a fault of its own where memory differs so much with and without it
STANDS_OUT = 0.2  # P(mend) from which looks beside it wait
CLEARS = 0.5  # a look bears on a part where an outcome leaves it less likely than this share of now ...
CLEARS_OFTEN = 0.05  # ... and is to be expected at least this often
CRANK = "crank"  # the look that shows whether an engine starts
NO_START = frozenset({"no start", "no turn", "turns slowly", "spins free"})
MENDS = frozenset({"fit", "repair", "clean", "adjust", "fill", "swap", "move"})


def outcome_known(gain: Gain) -> bool:
    """Whether it is known beforehand what would be seen."""
    return max(gain.outcomes, default=1.0) >= KNOWN


def told_already(case: Case, number: int) -> bool:
    """Whether the log has what a look would see: the same look, at what is still as it was, and not doubted."""
    wanted = case.observation(number)
    tells_state = case.tables.tests[wanted.test].of_state
    if case.tables.tests[wanted.test].kind == "codes" and any(r.test == "codes" for r in case.job.readings):
        return True  # what was read stays in the log; a code that is not there is no other look
    for i, seen in enumerate(case.problem.observations):
        heard = tells_state and seen.seen and _heard_dead(case, i, wanted.place)
        same = (seen.test, seen.place, seen.part, seen.bank) == (wanted.test, wanted.place, wanted.part, wanted.bank)
        alike = heard or same
        if seen.seen and alike and not changed_since(case, i, number) and case.belief.misread(i) < DOUBTED:
            return True
    return _in_vain(case, number)


def _heard_dead(case: Case, number: int, place: Place | None) -> bool:
    """Whether a cylinder was found dead, by whatever test: another test of how it works would tell the same."""
    seen = case.observation(number)
    return place is not None and number in case.states_seen.get(place, ()) and int(np.argmax(seen.likelihood)) == 0


def changed_since(case: Case, seen: int, now: int) -> bool:
    """Whether what an observation looks at may differ from when it was looked at: something was done, or conditions."""
    differ = case.rows[:, seen] != case.rows[:, now]
    for i in np.flatnonzero(~differ):
        active = case.ways[i].active
        if active is not None and case.rows[i, now] < case.last[now]:
            differ[i] = abs(active[seen] - active[now]) > 0.3
    return bool(case.chances[differ].sum() >= CHANGED)


def _in_vain(case: Case, number: int) -> bool:
    """Whether it was measured, and the number could not be compared with anything: another would be no better."""
    o = case.observation(number)
    kind = case.tables.tests[o.test].kind
    return any(
        r.entry in case.unread
        and r.test == kind
        and r.value.quantity is not None
        and (r.place == o.place or r.part == o.part != "")
        for r in case.job.readings
    )


def does_not_start(case: Case, engine: str) -> bool:
    """Whether nothing can be tried on an engine running: it was cranked in vain, or all its cylinders are dead."""
    numbers = [i for place, i in case.now_at.items() if place.engine == engine]
    dead = bool(numbers) and all(float(case.speaks(i)[0]) >= 0.5 for i in numbers)
    return dead or _cranked_in_vain(case, engine)


def _cranked_in_vain(case: Case, engine: str) -> bool:
    """Whether it did not start when it was cranked last, and nothing was mended, and nothing fired, since."""
    return bool(_last_crank(case, engine) & NO_START)


def does_not_turn(case: Case, engine: str) -> bool:
    """Whether the starter did not turn it when it was tried last, and nothing was mended since."""
    return "no turn" in _last_crank(case, engine)


def tells_of_turning(case: Case, test: TestRow) -> bool:
    """Whether a look bears on anything that keeps a starter from turning the engine."""
    grades = (g.signs for row in case.tables.faults.values() for g in row.grades)
    return bool(test.signs & frozenset().union(*(signs for signs in grades if "no turn" in signs)))


def _last_crank(case: Case, engine: str) -> frozenset[str]:
    """What the engine showed when it was cranked last; nothing where something was mended, or ran, since."""
    shown = case.in_time(o.test == CRANK and o.engine == engine for o in case.problem.observations)
    if not shown:
        return frozenset()
    last = case.observation(shown[-1])
    mended = any(e.action in MENDS and e.step > last.step for e in case.job.events)
    fires = any(
        not case.is_bad(i) and case.observation(i).entry > last.entry
        for place, numbers in case.states_seen.items()
        if place.engine == engine
        for i in numbers
    )
    row = int(np.argmax(last.likelihood))
    return frozenset() if mended or fires else case.tables.tests[CRANK].rows[row].signs


def repaired(case: Case, question: Question) -> bool:
    """Whether work was done on an engine after its trouble was seen, and all that was looked at since is well."""
    last = max(case.observation(i).step for i in question.shown)
    work = [e.step for e in case.job.events if e.action in MENDS and e.step > last]
    if not work or question.by_word:
        return False
    since = [
        i
        for i, o in enumerate(case.problem.observations)
        if o.seen and o.step >= work[0] and o.engine == question.engine
    ]
    runs = any(_runs(case, i) for i in since)
    return runs and not any(case.is_bad(i) and case.belief.misread(i) < DOUBTED for i in since)


def _runs(case: Case, number: int) -> bool:
    """Whether a look shows how a cylinder, or the engine, runs, starts or holds what it lacked."""
    test = case.tables.tests[case.observation(number).test]
    return bool({s for row in test.rows for s in row.signs} & DERIVED) or case.observation(number).hub


def asks_whether_it_starts(case: Case, test: TestRow, engine: str) -> bool:
    """Whether a look at an engine's start is in vain: it was cranked just now, or some cylinder was seen to fire."""
    starts = any("no start" in row.signs for row in test.rows)
    last = max((e.step for e in case.job.events), default=-1)
    if starts and any(o.seen and o.test == test.name and o.step >= last for o in case.problem.observations):
        return True  # it was cranked, and nothing was done since
    seen = (i for place, numbers in case.states_seen.items() if place.engine == engine for i in numbers[-1:])
    if starts and any(ran(r) and r.engine == engine for r in case.job.readings):
        return True  # what was read of it running
    return starts and test.at == "engine" and not test.tools and any(not case.is_bad(i) for i in seen)


def cleared_before(case: Case, place: Place, part: str) -> bool:
    """Whether the log has what an exchange would tell of a part that is hardly suspected any more: how it does
    elsewhere, and how the cylinder does with another."""
    engine, kind = case.engine(place.engine), kind_of(part)
    if engine is None or chance_bad(case, part) > LENDABLE:
        return False
    seat = engine.seat(kind, place.cylinder)
    elsewhere = instead = False
    for there, numbers in case.states_seen.items():
        spot = engine.seat(kind, there.cylinder)
        for i in (i for i in numbers if there.engine == place.engine and case.belief.misread(i) < DOUBTED):
            stood = case.job.mounted(case.observation(i).step).get((kind, spot), "")
            elsewhere |= stood == part and spot != seat
            instead |= stood not in ("", part) and spot == seat
    return elsewhere and instead


def exchanged_with(case: Case, part: str) -> frozenset[str]:
    """The parts that a part changed places with: once more would tell nothing new."""
    moves = [e.moves for e in case.job.events if e.action == "swap" and any(m.part == part for m in e.moves)]
    return frozenset(m.part for some in moves for m in some if m.part != part)


def sound_partner(case: Case, engine: Engine, kind: str, cylinder: int, mine: str) -> Place | None:
    """The nearest cylinder that works and whose part is hardly suspected."""
    served = engine.served(kind, cylinder)
    bank = next((b.cylinders for b in engine.banks if cylinder in b.cylinders), ())
    spot = {c: i for i, c in enumerate(bank)}

    def far(c: int) -> tuple[bool, int, int]:
        return c not in spot, abs(spot[c] - spot[cylinder]) if c in spot else abs(c - cylinder), c

    before = exchanged_with(case, mine)
    for c in sorted((c for c in engine.cylinders if c not in served), key=far):
        place = Place(engine.name, c)
        now = case.now_at.get(place)
        part = case.mounted.get((kind, engine.seat(kind, c)), "")
        if (
            now is not None
            and part
            and part not in before
            and float(case.speaks(now)[-1]) >= 0.6
            and chance_bad(case, part) <= LENDABLE
        ):
            return place
    return None


def chance_bad(case: Case, part: str) -> float:
    """P(any fault in a part), at most."""
    mine = [i for i in range(len(case.ways)) if case.fault(i).part == part and case.ways[i].until is None]
    return float(case.chances[mine].sum())


def tried_before(case: Case, group: Group, question: Question) -> bool:
    """Whether this mend was done since the trouble was seen, on the same thing as stands there now."""
    fault = leader(case, group)
    first = min(case.observation(i).step for i in question.shown)
    if fault.part:
        return any(
            fault.part in e.parts and e.action in ("repair", "clean") and e.step > first for e in case.job.events
        )
    return any(w for w in group.ways if _mended(case, w, first))


def _mended(case: Case, way: int, first: int) -> bool:
    """Whether another way of the same fault was ended by a mend after the trouble was seen."""
    mine = case.fault(way).ways
    return any(
        w.until is not None and first < w.until and _is_mend(case, w.until, case.fault(way).cylinders) for w in mine
    )


def _is_mend(case: Case, step: int, cylinders: Sequence[int]) -> bool:
    return any(e.step == step and e.action in MENDS and _concerns(e, cylinders) for e in case.job.events)


def _concerns(event: Event, cylinders: Sequence[int]) -> bool:
    places = {p.cylinder for p in event.places}
    return not places or bool(places & set(cylinders))


def kinds_for(case: Case, group: Group) -> frozenset[str]:
    """Kinds of readings that spoke for a mend, how a cylinder works left aside: that is what is to be explained."""
    shown = [
        i
        for i, o in enumerate(case.problem.observations)
        if o.seen and not case.tables.tests[o.test].of_state and case.is_bad(i) and case.belief.misread(i) < DOUBTED
    ]
    lead = leading_way(case, group)
    return frozenset(case.tables.tests[case.observation(i).test].kind for i in shown if case.shows(i)[lead])


def leading_way(case: Case, group: Group) -> int:
    return max(group.ways, key=lambda w: (round(float(case.chances[w]), 9), -w))


def confirms(case: Case, candidate: Candidate, group: Group) -> bool:
    """Whether a look sees the fault itself, not how the cylinder or the engine works with it."""
    if candidate.number < 0 or not case.shows(candidate.number)[leading_way(case, group)]:
        return False
    return not any(row.signs & DERIVED for row in case.tables.tests[candidate.test].rows)


def own_kinds(case: Case, group: Group) -> frozenset[str]:
    """Kinds of measurement that spoke for a mend and for little else; a stored code only points."""
    lead = leading_way(case, group)
    found = set()
    for i, o in enumerate(case.problem.observations):
        kind = case.tables.tests[o.test].kind
        spoke = o.seen and kind != "codes" and case.is_bad(i) and case.belief.misread(i) < DOUBTED
        if spoke and case.shows(i)[lead] and len(faults_shown(case, i)) <= FEW:
            found.add(kind)
    return frozenset(found)


def faults_shown(case: Case, number: int) -> frozenset[str]:
    """The faults that show at an observation, by row of the knowledge."""
    return frozenset(case.fault(int(w)).row for w in np.flatnonzero(case.shows(number)))


def bears_on_leaders(case: Case, candidate: Candidate, groups: Sequence[Group], chances: Sequence[float]) -> bool:
    """Whether a look sees one of the likeliest faults; where none stands out every look does."""
    top = max(chances, default=0.0)
    if top < STANDS_OUT or candidate.number < 0:
        return True
    leaders = [g for g, p in zip(groups, chances, strict=True) if p >= top / 2]
    if candidate.kind == "codes":  # a misfire or a lean bank is known by then: only a code of its own tells more
        return any(sharpness(case, candidate, g) >= OWN_CODE for g in leaders)
    return any(case.shows(candidate.number)[leading_way(case, g)] for g in leaders)


def untried(case: Case, candidate: Candidate, group: Group) -> bool:
    """Whether a short look sees the fault of a mend itself and little else, while nothing measured speaks for it alone;
    what is no part may lie anywhere along a wire: there two kinds must.

    An exchange that was made with the part speaks loud enough.
    """
    kinds, part = own_kinds(case, group), leader(case, group).part
    if candidate.minutes > SHORT or candidate.kind in kinds or len(kinds) >= (1 if part else KINDS):
        return False
    if candidate.number < 0 or len(faults_shown(case, candidate.number)) > FEW:
        return False
    if part and exchanged_with(case, part):
        return False
    return confirms(case, candidate, group) and sharpness(case, candidate, group) >= SHARP


def sharpness(case: Case, candidate: Candidate, group: Group) -> float:
    """How differently a look comes out with the fault and with nothing: total variation, 0 to 1."""
    row = int(case.rows[leading_way(case, group), candidate.number])
    return round(float(np.abs(candidate.like[:, row] - candidate.like[:, -1]).sum() / 2), 3)


def bears_on(classes: Classes, joint: Array, group: int, outcomes: Sequence[float]) -> bool:
    """Whether a look may clear what a mend would cost a part or an hour for: an outcome leaves it half as likely."""
    after = needed_after(classes, joint, group)
    before = float(np.dot(outcomes, after))
    return any(p >= CLEARS_OFTEN and left < CLEARS * before for p, left in zip(outcomes, after, strict=True))
