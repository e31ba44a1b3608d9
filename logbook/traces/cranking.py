"""Relative compression from the current of the cranking motor, fuel and spark disabled.

Each compression asks the motor for a hump of current. Three things stand between the hump and the pressure, and none of
them is known: how far the engine slows while it pulls more current, how fast the motor follows, and how much of what a
compression takes the stroke back returns (a leak returns less). So all three are fitted together with the heights:

1. current over time, one mean cycle -> speed within the cycle (it falls as the current rises), so current over angle;
2. current and its slope -> torque of the gas, by the motor's torque and the flywheel;
3. torque -> a stroke up and a stroke back for each compression, by least squares.

Every pair of slowing and lag is tried; the answers are weighed by how well they fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from logbook.traces.cycle import Cycles
from logbook.traces.model import Array, TraceError

Lines = NDArray[np.complex128]
SLOWING = (0.15, 0.3, 0.45, 0.6, 0.8, 1.0, 1.3)  # share of speed lost for twice the current
LAG = tuple(float(v) for v in np.geomspace(3.5, 60.0, 18))  # rad/s at which motor and flywheel follow no more
TORQUE_GROWS = 1.2  # torque as this power of the current: a series motor whose field is nearly full
OFFSETS = tuple(float(v) for v in np.linspace(-0.12, 0.12, 9))  # of a slot: where the humps stand
LEAKS = 0.2  # how unlike stroke up and stroke back are before it is surprising, of a sound compression
MODEL = 0.05  # what the model is wrong by on a sound cylinder, from simulated engines (tests/traces/test_starter.py)
MODEL_NEXT_TO_LOW = 0.13  # and more, the lower the lowest: its neighbours in the firing order take a part of it
UNFITTED = 0.03  # share of the swing left unexplained above which nothing is said


@dataclass(frozen=True, slots=True)
class Squeeze:
    """Height of each compression's hump in order of firing, relative to the median of the upper half (1 = 100 %).

    ``spread`` is the standard uncertainty of each: scatter over the cycles, what fits nearly as well, and what the
    model was wrong by on simulated engines. ``unfitted`` is the share of the swing that no even-firing engine of this
    many cylinders explains.
    """

    height: tuple[float, ...]
    spread: tuple[float, ...]
    rpm: float
    cycles: int
    amps: float  # mean current
    first_slot_at: float  # phase of slot 0's top in cycles after the start of the table
    unfitted: float


def relative_compression(cycles: Cycles, mean_amps: float, rate: float) -> Squeeze:
    """Hump heights from cycles found on the current (A, its mean beside it since the table has none), at ``rate`` Hz.

    Raises TraceError where no hump stands out, where the recording is too slow to part the humps, and where the
    pattern is not one of an even-firing engine.
    """
    count, rpm = cycles.cylinders, float(cycles.rpm.mean())
    lines = min(3 * count, int(0.4 * rate / (rpm / 120)), cycles.table.shape[1] // 2 - 1)
    if lines < 1.5 * count:
        least = int(np.ceil(1.5 * count * rpm / 120 / 0.4))
        raise TraceError("trace", f"{rate:.0f} samples a second cannot part the compressions; record {least} or more")
    fit = _Fit(count, lines, rpm / 120, mean_amps)
    whole = fit.best(cycles.mean)
    height, unfitted = whole.height, whole.unfitted
    if unfitted > UNFITTED:
        raise TraceError(
            "trace",
            f"{100 * unfitted:.0f} % of the swing fits no engine of {count} cylinders that fire at even angles: "
            "nothing is said of its compressions",
        )
    parts = np.array_split(cycles.table, min(5, cycles.count // 2)) if cycles.count >= 4 else []
    each = np.array([fit.best(p.mean(axis=0), (whole.slowing,), (whole.lag,)).height for p in parts])
    scatter = each.std(axis=0, ddof=1) / np.sqrt(len(parts)) if len(parts) > 1 else np.full(count, 0.05)
    model = np.hypot(MODEL, MODEL_NEXT_TO_LOW * max(0.0, 1 - float(height.min())))
    spread = np.sqrt(scatter**2 + whole.across**2 + model**2)
    return Squeeze(
        tuple(round(float(v), 6) for v in height),
        tuple(round(float(v), 6) for v in spread),
        round(rpm, 3),
        cycles.count,
        round(mean_amps, 3),
        whole.first_slot_at,
        round(unfitted, 6),
    )


_ABOUT_ZERO = "the current swings about zero, as no cranking motor's does"


class _Answer(NamedTuple):
    """Heights relative to a sound one, their spread over what fits nearly as well; of the best fit its slowing, lag,
    phase of slot 0 and share of the torque left unexplained.
    """

    height: Array
    across: Array
    slowing: float
    lag: float
    first_slot_at: float
    unfitted: float


class _Fit:
    """The least-squares answers for one engine: what is the same for every slowing and lag is made once."""

    def __init__(self, count: int, lines: int, cycle_hz: float, mean_amps: float) -> None:
        self.count, self.lines, self.cycle_hz, self.mean_amps = count, lines, cycle_hz, mean_amps
        up, back = _stroke_lines(lines)
        self.firing = (up + back)[count]
        order = np.arange(1, lines + 1)
        self.weight = 1 / np.sqrt(1 + (order / (2 * count)) ** 2)  # what is fast is known less well
        self.solvers = []
        for offset in OFFSETS:
            place = np.exp(-2j * np.pi * np.outer(order, (np.arange(count) - offset) / count))
            both = np.hstack([place * (up + back)[1:, None], place * (back - up)[1:, None]]) * self.weight[:, None]
            model = np.vstack([both.real, both.imag])
            size = float(np.linalg.norm(model[:, :count].sum(axis=1)))
            even = np.hstack([np.zeros((count, count)), np.eye(count) * 0.02 * size / np.sqrt(2 * lines) / LEAKS])
            self.solvers.append((offset, model, even, np.linalg.pinv(np.vstack([model, even]))[:, : 2 * lines], size))

    def best(self, mean: Array, slowings: Sequence[float] = SLOWING, lags: Sequence[float] = LAG) -> _Answer:
        """The answers over all slowings and lags that are tried, weighed by how well each fits."""
        rows: list[tuple[float, Array, float, float, float]] = []
        for slowing in slowings:
            direct, slope = self._over_angle(mean + self.mean_amps, slowing)
            for lag in lags:
                torque = direct + slope / lag
                turn = float(np.angle(torque[self.count - 1] / self.firing) / (2 * np.pi * self.count))
                turned = torque * np.exp(-2j * np.pi * np.arange(1, self.lines + 1) * turn) * self.weight
                wanted = np.concatenate([turned.real, turned.imag])
                rows += [(left, h, slowing, lag, turn + o / self.count) for o, left, h in self._solve(wanted)]
        if not rows:
            raise TraceError("trace", "no compression stands out in the current")
        left = np.array([row[0] for row in rows])
        heights = np.array([row[1] for row in rows])
        likely = np.exp(-(left - left.min()) / (2 * max(float(left.min()), 1e-4) / self.lines))
        likely /= likely.sum()
        height = likely @ heights
        across = np.sqrt(likely @ (heights - height) ** 2)
        first = int(left.argmin())
        _, _, slowing, lag, turn = rows[first]
        return _Answer(height, across, slowing, lag, -turn, float(left[first]))

    def _over_angle(self, amps: Array, slowing: float) -> tuple[Lines, Lines]:
        """Lines of the gas torque's two parts: the motor's torque, and the flywheel's for a lag of 1 rad/s."""
        points = len(amps)
        if not amps.mean() > 0:
            raise TraceError("trace", _ABOUT_ZERO)
        speed = np.maximum(0.1, 1 - slowing * (amps / amps.mean() - 1))
        angle = np.concatenate([[0.0], np.cumsum((speed + np.roll(speed, -1)) / 2)])
        even = np.arange(points) / points * angle[-1]
        over = np.interp(even, angle, np.append(amps, amps[0]))
        if not over.mean() > 0:
            raise TraceError("trace", _ABOUT_ZERO)
        speed = np.interp(even, angle, np.append(speed, speed[0])) * points / angle[-1]
        order = np.arange(points // 2 + 1)
        lines = np.fft.rfft(over)
        slope = np.fft.irfft(np.where(order <= self.lines, lines * 2j * np.pi * order, 0), points) * speed
        kept = slice(1, self.lines + 1)
        motor = over.mean() * (np.maximum(over, 0.0) / over.mean()) ** TORQUE_GROWS
        return -np.fft.rfft(motor)[kept] / points, -np.fft.rfft(slope)[kept] / points * self.cycle_hz

    def _solve(self, wanted: Array) -> list[tuple[float, float, Array]]:
        """For each offset of the humps: the share of the torque left over, and the heights relative to a sound one."""
        out = []
        for offset, model, even, inverse, size in self.solvers:
            scaled = wanted / np.linalg.norm(wanted) * size
            found = inverse @ scaled
            left = float(np.sum((scaled - model @ found) ** 2) + np.sum((even @ found) ** 2)) / size**2
            height = found[: self.count]
            sound = float(np.median(np.sort(height)[-max(1, (self.count + 1) // 2) :]))
            if sound > 0:
                out.append((offset, left, height / sound))
        return out


def _stroke_lines(lines: int) -> tuple[Lines, Lines]:
    """Harmonics 0..lines over a cycle of the gas torque of one stroke up and one stroke back, peak pressure 1.

    Polytropic, exponent 1.3, ratio 9.3, intake shut 130 degrees before the top, exhaust opened 135 after (usual sizes;
    the shape hardly depends on them).
    """
    points = 1440
    angle = (np.arange(points) / points * 4 * np.pi + 2 * np.pi) % (4 * np.pi) - 2 * np.pi

    def volume(at: Array | float) -> Array:
        return np.asarray(1 / 8.3 + (1 - np.cos(at)) / 2 + 0.0375 * np.sin(at) ** 2)

    shut, opens = np.radians(130), np.radians(135)
    pressure = ((volume(shut) / volume(angle)) ** 1.3 - 1) / ((volume(shut) / volume(0.0)) ** 1.3 - 1)
    torque = pressure * (np.sin(angle) / 2 + 0.0375 * np.sin(2 * angle))
    up = np.where((angle < 0) & (angle > -shut), torque, 0.0)
    back = np.where((angle >= 0) & (angle < opens), torque, 0.0)
    return np.fft.rfft(up)[: lines + 1] / points, np.fft.rfft(back)[: lines + 1] / points
