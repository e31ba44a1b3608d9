"""Finding the engine's cycle in a signal by itself, and laying the signal over the crank angle.

One cycle is two turns of the crank. Harmonic k of the cycle is crank order k/2; the firing line is harmonic N.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from logbook.traces.model import Array, Even, TraceError

MAINS_HZ = (50.0, 60.0)
LEAST_CYCLES = 5
UNCLEAR = 0.6  # share of the swing that repeats; below it the cycle may have been taken for another


@dataclass(frozen=True, slots=True)
class Cycles:
    """The signal cycle by cycle: ``table`` has a row a cycle and ``per_slot * cylinders`` samples across.

    ``rpm`` holds the mean speed of each cycle. ``double`` says that the same lines would fit an engine turning at
    another
    speed (half or double) nearly as well; a stated speed settles it. ``clear`` is the share of the signal's variation
    that repeats with the cycle (0..1).
    """

    table: Array
    rpm: Array
    cylinders: int
    per_slot: int
    double: bool
    clear: float
    samples: Array  # where in the signal each cell of the table stands, in samples

    def lay(self, other: Array) -> Array:
        """Another channel of the same recording, cut at the same crank angles."""
        return np.interp(self.samples, np.arange(len(other)), other)

    @property
    def mean(self) -> Array:
        out: Array = self.table.mean(axis=0)
        return out

    @property
    def count(self) -> int:
        return int(self.table.shape[0])


def find(
    signal: Even,
    cylinders: int,
    rpm_low: float,
    rpm_high: float,
    rpm_stated: float | None = None,
    per_slot: int = 32,
    pulses: bool = False,
) -> Cycles:
    """Find the cycle between two speeds (rpm) and cut the signal into cycles of even crank angle.

    ``cylinders`` 1..16, even fire. ``pulses``: the signal is a train of short pulses (loudness), not a speed or a
    current
    that a flywheel has smoothed. Raises TraceError under five cycles, where no line stands out, or where the samples
    stand too far apart for the lowest speed. ``rpm_stated`` counts where it is above 0.
    """
    if rpm_stated and rpm_stated > 0:
        rpm_low, rpm_high = rpm_stated * 0.8, rpm_stated * 1.25
    if signal.rate <= 2 * cylinders * rpm_low / 120:
        raise TraceError("trace", f"{signal.rate:.3g} samples a second are too few to show each firing: record faster")
    values = _without_drift(signal, rpm_low)
    frequency, double = _coarse(values, signal.rate, cylinders, (rpm_low / 120, rpm_high / 120), pulses)
    if len(values) / signal.rate * frequency < LEAST_CYCLES:
        raise TraceError("trace", f"shorter than {LEAST_CYCLES} cycles")
    double = double and not rpm_stated
    found = _lay_at(values, signal.rate, frequency, cylinders, per_slot, double)
    if found.clear < UNCLEAR and cylinders > 2:
        # a dead cylinder moves power to the lines beside the firing line: the strongest may be one of those
        beside = [frequency * cylinders / near for near in (cylinders - 1, cylinders + 1)]
        others = [_lay_at(values, signal.rate, f, cylinders, per_slot, double) for f in beside if _is_long(signal, f)]
        found = max((found, *others), key=lambda each: each.clear)
    return found


def _is_long(signal: Even, frequency: float) -> bool:
    return signal.seconds * frequency >= LEAST_CYCLES + 4


def _lay_at(values: Array, rate: float, frequency: float, cylinders: int, per_slot: int, double: bool) -> Cycles:
    phase = _sharpen(values, _follow(values, rate, cylinders, frequency), cylinders)
    return _cut(values, rate, phase, cylinders, per_slot, double)


def _without_drift(signal: Even, rpm_low: float) -> Array:
    """Take out all that is slower than half the slowest cycle, and the mains' hum where it is a thin line of
    its own.
    """
    values = signal.values - signal.values.mean()
    spectrum = np.fft.rfft(values)
    lines = np.fft.rfftfreq(len(values), 1 / signal.rate)
    slow = rpm_low / 120 / 2
    spectrum *= np.clip(lines / slow - 0.5, 0, 1)
    return np.asarray(np.fft.irfft(spectrum, len(values)))


def _power(values: Array, rate: float) -> tuple[Array, Array]:
    window = np.hanning(len(values))
    size = 1 << int(np.ceil(np.log2(max(len(values) * 2, 1 << 14))))
    power = np.abs(np.fft.rfft(values * window, size)) ** 2
    lines = np.fft.rfftfreq(size, 1 / rate)
    return np.asarray(lines), np.asarray(
        power * lines**2
    )  # by acceleration: a speed falls off with the order, its torque does not


def _combs(lines: Array, power: Array, cylinders: int, candidates: Array, width: float) -> Array:
    """How much power stands on the firing line and its double for each candidate cycle frequency."""
    total = np.concatenate([[0.0], np.cumsum(power)])
    step = lines[1]
    score = np.zeros(len(candidates))
    for harmonic, weight in ((cylinders, 1.0), (2 * cylinders, 0.5)):
        low = np.clip(((candidates * harmonic * (1 - width)) / step).astype(int), 0, len(power) - 1)
        high = np.clip(((candidates * harmonic * (1 + width)) / step).astype(int) + 1, 1, len(power))
        score += weight * (total[high] - total[low])
    return score


def _coarse(
    values: Array, rate: float, cylinders: int, within: tuple[float, float], pulses: bool
) -> tuple[float, bool]:
    low, high = within
    lines, power = _power(values, rate)
    if pulses:
        power = power / np.maximum(lines, lines[1]) ** 2
    power = np.where(lines < min(rate / 2, 2.5 * cylinders * high), power, 0.0)
    candidates = np.geomspace(low, high, 400)
    score = _combs(lines, power, cylinders, candidates, 0.02)
    best = int(np.argmax(score))
    if not score[best] > 0:
        raise TraceError("trace", "no cycle stands out")
    others = [float(candidates[best]) * r for r in (0.5, 2.0)]
    rival = [float(np.interp(o, candidates, score)) for o in others if low <= o <= high]
    return float(candidates[best]), bool(rival and max(rival) > 0.5 * score[best])


def _follow(values: Array, rate: float, cylinders: int, frequency: float) -> Array:
    """Cycle phase (in cycles) at each sample, from the local firing line in windows of about ten cycles."""
    span = min(len(values), int(10 / frequency * rate))
    hop = max(1, span // 4)
    starts = list(range(0, max(1, len(values) - span + 1), hop))
    centres, local = [], []
    order = _outward(len(starts), int(np.argmax([np.var(values[s : s + span]) for s in starts])))
    found: dict[int, float] = {}
    for index, near in order:
        guess = found.get(near, frequency)
        lines, power = _power(values[starts[index] : starts[index] + span], rate)
        candidates = np.linspace(guess * 0.9, guess * 1.1, 161)
        found[index] = float(candidates[np.argmax(_combs(lines, power, cylinders, candidates, 0.012))])
    for index, start in enumerate(starts):
        centres.append(start + span / 2)
        local.append(found[index])
    at = np.interp(np.arange(len(values)), centres, local)
    return np.asarray(np.cumsum(at) / rate)


def _outward(count: int, middle: int) -> list[tuple[int, int]]:
    """Indexes from the middle outward, each with the neighbour that it starts from (itself for the first)."""
    forward = [(i, i - 1) for i in range(middle + 1, count)]
    backward = [(i, i + 1) for i in range(middle - 1, -1, -1)]
    return [(middle, middle), *forward, *backward]


def _sharpen(values: Array, phase: Array, cylinders: int) -> Array:
    """Follow the strongest line's own phase over the crank angle, and bend the cycle phase until it stands still."""
    for _ in range(3):
        per_cycle = 16 * cylinders
        grid = np.arange(phase[0], phase[-1], 1 / per_cycle)
        over = np.interp(grid, phase, values)
        spectrum = np.fft.fft(over)
        lines = np.fft.fftfreq(len(over), 1 / per_cycle)
        strength = [np.sum(np.abs(spectrum[np.abs(lines - k) < 0.25]) ** 2) * k**2 for k in range(1, cylinders + 1)]
        order = 1 + int(np.argmax(strength))
        band = np.clip(2.2 - 4 * np.abs(lines - order), 0, 1)
        tone = np.fft.ifft(spectrum * band) * np.exp(-2j * np.pi * order * grid)
        bend = np.unwrap(np.angle(tone)) / (2 * np.pi * order)
        phase = phase + np.interp(phase, grid, bend - bend.mean())
        phase = np.maximum.accumulate(phase)
    return phase


