"""A problem taken apart: cylinders that share no part stand apart once it is known what all of them share.

A *cluster* is a set of observations that the faults of the same parts and places reach. What is shared (pairs, banks,
the engine) is held by a *state* outside the clusters, and so is what comes and goes. Readings of a bank or the engine
(*hubs*) see all clusters: a cluster is told apart by the lowest rows that it makes them speak.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from logbook.diagnosis.appearances import Index, Option
from logbook.diagnosis.problem import Chances, Fault, Problem, Rows

SHOWS = 0.5  # from this chance on what comes and goes is taken to show in a reading of the whole engine


@dataclass(frozen=True, slots=True)
class Seen:
    """The observations that say something, as arrays over (observations, rows); shorter tests end in equal rows."""

    index: Index  # (E,) of the problem's observations
    like: Chances  # (E, R) log P(seen | row)
    slip: Chances  # (E, R)
    none: Rows  # (E,) the row that speaks where nothing is wrong
    hub: NDArray[np.bool_]  # (E,)
    entry: Index  # (E,)


@dataclass(frozen=True, slots=True)
class Switch:
    """One option of a fault that comes and goes, and the chance that it shows at each observation."""

    option: Option
    active: Chances


@dataclass(frozen=True, slots=True)
class Kept:
    """A fault's options that some observation can see: exclusive of each other. ``silent``: ways that none sees."""

    fault: int
    options: tuple[Option | Switch, ...]
    silent: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Cluster:
    """Observations of some cylinders (``own``), the hubs, and the faults that reach them."""

    own: Index
    groups: tuple[tuple[Option, ...], ...]  # lasting faults; rows over all that was seen
    switches: tuple[tuple[Switch, ...], ...]  # faults that come and go


@dataclass(frozen=True, slots=True)
class Parted:
    """A problem taken apart."""

    seen: Seen
    clusters: tuple[Cluster, ...]
    shared: tuple[tuple[Option | Switch, ...], ...]
    raisers: frozenset[int]  # faults that raise others
    kept: tuple[Kept, ...]  # one for each fault of the problem


def what_was_seen(problem: Problem) -> Seen:
    """The observations that say something, shorter tests padded with their last row."""
    index = [i for i, o in enumerate(problem.observations) if o.seen]
    width = max(2, problem.width)
    found = [problem.observations[i] for i in index]

    def padded(values: Iterable[tuple[float, ...]]) -> Chances:
        rows = [(*v, *(v[-1:] * (width - len(v)))) for v in values]
        return np.array(rows, dtype=np.float64).reshape(-1, width)

    return Seen(
        np.array(index, np.intp),
        padded(o.likelihood for o in found),
        padded(o.slip for o in found),
        np.array([len(o.likelihood) - 1 for o in found], np.uint8),
        np.array([o.hub for o in found], np.bool_),
        np.array([o.entry for o in found], np.intp),
    )


def take_apart(problem: Problem) -> Parted:
    """What was seen, and the faults by cluster and by what is shared."""
    seen = what_was_seen(problem)
    kept = tuple(_kept(seen, i, fault) for i, fault in enumerate(problem.faults))
    shared = [k for k in kept if problem.faults[k.fault].shared and (k.options or problem.faults[k.fault].raises)]
    raisers = frozenset(i for i, f in enumerate(problem.faults) if f.raises)
    own = [k for k in kept if not problem.faults[k.fault].shared and k.options]
    return Parted(seen, tuple(_clusters(seen, own)), tuple(_merged(shared, raisers)), raisers, kept)


def _kept(seen: Seen, number: int, fault: Fault) -> Kept:
    """The fault's ways, those put together that no observation tells apart."""
    groups: dict[bytes, list[int]] = {}
    silent = []
    for w, way in enumerate(fault.ways):
        rows = way.rows[seen.index]
        if fault.raises or (rows < seen.none).any():
            active = b"" if way.active is None else way.active[seen.index].tobytes()
            groups.setdefault(rows.tobytes() + active, []).append(w)
        else:
            silent.append(w)
    heard = sum(np.array(fault.ways[w].mass) for ways in groups.values() for w in ways) + np.zeros(2)
    absent = np.maximum(1.0 - heard, 1e-12)
    return Kept(number, tuple(_option(seen, number, fault, ways, absent) for ways in groups.values()), tuple(silent))


