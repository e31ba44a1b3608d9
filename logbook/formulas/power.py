"""Fuel, heat and power: what an air flow can carry, and how well a fuel is used."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.mixture import AFR_AS_LAMBDA
from logbook.formulas.refusals import (
    OutsideRange,
    WrongKind,
    above_zero,
    usual,
)

_POUND_PER_HP_HOUR = 0.45359237 / (745.6998715822702 * 3600)


class AirPower(NamedTuple):
    power_w: float
    warnings: tuple[str, ...] = ()


def power_from_air(air_kg_s: float, afr_mass: float, bsfc_kg_j: float) -> AirPower:
    """Power that an air flow can carry

    Formula: P = m/(AFR · BSFC)
    air_kg_s: air flow
    afr_mass: the fuel's true air-fuel ratio, not the displayed one
    bsfc_kg_j: fuel used per power and time at that mixture
    Range: petrol at power: AFR 11.5 to 13, BSFC 0.45 to 0.6 lb/(hp h).
    Raises: anything not above 0.
    Caution: Linear in three guesses: take it as 10 to 15 % either way.
    Source: mass balance
    Example: air=40lb/min afr_mass=12 bsfc=.5lb/hp-hr
    Also: horsepower, hp, turbo

    >>> one = 0.45359237 / (745.6998715822702 * 3600)
    >>> round(power_from_air(30 * 0.45359237 / 60, 12.5, 0.5 * one).power_w / 745.6998715822702)
    288
    """
    above_zero(air_kg_s=air_kg_s, afr_mass=afr_mass, bsfc_kg_j=bsfc_kg_j)
    odd = usual(3, 1e9, AFR_AS_LAMBDA, afr_mass=afr_mass)
    low, high = 0.3 * _POUND_PER_HP_HOUR, 1.0 * _POUND_PER_HP_HOUR
    odd += usual(low, high, "outside 0.3 to 1.0 lb/(hp h)", bsfc_kg_j=bsfc_kg_j)
    return AirPower(air_kg_s / (afr_mass * bsfc_kg_j), odd)


# lower heating values at 25 degrees C, J/kg. Pure fuels from enthalpies of formation (CODATA, NIST WebBook): the fuel's
# less those of CO2 (-393.51) and water vapour (-241.83 kJ/mol). Petrol and diesel are common practice, no source.
_HEATING = {
    "methanol": 19.91e6,
    "methanol liquid": 19.91e6,
    "methanol vapour": 21.10e6,
    "ethanol": 26.81e6,
    "ethanol liquid": 26.81e6,
    "ethanol vapour": 27.73e6,
    "gasoline": 44.0e6,
    "petrol": 44.0e6,
    "isooctane": 44.34e6,
    "isooctane liquid": 44.34e6,
    "isooctane vapour": 44.65e6,
    "heptane": 44.56e6,
    "toluene": 40.53e6,
    "methane": 50.03e6,
    "propane": 46.33e6,
    "propane vapour": 46.33e6,
    "ethane": 47.51e6,
    "hydrogen": 119.96e6,
    "diesel": 42.8e6,
}


def lower_heating_value(fuel: str) -> float:
    """Lower heating value of a fuel

    Formula: from a table
    fuel: methanol, ethanol, gasoline (or petrol), isooctane, heptane, toluene, methane, ethane, propane, hydrogen,
        diesel; 'vapour' or 'liquid' after it where both are known
    Range: at 25 °C; pump petrol 43 to 44.5 MJ/kg.
    Raises: a fuel that is not in the table.
    Source: enthalpies of formation, CODATA and NIST WebBook; petrol and diesel common practice, no source
    Example: fuel=gasoline

    >>> lower_heating_value("methanol vapour") / 1e6
    21.1
    """
    words = fuel.casefold().replace("_", " ").replace("iso-octane", "isooctane").split()
    wanted = " ".join("vapour" if word == "vapor" else word for word in words)
    if wanted not in _HEATING:
        raise WrongKind("fuel", fuel, "one of " + ", ".join(sorted(_HEATING)))
    return _HEATING[wanted]


class FuelEfficiency(NamedTuple):
    efficiency: float | None
    bsfc_kg_j: float
    warnings: tuple[str, ...] = ()


def bsfc_efficiency(bsfc_kg_j: float, lhv_j_kg: float | None = None) -> FuelEfficiency:
    """Efficiency from fuel use

    Formula: η = 1/(BSFC · LHV)
    bsfc_kg_j: fuel used per power and time
    lhv_j_kg: lower heating value of the fuel; petrol about 44 MJ/kg
    Range: 0.20 to 0.40.
    Raises: BSFC or heating value not above 0; more than all of the heat.
    Source: Heywood, Internal Combustion Engine Fundamentals, sec. 2.7
    Example: bsfc=.5lb/hp-hr lhv=44MJ/kg

    >>> round(bsfc_efficiency(304.14e-3 / 3.6e6, 44e6).efficiency, 3)
    0.269
    """
    above_zero(bsfc_kg_j=bsfc_kg_j)
    if lhv_j_kg is None:
        return FuelEfficiency(None, bsfc_kg_j)
    above_zero(lhv_j_kg=lhv_j_kg)
    efficiency = 1 / (bsfc_kg_j * lhv_j_kg)
    if efficiency > 1:
        raise OutsideRange("bsfc_kg_j", bsfc_kg_j, "so little fuel holds less heat than the work done")
    odd = usual(0.20, 0.40, "an efficiency outside 0.20 to 0.40", bsfc_kg_j=efficiency)
    return FuelEfficiency(efficiency, bsfc_kg_j, odd)
