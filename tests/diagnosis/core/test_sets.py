"""Sets taken back from the inference are those of enumeration."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from logbook.diagnosis.belief import solve
from logbook.diagnosis.problem import Problem
from logbook.diagnosis.sets import fault_sets, room_of
from tests.diagnosis.core.small import small_case
from tests.diagnosis.core.small_problems import small_problem, weight_of
from tests.diagnosis.telling import told


def likeliest(problem: Problem, mine: set[tuple[int, int]]) -> dict[tuple[tuple[int, int], ...], float]:
    """P(these and no other of the ways in ``mine`` are there) by enumeration."""
    found: dict[tuple[tuple[int, int], ...], float] = {}
    for choice in product(*(range(-1, len(f.ways)) for f in problem.faults)):
        ways = tuple(way for way in enumerate(choice) if way in mine)
        found[ways] = found.get(ways, 0.0) + weight_of(problem, choice, None)[0]
    total = sum(found.values())
    return {ways: chance / total for ways, chance in found.items()}


@pytest.mark.parametrize("seed", range(8))
def test_the_likeliest_sets_are_those_of_enumeration(seed: int) -> None:
    problem = small_problem(seed, 0.05)
    belief = solve(problem)
    none = np.array([len(o.likelihood) - 1 for o in problem.observations])
    for room in range(len(belief.weights.rooms)):
        mine = {
            (f, w)
            for f, fault in enumerate(problem.faults)
            for w, way in enumerate(fault.ways)
            if (fault.shared or room_of(belief, f) == room) and (fault.raises or (way.rows < none).any())
        }
        wanted = likeliest(problem, mine)
        for one in fault_sets(belief, room)[:5]:
            assert one.probability == pytest.approx(wanted.get(one.ways, 0.0), abs=0.01), one


def test_belief_that_is_spread_too_thin_for_any_set_leaves_chances(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("logbook.diagnosis.case.fault_sets", lambda belief, room: ())
    case = small_case(told("firing: 2 dead, rest fires", "spark: 2 none"))
    for number in range(len(case.problem.observations)):
        rows = case.speaks(number)
        assert rows.sum() == pytest.approx(1.0) and (rows >= 0).all()
