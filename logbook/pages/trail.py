"""Parts trail: every part that moved, a line each over the days, and the same in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Literal

from logbook.job.model import Job, Part, Place, Stay
from logbook.pages.frame import Cell, Column, Link, Table
from logbook.pages.letters import width
from logbook.pages.words import brief_date

MOST_LINES = 24  # drawn; the table has all
_LEFT, _RIGHT = 98.0, 340.0
_FIRST, _PITCH = 54.0, 38.0
_SHELF = "bench"
DAY_SIZE = 13.0  # letters of the days
_NOW_FROM = _RIGHT - 24  # no other day's name reaches into 'now'


@dataclass(frozen=True, slots=True)
class TrailDay:
    x: float
    label: str
    anchor: Literal["middle", "end"] = "middle"


@dataclass(frozen=True, slots=True)
class TrailLine:
    y: float
    name: str
    start: float
    marks: tuple[tuple[float, str, float], ...]  # x, the places where the part went that day, room for their words
    end: float
    gone: bool  # sent away or scrapped: no arrow into the present


@dataclass(frozen=True, slots=True)
class Trail:
    height: float
    days: tuple[TrailDay, ...]
    lines: tuple[TrailLine, ...]
    alt: str
    table: Table


def trail(job: Job, part_pages: Mapping[str, str]) -> Trail | None:
    """The section; None where no part has moved. ``part_pages`` gives the site path of a part's page by its id."""
    stays: dict[str, list[Stay]] = {}
    for stay in job.stays:
        stays.setdefault(stay.part, []).append(stay)
    walks = [(p, _walk(job, stays[p.id])) for p in job.parts if p.id in stays]
    walks = [(p, w) for p, w in walks if any(step >= 0 for step, _ in w)]
    if not walks:
        return None
    days = sorted({_day(job, step) for _, walk in walks for step, _ in walk}, key=lambda d: d or date.min)
    at = {day: round(_LEFT + n * (_RIGHT - _LEFT) / max(1, len(days)), 1) for n, day in enumerate(days)}
    words = [brief_date(day) if day else "before" for day in days]
    apart = (_RIGHT - _LEFT) / max(1, len(days))
    every = math.ceil((max(width(word, DAY_SIZE) for word in words) + 8) / apart)
    drawn = walks[:MOST_LINES]
    lines = tuple(_line(job, n, part, walk, at) for n, (part, walk) in enumerate(drawn))
    named = [n % every == 0 and at[day] + width(words[n], DAY_SIZE) / 2 < _NOW_FROM for n, day in enumerate(days)]
    marks = tuple(TrailDay(at[day], words[n] if named[n] else "") for n, day in enumerate(days))
    return Trail(
        _FIRST + _PITCH * (len(drawn) - 1) + 22,
        (*marks, TrailDay(_RIGHT, "now", "end")),
        lines,
        "Parts over the days. " + " ".join(_sentence(job, part, walk) for part, walk in drawn),
        _table(job, walks, part_pages),
    )


Walk = list[tuple[int, str]]  # step, where the part went


def _walk(job: Job, found: list[Stay]) -> Walk:
    """Where a part stood, in time order: places by number, the bench between them."""
    stays = sorted(found, key=lambda s: s.since)
    walk: Walk = []
    for stay, after in [*pairwise(stays), *((s, None) for s in stays[-1:])]:
        walk.append((stay.since, _place(job, stay.place)))
        if stay.until is not None and (after is None or after.since > stay.until):
            walk.append((stay.until, _SHELF))
    return walk


def _place(job: Job, place: Place) -> str:
    return f"{place.engine} {place.cylinder}" if place.engine and len(job.engines) > 1 else str(place.cylinder)


def _day(job: Job, step: int) -> date | None:
    """The day of a step; None before the first."""
    return job.entries[step].entry.day if step >= 0 else None


def _line(job: Job, n: int, part: Part, walk: Walk, at: dict[date | None, float]) -> TrailLine:
    stops: dict[float, list[str]] = {}
    for step, place in walk:
        stops.setdefault(at[_day(job, step)], []).append(place)
    gone = any(t.kind in ("sent", "scrap") and part.id in t.parts for t in job.trades) and walk[-1][1] == _SHELF
    ends = [*list(stops)[1:], _RIGHT + 8]
    marks = tuple((x, ", ".join(places), end - x - 14) for (x, places), end in zip(stops.items(), ends, strict=True))
    return TrailLine(_FIRST + _PITCH * n, f"{part.kind} {part.name}", marks[0][0], marks, _RIGHT, gone)


def _sentence(job: Job, part: Part, walk: Walk) -> str:
    places = ", then ".join(f"at {p}" if p != _SHELF else "on the bench" for _, p in walk)
    return f"{part.kind} {part.name}: {places}.".capitalize()


def _table(job: Job, walks: list[tuple[Part, Walk]], part_pages: Mapping[str, str]) -> Table:
    rows = []
    for part, walk in walks:
        name = f"{part.kind} {part.name}"
        page = part_pages.get(part.id)
        stood = ", ".join(place for _, place in walk[:-1]) or "new"
        now = walk[-1][1]
        rows.append(
            (
                Cell(name, link=Link(name, page) if page else None),
                Cell(stood, soft=stood == "new"),
                Cell(f"at {now}" if now != _SHELF else "on the bench"),
            )
        )
    return Table("The same in words", (Column("Part"), Column("Stood at"), Column("Now")), tuple(rows))
