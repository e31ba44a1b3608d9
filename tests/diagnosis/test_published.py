"""Worked examples out of the literature, told from memory, reproduced by the engine."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from logbook.diagnosis.elimination import Plan
from logbook.diagnosis.plan import Action, sequence

from .random_networks import NoisyOr, graph_of


def chance_absent(net: NoisyOr) -> float:
    graph, weights = graph_of(net)
    return float(Plan(graph).sum(weights).z[0])


@pytest.mark.parametrize(
    ("cold", "flu", "malaria", "no_fever"),
    [
        (0, 0, 1, 0.1),
        (0, 1, 0, 0.2),
        (0, 1, 1, 0.02),
        (1, 0, 0, 0.6),
        (1, 0, 1, 0.06),
        (1, 1, 0, 0.12),
        (1, 1, 1, 0.012),
    ],
)
def test_fever(cold: int, flu: int, malaria: int, no_fever: float) -> None:
    """Russell and Norvig, Artificial Intelligence: the noisy-OR table of fever (from memory)."""
    net = NoisyOr((float(cold), float(flu), float(malaria)), (), ((0.0, ((0, 0.4), (1, 0.8), (2, 0.9)), 1.0, 0.0),))
    assert chance_absent(net) == pytest.approx(no_fever, abs=1e-12)


def test_metastatic_cancer() -> None:
    """Cooper 1984, as Pearl used it in 1987 (from memory): headaches without coma leave a chance of 0.097.

    P(cancer) 0.2; serum calcium 0.8 or 0.2, tumour 0.2 or 0.05; coma 0.8 with either, else 0.05; headache 0.8 with a
    tumour, else 0.6. Coma is an OR of two causes that is read with P(no coma | neither) 0.95, P(no coma | either) 0.2.
    """
    net = NoisyOr(
        (0.2, 0.0, 0.0),
        ((0, 1, 0.2, 0.8), (0, 2, 0.05, 0.2)),
        ((0.0, ((1, 1.0), (2, 1.0)), 0.95, 0.2), (0.0, ((2, 1.0),), 0.6, 0.8)),
    )
    graph, weights = graph_of(net)
    plan = Plan(graph)
    done = plan.sum(weights, keep=True)
    slopes = plan.slopes(done, 1)[0]
    cancer = slopes[0, 1] * weights[0, 0, 1] / done.z[0]
    assert cancer == pytest.approx(0.097, abs=0.0005)


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
