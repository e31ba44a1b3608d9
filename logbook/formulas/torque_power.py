"""Torque, power and what both say of the cylinders' pressure."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.quantities import AIR_PA, R_DRY, Absolute, Fraction, Gauge
from logbook.formulas.refusals import OutsideRange, above_zero, not_negative, usual

SEA_LEVEL = Absolute(AIR_PA)


class Power(NamedTuple):
    power_w: float


def power_from_torque(torque_n_m: float, rpm: float) -> Power:
    """Power of a torque at a speed

    Formula: P = 2π · n · T, n in turns a second; hp = lbf ft · rpm/5252
    torque_n_m: torque at the crank or at the wheels
    rpm: speed at which it was read
    Range: any; wheel figures are 12 to 20 % under the crank's.
    Raises: torque or speed under 0.
    Caution: Say which horsepower, and at the wheels or at the crank.
    Source: definition; 33 000 lbf ft a minute is one horsepower
    Example: torque=400ft-lbs rpm=5252
    Also: horsepower, hp, dyno

    >>> round(power_from_torque(542.3272, 5252.113).power_w / 745.6998715822702, 2)
    400.0
    """
    not_negative(torque_n_m=torque_n_m, rpm=rpm)
    return Power(2 * math.pi * rpm / 60 * torque_n_m)


class Torque(NamedTuple):
    torque_n_m: float


def torque_from_power(power_w: float, rpm: float) -> Torque:
    """Torque of a power at a speed

    Formula: T = P/(2π · n); lbf ft = hp · 5252/rpm
    power_w: power
    rpm: speed at which it is made
    Range: any.
    Raises: power under 0; speed not above 0.
    Source: definition; 33 000 lbf ft a minute is one horsepower
    Example: power=300hp rpm=4000
    Also: horsepower, hp, dyno

    >>> round(torque_from_power(100e3, 3000).torque_n_m, 2)
    318.31
    """
    not_negative(power_w=power_w)
    above_zero(rpm=rpm)
    return Torque(power_w / (2 * math.pi * rpm / 60))


class MeanPressure(NamedTuple):
    bmep_pa: Gauge
    warnings: tuple[str, ...] = ()


def mean_effective_pressure(torque_n_m: float, displacement_m3: float) -> MeanPressure:
    """Mean effective pressure

    Formula: p = 4π · T/V for a four-stroke; psi = 150.8 · lbf ft/cu in
    torque_n_m: torque at the crank
    displacement_m3: displacement of the engine
    Range: at full load 850 to 1050 kPa without boost, 1250 to 1700 kPa with it.
    Raises: torque under 0; displacement not above 0.
    Caution: Much more than its kind makes is a dyno or a displacement that is wrong.
    Source: Heywood, Internal Combustion Engine Fundamentals, eq. 2.20 and sec. 2.7
    Example: torque=380ft-lbs displacement=350CID
    Also: bmep

    >>> round(mean_effective_pressure(200.0, 2e-3).bmep_pa / 1e3, 1)
    1256.6
    """
    not_negative(torque_n_m=torque_n_m)
    above_zero(displacement_m3=displacement_m3)
    pressure = 4 * math.pi * torque_n_m / displacement_m3
    odd = usual(0, 3e6, "makes more than 30 bar of mean pressure; is it right?", torque_n_m=pressure)
    return MeanPressure(Gauge(pressure), odd)


class BoostWanted(NamedTuple):
    air_kg_s: float
    fuel_kg_s: float
    manifold_pa: Absolute
    boost_pa: Gauge
    warnings: tuple[str, ...] = ()


def boost_for_power(
    power_w: float,
    displacement_m3: float,
    rpm: float,
    ve_manifold: Fraction,
    manifold_k: float,
    afr_mass: float,
    bsfc_kg_j: float,
    ambient_pa: Absolute = SEA_LEVEL,
) -> BoostWanted:
    """Boost, air and fuel for a wanted power

    Formula: fuel = P · BSFC; air = fuel · AFR; p = air · R T/(V/2 · n · VE); boost = p - ambient
    power_w: wanted power at the crank
    displacement_m3: displacement of the engine
    rpm: speed at which the power is wanted
    ve_manifold: filling against the air in the manifold
    manifold_k: temperature in the manifold behind the cooler
    afr_mass: the fuel's true air-fuel ratio at power
    bsfc_kg_j: fuel used per power and time; about .60 lb/(hp h) under boost
    ambient_pa: air pressure of the place (absolute)
    Range: four-stroke petrol engines.
    Raises: anything not above 0; filling above 1.4.
    Caution: What the air must be, no statement of what the engine or its fuel stands. A negative boost means that it
        needs none.
    Source: mass balance and Heywood, Internal Combustion Engine Fundamentals, sec. 2.10
    Example: power=500hp displacement=350CID rpm=6000 ve=90% manifold=130F afr=11.8 bsfc=.6lb/hp-hr
    Also: turbo, horsepower, hp

    >>> found = boost_for_power(300e3, 2e-3, 6000, 0.9, 320.0, 12.0, 1e-7)
    >>> round(found.air_kg_s, 3), round(found.boost_pa / 1e3)
    (0.36, 266)
    """
    above_zero(power_w=power_w, displacement_m3=displacement_m3, rpm=rpm, ve_manifold=ve_manifold)
    above_zero(manifold_k=manifold_k, afr_mass=afr_mass, bsfc_kg_j=bsfc_kg_j, ambient_pa=ambient_pa)
    if ve_manifold > 1.4:
        raise OutsideRange("ve_manifold", ve_manifold, "above 0 to 1.4")
    fuel = power_w * bsfc_kg_j
    air = fuel * afr_mass
    pressure = air * R_DRY * manifold_k / (displacement_m3 / 2 * rpm / 60 * ve_manifold)
    odd = usual(9, 16, "outside 9 to 16 : 1; is it the fuel's true ratio?", afr_mass=afr_mass)
    return BoostWanted(air, fuel, Absolute(pressure), Gauge(pressure - ambient_pa), odd)
