"""Firing order and rough running."""

from __future__ import annotations

import cmath
import math
import statistics
from collections.abc import Sequence
from typing import NamedTuple

from logbook.formulas.distributions import student_quantile
from logbook.formulas.quantities import Fraction
from logbook.formulas.refusals import (
    Blocked,
    Contradiction,
    NoSpread,
    NotPositive,
    OutsideRange,
    TooFew,
    above_zero,
    finite,
    readings,
    whole,
)


class Orders(NamedTuple):
    cycle_hz: float
    firing_hz: float
    firing_order_of_crank: float
    firing_interval_deg: float


def engine_orders(cylinders: int, rpm: float) -> Orders:
    """Frequencies of a four-stroke

    Formula: cycle = rpm/120 Hz; firing = rpm · N/120 Hz = crank order N/2; interval = 720/N degrees
    cylinders: number of cylinders
    rpm: speed of the crank
    Range: firing at even intervals.
    Raises: speed not above 0; cylinders not a whole number of 1 or more.
    Source: definition; two turns a cycle
    Example: cylinders=8 rpm=750

    >>> engine_orders(8, 750).firing_hz
    50.0
    """
    whole(1, 64, cylinders=cylinders)
    above_zero(rpm=rpm)
    return Orders(rpm / 120, rpm * cylinders / 120, cylinders / 2, 720 / cylinders)


class Spectrum(NamedTuple):
    relative_amplitude_by_cycle_harmonic: tuple[float, ...]
    harmonic_k_is_crank_order: str = "k/2"


def firing_spectrum(cylinders: int, firing_sequence: Sequence[int], dead_cylinders: Sequence[int]) -> Spectrum:
    """Harmonics of a rough idle

    Formula: A(k) = |Σ a(j) · exp(-2πi k j/N)| over the slots j of the firing order, a = 1 firing, 0 dead
    cylinders: number of cylinders
    firing_sequence: the order in which they fire
    dead_cylinders: those that do not
    Range: firing at even intervals, equal strokes.
    Raises: an order that is no permutation of the cylinders; a dead cylinder that does not exist.
    Caution: Compare patterns before and after, not amplitudes: mounts and driveline weigh the low harmonics more. Dead
        cylinders in alternate slots imitate a healthy engine of half as many.
    Source: discrete Fourier transform, Oppenheim & Schafer
    Example: cylinders=8 order=1-8-4-3-6-5-7-2 dead=3

    >>> [round(a, 3) for a in firing_spectrum(4, [1, 3, 4, 2], [3]).relative_amplitude_by_cycle_harmonic]
    [1.0, 1.0, 1.0, 3.0]
    """
    whole(1, 64, cylinders=cylinders)
    readings(1, firing_sequence=firing_sequence)
    readings(0, dead_cylinders=dead_cylinders)
    if sorted(firing_sequence) != list(range(1, cylinders + 1)):
        raise Contradiction("firing_sequence", list(firing_sequence), f"each of 1 to {cylinders} once")
    for cylinder in dead_cylinders:
        if cylinder not in firing_sequence:
            raise OutsideRange("dead_cylinders", cylinder, f"1 to {cylinders}")
    alive = [slot for slot, cylinder in enumerate(firing_sequence) if cylinder not in set(dead_cylinders)]
    turn = -2j * cmath.pi / cylinders
    found = (abs(sum(cmath.exp(turn * k * slot) for slot in alive)) for k in range(1, cylinders + 1))
    return Spectrum(tuple(0.0 if a < 1e-12 * cylinders else a for a in found))


class Balance(NamedTuple):
    pooled_sd_rpm: float
    degrees_of_freedom: int | None
    dead_limit_rpm: float
    dead: tuple[int, ...]
    weak: tuple[int, ...]
    contribution: tuple[float, ...]
    warnings: tuple[str, ...] = ()


CONFIDENCE = Fraction(0.95)
WEAK = Fraction(0.6)


