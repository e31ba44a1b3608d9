"""What a test or an exchange would tell: expected bits about the repairs in question, and P(each outcome)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.belief import Belief, Factors, expected_survival
from logbook.diagnosis.candidates import Candidate
from logbook.diagnosis.elimination import Array
from logbook.diagnosis.grouping import Group, grouped, strong_groups
from logbook.diagnosis.trouble import Trouble

AT_ONCE = 16  # candidates worked out together, at least
ROOM = 1 << 19  # and as many as keep the tables of all their questions below so many cells
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Gain:
    """What a candidate would tell: bits, and P(each outcome)."""

    bits: float
    outcomes: tuple[float, ...]
    posteriors: tuple[Array, ...]  # by trouble: (outcomes, classes), joint


@dataclass(frozen=True)
class Classes:
    """The repairs in question for one cylinder: faults by class; the last two classes are 'several' and 'none'."""

    groups: tuple[Group, ...]
    faults: tuple[int, ...]
    owner: tuple[int, ...]  # of each fault: its class


@dataclass(frozen=True)
class Asked:
    """Questions of some candidates: what the leak keeps and the question of each 'at most this bad', by candidate."""

    questions: tuple[Factors, ...]
    keeps: tuple[Array, ...]
    rows: tuple[list[int], ...]


def classes_of(belief: Belief, trouble: Trouble) -> Classes:
    groups = strong_groups(grouped(belief.network, trouble.causes), trouble.strength)
    faults = tuple(v for g in groups for v in g)
    owner = tuple(i for i, g in enumerate(groups) for _ in g)
    return Classes(tuple(groups), faults, owner)


def gains(belief: Belief, troubles: Sequence[Trouble], found: Sequence[Candidate]) -> list[Gain]:
    """Expected information of each candidate, in one stroke: a question is a set of factors on the one graph."""
    if not found:
        return []
    belief = belief.narrower
    asked = _asked(found)
    total = belief.ask(asked.questions)
    shares = [_by_class(belief, classes_of(belief, t), asked.questions, total) for t in troubles]
    rows = zip(found, asked.keeps, asked.rows, strict=True)
    return [_gain(c, keeps, some, total, shares) for c, keeps, some in rows]


def _asked(found: Sequence[Candidate]) -> Asked:
    """What has to be asked for some candidates, each question once."""
    index: dict[tuple[tuple[int, tuple[float, ...]], ...], int] = {(): 0}
    questions: list[Factors] = [{}]
    keeps, rows = [], []
    for candidate in found:
        terms = _terms(candidate)
        for _, factors in terms:
            key = tuple(sorted(factors.items()))
            if key not in index:
                index[key] = len(questions)
                questions.append(factors)
        keeps.append(np.array([keep for keep, _ in terms]))
        rows.append([index[tuple(sorted(factors.items()))] for _, factors in terms])
    return Asked(tuple(questions), tuple(keeps), tuple(rows))


def leading(
    belief: Belief, troubles: Sequence[Trouble], found: Sequence[Candidate], effort: Sequence[float], most: int
) -> list[tuple[Candidate, Gain]]:
    """The ``most`` candidates with the most bits for their ``effort`` (at least), each with its gain.

    The same as by working all of them out: what an outcome tells of a cylinder's repairs is at most what it tells of
    the effects that it looks at (data processing inequality; Cover and Thomas, Elements of Information Theory, 2.8).
    """
    if not found:
        return []
    belief = belief.narrower
    ceiling = [len(troubles) * bits / cost for bits, cost in zip(ceilings(belief, found), effort, strict=True)]
    waiting = sorted(range(len(found)), key=lambda i: (-ceiling[i], found[i].title))
    together = max(most, AT_ONCE, ROOM // max(belief.plan.cells, 1))
    rates: list[float] = []
    out: list[tuple[Candidate, Gain]] = []
    while waiting:
        least = sorted(rates, reverse=True)[most - 1] if len(rates) >= most else 0.0
        batch = [i for i in waiting[:together] if ceiling[i] >= least - _ROUNDING]
        waiting = waiting[len(batch) :] if batch else []
        some = [found[i] for i in batch]
        for i, gain in zip(batch, gains(belief, troubles, some), strict=True):
            rates.append(gain.bits / effort[i])
            out.append((found[i], gain))
    return out


def ceilings(belief: Belief, found: Sequence[Candidate]) -> list[float]:
    """What each candidate's outcome tells of the effects that it looks at, in bits."""
    asked = _asked(found)
    total = belief.ask(asked.questions)
    out = []
    for candidate, keeps, rows in zip(found, asked.keeps, asked.rows, strict=True):
        states = _states(candidate, (keeps * total[rows])[:, None])[:, 0]
        out.append(_information(_likelihoods(candidate) * states))
    return out


