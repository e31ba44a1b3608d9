"""Gauge, absolute and vacuum: between them lies the air of the place."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.air import isa_atmosphere
from logbook.formulas.quantities import Absolute, Gauge, PressureStep
from logbook.formulas.refusals import MissingInput, OutsideRange, above_zero, finite, not_negative


def _air(altitude_m: float | None, ambient_pa: Absolute | None) -> Absolute:
    """The air as read, or of the standard atmosphere at this height."""
    if (altitude_m is None) == (ambient_pa is None):
        raise MissingInput("altitude_m", altitude_m, "the height of the place or its air pressure, one of them")
    if ambient_pa is not None:
        above_zero(ambient_pa=ambient_pa)
        return ambient_pa
    return isa_atmosphere(geometric_altitude_m=altitude_m).pressure_pa


class AbsoluteOf(NamedTuple):
    absolute_pa: Absolute
    ambient_pa: Absolute


def gauge_to_absolute(
    gauge_pa: Gauge, altitude_m: float | None = None, ambient_pa: Absolute | None = None
) -> AbsoluteOf:
    """Absolute pressure of a gauge reading

    Formula: absolute = gauge + air of the place
    gauge_pa: what the gauge shows, 0 in the open
    altitude_m: height of the place
    ambient_pa: or its air pressure (absolute), as a barometer there reads it
    Range: -500 to 11 000 m.
    Raises: neither or both of height and air; a gauge reading below nothing.
    Caution: Use the pressure of the place, not the weather report's, which is reduced to sea level.
    Source: definition; ISO 2533 for the air
    Example: gauge=10psi altitude=5000ft
    Also: boost, convert, psig, psia

    >>> round(gauge_to_absolute(Gauge(68947.57), 1524.0).absolute_pa / 6894.757, 2)
    22.23
    """
    finite(gauge_pa=gauge_pa)
    air = _air(altitude_m, ambient_pa)
    if gauge_pa + air < 0:
        raise OutsideRange("gauge_pa", gauge_pa, "not below nothing: the air here gives no more vacuum than that")
    return AbsoluteOf(Absolute(gauge_pa + air), air)


class GaugeOf(NamedTuple):
    gauge_pa: Gauge
    vacuum_pa: PressureStep
    ambient_pa: Absolute


def absolute_to_gauge(
    absolute_pa: Absolute, altitude_m: float | None = None, ambient_pa: Absolute | None = None
) -> GaugeOf:
    """What a gauge shows of an absolute pressure

    Formula: gauge = absolute - air of the place; vacuum = -gauge
    absolute_pa: absolute pressure, as a manifold sensor gives it
    altitude_m: height of the place
    ambient_pa: or its air pressure (absolute)
    Range: -500 to 11 000 m.
    Raises: neither or both of height and air; pressure under 0.
    Source: definition; ISO 2533 for the air
    Example: absolute=35kPaa altitude=1000ft
    Also: boost, vacuum, map sensor, convert

    >>> round(absolute_to_gauge(Absolute(40e3), 0.0).vacuum_pa / 3386.389, 2)
    18.11
    """
    not_negative(absolute_pa=absolute_pa)
    air = _air(altitude_m, ambient_pa)
    return GaugeOf(Gauge(absolute_pa - air), PressureStep(air - absolute_pa), air)


class OfVacuum(NamedTuple):
    absolute_pa: Absolute
    gauge_pa: Gauge


def vacuum_to_absolute(
    vacuum_pa: PressureStep, altitude_m: float | None = None, ambient_pa: Absolute | None = None
) -> OfVacuum:
    """Absolute pressure of a vacuum reading

    Formula: absolute = air of the place - vacuum
    vacuum_pa: what the vacuum gauge shows, 0 in the open
    altitude_m: height of the place
    ambient_pa: or its air pressure (absolute)
    Range: -500 to 11 000 m.
    Raises: neither or both of height and air; a vacuum under 0 or above the air.
    Caution: Each 1000 ft of height takes about an inch of mercury off a healthy reading.
    Source: definition; ISO 2533 for the air
    Example: vacuum=18inHg altitude=1000ft
    Also: manifold vacuum, map, convert

    >>> round(vacuum_to_absolute(PressureStep(60954.0), 0.0).absolute_pa / 1e3, 2)
    40.37
    """
    not_negative(vacuum_pa=vacuum_pa)
    air = _air(altitude_m, ambient_pa)
    if vacuum_pa > air:
        raise OutsideRange("vacuum_pa", vacuum_pa, "no more than the air pressure here")
    return OfVacuum(Absolute(air - vacuum_pa), Gauge(-vacuum_pa))