def power_balance(
    rpm_drop_by_cylinder: Sequence[Sequence[float]],
    confidence: Fraction = CONFIDENCE,
    weak_fraction: Fraction = WEAK,
    idle_control_active: bool = False,
    engine_cold: bool = False,
    noise_rpm: float | None = None,
) -> Balance:
    """Cut-out test with repeats

    Formula: s² = mean of the variances within cylinders; dead: mean ≤ t(conf, N(m-1)) · s/√m; weak: mean < 0.6 · median
    rpm_drop_by_cylinder: drops of speed, one list of repeats a cylinder, 1 first
    confidence: confidence of the verdict 'dead'
    weak_fraction: share of the median under which a cylinder is weak
    idle_control_active: whether the idle control or trims were left on
    engine_cold: whether the engine was cold
    noise_rpm: standard deviation of one drop, where it is known from elsewhere; then repeats are not needed
    Range: equal repeats, warm engine, idle control and trims off.
    Raises: no repeats and no noise given; unlike numbers of repeats; idle control on; engine cold.
    Caution: Cut fuel where you can: cut spark leaves raw fuel in the pipe and overheats a catalyst. With half the
        cylinders dead the median is of no use.
    Source: pooled variance with Student's t; the share of 0.6 is common practice
    Example: 'rpm_drop_by_cylinder=[[52, 48, 55], [50, 53, 47], [2, 5, -1], [49, 51, 54]]'

    >>> power_balance([[60.0, 70.0], [65.0, 58.0], [31.0, 38.0], [66.0, 61.0]]).weak
    (3,)
    """
    if idle_control_active:
        raise Blocked("idle_control_active", True, "idle control and trims off, else they refill the drop")
    if engine_cold:
        raise Blocked("engine_cold", True, "a warm engine")
    repeats = _repeats(rpm_drop_by_cylinder, noise_rpm)
    for field, share in (("confidence", confidence), ("weak_fraction", weak_fraction)):
        finite(**{field: share})
        if not 0 < share < 1:
            raise OutsideRange(field, share, "between 0 and 1")
    means = [statistics.fmean(drops) for drops in rpm_drop_by_cylinder]
    freedom: int | None = None
    if noise_rpm is not None:
        pooled, factor = noise_rpm, statistics.NormalDist().inv_cdf(confidence)
    else:
        pooled = math.sqrt(statistics.fmean(statistics.variance(drops) for drops in rpm_drop_by_cylinder))
        freedom = len(means) * (repeats - 1)
        factor = student_quantile(confidence, freedom)
    limit = factor * pooled / math.sqrt(repeats)
    median = statistics.median(means)
    if median <= 0:
        raise NotPositive(
            "rpm_drop_by_cylinder", median, "a median drop above 0: half or more are dead, compare with 0"
        )
    dead = tuple(n for n, mean in enumerate(means, start=1) if mean <= limit)
    weak = tuple(n for n, mean in enumerate(means, start=1) if mean < weak_fraction * median and n not in dead)
    if len(dead) == len(means):
        none = "rpm_drop_by_cylinder: no drop stands above the noise, and the engine runs; is the idle control off?"
        return Balance(pooled, freedom, limit, (), (), tuple(mean / median for mean in means), (none,))
    half = (
        ("rpm_drop_by_cylinder: half or more are dead: the median means little",) if 2 * len(dead) >= len(means) else ()
    )
    return Balance(pooled, freedom, limit, dead, weak, tuple(mean / median for mean in means), half)


def _repeats(drops: Sequence[Sequence[float]], noise_rpm: float | None) -> int:
    if len(drops) < 2:
        raise TooFew("rpm_drop_by_cylinder", len(drops), "at least 2 cylinders")
    for one in drops:
        readings(1, rpm_drop_by_cylinder=one)
    counts = {len(one) for one in drops}
    if len(counts) > 1:
        raise Contradiction("rpm_drop_by_cylinder", sorted(counts), "as many repeats for every cylinder")
    repeats = counts.pop()
    if noise_rpm is not None:
        above_zero(noise_rpm=noise_rpm)
        return repeats
    if repeats < 2:
        raise TooFew("rpm_drop_by_cylinder", repeats, "at least 2 repeats: one shows no noise to judge by")
    if all(len(set(one)) == 1 for one in drops):
        raise NoSpread("rpm_drop_by_cylinder", 0.0, "repeats that differ: were they copied?")
    return repeats
