"""What a compression gauge should read: a band, never a pass mark."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.air import isa_atmosphere
from logbook.formulas.heat import isentropic_temperature
from logbook.formulas.quantities import AIR_PA, Absolute, Gauge, gauge
from logbook.formulas.refusals import OutsideRange, above, above_zero, finite, not_negative, usual, within

ADIABATIC = 1.40
SEA_LEVEL = Absolute(AIR_PA)


class CrankingPressure(NamedTuple):
    gauge_pa: Gauge
    warnings: tuple[str, ...] = ()


def _pumped(trapped_cr: float, exponent: float) -> tuple[str, ...]:
    above(1, trapped_cr=trapped_cr)
    within(1.0, ADIABATIC, "1.0 to 1.40; above that no real gas is compressed", exponent=exponent)
    odd = usual(4, 12, "outside 4 to 12", trapped_cr=trapped_cr)
    return odd + usual(1.20, 1.35, "outside the usual 1.20 to 1.35", exponent=exponent)


def cranking_pressure(trapped_cr: float, exponent: float, ambient_pa: Absolute) -> CrankingPressure:
    """Cranking pressure

    Formula: p = pa · (rⁿ - 1)
    trapped_cr: trapped compression ratio
    exponent: exponent of the compression, usually 1.20 to 1.35
    ambient_pa: air pressure at the place (absolute, not reduced to sea level)
    Range: r 4 to 12, n 1.20 to 1.35.
    Raises: n outside 1.0 to 1.40; air pressure not above 0; r not above 1.
    Caution: A band, never a pass mark. Compare the cylinders with each other first: n of 1.20 to 1.35 alone moves the
        reading by 16 % either way, and an uncertain closing angle as much again.
    Source: polytropic process, Moran & Shapiro ch. 3; the range of n is common practice
    Example: trapped_cr=7.5 exponent=1.28 ambient=14.7psi

    >>> round(cranking_pressure(7.5, 1.28, Absolute(101325.0)).gauge_pa / 1e3, 2)
    1234.64
    """
    above_zero(ambient_pa=ambient_pa)
    odd = _pumped(trapped_cr, exponent)
    return CrankingPressure(Gauge(ambient_pa * (trapped_cr**exponent - 1)), odd)


class CompressionBound(NamedTuple):
    end_pa_abs: Absolute
    end_k: float
    mean_exponent: float
    gauge_pa: Gauge


def isentropic_compression_bound(
    volume_ratio: float, start_k: float, start_pa: Absolute = SEA_LEVEL
) -> CompressionBound:
    """Highest pressure that compression can reach

    Formula: ∫(cp/R - 1)/T dT = ln r from T1 to T2; p2 = p1 · r · T2/T1
    volume_ratio: trapped compression ratio
    start_k: temperature of the air at the start
    start_pa: pressure of the air at the start (absolute)
    Range: 230 to 420 K at the start, r up to 20.
    Raises: ratio not above 1; temperature or pressure not above 0.
    Caution: An upper bound for dry air without loss; a gauge reads well below it.
    Source: heat capacity from Moran & Shapiro Table A-21
    Example: volume_ratio=7.5 start=68F start=14.7psi

    >>> round(isentropic_compression_bound(7.5, 293.15, Absolute(101325.0)).mean_exponent, 3)
    1.39
    """
    above(1, volume_ratio=volume_ratio)
    above_zero(start_k=start_k, start_pa=start_pa)
    within(200, 600, "200 to 600 K", start_k=start_k)
    end_k = isentropic_temperature(start_k, math.log(volume_ratio), by_volume=True)
    end_pa = Absolute(start_pa * volume_ratio * end_k / start_k)
    exponent = math.log(end_pa / start_pa) / math.log(volume_ratio)
    return CompressionBound(end_pa, end_k, exponent, gauge(end_pa, start_pa))


class Exponent(NamedTuple):
    effective_exponent: float
    inside_1_20_to_1_35: bool
    warnings: tuple[str, ...] = ()


def cranking_exponent_from_reading(trapped_cr: float, gauge_pa: Gauge, ambient_pa: Absolute) -> Exponent:
    """Exponent that a reading implies

    Formula: n = ln(1 + p/pa) / ln r
    trapped_cr: trapped compression ratio
    gauge_pa: reading of the gauge
    ambient_pa: air pressure at the place (absolute)
    Range: a sound, well sealed cylinder gives 1.20 to 1.35.
    Raises: reading at or below vacuum; r not above 1.
    Caution: Below 1 the cylinder leaks, or the ratio is wrong.
    Source: polytropic process solved for n
    Example: trapped_cr=7.5 gauge=150psi ambient=14.7psi

    >>> round(cranking_exponent_from_reading(6.0, Gauge(854949.9), Absolute(101325.0)).effective_exponent, 3)
    1.253
    """
    above(1, trapped_cr=trapped_cr)
    above_zero(ambient_pa=ambient_pa)
    finite(gauge_pa=gauge_pa)
    if gauge_pa <= -ambient_pa:
        raise OutsideRange("gauge_pa", gauge_pa, "above a full vacuum")
    exponent = math.log(1 + gauge_pa / ambient_pa) / math.log(trapped_cr)
    low = () if exponent >= 1 else ("the exponent is below 1: the cylinder leaks, or the ratio is wrong",)
    high = () if exponent <= ADIABATIC else ("the exponent is above 1.40: the ratio or the gauge is wrong",)
    return Exponent(exponent, 1.20 <= exponent <= 1.35, low + high)


def gauge_dead_volume(trapped_cr: float, clearance_m3: float, extra_m3: float) -> float:
    """Ratio with the gauge's own volume

    Formula: r' = (r · Vc + Vx) / (Vc + Vx)
    trapped_cr: trapped compression ratio
    clearance_m3: clearance volume of the cylinder
    extra_m3: volume between chamber and the gauge's check valve
    Range: a valve at the plug end makes the extra volume about 0.
    Raises: extra volume under 0; clearance not above 0; r not above 1.
    Source: sum of volumes
    Example: trapped_cr=7.5 clearance=82.7cc extra=8cc

    >>> round(gauge_dead_volume(7.5, 82.7e-6, 8e-6), 4)
    6.9267
    """
    above(1, trapped_cr=trapped_cr)
    above_zero(clearance_m3=clearance_m3)
    not_negative(extra_m3=extra_m3)
    return (trapped_cr * clearance_m3 + extra_m3) / (clearance_m3 + extra_m3)


class AltitudePressure(NamedTuple):
    gauge_pa: Gauge
    ratio_to_sea_level: float
    warnings: tuple[str, ...] = ()


def cranking_pressure_at_altitude(trapped_cr: float, exponent: float, altitude_m: float) -> AltitudePressure:
    """Cranking pressure at altitude

    Formula: p(z) = p(0) · pa(z)/pa(0), same r and n
    trapped_cr: trapped compression ratio
    exponent: exponent of the compression, usually 1.20 to 1.35
    altitude_m: height of the place above the sea
    Range: -500 to 4500 m.
    Raises: as for the cranking pressure; height outside -500 to 11 000 m.
    Caution: Cold air does not raise a compression reading by its density; no temperature enters here. Use the air
        pressure of the place, not the weather report's, which is reduced to sea level.
    Source: polytropic process in the standard atmosphere (ISO 2533)
    Example: trapped_cr=7.5 exponent=1.28 altitude=5280ft

    >>> round(cranking_pressure_at_altitude(7.5, 1.28, 1600.0).ratio_to_sea_level, 4)
    0.8244
    """
    odd = _pumped(trapped_cr, exponent) + usual(-500, 4500, "outside -500 to 4500 m", altitude_m=altitude_m)
    ambient_pa = isa_atmosphere(altitude_m).pressure_pa
    return AltitudePressure(Gauge(ambient_pa * (trapped_cr**exponent - 1)), ambient_pa / AIR_PA, odd)
