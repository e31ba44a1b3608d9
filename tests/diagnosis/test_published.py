"""Worked examples out of the literature, told from memory, reproduced by the engine."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from logbook.diagnosis.plan import Action, sequence


def test_a_broken_machine_is_repaired_in_the_order_of_chance_over_cost() -> None:
    """Heckerman, Breese and Rommelse 1995 (from memory): with one fault, p / c in falling order costs least.

    Against every order of five repairs, their cost summed by hand.
    """
    rng = np.random.default_rng(1995)
    for _ in range(20):
        p = rng.dirichlet(np.ones(6))[:5]
        c = rng.uniform(1, 60, 5)
        actions = [Action(f"{i}", float(p[i]), float(c[i]), float(c[i])) for i in range(5)]
        best = min(cost_of([actions[i] for i in order]) for order in itertools.permutations(range(5)))
        assert sequence(actions).cost == pytest.approx(best, rel=1e-12)


def cost_of(order: list[Action], last_resort: float = 300.0) -> float:
    total, left = 0.0, 1.0
    for action in order:
        total += left * action.cost
        left -= action.chance
    return total + left * last_resort
