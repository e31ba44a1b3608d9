"""Clusters put together again: under each state they multiply, and meet only in readings of the whole engine.

A reading of a bank or the engine shows the lowest row of all clusters and of the state. So clusters are folded by the
rows that they make speak there, as faults are folded within a cluster.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.appearances import distinct, log_likelihood, raised
from logbook.diagnosis.problem import Chances, Rows

LEAST = 1e-6  # share of a state that rows in hubs must have in some state


@dataclass(frozen=True, slots=True)
class Meeting:
    """Some clusters together: the rows that they make speak in hubs (H, hubs), and the log of their weight (S, H)."""

    rows: Rows
    log: Chances


@dataclass(frozen=True, slots=True)
class Together:
    """Every state weighed by all clusters and hubs."""

    log_weight: Chances  # (S,)
    share: Chances  # (S,) sums to 1
    log_prior: Chances  # (S,)
    clusters: tuple[Meeting, ...]
    before: tuple[Meeting, ...]  # of the clusters before each one, and of all
    state_rows: Rows  # (S, hubs)
    like: Chances  # (hubs, rows)
    least: float

    def messages(self) -> list[Chances]:
        """By cluster (S, patterns of it): the log of all else given what it makes speak, over the whole."""
        after = [_nothing(self.log_prior, self.like)]
        for cluster in reversed(self.clusters[1:]):
            after.append(met(after[-1], cluster, self.least))
        whole = np.logaddexp.reduce(self.log_weight) if len(self.log_weight) else 0.0
        found = []
        for before, cluster, behind in zip(self.before, self.clusters, reversed(after), strict=False):
            others = met(before, behind, self.least)
            rows = np.minimum(others.rows[:, None, :], cluster.rows[None, :, :])
            hub = _hubs(rows.reshape(len(others.rows) * len(cluster.rows), len(self.like)), self.state_rows, self.like)
            both = others.log[:, :, None] + hub.reshape(len(self.share), len(others.rows), len(cluster.rows))
            found.append(np.logaddexp.reduce(both, axis=1) + (self.log_prior - whole)[:, None])
        return found

    def hub_slips(self, slip: Chances) -> Chances:
        """(hubs,): P(the reading was a slip | everything)."""
        everyone = self.before[-1]
        joint = self.log_prior[:, None] + everyone.log + _hubs(everyone.rows, self.state_rows, self.like)
        share = np.exp(joint - np.logaddexp.reduce(self.log_weight))
        return expected(slip, np.minimum(everyone.rows, slip.shape[1] - 1), self.state_rows, share.T)


def expected(values: Chances, rows: Rows, states: Rows, share: Chances) -> Chances:
    """What ``values[e, row]`` comes to on average, where ``share[v, s]`` weighs the lower of v's and s's row: (E,)"""
    steps = np.diff(values, axis=1)
    places, below = np.nonzero(steps)
    stand = (raised(rows, places, below) * (share @ raised(states, places, below))).sum(axis=0)
    return np.asarray(values[:, 0] * share.sum() + np.bincount(places, steps[places, below] * stand, len(values)))


def together(
    log_prior: Chances,
    logs: Sequence[Chances],
    hub_rows: Sequence[Rows],
    state_rows: Rows,
    like: Chances,
    least: float = LEAST,
) -> Together:
    """Weighs the states: ``logs[c]`` (S, patterns of c) of each cluster, ``like`` (hubs, rows) of the hubs."""
    clusters = tuple(Meeting(rows, log) for rows, log in zip(hub_rows, logs, strict=True))
    before = [_nothing(log_prior, like)]
    for cluster in clusters:
        before.append(met(before[-1], cluster, least))
    everyone = before[-1]
    joint = everyone.log + _hubs(everyone.rows, state_rows, like)
    log_weight = log_prior + np.logaddexp.reduce(joint, axis=1)
    share = np.exp(log_weight - np.logaddexp.reduce(log_weight))
    return Together(log_weight, share, log_prior, clusters, tuple(before), state_rows, like, least)


def _nothing(log_prior: Chances, like: Chances) -> Meeting:
    return Meeting(np.full((1, len(like)), 255, np.uint8), np.zeros((len(log_prior), 1)))


def _hubs(rows: Rows, states: Rows, like: Chances) -> Chances:
    """log P(hubs | the lower of the two): (S, H)"""
    if not len(like):
        return np.zeros((len(states), len(rows)))
    return log_likelihood(np.minimum(rows, like.shape[1] - 1), like, states).T


def met(a: Meeting, b: Meeting, least: float) -> Meeting:
    """Two groups of clusters together: the lower row of each hub, weights multiplied, equal rows summed.

    Rows that carry less than ``least`` in every state are left out.
    """
    if len(b.rows) == 1 and (b.rows >= a.rows.max(axis=0, initial=0)).all():
        return Meeting(a.rows, a.log + b.log)
    rows = np.minimum(a.rows[:, None, :], b.rows[None, :, :]).reshape(len(a.rows) * len(b.rows), a.rows.shape[1])
    first, which = distinct(rows)
    top_a, top_b = (np.maximum(m.log.max(axis=1, keepdims=True), -1e300) for m in (a, b))
    both = np.exp(a.log - top_a)[:, :, None] * np.exp(b.log - top_b)[:, None, :]
    order = np.argsort(which, kind="stable")
    starts = np.searchsorted(which[order], np.arange(len(first)))
    total = np.add.reduceat(both.reshape(len(both), -1)[:, order], starts, axis=1)
    stay = (total > least * total.sum(axis=1, keepdims=True)).any(axis=0)
    with np.errstate(divide="ignore"):
        return Meeting(rows[first][stay], np.log(total[:, stay]) + top_a + top_b)
