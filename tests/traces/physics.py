"""An independent model of an engine, made only for tests: gas torque by slider-crank, a flywheel, a cranking motor,
and a coil with a moving armature. It shares no code with the package.

Sources: slider-crank torque and polytropic compression, any text on internal combustion engines (Heywood, chapters
2 and
9, from memory); first-order circuit with back electromotive force, any text on circuits.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

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


def idle_speed(
    order, strengths, *, rpm=750, seconds=5.0, rate=2000, inertia=0.25, drift=0.0, seed=0, scatter=0.03, **gas
):
    """Crank speed (rpm) over time at idle: ``order`` is the firing order, ``strengths`` by cylinder number."""
    count = len(order)
    angles = {c: FOUR_PI * k / count for k, c in enumerate(order)}
    random = np.random.default_rng(seed)
    target = rpm * 2 * np.pi / 60
    grid = np.linspace(0, FOUR_PI, 1441)
    curve = {c: gas_torque(grid - angles[c], strengths[c], **gas) for c in order}
    load = sum(float(np.mean(v)) for v in curve.values())
    motored = sum(gas_torque(grid - angles[c], 0.0, **gas) for c in order)
    jitter = {c: 1 + scatter * random.standard_normal(4096) for c in order}

    def torque(theta):
        cycle = int(theta // FOUR_PI)
        at = theta % FOUR_PI
        extra = sum(
            (np.interp(at, grid, curve[c]) - np.interp(at, grid, gas_zero[c])) * jitter[c][cycle % 4096] for c in order
        )
        return extra + np.interp(at, grid, motored)

    gas_zero = {c: gas_torque(grid - angles[c], 0.0, **gas) for c in order}

    def slope(t, y):
        wanted = target * (1 + drift * t / seconds)
        return [y[1], (torque(y[0]) - load - 2.0 * (y[1] - wanted)) / inertia]

    times = np.arange(0, seconds, 1 / rate)
    solved = solve_ivp(slope, (0, seconds), [0.3, target], t_eval=times, max_step=2e-3, rtol=1e-4)
    return times, solved.y[1] * 60 / (2 * np.pi), solved.y[0]


def cranking_current(order, squeeze, *, rpm=200, seconds=6.0, rate=2000, inertia=0.6, sag=0.08, seed=0):
    """Current (A) of a series cranking motor geared to the crank, fuel and spark off; mark pulses of the first
    cylinder.

    The motor: 11 V, 0.02 ohm, 0.42 V s/rad seen at the crank; friction torque constant.
    """
    count = len(order)
    angles = {c: FOUR_PI * k / count for k, c in enumerate(order)}
    grid = np.linspace(0, FOUR_PI, 2881)
    total = sum(gas_torque(grid - angles[c], 0.0, squeeze=squeeze[c], manifold=0.95) for c in order)
    omega0 = rpm * 2 * np.pi / 60
    friction = 60.0
    constant = 0.42

    def current(t, omega):
        volts = 11.0 * (1 - sag * t / seconds)
        return max(0.0, (volts - constant * omega) / 0.02)

    def slope(t, y):
        drive = constant * current(t, y[1])
        return [y[1], (drive + np.interp(y[0] % FOUR_PI, grid, total) - friction) / inertia]

    times = np.arange(0, seconds, 1 / rate)
    solved = solve_ivp(slope, (0, seconds), [0.5, omega0], t_eval=times, max_step=1e-3, rtol=1e-5)
    amps = np.array([current(t, w) for t, w in zip(times, solved.y[1], strict=True)])
    turn = solved.y[0] / FOUR_PI
    mark = np.where(np.mod(turn, 1.0) < 0.02, 5.0, 0.0)
    return times, amps, mark, solved.y[1] * 60 / (2 * np.pi)


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
