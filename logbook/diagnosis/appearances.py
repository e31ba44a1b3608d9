"""All sets of lasting faults of a few cylinders, by what they look like: faults are folded in one at a time.

Two sets of faults that make the same rows speak at every observation are one *appearance*: no reading tells them apart.
A table holds each appearance once, with the prior mass of all sets that look like it. A fault that is absent leaves an
appearance as it is; one that is there lowers it to its own rows. Sets of any size are in the table that way, and it
stays small. An appearance that could not matter, whatever else is there, is dropped, and what it could have come to is
counted in ``lost``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from logbook.diagnosis.problem import Chances, Rows

TOLERANCE = 1e-5  # share of the whole that the appearances dropped at one fold may have
MOMENT_TOLERANCE = 5e-3  # the same, at moments of the history
MOST = 50_000  # appearances in one table times its observations; beyond it the least are dropped, and counted
BEAM = 48  # appearances in the first, rough pass, which tells what there is to compare with
Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Option:
    """Ways that no observation tells apart: their rows, their odds against absence, and who they are.

    ``odds`` are without and with what raises them. ``members`` are (fault, way, share of the odds without, with).
    """

    rows: Rows
    odds: Chances  # (2,)
    members: tuple[tuple[int, int, float, float], ...]


@dataclass(frozen=True, slots=True)
class Fold:
    """One fault folded in: where each appearance of the table before went. -1: it was dropped."""

    options: tuple[Option, ...]
    absent: Index  # (V before,)
    present: Index  # (options, V before)
    mass: Chances  # (V before, 2), of the table before


@dataclass(frozen=True, slots=True)
class Table:
    """Appearances (V, observations), their mass (V, 2) and how they came about."""

    rows: Rows
    mass: Chances
    folds: tuple[Fold, ...]
    lost: float


@dataclass(frozen=True, slots=True)
class Scale:
    """What appearances are weighed by: log P(seen | row), and the states of what is shared."""

    like: Chances  # (observations, rows)
    states: Rows  # (S, observations): rows that shared faults make speak
    part: Chances  # (S,): share of the whole that each state may have
    tolerance: float


@cache
def _salts(width: int) -> NDArray[np.uint64]:
    return np.random.default_rng(20).integers(1, 2**63, width, dtype=np.uint64) | np.uint64(1)


def distinct(rows: Rows) -> tuple[Index, Index]:
    """First place of each distinct row vector, and for each vector which of them it is. (N, W) -> (M,), (N,)"""
    if not rows.shape[1]:
        return np.zeros(min(1, len(rows)), np.intp), np.zeros(len(rows), np.intp)
    keys = (rows.astype(np.uint64) * _salts(rows.shape[1])).sum(axis=1, dtype=np.uint64)
    _, first, which = np.unique(keys, return_index=True, return_inverse=True)
    return first, which.reshape(-1)


def raised(rows: Rows, places: Index, below: Index) -> Chances:
    """For each vector whether it stands above row ``below[i]`` of observation ``places[i]``: (N, steps)."""
    return (rows[:, places] > below).astype(np.float64)


def log_likelihood(rows: Rows, like: Chances, states: Rows) -> Chances:
    """log P(everything seen | the lower of an appearance's and a state's row): (V, S).

    The likelihood of the lower row of two is a sum over steps that both stand above, so it is one matrix product.
    """
    steps = np.diff(like, axis=1)
    places, below = np.nonzero(steps)
    above = raised(rows, places, below) * steps[places, below]
    return np.asarray(like[:, 0].sum() + above @ raised(states, places, below).T)


def best_below(like: Chances, reach: NDArray[np.bool_]) -> Chances:
    """For each observation and row the best likelihood that faults still to come may bring about by lowering it.

    ``reach[e, r]``: some fault may make row r of observation e speak.
    """
    low = np.where(reach, like, -np.inf)
    return np.maximum(like, np.maximum.accumulate(low, axis=1))


@dataclass(frozen=True, slots=True)
class Folding:
    """Faults to be folded, and what the appearances are weighed by while they are.

    ``groups`` are the options of each fault in the order of folding, ``bare`` the appearance of no fault at all.
    ``reach`` and ``rest`` are the rows and the summed odds of what comes on top later (faults that come and go).
    """

    groups: Sequence[tuple[Option, ...]]
    bare: Rows
    scales: Sequence[Scale]
    reach: NDArray[np.bool_]
    rest: float


def fold_roughly(folding: Folding) -> Table:
    """The most promising appearances only: what there is to compare with."""
    return _pass(folding, None)


def fold_fully(folding: Folding, rough: Table) -> Table:
    """The table of all sets of these faults, but those that matter on no scale in no state of what is shared."""
    mass = np.log(rough.mass.max(axis=1))[:, None]
    return _pass(folding, [_log_sum(mass + log_likelihood(rough.rows, s.like, s.states)) for s in folding.scales])


def _log_sum(values: Chances) -> Chances:
    top = values.max(axis=0)
    return np.asarray(top + np.log(np.exp(values - top).sum(axis=0)))


@dataclass(slots=True)
class _Ahead:
    """What is still to be folded: the rows it may bring about and its odds, from each step on."""

    reach: list[NDArray[np.bool_]] = field(default_factory=list)
    odds: list[float] = field(default_factory=list)


def _ahead(folding: Folding) -> _Ahead:
    found, here, odds = _Ahead(), folding.reach.copy(), 1.0 + folding.rest
    places = np.arange(len(here))
    for options in reversed(folding.groups):
        found.reach.append(here.copy())
        found.odds.append(odds - 1.0)
        for option in options:
            here[places, option.rows] = True
        odds *= 1.0 + float(sum(option.odds.max() for option in options))
    found.reach.reverse()
    found.odds.reverse()
    return found


def _pass(folding: Folding, floors: Sequence[Chances] | None) -> Table:
    """One pass over the faults; without ``floors`` a rough one, which keeps only the most promising appearances."""
    groups, scales, ahead = folding.groups, folding.scales, _ahead(folding)
    rows, mass, folds = folding.bare[None, :], np.ones((1, 2)), []
    lost, last = 0.0, 1
    for i, options in enumerate(groups):
        before = mass
        every = np.concatenate([rows, *(np.minimum(rows, option.rows) for option in options)])
        masses = np.concatenate([mass, *(mass * option.odds for option in options)])
        first, which = distinct(every)
        rows = every[first]
        mass = np.zeros((len(first), 2))
        np.add.at(mass, which, masses)
        if len(rows) > (BEAM if floors is None else max(32, last * 3 // 2)) or i == len(groups) - 1:
            shares = _shares(rows, mass, scales, ahead.reach[i], ahead.odds[i], floors)
            stay = _beam(shares) if floors is None else _worth(shares, scales)
            lost += _lost(shares[0][~stay], scales[0]) if floors is not None else 0.0
            keep = np.flatnonzero(stay)
            moved = np.full(len(rows), -1, np.intp)
            moved[keep] = np.arange(len(keep))
            rows, mass, which = rows[keep], mass[keep], moved[which]
            last = len(rows)
        where = which.reshape(len(options) + 1, len(before))
        folds.append(Fold(options, where[0], where[1:], before))
    return Table(rows, mass, tuple(folds), lost)


def _shares(
    rows: Rows,
    mass: Chances,
    scales: Sequence[Scale],
    reach: NDArray[np.bool_],
    odds: float,
    floors: Sequence[Chances] | None,
) -> list[Chances]:
    """The log of what each appearance may come to at most, over what there is at least: (V, S) on each scale.

    As it stands an appearance comes to its mass times its likelihood; with what is still to come on top to at most
    the odds of that times the best likelihood that it can bring about.
    """
    found = []
    weight = np.log(mass.max(axis=1))[:, None]
    for n, scale in enumerate(scales):
        now = log_likelihood(rows, scale.like, scale.states)
        if odds > 0.0:
            best = log_likelihood(rows, best_below(scale.like, reach), scale.states)
            now = np.logaddexp(now, best + np.log(odds))
        found.append(weight + now - (floors[n] if floors is not None else (weight + now).max(axis=0)))
    return found


def _beam(shares: Sequence[Chances]) -> NDArray[np.bool_]:
    """The most promising on any scale."""
    top = np.max([s.max(axis=1) for s in shares], axis=0)
    stay = np.zeros(len(top), np.bool_)
    stay[np.argsort(-top, kind="stable")[:BEAM]] = True
    return stay


def _lost(shares: Chances, scale: Scale) -> float:
    """What dropped appearances may come to, as a share of the whole: in the state in which that is most."""
    return float((np.exp(np.minimum(shares, 0.0)).sum(axis=0) * scale.part).max(initial=0.0))


def _worth(shares: Sequence[Chances], scales: Sequence[Scale]) -> NDArray[np.bool_]:
    """All but the least that may go together on every scale in every state, and no more than ``MOST`` allows."""
    parts = [
        np.exp(np.minimum(s, 0.0)) * (scale.part / scale.tolerance) for s, scale in zip(shares, scales, strict=True)
    ]
    every = np.concatenate(parts, axis=1)
    order = np.argsort(every.max(axis=1), kind="stable")
    gone = every[order].cumsum(axis=0).max(axis=1) <= 1.0
    gone[: max(0, len(gone) - MOST // max(scales[0].states.shape[1], 64))] = True
    gone[-1] = False
    stay = np.ones(len(order), np.bool_)
    stay[order[gone]] = False
    return stay
