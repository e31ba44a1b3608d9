"""The sums are exact: against plain enumeration, against fractions, against a general-purpose library."""

from __future__ import annotations

import math

import numpy as np
import pytest

from logbook.diagnosis import ordering
from logbook.diagnosis.elimination import Graph, Plan, TooWide
from logbook.diagnosis.ordering import STATES, order

from .random_networks import draw, enumerate_all, graph_of

SMALL = 1000


def marginals(graph: Graph, weights: np.ndarray, causes: int, **plan: int) -> tuple[float, np.ndarray, int]:
    work = Plan(graph, **plan)
    done = work.sum(weights, keep=True)
    slopes = work.slopes(done, 1)[0]
    return float(done.z[0]), slopes[:causes, 1] * weights[0, :causes, 1] / done.z[0], len(work.cut)


def test_a_thousand_small_networks_equal_enumeration() -> None:
    rng = np.random.default_rng(20260105)
    worst = 0.0
    for _ in range(SMALL):
        net = draw(rng, int(rng.integers(1, 8)), int(rng.integers(1, 7)))
        graph, weights = graph_of(net)
        z, found, _ = marginals(graph, weights, len(net.priors))
        expected_z, expected = enumerate_all(net)
        assert z == pytest.approx(float(expected_z), rel=1e-12)
        worst = max(worst, float(np.max(np.abs(found - np.array(expected, dtype=float)))))
    assert worst < 1e-12


def test_rounding_does_not_build_up_where_the_log_contradicts_itself() -> None:
    """Float64 against exact fractions: every finding says the opposite of the one before, and strongly."""
    rng = np.random.default_rng(7)
    for _ in range(10):
        net = draw(rng, 6, 10)
        hard = tuple(
            (leak, parents, *((1e-4, 1.0) if i % 2 else (1.0, 1e-4)))
            for i, (leak, parents, _, _) in enumerate(net.findings)
        )
        net = type(net)(net.priors, net.ties, hard)
        graph, weights = graph_of(net)
        _, found, _ = marginals(graph, weights, len(net.priors))
        _, expected = enumerate_all(net, exact=True)
        assert np.max(np.abs(found - np.array([float(p) for p in expected]))) < 1e-9


def test_many_rows_are_each_their_own() -> None:
    rng = np.random.default_rng(3)
    net = draw(rng, 6, 5)
    graph, weights = graph_of(net)
    many = np.repeat(weights, 7, axis=0) * rng.uniform(0.5, 1.5, (7, *weights.shape[1:]))
    plan = Plan(graph)
    together = plan.sum(many).z
    alone = [float(plan.sum(many[i : i + 1]).z[0]) for i in range(7)]
    assert together == pytest.approx(alone, rel=1e-12)


def test_slopes_are_those_of_the_sum() -> None:
    """By the difference quotient, which is exact for a sum that is linear in each weight."""
    rng = np.random.default_rng(5)
    net = draw(rng, 5, 4)
    graph, weights = graph_of(net)
    plan = Plan(graph)
    done = plan.sum(weights, keep=True)
    slopes = plan.slopes(done, 1)
    for v in range(len(graph.sizes)):
        for state in range(graph.sizes[v]):
            more = weights.copy()
            more[0, v, state] += 1.0
            assert float(plan.sum(more).z[0] - done.z[0]) == pytest.approx(
                float(slopes[0, v, state]), rel=1e-9, abs=1e-12
            )


def test_three_states_and_signed_weights_equal_enumeration() -> None:
    rng = np.random.default_rng(11)
    for _ in range(50):
        sizes = tuple(int(s) for s in rng.integers(2, STATES + 1, 5))
        pairs = {
            (v, w): rng.uniform(-1, 1, (sizes[v], sizes[w]))
            for v in range(5)
            for w in range(v + 1, 5)
            if rng.random() < 0.6
        }
        weights = np.zeros((1, 5, STATES))
        for v, size in enumerate(sizes):
            weights[0, v, :size] = rng.uniform(-1, 1, size)
        total = 0.0
        for state in np.ndindex(*sizes):
            term = np.prod([weights[0, v, s] for v, s in enumerate(state)])
            total += term * np.prod([table[state[v], state[w]] for (v, w), table in pairs.items()])
        assert float(Plan(Graph(sizes, pairs)).sum(weights).z[0]) == pytest.approx(total, rel=1e-9, abs=1e-12)


