"""Where the parts went: every part that moved, where it was and where it is now."""

from __future__ import annotations

from itertools import pairwise

from logbook.job.model import Job, Part, Place, Stay
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.naming import part_name
from logbook.pages.phrases import voice_of
from logbook.pages.words import capital

MOST_ROWS = 24
_BENCH = "bench"


def trail_table(job: Job) -> Table | None:
    """None where no part has moved."""
    stays: dict[str, list[Stay]] = {}
    for stay in job.stays:
        stays.setdefault(stay.part, []).append(stay)
    moved = [p for p in job.parts if any(s.since >= 0 or s.until is not None for s in stays.get(p.id, []))]
    if not moved:
        return None
    voice = voice_of(job.units)
    columns = (Column(voice.say("trail.part")), Column(voice.say("trail.was")), Column(voice.say("trail.now")))
    rows = tuple(_row(job, part, _walk(job, stays[part.id])) for part in moved[:MOST_ROWS])
    return Table(voice.say("trail.caption"), columns, rows)


def _walk(job: Job, found: list[Stay]) -> list[str]:
    """Where a part stood, in time order: places by number, the bench between them."""
    stays = sorted(found, key=lambda s: s.since)
    walk = []
    for stay, after in [*pairwise(stays), *((s, None) for s in stays[-1:])]:
        walk.append(_place(job, stay.place))
        if stay.until is not None and (after is None or after.since > stay.until):
            walk.append(_BENCH)
    return walk


def _place(job: Job, place: Place) -> str:
    return f"{place.engine} {place.cylinder}" if place.engine and len(job.engines) > 1 else str(place.cylinder)


def _row(job: Job, part: Part, walk: list[str]) -> tuple[Cell, ...]:
    voice = voice_of(job.units)
    name = capital(part_name(voice, part, part.home))
    gone = any(t.kind in ("sent", "scrap") and part.id in t.parts for t in job.trades)
    now = voice.say("trail.gone") if gone and walk[-1] == _BENCH else walk[-1]
    was = ", ".join(walk[:-1])
    return (Cell(name), Cell(was or voice.say("trail.new"), soft=not was), Cell(now))
