"""What is asked: which engines and cylinders are in trouble, since when, and which faults would explain it.

A cylinder is asked about where it was seen dead or weak, or where something read of it can mean nothing else; an engine
where something read of all of it, or of a bank, shows a fault. A proof closes a question; what is found bad after it
opens another one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.answers import CylinderState
from logbook.diagnosis.case import BELIEVED, Case, Mask, changed_between
from logbook.diagnosis.cylinder_states import NEVER, last_word, named, read_state, state_after
from logbook.job.model import Place

IMPLIED = 0.3  # P(not firing) from which a cylinder is asked about that nobody listened to
LOOK = "cut-out"  # the plainest look at whether a cylinder works at all
TROUBLE = ("dead", "weak")


@dataclass(frozen=True)
class Question:
    """Trouble of a cylinder, or of an engine where ``place`` is None.

    ``shown`` are the observations that show it, ``blamed`` the ways of faults that would show there, ``now`` those
    that would still: all by their place in the row of all ways.
    """

    engine: str
    place: Place | None
    shown: tuple[int, ...]
    blamed: Mask
    now: Mask
    complaint: CylinderState = "not known"
    state: CylinderState = "not known"
    original: bool = True  # False: it fell into trouble only after something was exchanged
    changed: bool = False  # something was done to it since
    came_back: bool = False
    by_word: bool = False  # nothing was measured that shows it: the owner says so

    @property
    def in_trouble(self) -> bool:
        return self.state in TROUBLE

    @property
    def cylinder(self) -> int:
        return self.place.cylinder if self.place else 0


def questions(case: Case) -> tuple[Question, ...]:
    """Every cylinder that is, or was complained of as, dead or weak."""
    return tuple(q for place in case.places if (q := _of_cylinder(case, place)) is not None)


def engine_questions(case: Case) -> tuple[Question, ...]:
    """Every engine of which something was read that shows trouble beyond one cylinder, and is believed."""
    found = []
    for engine in case.job.engines:
        seen = case.in_time(_beyond(o.place, o.part, o.engine) == engine.name for o in case.problem.observations)
        bad = [i for i in seen if case.is_bad(i)]
        since = closed_before(case, None, bad)
        by_word = all(case.tables.tests[case.observation(i).test].kind == "symptom" for i in bad)
        if by_word and not _cylinders_cleared(case, engine.name):
            continue  # the cylinders are looked at before all else
        bad = [i for i in bad if case.observation(i).entry > since and case.believed_bad(i) >= IMPLIED]
        if not bad or _good_since(case, seen, bad):
            continue
        blamed = _shown_by_any(case, bad)
        of_bank = all(case.tables.tests[case.observation(i).test].at == "bank" for i in bad)
        if of_bank and not _cylinders_cleared(case, engine.name) and _mostly_of_one(case, blamed):
            continue
        now = blamed & here(case, None, engine.name)
        found.append(Question(engine.name, None, tuple(bad), blamed, now, by_word=by_word))
    return tuple(found)


def _mostly_of_one(case: Case, blamed: Mask) -> bool:
    """Whether what may be the matter is likelier some single cylinder's than anything beyond it: 'left bank lean'."""
    shared = np.array([case.fault(i).shared for i in range(len(case.ways))], bool)
    return float(case.chances[blamed & ~shared].sum()) > float(case.chances[blamed & shared].sum())


def _cylinders_cleared(case: Case, engine: str) -> bool:
    """Whether all were cut out; where it does not shake, an ear for all of them is enough."""
    shakes = any(kind == "symptom" and "shakes" in words.split() for kind, words in case.job.card)
    tests = {o.place for o in case.problem.observations if o.seen and o.test == LOOK}
    done = tests if shakes else tests | {place for place, numbers in case.states_seen.items() if numbers}
    return all(place in done for place in case.places if place.engine == engine)


def _beyond(place: Place | None, part: str, engine: str) -> str | None:
    """The engine of an observation that speaks of more than one cylinder."""
    return engine if place is None and not part else None


def _good_since(case: Case, seen: Sequence[int], bad: Sequence[int]) -> bool:
    """Whether each test that was bad was good when it was done last, on the same bank."""
    last = {_what(case, i): i for i in seen}
    return all(not case.is_bad(last[_what(case, i)]) for i in bad)


def _what(case: Case, number: int) -> tuple[str, str]:
    return case.observation(number).test, case.observation(number).bank


