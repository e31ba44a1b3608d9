"""The air of the place, and the standards that correct a power to other air."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.quantities import AIR_K, AIR_PA, EARTH_M, GRAVITY, LAPSE, R_DRY, Absolute, Fraction
from logbook.formulas.refusals import MissingInput, OutsideRange, above, above_zero, usual, within

# the standard's own gas constant (287.05287) makes its tables; everything else here uses 287.05
_ISA_EXPONENT = GRAVITY / (287.05287 * LAPSE)


class Atmosphere(NamedTuple):
    pressure_pa: Absolute
    temperature_k: float
    density_kg_m3: float


def isa_atmosphere(
    geometric_altitude_m: float | None = None, geopotential_altitude_m: float | None = None
) -> Atmosphere:
    """Standard atmosphere

    Formula: T = 288.15 - 0.0065 H; p = p0 (T/288.15)^5.25588; ρ = p/(R T); H = 6356766 z/(6356766 + z)
    geometric_altitude_m: height above the sea, z
    geopotential_altitude_m: or the height of the tables, H
    Range: -500 to 11 000 m.
    Raises: height outside -500 to 11 000 m; neither or both heights.
    Caution: Tables go by geopotential height, maps by geometric; at 3000 m they differ by 0.02 %.
    Source: ISO 2533, US Standard Atmosphere 1976
    Example: geometric_altitude=5280ft
    Also: barometer, elevation

    >>> round(isa_atmosphere(geopotential_altitude_m=1000.0).pressure_pa / 1e3, 3)
    89.875
    """
    if (geometric_altitude_m is None) == (geopotential_altitude_m is None):
        raise MissingInput("geometric_altitude_m", geometric_altitude_m, "one of the two heights, not both")
    limit = "-500 to 11 000 m, where the formula holds"
    if geometric_altitude_m is not None:
        within(-500, 11_000, limit, geometric_altitude_m=geometric_altitude_m)
        height = EARTH_M * geometric_altitude_m / (EARTH_M + geometric_altitude_m)
    else:
        height = geopotential_altitude_m or 0.0
        within(-500, 11_000, limit, geopotential_altitude_m=height)
    kelvin = AIR_K - LAPSE * height
    pressure = AIR_PA * (kelvin / AIR_K) ** _ISA_EXPONENT
    return Atmosphere(Absolute(pressure), kelvin, pressure / (287.05287 * kelvin))


def pressure_altitude(station_pressure_pa: Absolute) -> float:
    """Altitude by pressure

    Formula: H = (288.15/0.0065) · (1 - (p/p0)^(1/5.25588))
    station_pressure_pa: air pressure at the place (absolute)
    Range: 22.7 to 110 kPa.
    Raises: pressure at or below 22.6 kPa or above 110 kPa.
    Source: ISO 2533 solved for the height
    Example: station_pressure=26.5inHg

    >>> round(pressure_altitude(Absolute(89000.0)))
    1081
    """
    above_zero(station_pressure_pa=station_pressure_pa)
    if not 22_600 < station_pressure_pa <= 110_000:
        raise OutsideRange("station_pressure_pa", station_pressure_pa, "above 22.6 to 110 kPa")
    return float(AIR_K / LAPSE * (1 - (station_pressure_pa / AIR_PA) ** (1 / _ISA_EXPONENT)))


def density_altitude(density_kg_m3: float) -> float:
    """Altitude by density

    Formula: H = (288.15/0.0065) · (1 - (ρ/1.225)^(1/4.25588))
    density_kg_m3: density of the air
    Range: 0.37 to 1.35 kg/m3.
    Raises: density at or below 0.36 kg/m3.
    Source: ISO 2533 solved for the height
    Example: density=.07lb/ft3

    >>> round(density_altitude(1.05))
    1577
    """
    above(0.36, "above 0.36 kg/m3", density_kg_m3=density_kg_m3)
    within(0.36, 1.6, "above 0.36 to 1.6 kg/m3", density_kg_m3=density_kg_m3)
    return float(AIR_K / LAPSE * (1 - (density_kg_m3 / 1.225) ** (1 / (_ISA_EXPONENT - 1))))


def saturation_vapour_pressure(temperature_k: float) -> Absolute:
    """Vapour pressure of water at saturation

    Formula: es = 611.2 · exp(17.62 t / (243.12 + t)) Pa, t in °C over water
    temperature_k: temperature
    Range: -40 to 50 °C.
    Raises: temperature outside -45 to 60 °C.
    Source: Magnus form, WMO-No. 8
    Example: temperature=75F

    >>> round(saturation_vapour_pressure(293.15))
    2333
    """
    within(228.15, 333.15, "-45 to 60 °C", temperature_k=temperature_k)
    celsius = temperature_k - 273.15
    return Absolute(611.2 * math.exp(17.62 * celsius / (243.12 + celsius)))


class Vapour(NamedTuple):
    vapour_pressure_pa: Absolute
    dry_air_pressure_pa: Absolute


def humid_air_vapour_pressure(temperature_k: float, pressure_pa: Absolute, relative_humidity: Fraction) -> Vapour:
    """Vapour and dry-air pressure of humid air

    Formula: e = RH · es(T); dry = p - e
    temperature_k: temperature of the air
    pressure_pa: air pressure at the place (absolute)
    relative_humidity: relative humidity, 0 to 1
    Range: 230 to 330 K.
    Raises: humidity outside 0 to 1 (not percent); vapour pressure not under the air's.
    Caution: The power-correction standards want the dry-air pressure.
    Source: Dalton's law with the Magnus form of WMO-No. 8
    Example: temperature=75F pressure=29.9inHg relative_humidity=50%

    >>> round(humid_air_vapour_pressure(298.15, Absolute(101325.0), Fraction(0.5)).vapour_pressure_pa)
    1580
    """
    above_zero(pressure_pa=pressure_pa)
    within(0, 1, "0 to 1; 50 % is 0.5", relative_humidity=relative_humidity)
    vapour = relative_humidity * saturation_vapour_pressure(temperature_k)
    if vapour >= pressure_pa:
        raise OutsideRange("pressure_pa", pressure_pa, f"above the vapour's own pressure, {vapour / 1e3:.3g} kPa")
    return Vapour(Absolute(vapour), Absolute(pressure_pa - vapour))


class HumidAir(NamedTuple):
    density_kg_m3: float
    dry_air_density_kg_m3: float


def humid_air_density(temperature_k: float, pressure_pa: Absolute, relative_humidity: Fraction) -> HumidAir:
    """Density of humid air

    Formula: ρ = (p - 0.378 e)/(287.05 T); dry part (p - e)/(287.05 T)
    temperature_k: temperature of the air
    pressure_pa: air pressure at the place (absolute)
    relative_humidity: relative humidity, 0 to 1
    Range: 230 to 330 K.
    Raises: humidity outside 0 to 1 (not percent); vapour pressure not under the air's.
    Caution: Only the dry part carries oxygen.
    Source: ideal mixture of air and water vapour with the Magnus form of WMO-No. 8
    Example: temperature=75F pressure=29.9inHg relative_humidity=50%

    >>> round(humid_air_density(298.15, Absolute(101325.0), Fraction(0.5)).density_kg_m3, 3)
    1.177
    """
    vapour = humid_air_vapour_pressure(temperature_k, pressure_pa, relative_humidity)
    moist = (pressure_pa - 0.378 * vapour.vapour_pressure_pa) / (R_DRY * temperature_k)
    return HumidAir(moist, vapour.dry_air_pressure_pa / (R_DRY * temperature_k))


class PowerCorrection(NamedTuple):
    correction_factor: float
    in_valid_range: bool
    warnings: tuple[str, ...] = ()


def _marked(factor: float) -> PowerCorrection:
    valid = 0.93 <= factor <= 1.07
    outside = usual(0.93, 1.07, "outside 0.93 to 1.07, the limits of ISO 1585", correction_factor=factor)
    return PowerCorrection(factor, valid, outside)


def sae_j1349_factor(dry_air_pa: Absolute, inlet_k: float) -> PowerCorrection:
    """Power correction, SAE J1349

    Formula: cf = 1.180 · (990/pd) · √((t + 273)/298) - 0.180, pd dry air in mbar, t in °C
    dry_air_pa: pressure of the dry air (absolute)
    inlet_k: temperature of the air at the inlet
    Range: 0.93 to 1.07; beyond, computed and marked.
    Raises: pressure or temperature not above 0.
    Caution: For observed power of unsupercharged petrol engines, wide open. The older 'standard' correction (60 °F,
        29.92 inHg) reads about 4 % higher: never mix the two.
    Source: SAE J1349: reference 99 kPa dry, 25 °C, mechanical efficiency 85 %;
        its limits are those of ISO 1585, taken here as well
    Example: dry_air=28.5inHg inlet=86F
    Also: dyno correction, horsepower

    >>> round(sae_j1349_factor(Absolute(95000.0), 303.15).correction_factor, 5)
    1.05996
    """
    above_zero(dry_air_pa=dry_air_pa, inlet_k=inlet_k)
    # the standard counts 0 degrees C as 273 K
    return _marked(1.180 * (99_000 / dry_air_pa) * math.sqrt((inlet_k - 273.15 + 273) / 298) - 0.180)


def iso_1585_factor(dry_air_pa: Absolute, inlet_k: float) -> PowerCorrection:
    """Power correction, ISO 1585

    Formula: a = (99/ps)^1.2 · (T/298)^0.6, ps dry air in kPa
    dry_air_pa: pressure of the dry air (absolute)
    inlet_k: temperature of the air at the inlet
    Range: 0.93 to 1.07; beyond, computed and marked.
    Raises: pressure or temperature not above 0.
    Caution: For spark ignition, wide open. Not for compression readings, not for engines whose boost is held to an
        absolute target, not for Diesels.
    Source: ISO 1585
    Example: dry_air=28.5inHg inlet=86F
    Also: dyno correction, horsepower

    >>> round(iso_1585_factor(Absolute(95000.0), 303.0).correction_factor, 5)
    1.06128
    """
    above_zero(dry_air_pa=dry_air_pa, inlet_k=inlet_k)
    return _marked((99_000 / dry_air_pa) ** 1.2 * (inlet_k / 298) ** 0.6)
