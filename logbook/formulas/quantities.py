"""Kinds of number that must not be mixed although all are floats, and the constants.

A gauge reading and an absolute pressure are both pascals; adding one to the other without the air of the place is the
commonest slip of engine arithmetic. They are types of their own, so that the type checker sees it, and dimensions of
their own, so that units are read by it.
"""

from __future__ import annotations

from typing import NewType

Gauge = NewType("Gauge", float)
"""Pascals above the air pressure here."""

Absolute = NewType("Absolute", float)
"""Pascals above nothing."""

PressureStep = NewType("PressureStep", float)
"""Pascals between two points: a loss, a difference."""

Stress = NewType("Stress", float)
"""Pascals of a solid: a modulus."""

Fraction = NewType("Fraction", float)
"""A share of one; may be written as a percentage."""

AnyFlow = NewType("AnyFlow", float)
"""A flow in any unit, whose result is in the same unit."""

AIR_PA = 101325.0
"""Pressure of the standard atmosphere at sea level, Pa abs."""

AIR_K = 288.15
"""Temperature of the standard atmosphere at sea level, K."""

GRAVITY = 9.80665
"""Standard gravity, m/s2."""

R_DRY = 287.05
"""Gas constant of dry air, J/(kg K)."""

LAPSE = 0.0065
"""Fall of temperature with height in the standard atmosphere, K/m."""

EARTH_M = 6356766.0
"""Radius of the earth in the standard atmosphere, m."""

PETROL_KG_M3 = 740.0
"""Usual density of pump petrol at 15 degrees C, kg/m3."""

PETROL_H_PER_C = 1.87
"""Hydrogen per carbon of usual petrol."""

DISPLAY_AFR = 14.7
"""The number by which most displays turn lambda into an air-fuel ratio."""


def absolute(gauge_pa: Gauge, ambient_pa: Absolute) -> Absolute:
    """The absolute pressure of a gauge reading in air of ``ambient_pa``.

    >>> round(absolute(Gauge(689475.7), Absolute(101325.0)))
    790801
    """
    return Absolute(gauge_pa + ambient_pa)


def gauge(absolute_pa: Absolute, ambient_pa: Absolute) -> Gauge:
    """What a gauge shows of an absolute pressure in air of ``ambient_pa``.

    >>> gauge(Absolute(101325.0), Absolute(101325.0))
    0.0
    """
    return Gauge(absolute_pa - ambient_pa)
