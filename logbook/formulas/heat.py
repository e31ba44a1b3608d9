"""Heat capacity of dry air and what follows from it along a line of constant entropy."""

from __future__ import annotations

import math

# cp/R of air, 300 to 1000 K: Moran & Shapiro, Fundamentals of Engineering Thermodynamics, Table A-21
_CP_OVER_R = (3.653, -1.337e-3, 3.294e-6, -1.913e-9, 0.2763e-12)


def _entropy(temperature_k: float, less: float) -> float:
    """Integral of (cp/R - less)/T dT up to a constant."""
    first, *higher = _CP_OVER_R
    powers = sum(c * temperature_k**n / n for n, c in enumerate(higher, start=1))
    return (first - less) * math.log(temperature_k) + powers


def isentropic_temperature(start_k: float, log_ratio: float, *, by_volume: bool) -> float:
    """End temperature, K, of dry air after a compression of ``log_ratio`` at constant entropy.

    ``log_ratio`` is ln(V1/V2) where ``by_volume``, else ln(p2/p1). Holds for about 250 to 1000 K.

    >>> round(isentropic_temperature(293.15, math.log(7.5), by_volume=True))
    643
    """
    less = 1.0 if by_volume else 0.0
    goal = _entropy(start_k, less) + log_ratio
    low, high = start_k, start_k * 12
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if _entropy(middle, less) < goal else (low, middle)
    return (low + high) / 2
