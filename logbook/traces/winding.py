"""What the current of an injector's or a coil's winding tells: resistance, inductance, dwell, and whether the
needle moves.

A winding switched on rises as i = V/R (1 - exp(-t R/L)). An armature that travels gives a voltage back while it moves:
the current falls short of that curve and comes back to it, a dip in its slope. A needle that sticks leaves no dip.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from logbook.traces.model import Array, Even, TraceError

KINK_LEAST = 0.05  # of the supply; a shallower dip is not taken for a moving needle
CLEAR = 6.0  # times the noise that a dip must stand out by
TOO_NOISY = 0.06  # of the peak, from one sample to the next; above it the pulses' own edges are not found
AGAIN_MS = 0.25  # how near one another a kink of two halves of the pulses must come
USUAL_KINK = 0.1  # of the supply: a dip that a moving needle usually leaves; noise that could hide it proves nothing


@dataclass(frozen=True, slots=True)
class Winding:
    """One channel of current over its pulses, medians with the scatter of a pulse as spread.

    ``ohms`` and ``henry`` need the supply's volts, else None. ``opens_ms`` is None where no kink was seen;
    ``rise_ms`` is the time constant L/R; ``dwell_ms`` the time switched on.
    """

    pulses: int
    dwell_ms: float
    dwell_spread: float
    peak_amps: float
    rise_ms: float
    ohms: float | None
    henry: float | None
    opens_ms: float | None
    opens_spread: float  # standard uncertainty of opens_ms, from the noise over the steepness of the kink
    noisy: bool  # the noise could hide the kink of a moving needle: no kink seen proves nothing
    kink: float  # depth of the dip: the armature's voltage relative to the supply
    clipped: bool

    @property
    def moves(self) -> bool:
        return self.opens_ms is not None


def read(signal: Even, volts: float | None = None) -> Winding:
    """Measure every pulse of a current trace (A). ``volts`` is the supply at the winding, above 0.

    Raises TraceError where there is no pulse, or where a pulse is told by fewer than 20 samples.
    """
    values = signal.values - _base(signal.values)
    top = float(np.percentile(values, 99))
    noise = _noise(values)
    if top < 8 * noise or top <= 0:
        raise TraceError("trace", "no pulse stands out of the noise")
    pulses = _pulses(values, top, noise)
    if not pulses:
        raise TraceError("trace", "no whole pulse in the trace")
    length = min(e - s for s, e in pulses)
    if length < 20:
        raise TraceError("trace", "fewer than 20 samples a pulse: record faster")
    mean = np.mean([values[s : s + length] for s, _ in pulses], axis=0)
    final, tau, drive = _rise(mean, 1 / signal.rate)
    opens, opens_spread, depth, floor = _kink(drive, final)
    unsteady = noise > TOO_NOISY * top or (
        opens is not None and not _comes_again(opens, values, pulses, length, signal.rate)
    )
    if unsteady:
        opens, opens_spread, floor = None, 0.0, 1.0
    dwell = np.array([e - s for s, e in pulses]) / signal.rate * 1e3
    clipped = float(np.mean(values > 0.999 * values.max())) > 0.02
    ohms = None if not volts or clipped else volts / final
    return Winding(
        len(pulses),
        round(float(np.median(dwell)), 4),
        round(float(np.std(dwell)), 4),
        round(float(mean[-max(3, length // 50) :].mean()), 5),
        round(tau * 1e3, 5),
        None if ohms is None else round(ohms, 4),
        None if ohms is None else round(ohms * tau, 7),
        None if opens is None else round(opens / signal.rate * 1e3, 4),
        round(opens_spread / signal.rate * 1e3, 4),
        floor > USUAL_KINK,
        round(depth, 5),
        clipped,
    )


def _base(values: Array) -> float:
    """The level between pulses: the middle of what lies in the lowest fifth of the range."""
    low, high = float(np.percentile(values, 1)), float(np.percentile(values, 99))
    return float(np.median(values[values <= low + 0.2 * (high - low)]))


def _noise(values: Array) -> float:
    return float(np.median(np.abs(np.diff(values)))) / 0.9539 + 1e-12


def _pulses(values: Array, top: float, noise: float) -> list[tuple[int, int]]:
    """Start and end of each whole pulse: from where the current leaves zero to where it is cut off."""
    width = 1 + 2 * int(min(50, (6 * noise / top) ** 2 * 100))
    smooth = _smooth(values, width)
    on, last = _schmitt(smooth, 0.25 * top, 0.5 * top), len(values)
    edges = np.flatnonzero(np.diff(on.astype(np.int8)))
    pulses = []
    for i, (up, down) in enumerate(itertools.pairwise(edges)):
        if on[up]:
            continue
        start, before = int(up), int(edges[i - 1]) if i else 0
        while start > before and smooth[start] > 0.05 * top:
            start -= 1
        end = int(down)
        while end > start and smooth[end] < smooth[max(start, end - width - 2)] - 0.02 * top:
            end -= 1
        if start > 0 and end < last - 1:
            pulses.append((start, end - width // 2))
    return pulses


def _smooth(values: Array, width: int) -> Array:
    padded = np.pad(values, width // 2, mode="edge")
    return np.asarray(np.convolve(padded, np.ones(width) / width, "valid"))


def _schmitt(values: Array, low: float, high: float) -> Array:
    """True from above ``high`` until below ``low`` again."""
    state = np.where(values > high, 1, np.where(values < low, 0, -1))
    known = np.where(state >= 0, np.arange(len(state)), 0)
    np.maximum.accumulate(known, out=known)
    return np.asarray(state[known] == 1)


def _rise(mean: Array, step: float) -> tuple[float, float, Array]:
    """Final current, time constant, and i + tau di/dt: flat at the final current but while the armature moves."""
    width = 1 + 2 * (len(mean) // 60)
    slope = _smooth(np.gradient(_smooth(mean, width), step), width)
    inside = slice(width * 2, len(mean) - width * 2)
    best, found = np.inf, (0.0, 0.0)
    for tau in np.geomspace(len(mean) * step / 40, len(mean) * step * 2, 240):
        drive = (mean + tau * slope)[inside]
        final = float(np.median(drive))
        if final <= 0:
            continue
        miss = float(np.mean(np.minimum(np.abs(drive - final) / final, 0.05)))
        if miss < best:
            best, found = miss, (final, float(tau))
    final, tau = found
    if best == np.inf:
        raise TraceError("trace", "the current does not rise as that of a winding")
    drive = _smooth(mean + tau * slope, width)
    drive[: inside.start] = final
    drive[inside.stop :] = final
    return final, tau, drive


def _comes_again(opens: float, values: Array, pulses: list[tuple[int, int]], length: int, rate: float) -> bool:
    """A real kink stands at the same moment in every other pulse and in the rest; one of noise does not."""
    if len(pulses) < 2:
        return True
    found = []
    for half in (pulses[::2], pulses[1::2]):
        final, _, drive = _rise(np.mean([values[s : s + length] for s, _ in half], axis=0), 1 / rate)
        found.append(_kink(drive, final)[0])
    return all(abs(other - opens) / rate * 1e3 < AGAIN_MS for other in found if other is not None)


def _kink(drive: Array, final: float) -> tuple[float | None, float, float, float]:
    """Where the armature stops (the steepest return after the dip's bottom), in samples, and its spread; the depth of
    the dip, and the depth that would stand out of the noise.

    The noise is that of the drive where it should be flat: the middle of what it differs from its own median by.
    """
    width = 1 + 2 * (len(drive) // 60)
    inside = drive[width * 2 : len(drive) - width * 2]
    noise = 1.4826 * float(np.median(np.abs(inside - np.median(inside))))
    floor = CLEAR * noise / final
    bottom = int(np.argmin(drive))
    depth = float(final - drive[bottom]) / final
    if depth <= max(KINK_LEAST, floor):
        return None, 0.0, max(0.0, depth), floor
    after = drive[bottom : bottom + max(3, len(drive) // 4)]
    steep = np.gradient(after)
    at = int(np.argmax(steep))
    return bottom + float(at), float(np.hypot(noise / steep[at], width / 4)), depth, floor
