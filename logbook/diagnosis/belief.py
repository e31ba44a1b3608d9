"""How likely each fault is, given everything that was seen.

All states of what is shared (``states``) are weighed; given one, clusters of cylinders stand apart (``clusters``), and
each is weighed by the appearances of its faults (``appearances``, ``weighing``). A pass back over the folds (``back``)
gives the chance of each way of each fault. History, and the weight of an entry, are the same sums with some
observations left out (``history``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.appearances import Index
from logbook.diagnosis.back import Tally, add_shared, fold_back, worth_of
from logbook.diagnosis.clusters import Parted, take_apart
from logbook.diagnosis.history import chances_with
from logbook.diagnosis.problem import Chances, Problem
from logbook.diagnosis.states import Shared, none_and_single, pairs_worth, shared_options, states_of, triples_worth
from logbook.diagnosis.weighing import Weights, folded, key_shares, ready, weighed_plainly, weighed_under

PAIR_EDGE = np.log(1e-5)  # share of the whole from which two shared faults at once are looked at
TRIPLE_EDGE = np.log(1e-3)  # and from which a third is tried on top of two
MOMENTS = 6  # of the history, at which no appearance of weight is missing


@dataclass(frozen=True, slots=True)
class Belief:
    """The answer to a problem: the chance that each fault, and each way of it, is or was there.

    ``ways`` is flat, those of fault f from ``start[f]`` on. ``slips`` (E,) are of what was seen. ``lost`` bounds the
    share of the whole that was not looked at among the lasting faults of a cluster.
    """

    problem: Problem
    parted: Parted
    shared: Shared
    weights: Weights
    start: Index
    ways: Chances
    faults: Chances
    lost: float
    slips: Chances
    messages: tuple[Chances, ...]  # by room (S, patterns): all else, given what the room makes speak in hubs

    def of_way(self, fault: int, way: int) -> float:
        return float(self.ways[self.start[fault] + way])

    def misread(self, observation: int) -> float:
        """P(what was seen there was a slip | everything); 0 where nothing was seen."""
        where = np.flatnonzero(self.parted.seen.index == observation)
        return float(self.slips[where[0]]) if len(where) else 0.0

    def entries(self) -> list[int]:
        """Entries of the log that say something, in their order."""
        return sorted({int(e) for e in self.parted.seen.entry})

    def history(self, entries: Sequence[int]) -> Chances:
        """(entries, faults): the chances after each of these entries."""
        return self._of_faults(self.history_of_ways(entries))

    def history_of_ways(self, entries: Sequence[int]) -> Chances:
        """(entries, ways): the same of each way; -1 for before all of them."""
        return self._with(np.array([self.parted.seen.entry <= e for e in entries]))

    def without(self, entries: Sequence[int]) -> Chances:
        """(entries, faults): the chances with each of these entries left out."""
        return self._of_faults(self._with(np.array([self.parted.seen.entry != e for e in entries])))

    def _of_faults(self, ways: Chances) -> Chances:
        sums = np.concatenate([np.zeros((len(ways), 1)), ways.cumsum(axis=1)], axis=1)
        return np.asarray(sums[:, self.start[1:]] - sums[:, self.start[:-1]])

    def _with(self, kept: Chances) -> Chances:
        if not len(kept):
            return np.zeros((0, len(self.ways)))
        return chances_with(
            self.problem, self.parted, self.shared, self.weights, self.messages, kept.astype(np.float64)
        )

    def decibans(self, entries: Sequence[int]) -> Chances:
        """(entries, faults): tenths of a ban by which each entry moves each fault, with all others known."""
        return decibans(self.without(entries), self.faults)


def decibans(before: Chances, now: Chances) -> Chances:
    """By how much odds moved, in tenths of a ban."""
    a, b = (np.clip(x, 1e-12, 1 - 1e-12) for x in (before, now))
    return np.asarray(10 * (np.log10(b / (1 - b)) - np.log10(a / (1 - a))))


def solve(problem: Problem) -> Belief:
    """The chances of all faults. Work grows with the appearances that matter, not with the sets of faults."""
    parted = take_apart(problem)
    shared = shared_options(parted)
    options = none_and_single(shared)
    states = states_of(shared, options)
    moments = _moments(parted.seen.entry)
    rough = weighed_plainly(
        parted.seen, shared, states, [ready(c, parted.seen, shared, states) for c in parted.clusters]
    )
    rooms = [
        folded(room, parted.seen, shared, share, moments)
        for room, share in zip(rough.rooms, key_shares(rough), strict=True)
    ]
    weights = weighed_under(parted.seen, shared, states, rooms)
    pairs = pairs_worth(shared, weights.log_weight(), float(PAIR_EDGE))
    if pairs:
        weights = weighed_under(parted.seen, shared, states_of(shared, [*options, *pairs]), rooms)
        log = weights.log_weight()
        triples = triples_worth(shared, pairs, log[len(options) :], float(log.max()), float(TRIPLE_EDGE))
        if triples:
            weights = weighed_under(parted.seen, shared, states_of(shared, [*options, *pairs, *triples]), rooms)
    return _answer(problem, parted, shared, weights)


def _moments(entry: Index) -> Chances:
    """A few moments spread over the entries, the last left out: 1 for what was seen by then. (M, E)"""
    known = np.unique(entry)
    picked = known[np.unique(np.linspace(0, len(known) - 1, MOMENTS).astype(int))[:-1]] if len(known) else known
    return (entry[None, :] <= picked[:, None]).astype(np.float64)


def _answer(problem: Problem, parted: Parted, shared: Shared, weights: Weights) -> Belief:
    seen, states, whole = parted.seen, weights.states, weights.whole
    tally = Tally(problem)
    add_shared(tally, shared, weights.alike.members, weights.share()[None, :])
    slips = np.zeros(len(seen.index))
    messages = tuple(whole.messages())
    for c, room in enumerate(weights.rooms):
        mine, slips[room.own] = worth_of(room, weights.weighed[c], weights.patterns[c], states, messages[c], tally)
        fold_back(room, mine, tally)
    slips[seen.hub] = whole.hub_slips(seen.slip[seen.hub])
    tally.silent(problem, parted.kept, np.array([whole.share[states.context == 1].sum()]))
    lost = sum(room.table.lost for room in weights.rooms)
    return Belief(
        problem, parted, shared, weights, tally.start, tally.ways[0], tally.faults()[0], lost, slips, messages
    )