def test_what_is_folded_through_earlier_folds_equals_enumeration() -> None:
    """Chains, rings and trees of them, all of which fold; some weights and table entries are nothing."""
    rng = np.random.default_rng(17)
    for _ in range(60):
        edges = {(0, 1)}
        count = int(rng.integers(5, 9))
        for v in range(2, count):
            a, b = sorted(edges)[int(rng.integers(len(edges)))]
            edges |= {(a, v), (b, v)} if rng.random() < 0.7 else {(a, v)}
            if rng.random() < 0.4:
                edges.discard((a, b))
        sizes = tuple(int(s) for s in rng.integers(2, STATES + 1, count))
        pairs = {
            (v, w): rng.uniform(-1, 1, (sizes[v], sizes[w])) * (rng.random((sizes[v], sizes[w])) < 0.9)
            for v, w in sorted(edges)
        }
        weights = np.zeros((1, count, STATES))
        for v, size in enumerate(sizes):
            weights[0, v, :size] = rng.uniform(-1, 1, size) * (rng.random(size) < 0.9)
        total, expected = 0.0, np.zeros((count, STATES))
        for state in np.ndindex(*sizes):
            table = float(np.prod([pair[state[v], state[w]] for (v, w), pair in pairs.items()]))
            own = [weights[0, v, s] for v, s in enumerate(state)]
            total += table * float(np.prod(own))
            for v, s in enumerate(state):
                expected[v, s] += table * float(np.prod(own[:v] + own[v + 1 :]))
        plan = Plan(Graph(sizes, pairs))
        done = plan.sum(weights, keep=True)
        assert float(done.z[0]) == pytest.approx(total, rel=1e-9, abs=1e-12)
        found = plan.slopes(done, 1)[0]
        for v, size in enumerate(sizes):
            assert found[v, :size] == pytest.approx(expected[v, :size], rel=1e-9, abs=1e-12)
            some = plan_of_one(Graph(sizes, pairs), weights, v)
            assert some == pytest.approx(expected[v, :size], rel=1e-9, abs=1e-12)


def plan_of_one(graph: Graph, weights: np.ndarray, v: int) -> np.ndarray:
    """The slopes of one variable, asked for alone, summed over the states of another one that is told."""
    other = (v + 1) % len(graph.sizes)
    states = [[s] for s in range(graph.sizes[other])]
    _, slopes = Plan(graph, told=(other,)).slopes_told(weights, states, [v])
    found = np.zeros(graph.sizes[v])
    for (s,), row in zip(states, slopes, strict=True):
        pair = graph.pair(v, other)[:, s] if tuple(sorted((v, other))) in graph.pairs else 1.0
        found += row[v, : graph.sizes[v]] * pair
    return found


def test_a_graph_too_wide_is_cut_and_stays_exact_while_few_are_fixed() -> None:
    rng = np.random.default_rng(13)
    for _ in range(20):
        net = draw(rng, 8, 8)
        graph, weights = graph_of(net)
        n = len(net.priors)
        z, found, cut = marginals(graph, weights, n, limit=16)
        exact_z, expected, _ = marginals(graph, weights, n)
        assert cut > 0 or Plan(graph).widest <= 16
        assert z == pytest.approx(exact_z, rel=1e-10)
        assert found == pytest.approx(expected, abs=1e-10)