def _terms(candidate: Candidate) -> list[tuple[float, Factors]]:
    """1, and the chance of each 'at most this bad' (leak kept, factors), for the latents of a candidate."""
    if len(candidate.latents) == 1:
        latent = candidate.latents[0]
        return [(1.0, {}), *(expected_survival(latent, i) for i in range(latent.states - 1))]
    a, b = (expected_survival(latent, latent.states - 2) for latent in candidate.latents)
    return [(1.0, {}), a, b, (a[0] * b[0], _multiplied(a[1], b[1]))]


def _multiplied(a: Factors, b: Factors) -> Factors:
    out = dict(a)
    for v, factors in b.items():
        out[v] = tuple(x * y for x, y in zip(out.get(v, (1.0,) * len(factors)), factors, strict=True))
    return out


def _by_class(belief: Belief, classes: Classes, questions: Sequence[Factors], total: Array) -> Array:
    """(questions, classes + several + none): each question's share where that class alone is at fault."""
    none, alone = belief.ask_alone(questions, classes.faults)
    out = np.zeros((len(questions), len(classes.groups) + 2))
    for column, owner in enumerate(classes.owner):
        out[:, owner] += alone[:, column]
    out[:, -1] = none
    out[:, -2] = np.maximum(total - out.sum(axis=1), 0.0)
    return out


def _gain(candidate: Candidate, keeps: Array, rows: list[int], total: Array, per_trouble: Sequence[Array]) -> Gain:
    likelihoods = _likelihoods(candidate)
    states = _states(candidate, keeps[:, None] * total[rows][:, None])[:, 0]
    chances = likelihoods @ states
    bits = 0.0
    joints = []
    for shares in per_trouble:
        by_state = _states(candidate, keeps[:, None] * shares[rows])  # (states, classes)
        joint = np.maximum(likelihoods @ by_state, 0.0)
        joints.append(joint)
        bits += _information(joint)
    return Gain(bits, tuple(float(c) for c in chances), tuple(joints))


def _likelihoods(candidate: Candidate) -> Array:
    """P(outcome | state of the latents): (outcomes, states)."""
    return np.array([like for _, like, _ in candidate.outcomes])


def _states(candidate: Candidate, survive: Array) -> Array:
    """Shares of each state of the latents from the shares of 'at most this bad'."""
    if len(candidate.latents) == 1:
        rows = [survive[-1]]  # fires: nothing was brought about
        for i in range(len(survive) - 2, -1, -1):
            rows.append(survive[i] - survive[i + 1])
        single: Array = np.maximum(np.array(rows), 0.0)
        return single
    everything, a, b, both = survive
    pair: Array = np.maximum(np.array([both, a - both, b - both, everything - a - b + both]), 0.0)
    return pair


def _information(joint: Array) -> float:
    """Mutual information in bits of a table of joint chances."""
    total = joint.sum()
    if total <= 0:
        return 0.0
    p = joint / total
    expected = p.sum(axis=1, keepdims=True) * p.sum(axis=0, keepdims=True)
    there = p > 0
    return float(max((p[there] * np.log2(p[there] / expected[there])).sum(), 0.0))
