"""Small random networks for the tests, and two ways to sum them that know nothing of elimination."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from logbook.diagnosis.elimination import Graph
from logbook.diagnosis.ordering import STATES


@dataclass(frozen=True)
class NoisyOr:
    """A two-layer network with ties among causes: what a job becomes, told plainly.

    ``findings``: (leak, {cause: q}, P(reading | absent), P(reading | present)).
    """

    priors: tuple[float, ...]
    ties: tuple[tuple[int, int, float, float], ...]  # (before, after, P(after | not before), P(after | before))
    findings: tuple[tuple[float, tuple[tuple[int, float], ...], float, float], ...]


def draw(rng: np.random.Generator, causes: int, findings: int, most_parents: int = 5) -> NoisyOr:
    """A random network; causes are rare, findings now clear, now dull, now contradictory."""
    priors = tuple(float(p) for p in rng.uniform(0.002, 0.3, causes))
    ties = tuple(
        (v - 1, v, float(rng.uniform(0, 0.1)), float(rng.uniform(0.2, 1)))
        for v in range(1, causes)
        if rng.random() < 0.2
    )
    rows = []
    for _ in range(findings):
        chosen = sorted(rng.choice(causes, size=min(causes, int(rng.integers(1, most_parents + 1))), replace=False))
        q = tuple((int(v), float(rng.uniform(0.05, 0.99))) for v in chosen)
        rows.append((float(rng.uniform(0.001, 0.1)), q, *(float(x) for x in rng.uniform(0.01, 1, 2))))
    return NoisyOr(priors, ties, tuple(rows))


def graph_of(net: NoisyOr) -> tuple[Graph, np.ndarray]:
    """The pair graph and its weights."""
    n = len(net.priors)
    pairs: dict[tuple[int, int], np.ndarray] = {}
    weights = np.zeros((1, n + len(net.findings), STATES))
    tied = {after for _, after, _, _ in net.ties}
    for v, p in enumerate(net.priors):
        weights[0, v, :2] = (1, 1) if v in tied else (1 - p, p)
    for before, after, new, stays in net.ties:
        pairs[before, after] = np.array([[1 - new, new], [1 - stays, stays]])
    for i, (leak, parents, absent, present) in enumerate(net.findings):
        weights[0, n + i, :2] = present, (absent - present) * (1 - leak)
        for v, q in parents:
            pairs[v, n + i] = np.array([[1, 1], [1, 1 - q]])
    return Graph((2,) * (n + len(net.findings)), pairs), weights


def enumerate_all(net: NoisyOr, exact: bool = False) -> tuple[float | Fraction, list[float | Fraction]]:
    """Z and P(cause present) by adding up every state; with ``exact`` in fractions, without any rounding."""
    number = Fraction if exact else float
    tied = {after: (before, new, stays) for before, after, new, stays in net.ties}
    total = number(0)
    present = [number(0)] * len(net.priors)
    for state in itertools.product((0, 1), repeat=len(net.priors)):
        weight = number(1)
        for v, p in enumerate(net.priors):
            if v in tied:
                before, new, stays = tied[v]
                p = stays if state[before] else new
            weight *= number(p) if state[v] else 1 - number(p)
        for leak, parents, absent, there in net.findings:
            clear = 1 - number(leak)
            for v, q in parents:
                if state[v]:
                    clear *= 1 - number(q)
            weight *= number(absent) * clear + number(there) * (1 - clear)
        total += weight
        for v, s in enumerate(state):
            if s:
                present[v] += weight
    return total, [p / total for p in present]
