"""What a number is worth: JCGM 100:2008 (GUM). Sections and tables are cited."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from logbook.formulas import models
from logbook.formulas.distributions import normal_two_sided, student_quantile, student_two_sided
from logbook.formulas.quantities import Fraction
from logbook.formulas.refusals import (
    MissingInput,
    NoSpread,
    NotPositive,
    OutsideRange,
    above_zero,
    finite,
    not_negative,
    readings,
)

COVERAGE = Fraction(0.95)
REAL = 1.96


def resolution_uncertainty(resolution: float) -> float:
    """Spread of a reading by its resolution

    Formula: u = step/√12
    resolution: one step of the display; for a needle, one division read to the nearest half
    Range: one component only; a gauge's accuracy, 2 to 3 % of full scale, is mostly larger.
    Raises: resolution not above 0.
    Source: JCGM 100:2008 F.2.2.1
    Example: resolution=5

    >>> round(resolution_uncertainty(1.0), 6)
    0.288675
    """
    above_zero(resolution=resolution)
    return resolution / math.sqrt(12)


class Repeats(NamedTuple):
    mean: float
    standard_deviation: float
    standard_uncertainty_of_mean: float
    warnings: tuple[str, ...] = ()


def repeat_uncertainty(readings_: Sequence[float]) -> Repeats:
    """Spread of repeated readings

    Formula: u = s/√n
    readings_: repeats of one reading
    Range: 4 repeats or more; with fewer pool several cylinders or widen by Student's t.
    Raises: fewer than 2 readings.
    Caution: The gauge's own error is not in it.
    Source: JCGM 100:2008 4.2.3
    Example: 'readings=124 126 125'

    >>> round(repeat_uncertainty([124.0, 126.0, 125.0]).standard_uncertainty_of_mean, 5)
    0.57735
    """
    readings(2, readings_=readings_)
    deviation = statistics.stdev(readings_)
    few = () if len(readings_) >= 4 else ("readings_: fewer than 4; their scatter is itself uncertain",)
    return Repeats(statistics.fmean(readings_), deviation, deviation / math.sqrt(len(readings_)), few)


class Propagated(NamedTuple):
    value: float
    standard_uncertainty: float


def propagate_uncertainty(model: str, values: Mapping[str, float]) -> Propagated:
    """Spread of a result from the spreads of its inputs

    Formula: u² = Σ (∂y/∂x · u(x))²
    model: what is computed, an expression such as flow*sqrt(p1/p0); it is evaluated as written
    values: each letter of the expression, and its standard uncertainty as u_ and the letter
    Range: independent inputs, small spreads.
    Raises: an expression that cannot be read; a letter without value; a spread under 0.
    Caution: An error that all readings share, such as a gauge's scale, cancels in ratios and in before against after:
        do not add it there.
    Source: JCGM 100:2008 5.1.2
    Example: 'model=(max-min)/max' max=150 u_max=2 min=120 u_min=2

    >>> given = {"max": 128.0, "u_max": 1.5, "min": 120.0, "u_min": 1.5}
    >>> round(propagate_uncertainty("spread = (max-min)/max", given).standard_uncertainty, 5)
    0.01606
    """
    finite(**values)
    for key, value in values.items():
        if key.startswith("u_"):
            not_negative(**{key: value})
    found = models.expression(model, values)
    if not any(key.startswith("u_") for key in values):
        raise MissingInput("u_", None, "the standard uncertainty of an input, as u_ and its key")
    return Propagated(*found)


class Compared(NamedTuple):
    difference: float
    u_difference: float
    ratio: float
    p_two_sided: float
    real_at_95: bool


def compare_readings(before: float, u_before: float, after: float, u_after: float) -> Compared:
    """Before against after, with known spreads

    Formula: z = |after - before|/√(u² + u²); really different where z > 1.96
    before: reading before
    u_before: its standard uncertainty
    after: reading after
    u_after: its standard uncertainty
    Range: spreads known well.
    Raises: a spread under 0; both 0.
    Caution: With one and the same gauge leave its scale error out of both.
    Source: JCGM 100:2008 5.1.2; normal distribution
    Example: before=124 u_before=3 after=150 u_after=3

    >>> compare_readings(124, 3.0, 120, 3.0).real_at_95
    False
    """
    finite(before=before, after=after)
    not_negative(u_before=u_before, u_after=u_after)
    spread = math.hypot(u_before, u_after)
    if spread == 0:
        raise NotPositive("u_after", 0.0, "a spread above 0 for one of the two")
    z = abs(after - before) / spread
    return Compared(float(after - before), spread, z, normal_two_sided(z), z > REAL)


class ComparedRepeats(NamedTuple):
    t: float
    df: float
    p_two_sided: float
    real_at_95: bool


def compare_repeats(before: Sequence[float], after: Sequence[float]) -> ComparedRepeats:
    """Before against after, from repeats

    Formula: t = (after - before)/√(s²/n + s²/n), degrees of freedom by Welch and Satterthwaite
    before: repeats before
    after: repeats after
    Range: 2 repeats or more each.
    Raises: fewer than 2 readings in either; no scatter in both.
    Caution: Eight cylinders tested at 5 % give a false alarm in every third set: divide the 5 % by their number.
    Source: Welch 1947; Bonferroni for several at once
    Example: 'before=95 97 94' 'after=120 122 124'

    >>> compare_repeats([95, 97, 94], [120, 122, 124]).real_at_95
    True
    """
    readings(2, before=before, after=after)
    parts = [statistics.variance(x) / len(x) for x in (before, after)]
    if sum(parts) == 0:
        raise NoSpread("after", list(after), "scatter in one of the two: equal repeats show no noise")
    t = (statistics.fmean(after) - statistics.fmean(before)) / math.sqrt(sum(parts))
    freedom = sum(parts) ** 2 / (parts[0] ** 2 / (len(before) - 1) + parts[1] ** 2 / (len(after) - 1))
    p = student_two_sided(t, freedom)
    return ComparedRepeats(t, freedom, p, p < 0.05)


def coverage_factor(degrees_of_freedom: float, coverage: Fraction = COVERAGE) -> float:
    """Coverage factor

    Formula: k = t((1 + coverage)/2, degrees of freedom)
    degrees_of_freedom: degrees of freedom behind the spread
    coverage: share of results that shall lie within ± k u
    Range: 1 degree or more.
    Raises: fewer than 1 degree; coverage outside 0 to 1.
    Source: JCGM 100:2008 table G.2; Student's distribution
    Example: degrees_of_freedom=3

    >>> round(coverage_factor(10), 3)
    2.228
    """
    finite(degrees_of_freedom=degrees_of_freedom, coverage=coverage)
    if degrees_of_freedom < 1:
        raise OutsideRange("degrees_of_freedom", degrees_of_freedom, "1 or more")
    if not 0 < coverage < 1:
        raise OutsideRange("coverage", coverage, "between 0 and 1; 95 % is 0.95")
    return student_quantile((1 + coverage) / 2, degrees_of_freedom)
