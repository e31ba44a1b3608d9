"""Student's t and the normal distribution, as far as limits and comparisons of readings need them."""

from __future__ import annotations

import math
from statistics import NormalDist


def normal_two_sided(z: float) -> float:
    """Chance of a deviation of ``z`` standard deviations or more, either way.

    >>> round(normal_two_sided(1.959964), 6)
    0.05
    """
    return math.erfc(abs(z) / math.sqrt(2))


def student_two_sided(t: float, freedom: float) -> float:
    """Chance of a Student's t of ``t`` or more, either way, with ``freedom`` degrees of freedom (need not be whole).

    >>> round(student_two_sided(4.302653, 2), 6)
    0.05
    """
    return _beta_share(freedom / (freedom + t * t), freedom / 2, 0.5)


def student_quantile(share: float, freedom: float) -> float:
    """The t that ``share`` of Student's distribution lies below.

    >>> round(student_quantile(0.975, 10), 4)
    2.2281
    """
    if share < 0.5:
        return -student_quantile(1 - share, freedom)
    if share == 0.5:
        return 0.0
    goal = 2 * (1 - share)
    low, high = 0.0, max(1.0, NormalDist().inv_cdf(share))
    while student_two_sided(high, freedom) > goal:
        low, high = high, high * 2
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if student_two_sided(middle, freedom) > goal else (low, middle)
    return (low + high) / 2


def _beta_share(x: float, a: float, b: float) -> float:
    """Regularised incomplete beta function by continued fraction (Lentz): Numerical Recipes sec. 6.4."""
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta_share(1 - x, b, a)
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    tiny = 1e-300
    c, d = 1.0, 1 - (a + b) * x / (a + 1)
    d = 1 / (d if abs(d) > tiny else tiny)
    value = d
    for m in range(1, 500):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 + numerator * d
            d = 1 / (d if abs(d) > tiny else tiny)
            c = 1 + numerator / c
            c = c if abs(c) > tiny else tiny
            value *= d * c
        if abs(d * c - 1) < 1e-16:
            break
    return front * value / a
