"""The chances with some of what was seen left out: after each entry, and without each entry.

The appearances, states and combos are those that everything seen left standing, and those that may lead early on: none
and single ones of each. Leaving observations out is a sum over the others, so all variants are one matrix product.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.appearances import Index
from logbook.diagnosis.back import Tally, add_shared, by_key, fold_back
from logbook.diagnosis.clusters import Parted
from logbook.diagnosis.hubs import Together, together
from logbook.diagnosis.problem import Chances, Problem
from logbook.diagnosis.states import NO, Shared, States
from logbook.diagnosis.weighing import Combo, Room, Weighed, Weights, hub_patterns, rekeyed, weigh

STATE_PART = 1e-4  # share from which a state takes part beside none and the single ones
HUB_PART = 1e-3  # share of a state that rows in hubs must have
COMBO_PART = 1e-3  # share of the whole from which a combo takes part under a state other than none


@dataclass(frozen=True, slots=True)
class _Line:
    """One combo under one key: log P(what each variant keeps | appearance) (V, variants here)."""

    key: int
    combo: Combo
    pattern: Index
    log: Chances


@dataclass(frozen=True, slots=True)
class _Varied:
    """A room in every variant. ``which`` (K,): the variant here that each variant is."""

    room: Room
    lines: tuple[_Line, ...]
    which: Index
    log: Chances  # (variants here, 2, patterns, keys)
    hub_rows: np.ndarray[tuple[int, int], np.dtype[np.uint8]]


def chances_with(
    problem: Problem, parted: Parted, shared: Shared, weights: Weights, messages: Sequence[Chances], masks: Chances
) -> Chances:
    """(K, ways) where ``masks`` (K, E) is 1 for what is kept."""
    tally = Tally(problem, len(masks))
    part = _looks_taking_part(weights)
    states = weights.states.of(part)
    rooms = [_varied(parted, shared, weights, part, c, messages[c][part], masks) for c in range(len(weights.rooms))]
    shares = np.zeros((len(masks), len(weights.whole.share)))
    others = [np.zeros((len(masks), 2, len(v.room.keys), len(v.hub_rows))) for v in rooms]
    for k, mask in enumerate(masks):
        whole = _variant(parted, states, rooms, mask, k)
        shares[k, part] = whole.share
        all_else = whole.messages()
        for c, varied in enumerate(rooms):
            others[c][k] = by_key(varied.room, states, all_else[c])
    add_shared(tally, shared, weights.alike.members, weights.alike.spread(shares))
    for varied, other in zip(rooms, others, strict=True):
        fold_back(varied.room, _worth(varied, other, tally), tally)
    tally.silent(problem, parted.kept, shares[:, weights.states.context == 1].sum(axis=1))
    return tally.ways


def _looks_taking_part(weights: Weights) -> Index:
    """Looks of none and of single shared faults, which may lead early on, and those that carry weight in the end."""
    few = (weights.alike.members.options != NO).sum(axis=1) <= 1
    leads = np.bincount(weights.alike.which, few, len(weights.whole.share)) > 0
    return np.asarray(np.flatnonzero(leads | (weights.whole.share > STATE_PART)))


def _varied(
    parted: Parted, shared: Shared, weights: Weights, part: Index, c: int, message: Chances, masks: Chances
) -> _Varied:
    """Weighs a room in each distinct variant of its own observations."""
    seen, states = parted.seen, weights.states.of(part)
    room = rekeyed(weights.rooms[c], seen, shared, states)
    share = np.bincount(room.key_of, weights.whole.share[part], len(room.keys)).astype(np.float64)
    weighed = list(weigh(room, seen, shared, share))
    rows, patterns = hub_patterns(room, [w.combo for w in weighed])
    kept, which = np.unique(masks[:, room.own], axis=0, return_inverse=True)
    appearances = room.table.rows[:, : len(room.own)]
    places = np.arange(len(room.own))
    other = by_key(room, states, message)
    lines = []
    for w, pattern in zip(weighed, patterns, strict=True):
        for key in _taking_part(room, w, pattern, other):
            lower = np.minimum(appearances, room.keys[key])
            lines.append(_Line(key, w.combo, pattern, w.combo.like[places, lower] @ kept.T))
    return _Varied(room, tuple(lines), which.reshape(-1), _log_by_key(room, lines, len(kept), len(rows)), rows)


def _taking_part(room: Room, w: Weighed, pattern: Index, other: Chances) -> list[int]:
    """Keys under which a combo counts: no switch, or one with nothing shared, or both where they carry weight."""
    if not w.combo.switches:
        return [int(key) for key in w.keys]
    bare = int(room.key_of[0]) if len(w.combo.switches) == 1 else -1
    mass = np.exp(room.log_mass)
    share = sum(
        ((np.exp(w.log) * other[c][w.keys][:, pattern].T).T @ mass[:, c]) * w.combo.odds[c] for c in (0, 1)
    ) + np.zeros(len(w.keys))
    return [int(key) for key, s in zip(w.keys, share, strict=True) if key == bare or s >= COMBO_PART]


def _log_by_key(room: Room, lines: list[_Line], variants: int, patterns: int) -> Chances:
    """log P(what is kept, hub pattern | key): (variants, 2, patterns, keys)"""
    shift = np.full((variants, len(room.keys)), -np.inf)
    top = room.log_mass.max(axis=1)[:, None]
    for line in lines:
        best = (line.log + top).max(axis=0) + np.log(line.combo.odds.max())
        shift[:, line.key] = np.maximum(shift[:, line.key], best)
    total = np.zeros((variants, 2, patterns, len(room.keys)))
    mass = np.exp(room.log_mass)
    for line in lines:
        likely = np.exp(line.log - shift[:, line.key])
        for c in (0, 1):
            for pattern in np.unique(line.pattern):
                here = line.pattern == pattern
                total[:, c, pattern, line.key] += (mass[here, c] * line.combo.odds[c]) @ likely[here]
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(total) + shift[:, None, None, :])


def _variant(parted: Parted, states: States, rooms: list[_Varied], mask: Chances, k: int) -> Together:
    seen = parted.seen
    logs = []
    for varied in rooms:
        log = varied.log[varied.which[k]][states.context, :, varied.room.key_of]
        logs.append(log + varied.room.absent[states.context][:, None])
    like = seen.like[seen.hub] * mask[seen.hub][:, None]
    hub_rows = [v.hub_rows for v in rooms]
    return together(states.log_prior, logs, hub_rows, states.hub_rows[:, seen.hub], like, HUB_PART)


def _worth(varied: _Varied, other: Chances, tally: Tally) -> Chances:
    """(V, 2, K): what each appearance is worth in each variant; what comes and goes is tallied on the way."""
    mass = np.exp(varied.room.log_mass)
    with np.errstate(divide="ignore"):
        log_other = np.log(other)
    worth = np.zeros((len(mass), 2, len(varied.which)))
    for line in varied.lines:
        log = line.log[:, varied.which]
        chance = np.zeros((len(varied.which), 2))
        for c in (0, 1):
            likely = np.exp(log + log_other[:, c, line.key][:, line.pattern].T) * line.combo.odds[c]
            worth[:, c] += likely
            chance[:, c] = mass[:, c] @ likely
        for group, option in line.combo.switches:
            tally.add(varied.room.cluster.switches[group][option].option.members, chance)
    return worth
