"""Windings against a simulated circuit with a moving armature; the plain circuit is also solved by scipy.signal."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal as scipy_signal

from logbook.traces import winding
from logbook.traces.model import Even, TraceError
from tests.traces import physics


@pytest.mark.parametrize("noise", [0.002, 0.02])
@pytest.mark.parametrize(
    "made",
    [
        {"ohms": 14.5, "henry": 0.012, "lift_ms": 1.4},
        {"ohms": 12.0, "henry": 0.016, "lift_ms": 1.4},
        {"ohms": 14.5, "henry": 0.012, "lift_ms": 2.0, "kink": 0.06},
        {"ohms": 2.0, "henry": 0.002, "lift_ms": 1.0, "on_ms": 3.0},
    ],
)
def test_resistance_inductance_dwell_and_the_moment_it_opens(made, noise):
    _, amps = physics.coil_current(**made)
    amps = amps + np.random.default_rng(1).normal(0, noise * amps.max(), len(amps))
    found = winding.read(Even(amps, 1e5), volts=13.8)
    assert found.ohms == pytest.approx(made["ohms"], rel=0.04)
    assert found.henry == pytest.approx(made["henry"], rel=0.06)
    assert found.dwell_ms == pytest.approx(made.get("on_ms", 4.0), abs=0.12)
    assert found.opens_ms == pytest.approx(made["lift_ms"], abs=0.12)


@pytest.mark.parametrize("noise", [0.002, 0.02])
def test_a_needle_that_sticks_leaves_no_kink(noise):
    _, amps = physics.coil_current(moves=False)
    amps = amps + np.random.default_rng(1).normal(0, noise * amps.max(), len(amps))
    assert not winding.read(Even(amps, 1e5), volts=13.8).moves


def test_the_plain_rise_as_scipy_solves_it():
    ohms, henry, volts, rate = 1.1, 0.0045, 13.2, 50_000
    times = np.arange(0, 0.15, 1 / rate)
    drive = np.where(times % 0.03 < 0.008, volts, 0.0)
    _, amps, _ = scipy_signal.lsim(([1.0], [henry, ohms]), drive, times)
    found = winding.read(Even(np.where(drive > 0, amps, 0.0), rate), volts=volts)
    assert found.ohms == pytest.approx(ohms, rel=0.02)
    assert found.henry == pytest.approx(henry, rel=0.03)
    assert not found.moves


def test_noise_alone_is_no_pulse():
    with pytest.raises(TraceError, match="no pulse"):
        winding.read(Even(np.random.default_rng(0).normal(size=5000), 1e4))
