"""From weights back to faults: what each way of each fault comes to.

Seen from the end, an appearance is worth what everything seen makes of it in all states and combos. A pass back over
the folds carries that worth to each table before; the mass that a fault's option carried across a fold, times the
worth of where it went, is the chance of the option.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from logbook.diagnosis.appearances import Index
from logbook.diagnosis.clusters import Kept, option_of
from logbook.diagnosis.hubs import expected
from logbook.diagnosis.problem import Chances, Problem
from logbook.diagnosis.states import Shared, States
from logbook.diagnosis.weighing import Room, Weighed


class Tally:
    """Chances of the ways of every fault, flat, without and with what raises faults: (variants, 2, ways)."""

    def __init__(self, problem: Problem, variants: int = 1) -> None:
        self.start = np.concatenate([[0], np.cumsum([len(f.ways) for f in problem.faults])]).astype(np.intp)
        self.by_context = np.zeros((variants, 2, int(self.start[-1])))

    @property
    def ways(self) -> Chances:
        """(variants, ways)"""
        return np.asarray(self.by_context.sum(axis=1))

    def faults(self) -> Chances:
        """(variants, faults): that the fault is there in any way."""
        return self._of_faults(self.ways)

    def _of_faults(self, chances: Chances) -> Chances:
        sums = np.concatenate([np.zeros((*chances.shape[:-1], 1)), chances.cumsum(axis=-1)], axis=-1)
        return np.asarray(sums[..., self.start[1:]] - sums[..., self.start[:-1]])

    def add(self, members: Iterable[tuple[int, int, float, float]], chance: Chances) -> None:
        """``chance`` (variants, 2): of the option that these ways make up, without and with what raises them."""
        for fault, way, *shares in members:
            self.by_context[:, :, self.start[fault] + way] += chance * shares

    def silent(self, problem: Problem, kept: Sequence[Kept], raised: Chances) -> None:
        """Ways that no observation sees: as likely as ever, where no other way of the fault is there.

        ``raised`` (variants,): the chance that what raises others is there.
        """
        context = np.stack([1.0 - raised, raised], axis=1)
        heard = self._of_faults(self.by_context)
        for k in kept:
            ways = problem.faults[k.fault].ways
            prior = sum(np.array(w.mass) for i, w in enumerate(ways) if i not in k.silent) + np.zeros(2)
            for w in k.silent:
                share = np.array(ways[w].mass) / np.maximum(1.0 - prior, 1e-12)
                self.by_context[:, :, self.start[k.fault] + w] = (context - heard[:, :, k.fault]) * share


def add_shared(tally: Tally, shared: Shared, states: States, share: Chances) -> None:
    """``share`` (variants, S) of the states, to the options in them."""
    for n, item in enumerate(shared.items):
        here = (states.options == n).any(axis=1)
        chance = np.stack([share[:, here & (states.context == c)].sum(axis=1) for c in (0, 1)], axis=1)
        tally.add(option_of(item).members, chance)


def fold_back(room: Room, worth: Chances, tally: Tally) -> None:
    """``worth`` (V, 2, variants) of the last table's appearances, carried back fold by fold."""
    for fold in reversed(room.table.folds):
        closed = np.concatenate([worth, np.zeros((1, *worth.shape[1:]))])  # what was dropped is worth nothing
        worth = closed[fold.absent]
        for option, where in zip(fold.options, fold.present, strict=True):
            gone = closed[where] * option.odds[None, :, None]
            tally.add(option.members, np.einsum("vc,vck->kc", fold.mass, gone))
            worth = worth + gone


def by_key(room: Room, states: States, message: Chances) -> Chances:
    """Messages of states (S, patterns) summed by the key they share here: (2, keys, patterns)."""
    found = np.zeros((2, len(room.keys), message.shape[1]))
    scaled = np.exp(message + room.absent[states.context][:, None])
    np.add.at(found, (states.context, room.key_of), scaled)
    return found


def worth_of(
    room: Room,
    weighed: Sequence[Weighed],
    patterns: Sequence[Index],
    states: States,
    message: Chances,
    tally: Tally,
) -> tuple[Chances, Chances]:
    """What each appearance is worth (V, 2, 1), and the chance that each own observation was a slip (own,).

    Chances of what comes and goes are tallied on the way: ``message`` (S, patterns) is of all else.
    """
    rows = room.table.rows[:, : len(room.own)]
    mass = np.exp(room.log_mass)
    other = np.log(np.maximum(by_key(room, states, message), 1e-300))
    worth = np.zeros((len(rows), 2))
    slips = np.zeros(len(room.own))
    for w, pattern in zip(weighed, patterns, strict=True):
        likely = [np.exp(w.log + other[c][w.keys][:, pattern].T) * w.combo.odds[c] for c in (0, 1)]
        share = sum(likely[c] * mass[:, c, None] for c in (0, 1))
        slips += expected(w.combo.slip, rows, room.keys[w.keys], np.asarray(share))
        total = np.array([[float((likely[c] * mass[:, c, None]).sum()) for c in (0, 1)]])
        for group, option in w.combo.switches:
            tally.add(room.cluster.switches[group][option].option.members, total)
        worth += np.stack([likely[c].sum(axis=1) for c in (0, 1)], axis=1)
    return worth[:, :, None], slips
