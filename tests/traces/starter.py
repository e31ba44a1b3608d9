"""A starter turning engines that leak: the second model of a cranking current, made only for tests.

It shares nothing with the package, nor with ``physics``: air is lost through an orifice while it is squeezed (so the
stroke back returns less than the stroke up took), the motor is a series motor whose field saturates, and its response
follows from its own resistance, field and inertia. What a gauge would read is the highest pressure of each cylinder.

Sources: slider-crank geometry and isentropic change of a leaking volume, flow through an orifice, the series motor's
two equations: any textbook of engines, gas dynamics, electrical machines (from memory). Sizes: common practice.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

FOUR_PI = 4 * np.pi
AIR, GAMMA, START_K, OUTSIDE = 287.05, 1.4, 300.0, 101_325.0
STEP = 2.5e-4  # s


@dataclass
class Engines:
    """``count`` engines alike in layout, unlike in all else; arrays have a row an engine, a column a cylinder."""

    angles: np.ndarray  # of the top of each compression within a cycle, radians, in order of firing
    leak: np.ndarray  # m2 of orifice
    ratio: np.ndarray
    exponent: np.ndarray
    closes: np.ndarray  # crank angle before the top at which the intake closes
    inertia: np.ndarray
    friction: np.ndarray
    field_constant: np.ndarray  # V s/rad at the crank, unsaturated
    ohms: np.ndarray
    henry: np.ndarray
    volts: np.ndarray
    swept: np.ndarray = field(default_factory=lambda: np.array(5e-4))


@dataclass
class Run:
    seconds: np.ndarray
    amps: np.ndarray  # engines, samples
    angle: np.ndarray
    peak: np.ndarray  # engines, cylinders: highest pressure above the outside, Pa


def draw(random: np.random.Generator, count: int, cylinders: int, angles: np.ndarray | None = None) -> Engines:
    """Sound engines drawn at random; ``leak`` of a sound cylinder is that of its rings."""
    uniform = random.uniform
    if angles is None:
        angles = FOUR_PI * np.arange(cylinders) / cylinders
    swept = uniform(3.5e-4, 7e-4, count)
    load = swept * cylinders / 2.5e-3
    return Engines(
        angles,
        uniform(2e-7, 5e-7, (count, cylinders)) * (swept / 5e-4)[:, None],
        uniform(8.2, 11.0, (count, 1)) * uniform(0.99, 1.01, (count, cylinders)),
        uniform(1.26, 1.36, count),
        np.radians(uniform(118, 145, count)),
        uniform(0.15, 0.9, count) * load,
        uniform(35, 70, count) * load,
        uniform(0.36, 0.55, count) * load**0.3,
        uniform(0.012, 0.03, count),
        uniform(2e-5, 1.2e-4, count),
        uniform(10.5, 12.3, count),
        swept,
    )


def turn(engines: Engines, seconds: float = 8.0, settle: float = 1.5, rate: float = 2000.0) -> Run:
    """Crank every engine for so long; what comes before ``settle`` is not recorded."""
    leak, swept = engines.leak, engines.swept[:, None]
    clearance = swept / (engines.ratio - 1)
    n, closes = engines.exponent[:, None], engines.closes[:, None]
    rows = len(leak)

    def volume(theta: np.ndarray) -> np.ndarray:
        return clearance + swept * ((1 - np.cos(theta)) / 2 + 0.0375 * np.sin(theta) ** 2)

    at_close = volume(closes)
    whole = OUTSIDE * at_close / (AIR * START_K)
    mass = np.broadcast_to(whole, leak.shape).copy()
    choked = np.sqrt(GAMMA) * (2 / (GAMMA + 1)) ** ((GAMMA + 1) / 2 / (GAMMA - 1))
    theta, omega = np.full(rows, 0.3), np.full(rows, 18.0)
    amps = np.full(rows, 150.0)
    peak = np.zeros(leak.shape)
    each = max(1, round(1 / rate / STEP))
    currents, angles = [], []
    for step in range(int((seconds + settle) / STEP)):
        own = np.mod(theta[:, None] - engines.angles + FOUR_PI / 2, FOUR_PI) - FOUR_PI / 2
        shut = (own > -closes) & (own < np.radians(135))
        mass = np.where(shut, mass, whole)
        space = volume(own)
        pressure = np.where(shut, OUTSIDE * (mass / whole * at_close / space) ** n, OUTSIDE)
        kelvin = pressure * space / (mass * AIR)
        over = np.clip(OUTSIDE / pressure, 0.0, 1.0)
        narrow = np.sqrt(
            np.maximum(0.0, 2 * GAMMA / (GAMMA - 1) * (over ** (2 / GAMMA) - over ** ((GAMMA + 1) / GAMMA)))
        )
        flow = leak * pressure / np.sqrt(AIR * kelvin) * np.where(over < 0.528, choked, narrow)
        mass = np.maximum(mass - np.where(shut, flow, 0.0) * STEP, 0.02 * whole)
        arm = swept * (np.sin(own) / 2 + 0.0375 * np.sin(2 * own))
        gas = ((pressure - OUTSIDE) * arm).sum(axis=1)
        flux = engines.field_constant * (0.35 + 0.65 * amps / (amps + 120.0))
        drag = engines.friction * (0.75 + omega / 80.0)
        omega = np.maximum(1.0, omega + STEP * (flux * amps + gas - drag) / engines.inertia)
        amps = np.maximum(0.0, amps + STEP * (engines.volts - engines.ohms * amps - flux * omega) / engines.henry)
        theta = theta + STEP * omega
        if step * STEP >= settle:
            peak = np.maximum(peak, pressure - OUTSIDE)
            if step % each == 0:
                currents.append(amps)
                angles.append(theta)
    taken = np.array(currents).T
    return Run(np.arange(taken.shape[1]) * each * STEP, taken, np.array(angles).T, peak)


def marks(angle: np.ndarray, every_turn: bool, at: float = 0.0) -> np.ndarray:
    """Pulses of a lead's clamp: at the top of the first cylinder once a cycle, or at each turn (a paired coil)."""
    turns = (angle - at) / FOUR_PI
    return np.where(np.mod(turns * (2 if every_turn else 1) + 0.01, 1.0) < 0.02 * (2 if every_turn else 1), 5.0, 0.0)
