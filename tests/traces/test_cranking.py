"""Relative compression from cranking current against a simulated motor that knows nothing of the way of working."""

from __future__ import annotations

import numpy as np
import pytest

from logbook.traces import cranking, cycle, strokes
from logbook.traces.model import Even
from tests.traces import physics

FOUR, SIX, EIGHT = (1, 3, 4, 2), (1, 5, 3, 6, 2, 4), (1, 8, 4, 3, 6, 5, 7, 2)


@pytest.mark.parametrize("inertia", [0.6, 1.2])
@pytest.mark.parametrize(
    ("order", "low"),
    [(FOUR, {}), (FOUR, {3: 0.6}), (FOUR, {3: 0.1}), (SIX, {5: 0.6}), (SIX, {5: 0.7, 2: 0.4}), (EIGHT, {8: 0.6})],
)
def test_heights_within_the_stated_spread(order, low, inertia):
    squeeze = {c: low.get(c, 1.0) for c in order}
    _, amps, mark, rpm = physics.cranking_current(order, squeeze, seconds=8, inertia=inertia)
    noisy = np.round(amps + np.random.default_rng(4).normal(0, 5, len(amps)))
    found = cycle.find(Even(noisy, 2000.0), len(order), 90, 350)
    result = cranking.relative_compression(found, float(noisy.mean()), 2000.0)
    assert result.rpm == pytest.approx(float(rpm.mean()), rel=0.03)
    (phase,) = strokes.mark_phases(found, mark)
    slot = round((phase - result.first_slot_at) * len(order))
    by_cylinder = dict(zip(order, np.roll(result.height, -slot).tolist(), strict=True))
    spread = dict(zip(order, np.roll(result.spread, -slot).tolist(), strict=True))
    for cylinder, height in by_cylinder.items():
        assert abs(height - squeeze[cylinder]) < 3 * spread[cylinder], (by_cylinder, squeeze)
    if low:
        assert min(by_cylinder, key=by_cylinder.__getitem__) == min(low, key=low.__getitem__)