def test_a_plan_that_would_take_too_much_in_all_is_refused() -> None:
    graph, _ = graph_of(draw(np.random.default_rng(13), 9, 9))
    whole = Plan(graph)
    assert Plan(graph, most_cells=whole.cells).cells == whole.cells
    with pytest.raises(TooWide, match="in all"):
        Plan(graph, limit=whole.widest // 2, most_cells=whole.cells // 2)


def test_more_orders_never_make_wider_tables(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ordering, "WIDE", 1)
    rng = np.random.default_rng(23)
    narrower = 0
    for _ in range(12):
        graph, _ = graph_of(draw(rng, 40, 40))
        links: list[set[int]] = [set() for _ in graph.sizes]
        for v, w in graph.pairs:
            links[v].add(w)
            links[w].add(v)
        wanted = [v for v, near in enumerate(links) if near]
        one, many = (
            sum(
                math.prod(graph.sizes[w] for w in clique)
                for clique in order(graph.sizes, links, wanted, most)[1].values()
            )
            for most in (0, 16)
        )
        assert many <= one
        narrower += many < one
    assert narrower >= 3


def test_the_bounded_answer_keeps_its_bound() -> None:
    """The fixed faults a few at once: what is left out is no more than their prior chance (findings <= 1)."""
    rng = np.random.default_rng(17)
    cut = 0
    for _ in range(30):
        net = draw(rng, 9, 9)
        graph, weights = graph_of(net)
        n = len(net.priors)
        plan = Plan(graph, limit=8, cuttable=lambda v, n=n: v < n, most_rows=4)
        if plan.exact:
            continue
        cut += 1
        done = plan.sum(weights, keep=True)
        exact = float(Plan(graph).sum(weights).z[0])
        prior = weights.copy()
        prior[:, n:, :2] = 1.0, 0.0
        assert -1e-12 <= exact - float(done.z[0]) <= plan.left_out(prior) + 1e-12
    assert cut >= 10


def test_twelve_cylinders_equal_a_general_purpose_library() -> None:
    """pgmpy's variable elimination on the same network written as tables, cause by cause; gains included."""
    try:
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork
    except ImportError:
        pytest.fail("pgmpy is missing: pip install -c tests/constraints.txt 'shop-logbook[oracles]'")
    rng = np.random.default_rng(12)
    net, names = twelve(rng)
    model = DiscreteBayesianNetwork()
    model.add_nodes_from(names)
    cpds = [TabularCPD(names[v], 2, [[1 - p], [p]]) for v, p in enumerate(net.priors)]
    for i, (leak, parents, absent, present) in enumerate(net.findings):
        effect, reading = f"effect {i}", f"reading {i}"
        model.add_edges_from([(names[v], effect) for v, _ in parents] + [(effect, reading)])
        clear = [
            (1 - leak) * float(np.prod([1 - q if s else 1.0 for s, (_, q) in zip(state, parents, strict=True)]))
            for state in np.ndindex(*(2 for _ in parents))
        ]
        cpds.append(
            TabularCPD(effect, 2, [clear, [1 - c for c in clear]], [names[v] for v, _ in parents], [2] * len(parents))
        )
        cpds.append(TabularCPD(reading, 2, [[1 - absent, 1 - present], [absent, present]], [effect], [2]))
    model.add_cpds(*cpds)
    oracle = VariableElimination(model)
    evidence = {f"reading {i}": 1 for i in range(len(net.findings))}
    graph, weights = graph_of(net)
    _, found, _ = marginals(graph, weights, len(names))
    for v in (0, 5, 17, 30, len(names) - 1):
        expected = oracle.query([names[v]], evidence=evidence, show_progress=False).values[1]
        assert found[v] == pytest.approx(float(expected), abs=1e-9)
    fewer = {key: value for key, value in evidence.items() if key != "reading 3"}
    both = oracle.query([names[0], "reading 3"], evidence=fewer, show_progress=False)
    joint = both.values if next(iter(both.variables)) == names[0] else both.values.T
    assert information_of(net, 0, 3) == pytest.approx(mutual(np.array(joint)), abs=1e-9)


def twelve(rng: np.random.Generator) -> tuple[object, list[str]]:
    """Twelve cylinders: three faults each, two shared by a bank, one by all; two findings a cylinder."""
    from .random_networks import NoisyOr

    names = [f"{kind} {c}" for c in range(12) for kind in ("coil", "injector", "valve")] + ["bank 1", "bank 2", "pump"]
    priors = tuple(float(p) for p in rng.uniform(0.004, 0.05, len(names)))
    findings = []
    for c in range(12):
        own = [3 * c, 3 * c + 1, 3 * c + 2, 36 + c % 2, 38]
        q = tuple((v, float(rng.uniform(0.5, 0.98))) for v in own)
        bad = c % 5 == 0
        findings.append((0.01, q, *((0.03, 0.9) if bad else (0.95, 0.05))))
        findings.append((0.01, ((3 * c + 2, 0.95),), 0.96, 0.06))
    return NoisyOr(priors, (), tuple(findings)), names


def information_of(net: object, cause: int, finding: int) -> float:
    """Bits that a finding tells of one cause, by the sums: the finding left out, then weighed both ways."""
    graph, weights = graph_of(net)  # type: ignore[arg-type]
    n = len(net.priors)  # type: ignore[attr-defined]
    leak, _, absent, present = net.findings[finding]  # type: ignore[attr-defined]
    rows = []
    for a, p in ((1 - absent, 1 - present), (absent, present)):
        row = weights.copy()
        row[0, n + finding, :2] = p, (a - p) * (1 - leak)
        rows.append(row)
    plan = Plan(graph)
    done = plan.sum(np.concatenate(rows), keep=True)
    slopes = plan.slopes(done, 2)
    there = slopes[:, cause, 1] * weights[0, cause, 1]
    joint = np.array([done.z - there, there])
    return mutual(joint)


def mutual(joint: np.ndarray) -> float:
    p = joint / joint.sum()
    independent = p.sum(axis=1, keepdims=True) * p.sum(axis=0, keepdims=True)
    return float((p * np.log2(p / independent)).sum())
