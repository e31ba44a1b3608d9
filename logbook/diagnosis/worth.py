"""What a look or an exchange would tell: P(each outcome), and expected bits about which mend is needed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from logbook.diagnosis.case import Array, Case, Sets
from logbook.diagnosis.groups import Group, grouped
from logbook.diagnosis.questions import Question
from logbook.job.model import Place

MOST_SETS = 1200
ENOUGH = 0.9995  # share of what may be there together that is looked at
MOST_PASSING = 3  # faults of one set whose coming and going is followed
Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Looks:
    """What would be looked at, a column each: the rows that ways make speak there, and the chance that they show.

    ``rows`` (ways, columns), ``last`` (columns,), ``active`` of ways that come and go.
    """

    rows: NDArray[np.uint8]
    last: NDArray[np.uint8]
    active: dict[int, Array]


@dataclass(frozen=True, slots=True)
class Outlook:
    """Sets of faults, those that come and go split into showing and not: the set, and by column weight and row."""

    which: Index  # (N,)
    weight: Array  # (N, columns)
    rows: NDArray[np.uint8]  # (N, columns)


@dataclass(frozen=True, slots=True)
class Classes:
    """Which mends each set needs, for one question: ``of_set`` (sets,), ``needs`` the groups of each class."""

    groups: tuple[Group, ...]
    of_set: Index
    needs: tuple[frozenset[int], ...]
    chances: Array  # of each class


@dataclass(frozen=True, slots=True)
class Gain:
    """What a candidate would tell. ``joints`` (outcomes, classes) by the questions that it bears on."""

    bits: float
    outcomes: tuple[float, ...]
    joints: dict[int, Array]


def likely_sets(case: Case, place: Place | None) -> Sets:
    """The most probable of what may be there together, with chances that add up to 1."""
    kept, so_far = [], 0.0
    for p, ways in case.sets(place)[:MOST_SETS]:
        if so_far >= ENOUGH:
            break
        kept.append((p, ways))
        so_far += p
    return tuple((p / so_far, ways) for p, ways in kept)


def outlook(sets: Sets, looks: Looks) -> Outlook:
    which, weights, rows = [], [], []
    for s, (p, ways) in enumerate(sets):
        passing = [w for w in ways if w in looks.active][:MOST_PASSING]
        lasting = [w for w in ways if w not in passing]
        base = np.minimum.reduce([looks.rows[w] for w in lasting], initial=255)
        base = np.minimum(base, looks.last)
        for shown in product((True, False), repeat=len(passing)):
            weight = np.full(len(looks.last), p)
            row = base
            for w, shows in zip(passing, shown, strict=True):
                weight = weight * (looks.active[w] if shows else 1 - looks.active[w])
                row = np.minimum(row, looks.rows[w]) if shows else row
            which.append(s)
            weights.append(weight)
            rows.append(row)
    return Outlook(np.array(which, np.intp), np.array(weights), np.array(rows, np.uint8))


def classes_of(case: Case, question: Question, sets: Sets) -> Classes:
    """Sets by the mends that they need, of what the question asks about as it stands."""
    groups = tuple(grouped(case, question.now))
    of_way = {w: g for g, group in enumerate(groups) for w in group.ways}
    index: dict[frozenset[int], int] = {}
    of_set = [index.setdefault(frozenset(of_way[w] for w in ways if w in of_way), len(index)) for _, ways in sets]
    chances: Array = np.bincount(np.array(of_set, np.intp), weights=[p for p, _ in sets], minlength=len(index)).astype(
        np.float64
    )
    return Classes(groups, np.array(of_set, np.intp), tuple(index), chances)


def joint_of(view: Outlook, classes: Classes, columns: Sequence[int], widths: Sequence[int], like: Array) -> Array:
    """P(outcome, class). ``like`` is P(outcome | rows): (outcomes, rows of the first column x of the second ...)."""
    row = np.zeros(len(view.which), np.intp)
    for column, width in zip(columns, widths, strict=True):
        row = row * width + view.rows[:, column]
    cells, k = int(np.prod(widths)), len(classes.needs)
    key = row * k + classes.of_set[view.which]
    by_row = np.bincount(key, weights=view.weight[:, columns[0]], minlength=cells * k).reshape(cells, k)
    return np.asarray(like @ by_row)


def information(joint: Array) -> float:
    """Mutual information in bits of a table of joint chances."""
    total = joint.sum()
    if total <= 0:
        return 0.0
    p = joint / total
    expected = p.sum(axis=1, keepdims=True) * p.sum(axis=0, keepdims=True)
    there = p > 0
    return float(max((p[there] * np.log2(p[there] / expected[there])).sum(), 0.0))


def needed(classes: Classes) -> list[float]:
    """P(each mend is needed)."""
    return [
        float(sum(p for p, needs in zip(classes.chances, classes.needs, strict=True) if g in needs))
        for g in range(len(classes.groups))
    ]


def needed_after(classes: Classes, joint: Array, group: int) -> Array:
    """P(a mend is needed | each outcome)."""
    mine = [i for i, needs in enumerate(classes.needs) if group in needs]
    return np.asarray(joint[:, mine].sum(axis=1) / np.maximum(joint.sum(axis=1), 1e-300))
