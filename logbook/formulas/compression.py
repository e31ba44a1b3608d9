"""Statistics of a set of compression readings."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from typing import NamedTuple

from logbook.formulas.air import isa_atmosphere
from logbook.formulas.quantities import AIR_PA, Fraction, Gauge, PressureStep
from logbook.formulas.refusals import (
    Negative,
    NoSpread,
    NotPositive,
    OutsideRange,
    not_negative,
    readings,
    usual,
    whole,
    within,
)

NORMAL_MAD = 0.67449
"""Median absolute deviation of the normal distribution, in standard deviations."""

OUTLIER = 3.5
"""Score beyond which a reading stands out."""

NO_FLOOR = PressureStep(0.0)
LOW_OF_MEDIAN = Fraction(0.75)


def _gauge_readings(least: int, readings_pa: Sequence[float]) -> tuple[str, ...]:
    readings(least, readings_pa=readings_pa)
    for value in readings_pa:
        if value < 0:
            raise Negative("readings_pa", value, "0 or more; a dead hole reads 0")
    highest = max(readings_pa)
    return usual(100e3, 1e12, "all below 100 kPa (15 psi); are the units right?", readings_pa=highest)


class Spread(NamedTuple):
    spread_of_max: float
    low_over_high: float
    range_pa: PressureStep
    warnings: tuple[str, ...] = ()


def compression_spread(readings_pa: Sequence[Gauge]) -> Spread:
    """Spread of a compression test

    Formula: spread = (highest - lowest)/highest
    readings_pa: reading of each cylinder
    Range: 2 cylinders or more.
    Raises: fewer than 2 readings; a reading under 0; all zero.
    Caution: Percent is of the highest here. 165 against 120 is 27.3 % of the highest. Of the mean it is 31.6 %, of the
        lowest 37.5 %: always say of what.
    Source: common practice, no source
    Example: 'readings=150 148 152 149 psi'

    >>> round(compression_spread([Gauge(125.0e3), Gauge(128.0e3), Gauge(120.0e3)]).spread_of_max, 4)
    0.0625
    """
    odd = _gauge_readings(2, readings_pa)
    high, low = max(readings_pa), min(readings_pa)
    if high <= 0:
        raise NoSpread("readings_pa", 0.0, "not all zero: gauge, throttle or timing at fault")
    return Spread((high - low) / high, low / high, PressureStep(high - low), odd)


class Deviation(NamedTuple):
    median_pa: Gauge
    deviation_fraction: tuple[float, ...]
    warnings: tuple[str, ...] = ()


def compression_deviation(readings_pa: Sequence[Gauge]) -> Deviation:
    """Each cylinder against the median

    Formula: (x - median)/median
    readings_pa: reading of each cylinder
    Range: fewer than half of the cylinders low.
    Raises: fewer than 2 readings; a reading under 0; median 0.
    Caution: With half the cylinders low the median is low too; compare with the cranking band instead.
    Source: common practice, no source
    Example: 'readings=150 148 95 149 psi'

    >>> compression_deviation([Gauge(100e3), Gauge(110e3), Gauge(120e3)]).deviation_fraction[1]
    0.0
    """
    odd = _gauge_readings(2, readings_pa)
    median = statistics.median(readings_pa)
    if median <= 0:
        raise NotPositive("readings_pa", 0.0, "a median above 0: half the cylinders read nothing")
    return Deviation(Gauge(median), tuple((x - median) / median for x in readings_pa), odd)


class OutlierScore(NamedTuple):
    mad_pa: PressureStep
    score: tuple[float, ...]
    outlier_cylinders: tuple[int, ...]
    warnings: tuple[str, ...] = ()


def scores(values: Sequence[float], floor: float, field: str) -> tuple[float, tuple[float, ...]]:
    """Median absolute deviation (not under ``floor``) and the robust score of each value."""
    median = statistics.median(values)
    mad = max(statistics.median(abs(x - median) for x in values), floor)
    if mad == 0:
        limit = "readings that differ: more than half are equal, so the score has no scale; use the percent rule"
        raise NoSpread(field, 0.0, limit)
    return mad, tuple(NORMAL_MAD * (x - median) / mad for x in values)


def robust_outlier_score(readings_pa: Sequence[Gauge], gauge_uncertainty_pa: PressureStep = NO_FLOOR) -> OutlierScore:
    """Cylinders that stand out

    Formula: z = 0.67449 · (x - median)/MAD; out where |z| > 3.5
    readings_pa: reading of each cylinder
    gauge_uncertainty_pa: what the gauge itself cannot tell apart; the MAD is not taken below it
    Range: 4 cylinders or more.
    Raises: fewer than 4 readings; a reading under 0; more than half of them equal and no gauge uncertainty.
    Caution: Only a low cylinder is a fault. Without the gauge's own uncertainty a tight set flags harmless ones.
    Source: Iglewicz & Hoaglin, How to Detect and Handle Outliers, ASQC 1993
    Example: 'readings=150 148 95 149 psi'

    >>> robust_outlier_score([Gauge(150.0), Gauge(148.0), Gauge(152.0), Gauge(149.0), Gauge(90.0)]).outlier_cylinders
    (5,)
    """
    odd = _gauge_readings(4, readings_pa)
    not_negative(gauge_uncertainty_pa=gauge_uncertainty_pa)
    mad, found = scores(readings_pa, gauge_uncertainty_pa, "readings_pa")
    out = tuple(number for number, z in enumerate(found, start=1) if abs(z) > OUTLIER)
    return OutlierScore(PressureStep(mad), found, out, odd)


class WetDry(NamedTuple):
    rise_pa: PressureStep
    rise_fraction: float
    verdict: str
    warnings: tuple[str, ...] = ()


MARKED_RISE = 0.15
HEALTHY_PA = 120 * 6894.757293168361
"""Dry reading from which oil proves nothing, 120 psi: common practice, no source."""


def wet_dry_rise(dry_pa: Gauge, wet_pa: Gauge) -> WetDry:
    """Rise with oil in the cylinder

    Formula: rise = wet - dry; fraction = rise/dry
    dry_pa: reading before oil
    wet_pa: reading with a spoon of oil
    Range: a marked rise is more than 10 to 15 % of the dry reading; 15 % is taken here.
    Raises: dry reading not above 0; wet reading under 0.
    Caution: The oil takes room: 5 to 10 cc in an 80 cc chamber raise any cylinder by 8 to 17 %. Compare with the
        rise of a good cylinder.
    Source: common practice, no source
    Example: dry=90psi wet=130psi

    >>> wet_dry_rise(Gauge(90e3), Gauge(130e3)).verdict
    'rings or bore suspected'
    """
    not_negative(wet_pa=wet_pa)
    not_negative(dry_pa=dry_pa)
    if dry_pa <= 0:
        raise NotPositive("dry_pa", 0.0, "above 0; a dead hole has a rise but no fraction")
    rise = wet_pa - dry_pa
    fell = usual(0, 1e12, "the reading fell with oil; look at the throttle and the battery", wet_pa=rise)
    marked = rise / dry_pa > MARKED_RISE
    verdict = "rings or bore suspected" if marked else "valves or gasket suspected"
    if dry_pa >= HEALTHY_PA:
        verdict = "none: the dry reading is no fault"
    return WetDry(PressureStep(rise), rise / dry_pa, verdict, fell)


class Neighbours(NamedTuple):
    flagged_pairs: tuple[tuple[int, int], ...]
    warnings: tuple[str, ...] = ()


def adjacent_pair_flag(
    readings_pa: Sequence[Gauge],
    adjacent_pairs: Sequence[Sequence[int]],
    low_limit_of_median: Fraction = LOW_OF_MEDIAN,
) -> Neighbours:
    """Two low neighbours

    Formula: both under limit · median, and side by side in the block
    readings_pa: reading of each cylinder, 1 first
    adjacent_pairs: cylinders side by side in the block
    low_limit_of_median: what counts as low, as a share of the median
    Range: neighbours are the engine's: in an eight with odd and even banks 1 and 2 are none.
    Raises: fewer than 2 readings; a pair that is no pair of two cylinders; limit outside 0 to 1.
    Caution: Two low neighbours point at the gasket between them; leak-down or a coolant test settles it.
    Source: common practice, no source
    Example: 'readings=150 148 80 82 151 149 psi' 'adjacent_pairs=[[1, 2], [2, 3], [3, 4], [4, 5], [5, 6]]'

    >>> adjacent_pair_flag([Gauge(150.0), Gauge(148.0), Gauge(80.0), Gauge(82.0), Gauge(151.0)], [[2, 3], [3, 4]])[0]
    ((3, 4),)
    """
    odd = _gauge_readings(2, readings_pa)
    within(0, 1, low_limit_of_median=low_limit_of_median)
    limit = low_limit_of_median * statistics.median(readings_pa)
    flagged = []
    for pair in adjacent_pairs:
        if len(pair) != 2 or pair[0] == pair[1]:
            raise OutsideRange("adjacent_pairs", list(pair), "pairs of two different cylinders")
        one, other = pair
        whole(1, len(readings_pa), adjacent_pairs=one)
        whole(1, len(readings_pa), adjacent_pairs=other)
        if readings_pa[one - 1] < limit and readings_pa[other - 1] < limit:
            flagged.append((one, other))
    return Neighbours(tuple(flagged), odd)


class Limits(NamedTuple):
    within_5_percent: bool
    within_10_percent: bool
    within_15_percent: bool
    lowest_at_least_75_percent: bool
    at_least_100_psi: bool
    warnings: tuple[str, ...] = ()


LEAST_PA = 100 * 6894.757293168361


def compression_limits(readings_pa: Sequence[Gauge], altitude_m: float = 0.0) -> Limits:
    """Limits of a compression test

    Formula: lowest · 100 ≥ 95, 90, 85, 75 · highest; lowest ≥ 100 psi · p(z)/p0
    readings_pa: reading of each cylinder
    altitude_m: height of the place, by which the 100 psi are scaled
    Range: petrol engines.
    Raises: fewer than 2 readings; a reading under 0; all zero.
    Caution: 5 % is a target, 10 % good, 15 % acceptable, 25 % the last limit: common practice. The maker's figure
        outranks all of them.
    Source: common practice, no source
    Example: 'readings=150 148 95 149 psi' altitude=1000ft

    >>> compression_limits([Gauge(120e3), Gauge(114e3), Gauge(118e3), Gauge(117e3)]).within_5_percent
    True
    """
    odd = _gauge_readings(2, readings_pa)
    high, low = max(readings_pa), min(readings_pa)
    if high <= 0:
        raise NoSpread("readings_pa", 0.0, "not all zero: gauge, throttle or timing at fault")
    floor = LEAST_PA * isa_atmosphere(altitude_m).pressure_pa / AIR_PA
    # the limits are inclusive, and 5 % exactly must pass whatever unit factors have done to the last binary digit
    percent = low / high * 100 * (1 + 1e-9)
    return Limits(percent >= 95, percent >= 90, percent >= 85, percent >= 75, low * (1 + 1e-9) >= floor, odd)
