"""Faults that one mend of one thing puts right need not be told apart: they are one cause, named by the likeliest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from logbook.diagnosis import repair_lines
from logbook.diagnosis.case import Array, Case, Mask
from logbook.diagnosis.knowledge import Repair
from logbook.diagnosis.naming import cylinders_said
from logbook.diagnosis.problem import Fault
from logbook.job.model import Place


@dataclass(frozen=True, slots=True)
class Group:
    """``ways`` are those of its faults that are in question, by their place in the row of all ways."""

    mend: str
    faults: tuple[int, ...]
    ways: tuple[int, ...]


@dataclass(frozen=True)
class Shares:
    """Of some groups: P(each), P(each alone), P(two or more), P(none)."""

    each: tuple[float, ...]
    alone: tuple[float, ...]
    several: float
    none: float


def grouped(case: Case, ways: Mask) -> list[Group]:
    """The ways in question by mend and by what it mends, in the order of the faults."""
    found: dict[tuple[object, ...], list[int]] = {}
    for w in np.flatnonzero(ways):
        fault = case.fault(int(w))
        key = case.tables.faults[fault.row].repair, *subject_of(fault)
        found.setdefault(key, []).append(int(w))
    return [
        Group(str(key[0]), tuple(dict.fromkeys(int(case.owner[w]) for w in mine)), tuple(mine))
        for key, mine in found.items()
    ]


def subject_of(fault: Fault) -> tuple[object, ...]:
    """What a fault hangs on: a part, or what stays with these cylinders."""
    return (fault.part,) if fault.part else ("", fault.engine, fault.cylinders)


def shares_of(case: Case, groups: list[Group], place: Place | None) -> Shares:
    """How the chances of groups lie to each other: from what may be there together."""
    of_way = {w: g for g, group in enumerate(groups) for w in group.ways}
    alone = np.zeros(len(groups))
    overlap = np.zeros(len(groups))
    several = none = 0.0
    for p, ways in case.sets(place):
        hit = [of_way[w] for w in ways if w in of_way]
        mine = set(hit)
        if not mine:
            none += p
        elif len(mine) == 1:
            alone[hit[0]] += p
        else:
            several += p
        for g in mine:
            overlap[g] += p * (hit.count(g) - 1)
    sums = np.array([case.chances[list(group.ways)].sum() for group in groups])
    each = np.clip(sums - overlap, 0.0, 1.0)
    return Shares(tuple(map(float, each)), tuple(float(x) for x in alone), several, none)


def leader(case: Case, group: Group) -> Fault:
    """The likeliest fault of a group; the first among equals."""
    chance = dict.fromkeys(group.faults, 0.0)
    for w in group.ways:
        chance[int(case.owner[w])] += float(case.chances[w])
    return case.problem.faults[max(chance, key=lambda f: (round(chance[f], 9), -f))]


def past_of(case: Case, group: Group) -> Array:
    """(entries + 1,): how likely a group was at first, and after each entry."""
    return np.asarray(np.clip(case.past[:, list(group.ways)].sum(axis=1), 0.0, 1.0))


def mend_of(case: Case, group: Group) -> Repair:
    return case.tables.repairs[group.mend]


def minutes_of(case: Case, group: Group) -> float:
    """How long a mend takes on this engine."""
    return case.minutes(mend_of(case, group), leader(case, group).engine)


def cylinders_words(case: Case, fault: Fault) -> str:
    """The cylinders that a fault reaches, in words; 'all' where they are the whole engine."""
    return cylinders_said(fault.cylinders, case.engine(fault.engine))


def subject_words(case: Case, fault: Fault) -> str:
    """'coil A3', '3', '1 and 2'."""
    return case.job.part(fault.part).called() if fault.part else cylinders_words(case, fault)


def mend_title(case: Case, group: Group, at: Place | None) -> str:
    """'Fit another coil at 3', 'Fit another oxygen sensor'."""
    fault = leader(case, group)
    spot = case.stands_at(fault.part) or (at.cylinder if at else 0)
    n = str(spot) if fault.part and spot else cylinders_words(case, fault)
    what = next(iter(case.tables.faults[fault.row].words), "part")
    return mend_of(case, group).title.format(n=n, part=subject_words(case, fault), what=what)


def mend_line(case: Case, group: Group, at: Place | None) -> str:
    """The line that records it: 'fit coil: new in 3, now '."""
    fault = leader(case, group)
    spot = case.stands_at(fault.part) or (at.cylinder if at else 0) or next(iter(fault.cylinders), 0)
    return repair_lines.line(group.mend, spot, fault.cylinders)