def _option(seen: Seen, number: int, fault: Fault, ways: Sequence[int], absent: Chances) -> Option | Switch:
    masses = np.array([fault.ways[w].mass for w in ways])
    total = masses.sum(axis=0)
    shares = masses / np.maximum(total, 1e-300)
    first = fault.ways[ways[0]]
    members = tuple((number, w, float(a), float(b)) for w, (a, b) in zip(ways, shares, strict=True))
    option = Option(first.rows[seen.index], total / absent, members)
    return option if first.active is None else Switch(option, first.active[seen.index])


def _merged(kept: Sequence[Kept], apart: frozenset[int] = frozenset()) -> list[tuple[Option | Switch, ...]]:
    """Faults that look alike in their only option become one: that at least one of them is there.

    Given that one of them is there, each is there with its own chance over that of any, and they do not exclude
    each other.
    """
    found: list[tuple[Option | Switch, ...]] = []
    alike: dict[bytes, list[Option]] = {}
    for k in kept:
        only = k.options[0] if len(k.options) == 1 else None
        if isinstance(only, Option) and k.fault not in apart:
            alike.setdefault(only.rows.tobytes(), []).append(only)
        else:
            found.append(k.options)
    for options in alike.values():
        found.append((options[0] if len(options) == 1 else _any_of(options),))
    return found


def _any_of(options: Sequence[Option]) -> Option:
    odds = np.prod([1.0 + o.odds for o in options], axis=0) - 1.0
    any_chance = odds / (1.0 + odds)
    members = []
    for o in options:
        share = (o.odds / (1.0 + o.odds)) / np.maximum(any_chance, 1e-300)
        members += [(f, w, a * float(share[0]), b * float(share[1])) for f, w, a, b in o.members]
    return Option(options[0].rows, odds, tuple(members))


def option_of(item: Option | Switch) -> Option:
    return item.option if isinstance(item, Switch) else item


def _clusters(seen: Seen, kept: Sequence[Kept]) -> list[Cluster]:
    """Faults and the observations of cylinders that they reach, by connection; what none reaches stands together."""
    parent = list(range(len(seen.index)))

    def root(e: int) -> int:
        while parent[e] != e:
            parent[e] = parent[parent[e]]
            e = parent[e]
        return e

    reached: list[list[int]] = []
    for k in kept:
        hit = np.zeros(len(parent), np.bool_)
        for item in k.options:
            hit |= option_of(item).rows < seen.none
        mine = [int(e) for e in np.flatnonzero(hit & ~seen.hub)]
        reached.append(mine)
        for a, b in pairwise(mine):
            parent[root(b)] = root(a)
    by_root: dict[int, list[Kept]] = {}
    for k, mine in zip(kept, reached, strict=True):
        by_root.setdefault(root(mine[0]) if mine else -1, []).append(k)
    places: dict[int, list[int]] = {r: [] for r in by_root}
    for e in np.flatnonzero(~seen.hub):
        places.setdefault(root(int(e)) if root(int(e)) in by_root else -1, []).append(int(e))
    return [_cluster(seen, places[r], by_root.get(r, [])) for r in sorted(places)]


def _cluster(seen: Seen, own: Sequence[int], kept: Sequence[Kept]) -> Cluster:
    """Lasting faults in the order of the first observation they reach, so that each cylinder is done with early."""
    groups: list[tuple[Option, ...]] = []
    switches: list[tuple[Switch, ...]] = []
    for items in _merged(kept):
        if isinstance(items[0], Switch):
            switches.append(tuple(i for i in items if isinstance(i, Switch)))
        else:
            groups.append(tuple(i for i in items if isinstance(i, Option)))
    groups.sort(key=lambda options: tuple(np.flatnonzero(np.any([o.rows < seen.none for o in options], axis=0))))
    return Cluster(np.array(own, np.intp), tuple(groups), tuple(switches))
