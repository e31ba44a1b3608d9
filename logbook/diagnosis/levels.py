"""Which of a cylinder's nested states are asked about: weak or worse, dead, or both."""

from __future__ import annotations

from collections.abc import Mapping

from logbook.diagnosis.knowledge import BAD, BOTH, DEAD, WEAK
from logbook.diagnosis.subjects import PART_SCOPES
from logbook.job.model import Job, Place


def levels_of(job: Job, seen: Mapping[Place, frozenset[str]], coarse: bool) -> dict[Place | str, str]:
    """Which nested states are asked about, by cylinder and by part: a cylinder's are those that were ever seen there.

    A cylinder that was never seen in trouble asks what the cylinders ask that it exchanged parts with, and whether it
    is weak where any of its engine is: what ails all of them alike would show there. A part asks all that the cylinders
    ask where it stood, so that what it does is one thing wherever it stands. ``coarse``: weak and dead are one.
    """
    weak = {place.engine for place, states in seen.items() if WEAK in states}
    stood: dict[str, set[Place]] = {}
    for stay in job.stays:
        engine = job.engine(stay.place.engine)
        kind = job.part(stay.part).kind
        if kind in PART_SCOPES and engine is not None:
            served = engine.served(kind, stay.place.cylinder) or (stay.place.cylinder,)
            stood.setdefault(stay.part, set()).update(Place(stay.place.engine, c) for c in served)
    near: dict[Place, set[str]] = {}
    for places in stood.values():
        states = {state for place in places for state in seen.get(place, ())}
        for place in places:
            near.setdefault(place, set()).update(states)
    levels: dict[Place | str, str] = {}
    for place, states in near.items():
        own = seen.get(place) or ({WEAK} if states == {WEAK} or place.engine in weak else {DEAD})
        levels[place] = BOTH if len(own) > 1 else min(own)
    for part, places in stood.items():
        asked = {levels[place] for place in places}
        levels[part] = BOTH if len(asked) > 1 else min(asked)
    return dict.fromkeys(levels, BAD) if coarse else levels
