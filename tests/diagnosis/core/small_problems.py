"""Random small problems, and their answer by plain enumeration of every set of ways of every fault."""

from __future__ import annotations

from itertools import product

import numpy as np

from logbook.diagnosis.problem import Chances, Fault, Observation, Problem, Way


def small_problem(seed: int, share: float = 0.5) -> Problem:
    """Three cylinders that may have exchanged a part, a hub or two, at most three shared faults.

    ``share``: how likely faults are; of half, or in a hundredth as in an engine.

    At most two faults come and go: what the inference leaves out, more of them at once, is tested elsewhere.
    """
    rng = np.random.default_rng(seed)
    observations = []
    for e in range(int(rng.integers(4, 9))):
        width = int(rng.integers(2, 5))
        like = tuple(float(x) for x in np.log(rng.dirichlet(np.ones(width) * 0.6) * 0.94 + 0.02))
        slip = tuple(0.02 / np.exp(x) for x in like)
        observations.append(Observation("test", like, slip, entry=e // 2, step=e // 2, hub=bool(rng.random() < 0.2)))
    none = np.array([len(o.likelihood) - 1 for o in observations])
    hub = np.array([o.hub for o in observations])
    where = rng.integers(0, 3, len(observations))
    faults = []
    for number in range(int(rng.integers(4, 8))):
        shared = bool(rng.random() < 0.3) and sum(f.shared for f in faults) < 3
        raiser = shared and bool(rng.random() < 0.4) and not any(f.raises for f in faults)
        goes = not raiser and bool(rng.random() < 0.3)
        goes = goes and sum(f.comes_and_goes for f in faults) < 2
        home = {int(rng.integers(0, 3))} | ({int(rng.integers(0, 3))} if rng.random() < 0.2 else set())
        ways = []
        left = 0.6
        for _ in range(int(rng.integers(1, 4))):
            reach = (np.isin(where, list(home)) | shared | hub) & (rng.random(len(none)) < 0.6)
            rows = np.where(reach, rng.integers(0, none + 1), none).astype(np.uint8)
            mass = float(rng.random()) * left * share
            left -= mass
            second = mass if shared or rng.random() < 0.5 else mass * 1.2
            active = np.where(hub, 1.0, np.round(rng.random(len(none)), 1)) if goes else None
            ways.append(Way((mass, min(second, 0.3)), rows, active))
        faults.append(Fault(f"fault {number}", f"fault {number}", tuple(ways), shared=shared, raises=raiser))
    return Problem(tuple(observations), tuple(faults))


def by_enumeration(problem: Problem, kept: Chances | None = None) -> tuple[Chances, Chances]:
    """P(each way of each fault), flat, and P(each observation is a slip): every set weighed one by one."""
    choices = [range(-1, len(f.ways)) for f in problem.faults]
    start = np.concatenate([[0], np.cumsum([len(f.ways) for f in problem.faults])])
    chances, slips, total = np.zeros(start[-1]), np.zeros(len(problem.observations)), 0.0
    for choice in product(*choices):
        there = [(f, w) for f, w in enumerate(choice) if w >= 0]
        weight, slip = weight_of(problem, choice, kept)
        total += weight
        slips += weight * slip
        for f, w in there:
            chances[start[f] + w] += weight
    return chances / total, slips / total


def weight_of(problem: Problem, choice: tuple[int, ...], kept: Chances | None) -> tuple[float, Chances]:
    context = int(any(problem.faults[f].raises and w >= 0 for f, w in enumerate(choice)))
    weight = 1.0
    for fault, w in zip(problem.faults, choice, strict=True):
        mass = [way.mass[context] for way in fault.ways]
        weight *= mass[w] if w >= 0 else 1.0 - sum(mass)
    slips = np.zeros(len(problem.observations))
    for e, o in enumerate(problem.observations):
        chance = {len(o.likelihood) - 1: 1.0}  # how likely each row is to speak
        for fault, w in zip(problem.faults, choice, strict=True):
            if w < 0:
                continue
            way = fault.ways[w]
            shows = 1.0 if way.active is None else float(way.active[e])
            after: dict[int, float] = {}
            for row, p in chance.items():
                low = min(row, int(way.rows[e]))
                after[low] = after.get(low, 0.0) + p * shows
                after[row] = after.get(row, 0.0) + p * (1.0 - shows)
            chance = after
        like = sum(p * np.exp(o.likelihood[row]) for row, p in chance.items())
        slips[e] = sum(p * np.exp(o.likelihood[row]) * o.slip[row] for row, p in chance.items()) / like
        if kept is None or kept[e]:
            weight *= like
    return weight, slips
