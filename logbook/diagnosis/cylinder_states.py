"""How each cylinder works, now and at the end of each day: as it was last seen, else as it is believed to."""

from __future__ import annotations

from itertools import groupby

import numpy as np

from logbook.diagnosis.answers import CylinderState
from logbook.diagnosis.case import Array, Case, changed_between
from logbook.job.model import Place

STATE_NAMES: tuple[CylinderState, ...] = ("dead", "weak", "fires")  # the rows of the test 'firing'
SURE_STATE = 0.6  # a state is named when it is at least this likely
PLAIN = 3.0  # how much better a reading must fit one state than the next to be plain
NEVER = 1 << 30  # a step behind all that was done
States = tuple[tuple[Place, CylinderState], ...]


def named(rows: Array) -> CylinderState:
    """The state that is likely enough to be named; weak where it is one of weak and dead but not clear which."""
    best = max(range(len(rows)), key=lambda i: (round(float(rows[i]), 9), -i))
    if rows[best] >= SURE_STATE:
        return STATE_NAMES[best]
    return "weak" if sum(rows[:-1]) >= SURE_STATE else "not known"


def read_state(case: Case, number: int) -> CylinderState:
    """What one reading says of a cylinder's state, by itself."""
    like = case.observation(number).likelihood
    return STATE_NAMES[max(range(len(like)), key=lambda i: (like[i], -i))]


def state_after(case: Case, place: Place, step: int = NEVER) -> CylinderState:
    """The state of a cylinder as things stood after ``step``."""
    if lacks_a_part(case, place, step):
        return "not known"
    seen = case.states_seen.get(place, [])
    before = [i for i in seen if case.observation(i).step <= step]
    if before and not changed_between(case.job, place, case.observation(before[-1]).step, step):
        return last_word(case, before[-1])
    following = [i for i in seen if case.observation(i).step > step]
    if before and following and not changed_between(case.job, place, step, case.observation(following[0]).step):
        return named(case.speaks(following[0]))
    now = case.now_at.get(place)
    if now is not None and (before or step == NEVER) and not changed_between(case.job, place, step, NEVER):
        return named(case.speaks(now)) if before or case.believed_bad(now) >= SURE_STATE else "not known"
    return "not known"


def last_word(case: Case, number: int) -> CylinderState:
    """What was seen last counts, whatever was believed before; where it says little, what is believed."""
    like = np.exp(case.observation(number).likelihood)
    ranked = np.sort(like)[::-1]
    return read_state(case, number) if ranked[0] >= PLAIN * ranked[1] else named(case.speaks(number))


def lacks_a_part(case: Case, place: Place, step: int = NEVER) -> bool:
    """Whether something that stood there at the beginning is out."""
    engine = case.engine(place.engine)
    if engine is None:
        return False
    first = case.job.mounted(-1)
    now = case.mounted if step == NEVER else case.job.mounted(step)
    seats = [(kind, engine.seat(kind, place.cylinder)) for kind in engine.part_kinds]
    return any(seat in first and seat not in now for seat in seats)


def states_now(case: Case) -> States:
    return tuple((place, state_after(case, place)) for place in case.places)


def states_by_day(case: Case) -> tuple[tuple[int, States], ...]:
    """Every cylinder's state at the end of each day that has entries: (last entry of the day, states)."""
    dated = [(e.entry.day, e.entry.index) for e in case.job.entries if e.entry.day is not None]
    ends = [max(index for _, index in group) for _, group in groupby(dated, key=lambda pair: pair[0])]
    return tuple((last, tuple((place, state_after(case, place, last)) for place in case.places)) for last in ends)