def _of_cylinder(case: Case, place: Place) -> Question | None:
    seen = case.states_seen.get(place, [])
    shown = sorted(
        {*seen, *_brought_out(case, place)}, key=lambda i: (case.observation(i).step, case.observation(i).entry)
    )
    bad = [i for i in shown if case.is_bad(i)]
    if not bad:
        bad = _implied(case, place)
    if not bad:
        return None
    since = closed_before(case, place, bad)
    first = next(i for i in bad if case.observation(i).entry > since)
    step = case.observation(first).step
    original = _parts_at(case, place, step) == _parts_at(case, place, -1) or not any(
        case.observation(i).step < step for i in seen
    )
    state = _state(case, place, shown)
    if not original and state == "fires":
        return None
    if first in seen and state == "fires" and case.belief.misread(first) >= BELIEVED:
        return None
    blamed = case.shows(first) & ~_elsewhere(case, place, first)
    complaint: CylinderState = "fires" if not original else _complaint(case, place, first, bad)
    return Question(
        place.engine,
        place,
        (first,),
        blamed,
        _now(case, place, bad) if state in TROUBLE else blamed & here(case, None, place.engine),
        complaint,
        state,
        original,
        changed_between(case.job, place, step, NEVER),
        since >= 0,
    )


def _brought_out(case: Case, place: Place) -> list[int]:
    """Trouble that was seen coming and going, or was brought out on purpose: by water, by a hand on the wires."""
    return case.in_time(o.test in case.shaken_tests and o.place == place for o in case.problem.observations)


def _implied(case: Case, place: Place) -> list[int]:
    """Bad readings of a cylinder that nobody listened to, where they leave no doubt that it does not fire."""
    now = case.now_at.get(place)
    if case.states_seen.get(place) or now is None or case.believed_bad(now) < IMPLIED:
        return []
    own = case.in_time(o.place == place for o in case.problem.observations)
    return [i for i in own if case.is_bad(i) and case.believed_bad(i) >= IMPLIED]


def closed_before(case: Case, place: Place | None, bad: Sequence[int]) -> int:
    """The last entry that closed a question and after which something was found bad again; -1: none did."""
    proofs = [
        o.entry
        for i, o in enumerate(case.problem.observations)
        if o.seen and o.reading is not None and o.reading.proved and o.place == place and not case.is_bad(i)
    ]
    back = [entry - 1 for entry in case.job.came_back]
    last = max((case.observation(i).entry for i in bad), default=-1)
    return max((entry for entry in (*proofs, *back) if entry < last), default=-1)


def _elsewhere(case: Case, place: Place, first: int) -> Mask:
    """Ways that were over before the trouble was seen."""
    step = case.observation(first).step
    return np.array([way.until is not None and way.until <= step for way in case.ways], bool)


def _shown_by_any(case: Case, numbers: Sequence[int]) -> Mask:
    found = np.zeros(len(case.ways), bool)
    for number in numbers:
        found |= case.shows(number)
    return found


def here(case: Case, place: Place | None, engine: str) -> Mask:
    """Ways that are not over, of parts that stand where they may do it again."""
    out = np.zeros(len(case.ways), bool)
    for i, way in enumerate(case.ways):
        fault = case.fault(i)
        stands = not fault.part or (case.serves(fault.part, place) if place else case.stands_at(fault.part) > 0)
        out[i] = way.until is None and stands
    return out


def _now(case: Case, place: Place, bad: Sequence[int]) -> Mask:
    """Ways that keep a cylinder in trouble as it stands: those that show now, or showed when it was seen last."""
    numbers = [i for i in bad[-1:] if not changed_between(case.job, place, case.observation(i).step, NEVER)]
    if place in case.now_at:
        numbers.append(case.now_at[place])
    return _shown_by_any(case, numbers) & here(case, place, place.engine)


def _state(case: Case, place: Place, shown: Sequence[int]) -> CylinderState:
    """As of all cylinders; one whose trouble was only ever brought out by hand works until that is done again."""
    state = state_after(case, place)
    if state == "not known" and not shown and place in case.now_at:
        return named(case.speaks(case.now_at[place]))
    return state


def _complaint(case: Case, place: Place, first: int, bad: Sequence[int]) -> CylinderState:
    heard = [i for i in bad if i in case.states_seen.get(place, [])]
    if heard:
        at = first if first in heard else heard[0]
        return last_word(case, at) if len(case.observation(at).likelihood) == 3 else read_state(case, at)
    return "weak" if first in _brought_out(case, place) else named(case.speaks(case.now_at[place]))


def _parts_at(case: Case, place: Place, step: int) -> frozenset[str]:
    engine = case.engine(place.engine)
    mounted = case.job.mounted(step)
    kinds = engine.part_kinds if engine else ()
    seats = ((kind, engine.seat(kind, place.cylinder)) for kind in kinds) if engine else ()
    return frozenset(mounted[seat] for seat in seats if seat in mounted)
