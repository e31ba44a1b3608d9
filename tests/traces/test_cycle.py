"""The cycle is found by itself, and what repeats in it is what the independent model of the engine put there."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal as scipy_signal

from logbook.traces import cycle, strokes
from logbook.traces.model import Even, TraceError
from tests.traces import physics

FOUR, SIX, EIGHT = (1, 3, 4, 2), (1, 5, 3, 6, 2, 4), (1, 8, 4, 3, 6, 5, 7, 2)


def speed(order, bad, **changes):
    noise = changes.pop("noise", 2.0)
    times, rpm, _ = physics.idle_speed(order, {c: bad.get(c, 1.0) for c in order}, **changes)
    return times, rpm + np.random.default_rng(5).normal(0, noise, len(rpm))


def rotated_error(found, order, bad):
    wanted = np.array([bad.get(c, 1.0) for c in order])
    return min(float(np.max(np.abs(np.roll(found, k) - wanted))) for k in range(len(order)))


@pytest.mark.parametrize("drift", [-0.08, 0.0, 0.08])
@pytest.mark.parametrize("order", [FOUR, SIX, EIGHT], ids=["four", "six", "eight"])
def test_speed_is_found_and_followed_while_it_drifts(order, drift):
    _, rpm = speed(order, {order[1]: 0.0}, drift=drift)
    found = cycle.find(Even(rpm, 2000.0), len(order), 400, 1500)
    assert float(found.rpm.mean()) == pytest.approx(float(rpm.mean()), rel=0.01)
    for end, true in ((0, rpm[:1000].mean()), (-1, rpm[-1000:].mean())):
        assert found.rpm[end] == pytest.approx(true, rel=0.015)
    assert not found.double
    assert found.clear > 0.9


@pytest.mark.parametrize(
    ("order", "bad"),
    [
        (FOUR, {}),
        (FOUR, {3: 0.5}),
        (FOUR, {1: 0.0, 3: 0.0}),
        (SIX, {5: 0.5, 2: 0.0}),
        (EIGHT, {8: 0.0, 3: 0.0}),
    ],
)
@pytest.mark.parametrize(
    "unlike",
    [{}, {"ratio": 8.0, "burn": 0.9, "exponent": 1.25}, {"rod": 0.18, "heat": 2.8, "inertia": 0.4}],
    ids=["as the shape assumes", "slow burn, low ratio", "long rod, hot, heavy flywheel"],
)
def test_strength_of_each_stroke_from_crank_speed(order, bad, unlike):
    _, rpm = speed(order, bad, drift=0.04, **unlike)
    found = strokes.from_speed(cycle.find(Even(rpm, 2000.0), len(order), 400, 1500))
    assert rotated_error(found.strength, order, bad) < 0.34
    words = [found.word(k) for k in range(len(order))]
    assert words.count("dead") == sum(v == 0 for v in bad.values())
    assert words.count("weak") == sum(0 < v < 1 for v in bad.values())


def test_opposite_dead_strokes_look_like_a_sound_engine_of_fewer_cylinders_and_it_is_said():
    _, rpm = speed(FOUR, {1: 0.0, 4: 0.0})
    found = strokes.from_speed(cycle.find(Even(rpm, 2000.0), 4, 400, 1500))
    assert found.repeats == 2
    _, rpm = speed(EIGHT, dict.fromkeys(EIGHT[::2], 0.0))
    found = strokes.from_speed(cycle.find(Even(rpm, 2000.0), 8, 400, 1500))
    assert found.repeats == 4


def test_orders_are_those_of_scipy():
    _, rpm = speed(SIX, {5: 0.0}, noise=0.0, scatter=0.0)
    found = cycle.find(Even(rpm, 2000.0), 6, 400, 1500)
    flat = found.table.ravel()
    lines, power = scipy_signal.periodogram(flat, fs=found.per_slot * 6)
    wanted = [np.sqrt(power[np.abs(lines - k) < 0.3].sum()) for k in range(1, 7)]
    np.testing.assert_allclose([o.share for o in strokes.orders(found)], np.array(wanted) / wanted[-1], rtol=0.08)


def test_mains_hum_dropped_rows_and_clipping_do_not_hide_the_dead_one():
    times, rpm = speed(FOUR, {3: 0.0}, drift=0.03)
    rpm = np.clip(rpm + 6 * np.sin(2 * np.pi * 50 * times), None, np.percentile(rpm, 99))
    keep = np.random.default_rng(1).random(len(times)) > 0.05
    from logbook.traces.files import even

    found = strokes.from_speed(cycle.find(even(times[keep], rpm[keep]), 4, 400, 1500))
    assert len(found.dead) == 1


def test_sound_of_the_exhaust_shows_the_missing_pulse():
    rate, sound = physics.exhaust_sound(FOUR, {3: 0.08})
    recording = Even(np.clip(sound, -0.8, 0.8), float(rate))
    found = strokes.from_sound(recording, cycle.find(strokes.loudness(recording), 4, 400, 1500, pulses=True))
    assert found.rpm == pytest.approx(750, rel=0.03)
    assert len(found.dead) == 1


def test_a_mark_names_the_cylinders():
    _times, rpm, angle = physics.idle_speed(FOUR, {1: 1, 2: 1, 3: 0, 4: 1})
    found = cycle.find(Even(rpm, 2000.0), 4, 400, 1500)
    mark = np.where(np.mod(angle / (4 * np.pi), 1.0) < 0.03, 1.0, 0.0)
    (phase,) = strokes.mark_phases(found, mark)
    result = strokes.from_speed(found)
    slot = round((phase - result.first_slot_at) * 4)
    assert FOUR[int(np.argmin(np.roll(result.strength, -slot)))] == 3


def test_a_cut_out_of_a_known_cylinder_names_what_can_be_named():
    def read(bad):
        _, rpm = speed(SIX, bad)
        return strokes.from_speed(cycle.find(Even(rpm, 2000.0), 6, 400, 1500))

    now = read({5: 0.0})
    opposite = strokes.by_reference(now, read({5: 0.0, 2: 0.0}), SIX, 2)  # 2 fires three slots after 5: one way only
    assert [min(a, key=a.__getitem__) for a in opposite] == [5]
    either = strokes.by_reference(now, read({5: 0.0, 3: 0.0}), SIX, 3)
    assert 5 in [min(a, key=a.__getitem__) for a in either]
    assert len(either) == 2  # one slot before or one after: the two recordings cannot tell


@pytest.mark.parametrize("values", [np.zeros(4000), np.random.default_rng(2).normal(size=300)])
def test_nothing_to_find_is_said(values):
    with pytest.raises(TraceError):
        cycle.find(Even(values, 1000.0), 4, 400, 1500)
