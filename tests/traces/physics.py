"""An independent model of an engine, made only for tests: gas torque by slider-crank, a flywheel, a cranking motor,
and a coil with a moving armature. It shares no code with the package.

Sources: slider-crank torque and polytropic compression, any text on internal combustion engines (Heywood, chapters
2 and
9, from memory); first-order circuit with back electromotive force, any text on circuits.
"""

from __future__ import annotations

import functools

import numpy as np

FOUR_PI = 4 * np.pi


def gas_torque(
    theta,
    strength,
    *,
    ratio=9.5,
    radius=0.045,
    rod=0.145,
    bore=0.09,
    ambient=1e5,
    squeeze=1.0,
    exponent=1.3,
    manifold=0.4,
    heat=2.2,
    burn=0.6,
):
    """Torque (N m) of one cylinder at crank angle theta (rad; 0 is the top before the power stroke).

    ``strength`` 0..1 scales the heat of combustion, ``squeeze`` 0..1 the compression pressure above ambient.
    """
    theta = np.mod(theta + FOUR_PI / 2, FOUR_PI) - FOUR_PI / 2  # -360..360 degrees
    area = np.pi * bore**2 / 4
    swept = area * 2 * radius
    clearance = swept / (ratio - 1)
    depth = radius + rod - (radius * np.cos(theta) + np.sqrt(rod**2 - (radius * np.sin(theta)) ** 2))
    volume = clearance + area * depth
    closed = np.abs(theta) < np.pi
    motored = manifold * ambient * ((clearance + swept) / volume) ** exponent
    burnt = np.where(theta > 0, np.clip(theta / burn, 0, 1), 0.0)
    fired = motored * (1 + heat * strength * burnt)
    pressure = np.where(closed, ambient + squeeze * (fired - ambient), ambient)
    arm = radius * np.sin(theta) * (1 + radius * np.cos(theta) / np.sqrt(rod**2 - (radius * np.sin(theta)) ** 2))
    return (pressure - ambient) * area * arm


def _between(table, share):
    """A table of equal steps from 0 to 1, read in between."""
    at = share * (len(table) - 1)
    low = int(at)
    return table[low] + (at - low) * (table[low + 1] - table[low])


def _turn(gain, times, theta, omega):
    """Angle (rad) and speed (rad/s) at even moments under ``gain(t, theta, omega)`` (rad/s2), by Runge-Kutta of
    fourth order; plain floats, as an array of two is slow."""
    step = float(times[1] - times[0])
    half = step / 2
    angles, speeds = np.empty(len(times)), np.empty(len(times))
    for k, t in enumerate(times.tolist()):
        angles[k], speeds[k] = theta, omega
        a = gain(t, theta, omega)
        v2 = omega + half * a
        b = gain(t + half, theta + half * omega, v2)
        v3 = omega + half * b
        c = gain(t + half, theta + half * v2, v3)
        v4 = omega + step * c
        d = gain(t + step, theta + step * v3, v4)
        theta += step * (omega + 2 * v2 + 2 * v3 + v4) / 6
        omega += step * (a + 2 * b + 2 * c + d) / 6
    return angles, speeds


def idle_speed(
    order, strengths, *, rpm=750, seconds=5.0, rate=2000, inertia=0.25, drift=0.0, seed=0, scatter=0.03, **gas
):
    """Crank speed (rpm) over time at idle: ``order`` is the firing order, ``strengths`` by cylinder number."""
    count = len(order)
    angles = {c: FOUR_PI * k / count for k, c in enumerate(order)}
    random = np.random.default_rng(seed)
    target = rpm * 2 * np.pi / 60
    jitter = {c: 1 + scatter * random.standard_normal(4096) for c in order}
    grid = np.linspace(0, FOUR_PI, 1441)
    unfired = {c: gas_torque(grid - angles[c], 0.0, **gas) for c in order}
    fired = {c: gas_torque(grid - angles[c], strengths[c], **gas) - unfired[c] for c in order}
    motored = sum(unfired.values())
    load = float(np.mean(motored + sum(fired.values())))

    @functools.cache
    def torque_of(cycle):
        """Torque over one cycle of the engine less the load; no two burn alike."""
        return (motored + sum(fired[c] * jitter[c][cycle % 4096] for c in order) - load).tolist()

    def gain(t, theta, omega):
        at = theta / FOUR_PI
        wanted = target * (1 + drift * t / seconds)
        return (_between(torque_of(int(at)), at % 1.0) - 2.0 * (omega - wanted)) / inertia

    times = np.arange(0, seconds, 1 / rate)
    angle, omega = _turn(gain, times, 0.3, target)
    return times, omega * 60 / (2 * np.pi), angle