def _cut(values: Array, rate: float, phase: Array, cylinders: int, per_slot: int, double: bool) -> Cycles:
    per_cycle = per_slot * cylinders
    first, last = int(np.ceil(phase[0])), int(np.floor(phase[-1]))
    if last - first < LEAST_CYCLES:
        raise TraceError("trace", f"shorter than {LEAST_CYCLES} cycles")
    rising = np.concatenate([[True], np.diff(phase) > 0])
    grid = np.arange(first * per_cycle, last * per_cycle) / per_cycle
    samples = np.interp(grid, phase[rising], np.flatnonzero(rising)).reshape(-1, per_cycle)[1:-1]
    table = np.interp(samples, np.arange(len(values)), values)
    times = np.interp(np.arange(first, last + 1), phase[rising], np.flatnonzero(rising) / rate)[1:-1]
    spread = np.sqrt(np.mean((table - np.median(table, axis=0)) ** 2, axis=1))
    keep = spread <= 4 * np.median(spread) + 1e-300
    whole = float(np.var(table[keep]))
    clear = float(np.var(table[keep].mean(axis=0)) / whole) if whole > 0 else 0.0
    return Cycles(
        table[keep], (120 / np.diff(times))[keep], cylinders, per_slot, double, min(1.0, clear), samples[keep]
    )
