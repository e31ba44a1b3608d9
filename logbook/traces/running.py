"""Running traces: steady stretches, idle quality, mixture corrections over speed, and pulls."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.traces.model import Array, TraceError


@dataclass(frozen=True, slots=True)
class Stretch:
    """A time in which speed and load stand still: sample indexes, half open."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Idle:
    """Quality of an idle: mean (rpm), ``scatter`` (standard deviation of the speed smoothed over a cycle),
    ``hunting`` (peak-to-peak of the slow swing between 0.1 and 1.5 Hz) and its period in seconds (0: none stands
    out)."""

    mean: float
    scatter: float
    hunting: float
    period_s: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Point:
    """Mean of the readings of one speed in one band of load, with its standard uncertainty and count."""

    rpm: float
    value: float
    spread: float
    count: int


@dataclass(frozen=True, slots=True)
class Curve:
    """Mixture correction (measured over wanted lambda, the factor of the fuel mass) over speed at one band of load."""

    load_low: float
    load_high: float
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Pull:
    """One run up through the speeds: where it starts and ends, and each channel's mean in steps of speed."""

    start: int
    end: int
    rpm: tuple[float, ...]
    channels: tuple[tuple[str, tuple[float, ...]], ...]


def steady(time_s: Array, rpm: Array, load: Array | None = None, least_s: float = 2.0) -> tuple[Stretch, ...]:
    """Stretches of at least ``least_s`` seconds in which speed stays within 4 % and load within 5 % of its whole range.

    A window of ``least_s`` that stands still sets the level (its median); the stretch grows from there. None overlap.
    """
    rate = (len(time_s) - 1) / max(float(time_s[-1] - time_s[0]), 1e-9)
    window = max(3, round(least_s * rate))
    if window > len(time_s):
        return ()
    channels = [_smooth(rpm, max(1, round(0.3 * rate)))]
    widths: list[float | None] = [None]
    if load is not None:
        channels.append(_smooth(load, max(1, round(0.3 * rate))))
        widths.append(0.05 * float(np.nanmax(load) - np.nanmin(load)) + 1e-9)
    found: list[Stretch] = []
    start = 0
    while start + window <= len(time_s):
        levels = [float(np.median(c[start : start + window])) for c in channels]
        within = [0.04 * abs(level) if width is None else width for level, width in zip(levels, widths, strict=True)]
        first, end = _still(channels, levels, within, start, window)
        if end - first >= window and levels[0] > 100:
            found.append(Stretch(first, end))
            start = end
        else:
            start += max(1, window // 4)
    return tuple(found)


def _still(
    channels: Sequence[Array], levels: Sequence[float], within: Sequence[float], start: int, window: int
) -> tuple[int, int]:
    """The first sample of a window at which all channels stand at their levels, and the end of that.

    Looked for a window at a time, so that no sample far behind the end is touched.
    """
    first, at = -1, start
    while at < len(channels[0]) and (first >= 0 or at == start):
        each = [np.abs(c[at : at + window] - x) <= w for c, x, w in zip(channels, levels, within, strict=True)]
        still = np.all(each, axis=0)
        if first < 0:
            if not still.any():
                return start, start
            first = at + int(np.argmax(still))
        off = np.flatnonzero(~still[max(0, first - at) :])
        if len(off):
            return first, max(at, first) + int(off[0])
        at += window
    return first, len(channels[0])


def _smooth(values: Array, half: int) -> Array:
    """The mean over ``half`` samples to either side, the ends held beyond the edge."""
    half = min(half, len(values))
    padded = np.pad(values, (half + 1, half), mode="edge")
    total = np.cumsum(padded - values[0])
    return np.asarray((total[2 * half + 1 :] - total[: -2 * half - 1]) / (2 * half + 1) + values[0])


def idle_quality(time_s: Array, rpm: Array) -> Idle:
    """Mean, scatter and hunting of an idle of at least 5 seconds. Raises TraceError where it is shorter."""
    keep = np.isfinite(time_s) & np.isfinite(rpm)
    time_s, rpm = time_s[keep], rpm[keep]
    seconds = float(time_s[-1] - time_s[0]) if len(time_s) else 0.0
    if seconds < 5:
        raise TraceError("trace", "an idle of at least 5 seconds is needed")
    rate = min(50.0, (len(time_s) - 1) / seconds)
    grid = np.arange(time_s[0], time_s[-1], 1 / rate)
    even = np.interp(grid, time_s, rpm)
    cycle = min(len(even), max(1, round(120 / max(float(even.mean()), 1.0) * rate)))
    smooth = np.convolve(even, np.ones(cycle) / cycle, "valid")
    centred = smooth - smooth.mean()
    lines = np.fft.rfftfreq(len(centred), 1 / rate)
    spectrum = np.fft.rfft(centred)
    slow = (lines >= max(0.1, 1.5 / seconds)) & (lines <= 1.5)
    if not slow.any():
        return Idle(float(even.mean()), float(centred.std()), 0.0, 0.0, seconds)
    swing = np.fft.irfft(spectrum * slow, len(centred))
    power = np.where(slow, np.abs(spectrum) ** 2, 0)
    top = int(np.argmax(power))
    stands_out = power[max(0, top - 1) : top + 2].sum() > 0.5 * power.sum() and np.ptp(swing) > 0.01 * even.mean()
    return Idle(
        round(float(even.mean()), 2),
        round(float(centred.std()), 3),
        round(float(np.ptp(swing)), 2),
        round(1 / float(lines[top]), 3) if stands_out else 0.0,
        round(seconds, 3),
    )


def corrections(
    time_s: Array,
    rpm: Array,
    load: Array,
    measured_lambda: Array,
    wanted_lambda: Array | float,
    blocked: str = "",
    step_rpm: float = 500.0,
    bands: int = 4,
) -> tuple[Curve, ...]:
    """The factor for the fuel mass from steady stretches, one curve a band of load, points with their uncertainty.

    Raises TraceError with ``blocked`` as its reason while a cylinder is dead or suspected: a dead cylinder's air makes
    the mixture look lean, and richer would drive the live ones further off.
    """
    if blocked:
        raise TraceError("trace", blocked)
    wanted = np.broadcast_to(np.asarray(wanted_lambda, dtype=np.float64), rpm.shape)
    inside = (measured_lambda >= 0.65) & (measured_lambda <= 1.3)
    use = np.zeros(len(rpm), dtype=bool)
    for stretch in steady(time_s, rpm, load, 1.0):
        use[stretch.start : stretch.end] = True
    use &= inside & (wanted >= 0.5) & (wanted <= 2) & np.isfinite(load)
    factor = np.divide(measured_lambda, wanted, out=np.ones(len(rpm)), where=use)
    if not use.any():
        return ()
    edges = np.linspace(float(load[use].min()), float(load[use].max()) + 1e-9, bands + 1)
    out = []
    for low, high in itertools.pairwise(edges):
        band = use & (load >= low) & (load < high)
        points = _points(rpm[band], factor[band], step_rpm)
        if points:
            out.append(Curve(round(float(low), 4), round(float(high), 4), points))
    return tuple(out)


def _points(rpm: Array, values: Array, step: float) -> tuple[Point, ...]:
    at = np.round(rpm / step).astype(int)
    out = []
    for k in np.unique(at):
        part = values[at == k]
        if len(part) >= 4:
            spread = float(part.std(ddof=1)) / np.sqrt(len(part))
            out.append(Point(float(k * step), round(float(part.mean()), 6), round(spread, 6), len(part)))
    return tuple(out)


def pulls(
    time_s: Array, rpm: Array, channels: dict[str, Array], step_rpm: float = 250.0, least_rise: float = 1200.0
) -> tuple[Pull, ...]:
    """Runs in which the speed rises by at least ``least_rise`` rpm without falling back, within 1.5 to 30 seconds.

    ``time_s`` rises from row to row (``files.rising``). A channel without a reading at a speed has NaN there.
    """
    smooth = _smooth(rpm, max(1, round(0.25 / float(np.median(np.diff(time_s))))))
    slope = np.gradient(smooth, time_s)
    rising = slope > 60
    edges = np.flatnonzero(np.diff(np.concatenate([[False], rising, [False]]).astype(np.int8)))
    out = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        last = end - 1
        seconds, rise = time_s[last] - time_s[start], smooth[last] - smooth[start]
        if rise >= least_rise and 1.5 <= seconds <= 30:
            out.append(_pull(int(start), int(end), smooth, channels, step_rpm))
    return tuple(out)


def _pull(start: int, end: int, rpm: Array, channels: dict[str, Array], step: float) -> Pull:
    at = np.round(rpm[start:end] / step).astype(int)
    steps = np.unique(at)
    means = tuple(
        (name, tuple(_mean(values[start:end][at == k]) for k in steps)) for name, values in sorted(channels.items())
    )
    return Pull(start, end, tuple(float(k * step) for k in steps), means)


def _mean(values: Array) -> float:
    known = values[np.isfinite(values)]
    return round(float(known.mean()), 6) if len(known) else float("nan")