def cranking_current(order, squeeze, *, rpm=200, seconds=6.0, rate=2000, inertia=0.6, sag=0.08, seed=0):
    """Current (A) of a series cranking motor geared to the crank, fuel and spark off; mark pulses of the first
    cylinder.

    The motor: 11 V, 0.02 ohm, 0.42 V s/rad seen at the crank; friction torque constant.
    """
    count = len(order)
    angles = {c: FOUR_PI * k / count for k, c in enumerate(order)}
    grid = np.linspace(0, FOUR_PI, 2881)
    total = sum(gas_torque(grid - angles[c], 0.0, squeeze=squeeze[c], manifold=0.95) for c in order).tolist()
    omega0 = rpm * 2 * np.pi / 60
    friction = 60.0
    constant = 0.42

    def current(t, omega):
        return (11.0 * (1 - sag * t / seconds) - constant * omega) / 0.02

    def gain(t, theta, omega):
        return (constant * max(0.0, current(t, omega)) + _between(total, theta / FOUR_PI % 1.0) - friction) / inertia

    times = np.arange(0, seconds, 1 / rate)
    angle, omega = _turn(gain, times, 0.5, omega0)
    amps = np.maximum(0.0, current(times, omega))
    turn = angle / FOUR_PI
    mark = np.where(np.mod(turn, 1.0) < 0.02, 5.0, 0.0)
    return times, amps, mark, omega * 60 / (2 * np.pi)


def coil_current(
    *,
    volts=13.8,
    ohms=14.5,
    henry=0.012,
    lift_ms=1.4,
    on_ms=4.0,
    rate=100_000,
    kink=0.12,
    moves=True,
    period_ms=20.0,
    pulses=12,
):
    """Current (A) of an injector's winding switched on for ``on_ms``; the armature's travel gives a dip of its own."""
    times = np.arange(0, pulses * period_ms / 1e3, 1 / rate)
    current = np.zeros_like(times)
    value, step = 0.0, 1 / rate
    for k, t in enumerate(times):
        ms = (t * 1e3) % period_ms
        on = ms < on_ms
        back = 0.0
        if moves and on and lift_ms - 0.35 < ms < lift_ms:
            back = kink * volts * (ms - lift_ms + 0.35) / 0.35 * 3
        drive = (volts if on else -35.0) - back
        value = max(0.0, value + step * (drive - value * ohms) / henry)
        current[k] = value
    return times, current


def exhaust_sound(order, loudness, *, rate=16000, seconds=8.0, seed=7):
    """Rate (Hz) and sound of an exhaust at idle: a damped ringing burst a stroke, noise, and mains hum.

    ``loudness`` by cylinder where it is not 1. The bursts come at even angles, late by an arbitrary time.
    """
    times, _, angle = idle_speed(order, dict.fromkeys(order, 1.0), seconds=seconds)
    turn = angle / FOUR_PI
    count = len(order)
    random = np.random.default_rng(seed)
    samples = np.arange(int(rate * seconds))
    sound = 0.02 * random.standard_normal(len(samples)) + 0.05 * np.sin(2 * np.pi * 50 * samples / rate)
    tail = np.arange(int(0.02 * rate)) / rate
    for k in range(int(turn[-1] * count) - 1):
        at = int(np.interp(k / count, turn, times) * rate)
        loud = loudness.get(order[k % count], 1.0) * (1 + 0.1 * random.standard_normal())
        burst = loud * np.exp(-tail / 0.006) * np.sin(2 * np.pi * 310 * tail + random.uniform(0, 6))
        sound[at : at + len(tail)] += burst[: len(sound) - at]
    return rate, sound
