"""How strong each power stroke is, from crank speed or sound laid over the crank angle.

What a recording cannot tell is said: it starts anywhere in the cycle, so without a mark or a reference the strokes have
no names; and strokes that repeat two or more times in the cycle look like a sound engine of fewer cylinders.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.traces.cycle import Cycles
from logbook.traces.model import Array, Even, TraceError

Lines = NDArray[np.complex128]
DEAD_BELOW = 0.35
WEAK_BELOW = 0.7
MARKS_EVERY_TURN = 0.25  # of the larger mark: a second one half a cycle away that high is a mark too


@dataclass(frozen=True, slots=True)
class Order:
    """Strength of one harmonic of the cycle: ``crank`` is k/2, ``share`` relative to the firing line, with
    its spread.
    """

    crank: float
    share: float
    spread: float


@dataclass(frozen=True, slots=True)
class Strokes:
    """Strength of each stroke in order of firing, 1 = as a sound one; the first slot is arbitrary unless ``named``.

    ``spread`` is the standard uncertainty of each. ``repeats`` > 1: the pattern repeats so many times in the cycle and
    looks like a sound engine of ``cylinders / repeats`` strokes, each group of them alike.
    """

    strength: tuple[float, ...]
    spread: tuple[float, ...]
    orders: tuple[Order, ...]
    rpm: float
    repeats: int
    cycles: int
    first_slot_at: float  # phase of slot 0 in cycles after the start of the table

    def word(self, slot: int) -> str:
        value = self.strength[slot]
        return "dead" if value < DEAD_BELOW else "weak" if value < WEAK_BELOW else "fires"

    @property
    def dead(self) -> tuple[int, ...]:
        return tuple(k for k in range(len(self.strength)) if self.word(k) == "dead")


def orders(cycles: Cycles) -> tuple[Order, ...]:
    """Crank orders 0.5 to N/2: amplitude relative to the firing line (order N/2), with its spread over the cycles."""
    lines = np.fft.rfft(cycles.table, axis=1)[:, 1 : cycles.cylinders + 1]
    mean = np.abs(lines.mean(axis=0))
    scatter = np.std(lines, axis=0) / np.sqrt(cycles.count)
    firing = mean[-1]
    if firing <= 0:
        raise TraceError("trace", "no firing line")
    return tuple(
        Order((k + 1) / 2, float(mean[k] / firing), float(scatter[k] / firing)) for k in range(cycles.cylinders)
    )


def from_speed(cycles: Cycles) -> Strokes:
    """Strength of the strokes from crank speed: the torque's harmonics over those of one sound stroke.

    The mean level and the scale come from the firing line and from the strongest half taken as sound; the shape of a
    stroke is that of an expanding gas on a crank (polytropic, exponent 1.3, from memory of any engine text).
    """
    count = cycles.cylinders
    power, squeeze = _stroke_harmonics(count)
    torque = _torque_lines(cycles.mean, count)
    turn = _turn(torque, power, squeeze, count)
    strength, _raw = _strengths(torque, power, squeeze, turn, count)
    halves = [
        _strengths(_torque_lines(part.mean(axis=0), count), power, squeeze, turn, count)[0] for part in _parts(cycles)
    ]
    spread = np.std(halves, axis=0, ddof=1) / np.sqrt(len(halves))
    return _finish(strength, np.hypot(spread, 0.08), cycles, -turn)


def from_sound(signal: Even, cycles: Cycles) -> Strokes:
    """Strength of the strokes from the loudness of each pulse (``cycles`` found on ``loudness(signal)``)."""
    count, per = cycles.cylinders, cycles.per_slot
    loud = cycles.lay(loudness(signal).values)
    profile = loud.mean(axis=0).reshape(count, per).mean(axis=0)
    phase = np.angle(np.sum(profile * np.exp(2j * np.pi * np.arange(per) / per))) / (2 * np.pi) % 1
    shift = round(phase * per) - per // 2
    slots = np.roll(loud, -shift, axis=1).reshape(len(loud), count, per)
    window = np.hanning(per)
    levels = (slots * window).sum(axis=2) / window.sum()
    level = levels.mean(axis=0)
    sound = float(np.median(np.sort(level)[-max(1, (count + 1) // 2) :]))
    if sound <= 0:
        raise TraceError("trace", "silence")
    spread = levels.std(axis=0) / np.sqrt(len(levels)) / sound
    return _finish(level / sound, np.hypot(spread, 0.05), cycles, shift / (count * per))


def loudness(signal: Even, low_hz: float = 120.0, high_hz: float = 2500.0, out_hz: float = 2000.0) -> Even:
    """The envelope of a sound between two frequencies, at a lower rate."""
    values = signal.values - signal.values.mean()
    lines = np.fft.fftfreq(len(values), 1 / signal.rate)
    band = (lines > low_hz) & (lines < min(high_hz, signal.rate / 2))
    envelope = np.abs(np.fft.ifft(np.fft.fft(values) * (2 * band)))
    step = max(1, int(signal.rate // out_hz))
    usable = len(envelope) // step * step
    return Even(envelope[:usable].reshape(-1, step).mean(axis=1), signal.rate / step, signal.dropped)


def _parts(cycles: Cycles) -> list[Array]:
    return (
        np.array_split(cycles.table, min(6, cycles.count // 2)) if cycles.count >= 4 else [cycles.table, cycles.table]
    )


def _torque_lines(mean: Array, count: int) -> Lines:
    """Harmonics 0..N of the angular acceleration from those of the speed."""
    lines: Lines = np.fft.rfft(mean)[: count + 1] / len(mean) * 1j * np.arange(count + 1)
    return lines


def _stroke_harmonics(count: int) -> tuple[Lines, Lines]:
    """Harmonics 0..N over a cycle of one stroke's combustion torque and of its compression and expansion
    without fire.
    """
    points = 1440
    angle = np.arange(points) / points * 4 * np.pi
    angle = np.where(angle > 2 * np.pi, angle - 4 * np.pi, angle)
    arm = np.sin(angle) * (1 + 0.3 * np.cos(angle))
    volume = 1 / 8.5 + (1 - np.cos(angle) + 0.15 * np.sin(angle) ** 2) / 2
    closed = np.abs(angle) < np.pi
    gas = np.where(closed, 0.4 * ((1 + 1 / 8.5) / volume) ** 1.3, 0.0)
    burnt = np.clip(angle / 0.6, 0, 1) * closed
    fire = 2.2 * gas * burnt * arm
    motored = np.where(closed, gas - 1, 0.0) * arm
    return np.fft.rfft(fire)[: count + 1] / points, np.fft.rfft(motored)[: count + 1] / points


def _turn(torque: Lines, power: Lines, squeeze: Lines, count: int) -> float:
    """Phase (cycles) by which slot 0 stands before the start of the table, up to whole slots, from the firing line."""
    expected = power[count] + squeeze[count]
    return float(np.angle(torque[count] / expected) / (2 * np.pi * count))


def _strengths(torque: Lines, power: Lines, squeeze: Lines, turn: float, count: int) -> tuple[Array, Array]:
    k = np.arange(1, count)
    pattern = torque[1:count] / power[1:count] * np.exp(-2j * np.pi * k * turn)
    spectrum = np.zeros(count, dtype=complex)
    spectrum[1:] = (pattern + np.conj(pattern[::-1])) / 2 if count > 1 else pattern
    shape = np.real(np.fft.ifft(spectrum)) * 1.0
    top = float(np.median(np.sort(shape)[-max(1, (count + 1) // 2) :]))
    firing = abs(torque[count])
    scale = _scale(top, firing, power[count], squeeze[count], count)
    return 1 + scale * (shape - top), shape


def _scale(top: float, firing: float, power: complex, squeeze: complex, count: int) -> float:
    """The factor from measured units to sound strokes: the firing line fixes it, the strongest half being sound."""
    low, high = 1e-12, 1e12
    for _ in range(200):
        middle = float(np.sqrt(low * high))
        mean = max(0.0, 1 - middle * top)
        low, high = (middle, high) if count * abs(mean * power + squeeze) > middle * firing else (low, middle)
    return float(np.sqrt(low * high))


def _finish(strength: Array, spread: Array, cycles: Cycles, first: float) -> Strokes:
    count = cycles.cylinders
    strength = 1 + (strength - 1) / max(1.0, 1 - float(strength.min()))  # no stroke is less than dead
    repeats = 1
    for parts in range(count // 2, 1, -1):
        if count % parts == 0:
            groups = strength.reshape(parts, count // parts)
            if np.ptp(strength) > 0.25 and np.max(np.ptp(groups, axis=0)) < 0.2:
                repeats = parts
                break
    return Strokes(
        tuple(round(float(v), 6) for v in strength),
        tuple(round(float(v), 6) for v in spread),
        orders(cycles),
        round(float(cycles.rpm.mean()), 3),
        repeats,
        cycles.count,
        float(first),
    )


def mark_phases(cycles: Cycles, mark: Array) -> tuple[float, ...]:
    """Phases (cycles after the table's start) of a mark on another channel: one, or two half a cycle apart.

    A lead of a coil that fires two cylinders marks every turn, at the top of the compression and of the exhaust: which
    is which it does not tell. Raises TraceError where no mark stands out.
    """
    mean = cycles.lay(mark).mean(axis=0)
    apart = np.abs(mean - np.median(mean))
    peak = int(np.argmax(apart))
    if apart[peak] < 5 * np.median(apart) or apart[peak] <= 0:
        raise TraceError("trace", "the mark does not stand out once a cycle")
    half = len(mean) // 2
    near = np.arange(half - half // 8, half + half // 8 + 1)
    beside = (peak + near) % len(mean)
    other = int(beside[np.argmax(apart[beside])])
    twice = apart[other] > MARKS_EVERY_TURN * apart[peak]
    return tuple(_centre(apart, at) for at in ((peak, other) if twice else (peak,)))


def _centre(apart: Array, peak: int) -> float:
    around = (np.arange(len(apart)) - peak + len(apart) // 2) % len(apart) - len(apart) // 2
    near = np.abs(around) < len(apart) // 12
    return float(peak + np.sum(around[near] * apart[near]) / np.sum(apart[near])) / len(apart)


def by_reference(
    strokes: Strokes, reference: Strokes, firing_order: tuple[int, ...], cut: int
) -> tuple[dict[int, float], ...]:
    """Strength by cylinder, from a second recording in which the cylinder ``cut`` was cut out.

    More than one answer where the two recordings fit more than one way round equally well.
    """
    count = len(firing_order)
    now, then = np.array(strokes.strength), np.array(reference.strength)
    fits = []
    for turn in range(count):
        turned = np.roll(then, -turn)
        for slot in range(count):
            expected = now.copy()
            expected[slot] = 0.0
            gain = now[slot] - DEAD_BELOW
            fits.append((float(np.sqrt(np.mean((turned - expected) ** 2))), slot, gain))
    best = min(f for f, _, gain in fits if gain > 0 or all(g <= 0 for _, _, g in fits))
    start = firing_order.index(cut)
    answers: list[dict[int, float]] = []
    for fit, slot, gain in sorted(fits):
        if fit <= best + 0.06 and gain > 0:
            answer = {firing_order[(start + k - slot) % count]: round(float(now[k]), 6) for k in range(count)}
            if not any(_alike(answer, known) for known in answers):
                answers.append(answer)
    return tuple(answers)


def _alike(a: dict[int, float], b: dict[int, float]) -> bool:
    return max(abs(a[c] - b[c]) for c in a) < 0.25
