"""The likeliest sets of faults, one by one: what tests are chosen by, and what 'several' and verdicts by part need.

The inference never lists sets. Here those that carry some weight are taken back from it: an appearance is followed
back over the folds to the options that made it up, an option to its ways.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.appearances import Index, Option, Table
from logbook.diagnosis.back import by_key
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.clusters import option_of
from logbook.diagnosis.states import NO

LEAST = 2e-4  # share below which a set, or a part of one, is not followed
Members = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class FaultSet:
    """Faults that are there together, each in one way, among the cylinders of one cluster and all that is shared."""

    probability: float
    ways: Members  # (fault, way), rising


def fault_sets(belief: Belief, room: int) -> tuple[FaultSet, ...]:
    """The likeliest sets of a cluster, with what is shared, most likely first. Together they come to nearly 1."""
    found: dict[Members, float] = {}
    folded: dict[tuple[int, int], list[tuple[tuple[Option, ...], float]]] = {}
    origins = _Origins(belief.weights.rooms[room].table)
    for share, appearance, context, options in _carrying(belief, room):
        where = appearance, context
        if where not in folded:
            folded[where] = _taken_back(origins, appearance, context)
        for lasting, part in folded[where]:
            for ways, chance in _ways((*lasting, *options), context, share * part):
                found[ways] = found.get(ways, 0.0) + chance
    ranked = sorted(found.items(), key=lambda item: (-round(item[1], 12), item[0]))
    return tuple(FaultSet(chance, ways) for ways, chance in ranked if chance >= LEAST)


def shared_sets(belief: Belief) -> tuple[FaultSet, ...]:
    """The same of what is shared alone."""
    found: dict[Members, float] = {}
    states, share = belief.weights.alike.members, belief.weights.share()
    for s in np.flatnonzero(share >= LEAST):
        options = tuple(option_of(belief.shared.items[n]) for n in states.options[s] if n != NO)
        for ways, chance in _ways(options, int(states.context[s]), float(share[s])):
            found[ways] = found.get(ways, 0.0) + chance
    ranked = sorted(found.items(), key=lambda item: (-round(item[1], 12), item[0]))
    return tuple(FaultSet(chance, ways) for ways, chance in ranked)


def room_of(belief: Belief, fault: int) -> int | None:
    """The cluster in which a fault shows; None for what is shared and for what shows nowhere."""
    for c, room in enumerate(belief.weights.rooms):
        groups = (*room.cluster.groups, *(tuple(s.option for s in g) for g in room.cluster.switches))
        if any(fault == f for options in groups for o in options for f, *_ in o.members):
            return c
    return None


def _carrying(belief: Belief, c: int) -> Iterator[tuple[float, int, int, tuple[Option, ...]]]:
    """(share, appearance, context, options of switches and of what is shared) of all that carries weight."""
    weights = belief.weights
    room, states, message = weights.rooms[c], weights.states, belief.messages[c]
    other, alike = by_key(room, states, message), weights.alike
    mass = np.exp(room.log_mass)
    for w, pattern in zip(weights.weighed[c], weights.patterns[c], strict=True):
        for context in (0, 1):
            worth = np.exp(w.log) * other[context][w.keys][:, pattern].T * w.combo.odds[context]
            share = worth * mass[:, context, None]
            of_key: dict[int, Index] = {}  # the states of what is shared that look alike to this cluster
            for v, column in zip(*np.nonzero(share >= LEAST), strict=True):
                if column not in of_key:
                    looks = (room.key_of == w.keys[column]) & (states.context == context)
                    of_key[column] = np.flatnonzero(looks[alike.which])
                here = of_key[column]
                part = np.exp(message[alike.which[here], pattern[v]]) * alike.part[here]
                switches = tuple(room.cluster.switches[g][i].option for g, i in w.combo.switches)
                carried = float(share[v, column]) * part / part.sum()
                for i in np.flatnonzero(carried >= LEAST):
                    shared = tuple(option_of(belief.shared.items[n]) for n in alike.members.options[here[i]] if n != NO)
                    yield float(carried[i]), int(v), context, (*switches, *shared)


class _Origins:
    """Which appearances of a fold an appearance behind it came from, looked up once each.

    Asked thousands of times for a few hundred: sixteen workshops of several engines take 22 s, and 26 s without it.
    """

    def __init__(self, table: Table) -> None:
        self.table = table
        self._known: dict[tuple[int, int], list[tuple[int, Option | None, float, float]]] = {}

    def of(self, number: int, appearance: int) -> list[tuple[int, Option | None, float, float]]:
        """(appearance before, option that was folded in or None, its mass in each context)."""
        if (number, appearance) not in self._known:
            fold = self.table.folds[number]
            ways: list[tuple[Option | None, Index]] = [(None, fold.absent)]
            ways += zip(fold.options, fold.present, strict=True)
            self._known[number, appearance] = [
                (int(u), option, float(fold.mass[u, 0]), float(fold.mass[u, 1]))
                for option, where in ways
                for u in np.flatnonzero(where == appearance)
            ]
        return self._known[number, appearance]


def _taken_back(origins: _Origins, appearance: int, context: int) -> list[tuple[tuple[Option, ...], float]]:
    """The sets of options that look like this, each with its share of them."""
    whole = float(origins.table.mass[appearance, context])
    here: list[tuple[int, tuple[Option, ...], float]] = [(appearance, (), 1.0 / whole)]
    for number in reversed(range(len(origins.table.folds))):
        before: list[tuple[int, tuple[Option, ...], float]] = []
        for v, options, odds in here:
            for u, option, *mass in origins.of(number, v):
                much = odds if option is None else odds * float(option.odds[context])
                if mass[context] * much >= LEAST:
                    before.append((u, options if option is None else (*options, option), much))
        here = before
    return [(options, odds) for _, options, odds in here]


def _ways(options: tuple[Option, ...], context: int, share: float) -> Iterator[tuple[Members, float]]:
    """One way for each option, all combinations that carry weight."""
    made: list[tuple[Members, float]] = [((), share)]
    for option in options:
        total = sum(m[2 + context] for m in option.members)
        made = [
            ((*ways, (m[0], m[1])), chance * m[2 + context] / total)
            for ways, chance in made
            for m in option.members
            if chance * m[2 + context] / total >= LEAST / 10
        ]
    for ways, chance in made:
        yield tuple(sorted(ways)), chance
