"""Relative compression from the current of the cranking motor, fuel and spark disabled.

Each compression asks the motor for a hump of current. Neighbouring humps overlap where there are many cylinders, and
the flywheel smooths them: both are undone harmonic by harmonic with one hump's own shape, taken from the sum of all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from logbook.traces.cycle import Cycles
from logbook.traces.model import Array, TraceError

MOTOR_CORNER = 14.0


@dataclass(frozen=True, slots=True)
class Squeeze:
    """Height of each compression's hump in order of firing, relative to the median of the upper half (1 = 100 %).

    ``spread`` is the standard uncertainty of each: scatter over the cycles, 0.05 for the
    way of working, and a fifth of the distance from a sound one, since the motor's own smoothing is only guessed.
    """

    height: tuple[float, ...]
    spread: tuple[float, ...]
    rpm: float
    cycles: int
    amps: float  # mean current
    first_slot_at: float  # phase of slot 0's peak in cycles after the start of the table


def relative_compression(cycles: Cycles, mean_amps: float = 0.0) -> Squeeze:
    """Hump heights from cycles found on the current. Raises TraceError where no hump stands out."""
    count = cycles.cylinders
    parts = [cycles.table] if cycles.count < 4 else np.array_split(cycles.table, min(5, cycles.count // 2))
    lines = _hump_lines(count, float(cycles.rpm.mean()) / 120)
    height, turn = _heights(cycles.mean, lines, count)
    if not np.median(height) > 0:
        raise TraceError("trace", "no compression stands out in the current")
    sound = float(np.median(np.sort(height)[-max(1, (count + 1) // 2) :]))
    if len(parts) > 1:
        each = np.array([_heights(p.mean(axis=0), lines, count)[0] for p in parts]) / sound
        scatter = each.std(axis=0, ddof=1) / np.sqrt(len(parts))
    else:
        scatter = np.full(count, 0.05)
    return Squeeze(
        tuple(round(float(v), 6) for v in height / sound),
        tuple(round(float(v), 6) for v in np.sqrt(scatter**2 + 0.05**2 + (0.2 * (1 - height / sound)) ** 2)),
        round(float(cycles.rpm.mean()), 3),
        cycles.count,
        round(mean_amps, 3),
        float(turn),
    )


def _heights(mean: Array, lines: Array, count: int) -> tuple[Array, float]:
    """Deconvolved heights, and the phase of slot 0's top: harmonic k measured over harmonic k of one compression."""
    measured = np.fft.rfft(mean)[: count + 1] / len(mean)
    turn = float(np.angle(measured[count] / lines[count]) / (2 * np.pi * count))
    turned = measured * np.exp(-2j * np.pi * np.arange(count + 1) * turn)
    spectrum = np.zeros(count, dtype=complex)
    spectrum[0] = abs(turned[count] / lines[count])
    ratio = turned[1:count] / lines[1:count]
    spectrum[1:] = (ratio + np.conj(ratio[::-1])) / 2
    return np.real(np.fft.ifft(spectrum)), -turn


def _hump_lines(count: int, cycle_hz: float) -> Array:
    """Harmonics 0..N of the current that one compression and expansion asks for, per unit of compression pressure.

    Torque: polytropic, exponent 1.3, ratio 9. Behind the flywheel and the motor's own brake it falls off above the
    corner
    of ``MOTOR_CORNER`` rad/s (judgement: a cranking motor settles in about a fourteenth of a second).
    """
    points = 1440
    angle = (np.arange(points) / points * 4 * np.pi + 2 * np.pi) % (4 * np.pi) - 2 * np.pi
    volume = 1 / 8 + (1 - np.cos(angle) + 0.15 * np.sin(angle) ** 2) / 2
    gas = np.where(np.abs(angle) < np.pi, ((1 + 1 / 8) / volume) ** 1.3 - 1, 0.0)
    torque = np.fft.rfft(gas * np.sin(angle) * (1 + 0.3 * np.cos(angle)))[: count + 1] / points
    return -torque / (MOTOR_CORNER + 2j * np.pi * cycle_hz * np.arange(count + 1))
