"""Steady stretches, idle quality, corrections and pulls from made recordings whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal as scipy_signal

from logbook.traces import files, running
from logbook.traces.model import TraceError

RANDOM = np.random.default_rng(11)


def staircase():
    time = np.arange(0, 60, 0.1)
    rpm = np.interp(time, [0, 10, 12, 25, 27, 45, 47, 60], [1500, 1500, 2500, 2500, 3500, 3500, 2000, 2000])
    load = np.interp(time, [0, 10, 12, 25, 27, 45, 47, 60], [40, 40, 60, 60, 90, 90, 50, 50])
    return time, rpm + RANDOM.normal(0, 8, len(time)), load + RANDOM.normal(0, 0.3, len(time))


def test_stretches_are_where_speed_and_load_stand_still():
    time, rpm, load = staircase()
    spans = [(time[s.start], time[s.end - 1]) for s in running.steady(time, rpm, load)]
    assert len(spans) == 4
    for (start, end), (low, high) in zip(spans, [(0, 10), (12, 25), (27, 45), (47, 60)], strict=True):
        assert low - 0.6 <= start <= low + 1.5
        assert high - 1.5 <= end <= high + 0.6


def test_a_hunting_idle_is_measured():
    time = np.arange(0, 40, 0.02)
    rpm = 800 + 45 * np.sin(2 * np.pi * time / 2.5) + RANDOM.normal(0, 6, len(time))
    found = running.idle_quality(time, rpm)
    lines, power = scipy_signal.welch(rpm, 50, nperseg=1000)
    assert found.mean == pytest.approx(800, abs=2)
    assert found.hunting == pytest.approx(90, rel=0.12)
    assert found.period_s == pytest.approx(1 / lines[np.argmax(power)], rel=0.06)


def test_a_calm_idle_does_not_hunt():
    time = np.arange(0, 40, 0.02)
    found = running.idle_quality(time, 800 + RANDOM.normal(0, 6, len(time)))
    assert found.period_s == 0
    assert found.hunting < 12


def test_corrections_are_refused_while_a_cylinder_is_dead():
    time, rpm, load = staircase()
    with pytest.raises(TraceError, match="3 is dead"):
        running.corrections(time, rpm, load, np.ones(len(time)), 1.0, blocked="3 is dead")


def test_corrections_by_band_of_load():
    time, rpm, load = staircase()
    truth = 1 + 0.002 * (load - 60)
    curves = running.corrections(time, rpm, load, truth + RANDOM.normal(0, 0.01, len(time)), 1.0)
    points = [p for c in curves for p in c.points]
    assert {p.rpm for p in points} >= {1500.0, 2000.0, 2500.0, 3500.0}
    for rpm_at, wanted in ((1500, 0.96), (2000, 0.98), (2500, 1.0), (3500, 1.06)):
        point = max((p for p in points if p.rpm == rpm_at), key=lambda p: p.count)
        assert abs(point.value - wanted) < max(0.004, 4 * point.spread)


def test_pulls_are_found_and_binned():
    time = np.arange(0, 40, 0.05)
    rpm = np.interp(time, [0, 5, 13, 15, 22, 30, 32, 40], [1500, 1500, 6000, 2000, 2000, 6200, 2500, 2500])
    boost = np.clip((rpm - 2000) / 40, 0, 80)
    found = running.pulls(time, rpm + RANDOM.normal(0, 15, len(time)), {"boost": boost})
    assert len(found) == 2
    for pull in found:
        assert pull.rpm[0] <= 2250
        assert pull.rpm[-1] >= 5750
        values = dict(pull.channels)["boost"]
        np.testing.assert_allclose(values, np.clip((np.array(pull.rpm) - 2000) / 40, 0, 80), atol=4)


def test_a_pull_logged_in_whole_seconds_is_found():
    time = np.arange(0, 40, 0.1)
    rpm = np.interp(time, [0, 5, 13, 15, 40], [1500, 1500, 6000, 2000, 2000])
    (pull,) = running.pulls(files.rising(np.floor(time)), rpm, {})
    assert pull.rpm[0] <= 2000
    assert pull.rpm[-1] >= 5750


@pytest.mark.parametrize("half", [1, 7, 400, 10**9])
def test_smoothing_is_a_running_mean(half):
    values = RANDOM.normal(1000, 30, 500)
    padded = np.pad(values, min(half, 500), mode="edge")
    width = 2 * min(half, 500) + 1
    np.testing.assert_allclose(running._smooth(values, half), np.convolve(padded, np.ones(width) / width, "valid"))
