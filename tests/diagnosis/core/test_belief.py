"""The inference against plain enumeration of every set of faults."""

from __future__ import annotations

import numpy as np
import pytest

from logbook.diagnosis.belief import solve
from tests.diagnosis.core.small_problems import by_enumeration, small_problem


@pytest.mark.parametrize("seed", range(16))
def test_chances_and_slips_are_those_of_enumeration(seed: int) -> None:
    problem = small_problem(seed)
    belief = solve(problem)
    ways, slips = by_enumeration(problem)
    assert np.abs(belief.ways - ways).max() < 1e-4
    assert np.abs(belief.slips - slips).max() < 1e-4


@pytest.mark.parametrize("seed", range(16))
def test_faults_as_rare_as_in_an_engine(seed: int) -> None:
    problem = small_problem(seed, 0.02)
    belief = solve(problem)
    ways, slips = by_enumeration(problem)
    assert np.abs(belief.ways - ways).max() < 1e-4
    assert np.abs(belief.slips - slips).max() < 1e-4


@pytest.mark.parametrize("seed", range(6))
def test_history_and_what_is_left_out_are_those_of_enumeration(seed: int) -> None:
    problem = small_problem(seed, 0.02)
    belief = solve(problem)
    entries = belief.entries()
    start = list(belief.start[:-1])
    for given, kept in (
        (belief.history(entries), [[o.entry <= e for o in problem.observations] for e in entries]),
        (belief.without(entries), [[o.entry != e for o in problem.observations] for e in entries]),
    ):
        for k, mask in enumerate(kept):
            ways, _ = by_enumeration(problem, np.array(mask))
            assert np.abs(given[k] - np.add.reduceat(ways, start)).max() < 1e-2
