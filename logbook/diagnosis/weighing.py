"""What a cluster makes of what was seen in it: its appearances weighed under each state of what is shared.

What comes and goes is a switch: with it on, each observation is of the appearance with the switch's rows or without
them, by the chance that it shows there. So a switch only changes the likelihoods that appearances are weighed with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from logbook.diagnosis.appearances import (
    MOMENT_TOLERANCE,
    TOLERANCE,
    Folding,
    Index,
    Scale,
    Table,
    distinct,
    fold_fully,
    fold_roughly,
    log_likelihood,
)
from logbook.diagnosis.clusters import Cluster, Seen, Switch
from logbook.diagnosis.hubs import Together, together
from logbook.diagnosis.problem import Chances, Rows
from logbook.diagnosis.states import NO, Alike, Shared, States, merged, shown

LEAST_PART = 1e-4  # of the whole, from which appearances are kept for a state's sake
PAIR_EDGE = 1e-4  # of the leader, from which two switches are tried at a time
SHARES = (0.0, 1e-6, 1e-3)  # of the whole, from which no, one or two switches are tried under a state


@dataclass(frozen=True, slots=True)
class Combo:
    """Switches that are on together: which, their odds (2,), and the likelihoods that they leave (E, R)."""

    switches: tuple[tuple[int, int], ...]  # (group, option)
    odds: Chances
    like: Chances
    slip: Chances
    hub: Rows  # (hubs,) rows that they show in hubs


@dataclass(frozen=True, slots=True)
class Room:
    """A cluster ready to be weighed. Columns of ``table`` are its own observations, then the hubs."""

    cluster: Cluster
    table: Table
    own: Index
    hubs: Index
    log_mass: Chances  # (V, 2)
    absent: Chances  # (2,) log P(no fault of the cluster at all)
    keys: Rows  # (S', own) distinct rows that states make speak here
    key_comes: Index  # (S', 3) and what comes and goes with them
    key_of: Index  # (S,) which of them each state is


def ready(cluster: Cluster, seen: Seen, shared: Shared, states: States) -> Room:
    """A cluster with its most promising appearances, to be weighed under these states."""
    hubs = np.flatnonzero(seen.hub)
    keys, key_comes, key_of = _keys(cluster, seen, shared, states)
    odds = [sum(o.odds for o in options) for options in cluster.groups]
    odds += [sum(s.option.odds for s in options) for options in cluster.switches]
    absent = -sum((np.log1p(o) for o in odds), np.zeros(2))
    nothing = Table(np.empty((0, 0), np.uint8), np.empty((0, 2)), (), 0.0)
    room = Room(cluster, nothing, cluster.own, hubs, nothing.mass, absent, keys, key_comes, key_of)
    return _with_table(room, fold_roughly(_folding(room, seen, shared, np.ones(len(keys)), ())))


def folded(room: Room, seen: Seen, shared: Shared, share: Chances, moments: Chances) -> Room:
    """The cluster with all appearances that matter. ``share`` (keys,) of the whole as it roughly is.

    ``moments`` (M, E): 1 for what was seen by some moments of the history, at which appearances must not be missing.
    """
    counts = share >= LEAST_PART
    counts[room.key_of[0]] = True  # that of nothing shared
    folding = _folding(room, seen, shared, np.where(counts, np.maximum(share, LEAST_PART), 0.0), moments)
    return _with_table(room, fold_fully(folding, fold_roughly(folding)))


def _with_table(room: Room, table: Table) -> Room:
    return replace(room, table=table, log_mass=np.log(table.mass))


def _folding(room: Room, seen: Seen, shared: Shared, part: Chances, moments: Chances | tuple[()]) -> Folding:
    cluster, hubs = room.cluster, room.hubs
    keys, part = room.keys[part > 0], part[part > 0]
    columns = np.concatenate([cluster.own, hubs])
    like = seen.like[columns]
    states = np.concatenate([keys, np.tile(seen.none[hubs], (len(keys), 1))], axis=1)
    if len(hubs):  # hubs as they are where no other cluster shows in them, and where others drown this one
        drowned = np.concatenate([keys, np.zeros((len(keys), len(hubs)), np.uint8)], axis=1)
        states, part = np.concatenate([states, drowned]), np.tile(part, 2)
    scales = [Scale(like, states, part, TOLERANCE)]
    for by in moments:
        scales.append(Scale(like * by[columns, None], seen.none[None, columns], np.ones(1), MOMENT_TOLERANCE))
    reach = np.zeros(like.shape, np.bool_)
    switches = [s for options in cluster.switches for s in options]
    rest = float(np.prod([1.0 + sum(s.option.odds.max() for s in options) for options in cluster.switches]))
    shared_switches = [shared.items[n] for n in sorted({int(c) for c in room.key_comes.reshape(-1)} - {NO})]
    for item in (*switches, *shared_switches):
        if isinstance(item, Switch):
            reach[np.arange(len(columns)), item.option.rows[columns]] = True
    rest = max(rest, 2.0) if shared_switches else rest
    groups = [tuple(replace(o, rows=o.rows[columns]) for o in options) for options in cluster.groups]
    return Folding(groups, seen.none[columns], scales, reach, rest - 1.0)


def _keys(cluster: Cluster, seen: Seen, shared: Shared, states: States) -> tuple[Rows, Index, Index]:
    """The distinct ways in which states bear on a cluster."""
    rows = states.rows[:, cluster.own]
    bears = np.array(
        [
            isinstance(i, Switch) and bool((i.option.rows[cluster.own] < seen.none[cluster.own]).any())
            for i in shared.items
        ]
        + [False],
        np.bool_,
    )
    comes = np.where(bears[states.comes], states.comes, NO)
    comes = np.sort(comes, axis=1)[:, ::-1]
    both = np.concatenate([rows, (comes + 1).astype(np.uint8)], axis=1)
    first, which = distinct(both)
    return rows[first], comes[first], which


def rekeyed(room: Room, seen: Seen, shared: Shared, states: States) -> Room:
    """The same cluster under other states."""
    keys, key_comes, key_of = _keys(room.cluster, seen, shared, states)
    return replace(room, keys=keys, key_comes=key_comes, key_of=key_of)


def mixed(like: Chances, slip: Chances, rows: Rows, active: Chances) -> tuple[Chances, Chances]:
    """Likelihoods, and the share of slips, with something on that shows by chance ``active``: (E, R) each."""
    lowered = np.minimum(rows[:, None], np.arange(like.shape[1], dtype=np.uint8))
    on = np.log(np.maximum(active, 1e-300))[:, None] + np.take_along_axis(like, lowered.astype(np.intp), axis=1)
    off = np.log(np.maximum(1.0 - active, 1e-300))[:, None] + like
    both = np.logaddexp(on, off)
    share = np.exp(on - both)
    return both, share * np.take_along_axis(slip, lowered.astype(np.intp), axis=1) + (1.0 - share) * slip


def plain(room: Room, seen: Seen, shared: Shared, comes: tuple[int, ...]) -> Combo:
    """No switch of the cluster on, only those of the shared state."""
    like, slip = seen.like[room.own], seen.slip[room.own]
    for n in comes:
        item = shared.items[n]
        if isinstance(item, Switch):
            like, slip = mixed(like, slip, item.option.rows[room.own], item.active[room.own])
    return Combo((), np.ones(2), like, slip, seen.none[room.hubs])


def with_switch(base: Combo, group: int, option: int, room: Room, seen: Seen) -> Combo:
    """The combo with one more switch on."""
    switch = room.cluster.switches[group][option]
    like, slip = mixed(base.like, base.slip, switch.option.rows[room.own], switch.active[room.own])
    hub = np.minimum(base.hub, shown(switch, seen.none)[room.hubs])
    return Combo((*base.switches, (group, option)), base.odds * switch.option.odds, like, slip, hub)


@dataclass(frozen=True, slots=True)
class Weighed:
    """One combo under some of the keys that have the same things coming and going."""

    keys: Index  # which keys
    combo: Combo
    log: Chances  # (V, keys): log P(seen | appearance, key, combo)


def weigh(room: Room, seen: Seen, shared: Shared, share: Chances) -> Iterator[Weighed]:
    """Every combo with the keys it is tried with. ``share`` (keys,): of the whole, with no switch on.

    Switches are tried under keys that carry some of the whole without them: what they put right may also be a slip.
    """
    rows = room.table.rows[:, : len(room.own)]
    groups = [tuple(int(n) for n in row if n != NO) for row in room.key_comes]
    for group in sorted(set(groups)):
        mine = np.array([g == group for g in groups], np.bool_)
        tried = [np.flatnonzero(mine & (share >= edge)) for edge in SHARES]
        none = plain(room, seen, shared, group)
        yield Weighed(tried[0], none, log_likelihood(rows, none.like, room.keys[tried[0]]))
        switches = [(g, i) for g, options in enumerate(room.cluster.switches) for i in range(len(options))]
        singles = [with_switch(none, g, i, room, seen) for g, i in switches] if len(tried[1]) else []
        for combo in singles:
            yield Weighed(tried[1], combo, log_likelihood(rows, combo.like, room.keys[tried[1]]))
        for combo in _worth_two(none, singles, room, seen, tried[2]) if len(tried[2]) else []:
            yield Weighed(tried[2], combo, log_likelihood(rows, combo.like, room.keys[tried[2]]))


def _worth_two(none: Combo, singles: Sequence[Combo], room: Room, seen: Seen, keys: Index) -> list[Combo]:
    """Two switches on, where they may come to ``PAIR_EDGE`` of the leader in some state.

    Two put right at most what each puts right by itself, but where one undoes harm that the other does.
    """
    rows, mass = room.table.rows[:, : len(room.own)], room.log_mass.max(axis=1)[:, None]

    def total(combo: Combo) -> Chances:
        log = _log_sum(mass + log_likelihood(rows, combo.like, room.keys[keys]))
        return np.asarray(log + np.log(combo.odds.max()))

    alone = total(none)
    gains = [np.maximum(total(c) - alone, np.log(c.odds.max())) for c in singles]
    leader = np.max([np.zeros(len(keys)), *gains], axis=0) + np.log(PAIR_EDGE)
    found = []
    for (one, gain), (two, other) in combinations(zip(singles, gains, strict=True), 2):
        (group, option) = two.switches[0]
        if one.switches[0][0] != group and (gain + other >= leader).any():
            found.append(with_switch(one, group, option, room, seen))
    return found


def _log_sum(values: Chances) -> Chances:
    top = values.max(axis=0)
    return np.asarray(top + np.log(np.exp(values - top).sum(axis=0)))


def hub_patterns(room: Room, combos: Sequence[Combo]) -> tuple[Rows, list[Index]]:
    """The distinct rows that a cluster makes speak in hubs, and for each combo those of its appearances: (V,)."""
    rows = room.table.rows[:, len(room.own) :]
    hub_rows = {c.hub.tobytes(): i for i, c in enumerate(combos)}
    order = sorted(hub_rows)
    together = np.concatenate([np.minimum(rows, combos[hub_rows[h]].hub) for h in order])
    first, which = distinct(together)
    split = which.reshape(len(order), len(rows))
    where = {h: split[i] for i, h in enumerate(order)}
    return together[first], [where[c.hub.tobytes()] for c in combos]


@dataclass(frozen=True, slots=True)
class Weights:
    """Everything weighed: the states, and each cluster under them, with the hub pattern of each appearance."""

    states: States  # (U): one for all that look alike
    alike: Alike
    rooms: tuple[Room, ...]
    weighed: tuple[tuple[Weighed, ...], ...]
    patterns: tuple[tuple[Index, ...], ...]  # by room and combo (V,)
    whole: Together

    def share(self) -> Chances:
        """(S,) of every state."""
        return self.alike.spread(self.whole.share)

    def log_weight(self) -> Chances:
        """(S,) of every state."""
        return np.asarray(self.whole.log_weight[self.alike.which] + np.log(self.alike.part))


def weighed_under(seen: Seen, shared: Shared, states: States, rooms: Sequence[Room]) -> Weights:
    """Weighs every cluster under these states, and the states by all of them: first with no switch on, then with."""
    first = weighed_plainly(seen, shared, states, rooms)
    return _weighed(seen, shared, first.states, first.alike, first.rooms, key_shares(first))


def weighed_plainly(seen: Seen, shared: Shared, states: States, rooms: Sequence[Room]) -> Weights:
    """The same with no switch of a cluster on."""
    looks, alike = merged(states, seen.hub)
    made = tuple(rekeyed(room, seen, shared, looks) for room in rooms)
    return _weighed(seen, shared, looks, alike, made, [np.zeros(len(room.keys)) for room in made])


def key_shares(weights: Weights) -> list[Chances]:
    """By room (keys,): the share of the whole of all states that bear on it in the same way."""
    share = weights.whole.share
    return [np.bincount(room.key_of, share, len(room.keys)).astype(np.float64) for room in weights.rooms]


def _weighed(
    seen: Seen,
    shared: Shared,
    states: States,
    alike: Alike,
    rooms: tuple[Room, ...],
    shares: Sequence[Chances],
) -> Weights:
    hub_rows, logs, every, patterns = [], [], [], []
    for room, share in zip(rooms, shares, strict=True):
        weighed = tuple(weigh(room, seen, shared, share))
        rows, where = hub_patterns(room, [w.combo for w in weighed])
        log = _by_key(room, weighed, where, len(rows))
        logs.append(log[states.context, :, room.key_of] + room.absent[states.context][:, None])
        hub_rows.append(rows)
        every.append(weighed)
        patterns.append(tuple(where))
    whole = together(states.log_prior, logs, hub_rows, states.hub_rows[:, seen.hub], seen.like[seen.hub])
    return Weights(states, alike, rooms, tuple(every), tuple(patterns), whole)


def _by_key(room: Room, weighed: Sequence[Weighed], where: Sequence[Index], patterns: int) -> Chances:
    """log P(seen here, hub pattern | key): (2, patterns, keys)"""
    shift = np.full(len(room.keys), -np.inf)
    top = room.log_mass.max(axis=1)[:, None]
    for w in weighed:
        best = (top + w.log).max(axis=0) + np.log(w.combo.odds.max())
        shift[w.keys] = np.maximum(shift[w.keys], best)
    total = np.zeros((2, patterns, len(room.keys)))
    mass = np.exp(room.log_mass)
    for w, pattern in zip(weighed, where, strict=True):
        likely = np.exp(w.log - shift[w.keys])
        for n in np.unique(pattern):
            here = pattern == n
            total[:, n, w.keys] += (mass[here] * w.combo.odds).T @ likely[here]
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(total) + shift)
