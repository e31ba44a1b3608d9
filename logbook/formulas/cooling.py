"""Coolant and oil."""

from __future__ import annotations

import itertools
import math
from typing import NamedTuple

from logbook.formulas.air import isa_atmosphere
from logbook.formulas.quantities import Gauge
from logbook.formulas.refusals import OutsideRange, above_zero, not_negative, usual, within

# ethylene glycol in water, percent by volume: freezing and boiling at 101.325 kPa, degrees C
# (freezing: ASHRAE Fundamentals, as CoolProp carries them; boiling: antifreeze makers' common figures)
_GLYCOL = (
    (0, 0.0, 100.0), (10, -3.6, 101.1), (20, -9.0, 102.2), (30, -15.7, 104.0), (40, -24.8, 105.6), (50, -37.1, 107.2),
    (60, -52.0, 111.1),
)  # fmt: skip


def _between(percent: float, column: int) -> float:
    for low, high in itertools.pairwise(_GLYCOL):
        if percent <= high[0]:
            return low[column] + (percent - low[0]) / (high[0] - low[0]) * (high[column] - low[column])
    return _GLYCOL[-1][column]


class Coolant(NamedTuple):
    freeze_k: float
    boil_k: float
    warnings: tuple[str, ...] = ()


def coolant_mix(glycol_percent: float) -> Coolant:
    """Freezing and boiling of a coolant mix

    Formula: from a table, in straight lines between its rows
    glycol_percent: ethylene glycol by volume
    Range: 0 to 60 %; 33 to 60 % for an engine. Beyond 60 % it freezes earlier again.
    Raises: share outside 0 to 60.
    Caution: Glycol poisons people and animals: it tastes sweet. Catch it, hand it in. Mix with soft water, and mix no
        two kinds.
    Source: ASHRAE Fundamentals, ethylene glycol by volume; boiling by common practice, no source
    Example: glycol=50
    Also: antifreeze, radiator

    >>> round(coolant_mix(50).freeze_k - 273.15, 1)
    -37.1
    """
    within(0, 60, "0 to 60 %", glycol_percent=glycol_percent)
    odd = usual(25, 60, "under 25 % it does not protect from rust", glycol_percent=glycol_percent)
    return Coolant(_between(glycol_percent, 1) + 273.15, _between(glycol_percent, 2) + 273.15, odd)


# IAPWS-IF97, table 34
_N = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
    0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip


def water_boiling_k(pressure_pa: float) -> float:
    """Temperature at which water boils under an absolute pressure of 611 Pa to 22 MPa: IAPWS-IF97 eq. 31.

    >>> round(water_boiling_k(1e6), 4)
    453.0356
    """
    n = (0.0, *_N)
    beta = math.sqrt(math.sqrt(pressure_pa / 1e6))
    e = beta**2 + n[3] * beta + n[6]
    f = n[1] * beta**2 + n[4] * beta + n[7]
    g = n[2] * beta**2 + n[5] * beta + n[8]
    d = 2 * g / (-f - math.sqrt(f**2 - 4 * e * g))
    return (n[10] + d - math.sqrt((n[10] + d) ** 2 - 4 * (n[9] + n[10] * d))) / 2


class Boiling(NamedTuple):
    boil_k: float
    warnings: tuple[str, ...] = ()


def coolant_boiling_point(glycol_percent: float, cap_gauge_pa: Gauge, altitude_m: float = 0.0) -> Boiling:
    """Boiling point under a pressure cap

    Formula: saturation of water at air + cap, raised by what the glycol raises it at 1 atm
    glycol_percent: ethylene glycol by volume
    cap_gauge_pa: pressure that the cap holds
    altitude_m: height of the place
    Range: 0 to 60 % glycol, caps up to 2 bar.
    Raises: share outside 0 to 60; cap under 0 or above 3 bar.
    Caution: Never open a hot system: it boils at once and scalds. A cap that leaks takes all of this away.
    Source: IAPWS-IF97 eq. 31; ISO 2533 for the air; what glycol adds is common practice, no source
    Example: glycol=50 cap=15psi altitude=1000ft
    Also: radiator cap, antifreeze, overheating

    >>> round(coolant_boiling_point(0, Gauge(0.0)).boil_k - 273.15, 1)
    100.0
    """
    within(0, 60, "0 to 60 %", glycol_percent=glycol_percent)
    within(0, 3e5, "0 to 3 bar", cap_gauge_pa=cap_gauge_pa)
    pressure = isa_atmosphere(geometric_altitude_m=altitude_m).pressure_pa + cap_gauge_pa
    raised = _between(glycol_percent, 2) - 100.0
    odd = usual(0, 2e5, "more than the caps of road vehicles hold", cap_gauge_pa=cap_gauge_pa)
    return Boiling(water_boiling_k(pressure) + raised, odd)


class Exchange(NamedTuple):
    drain_m3: float


def coolant_correction(system_m3: float, glycol_percent: float, target_percent: float) -> Exchange:
    """Coolant to drain and replace by glycol

    Formula: drain = V · (target - share)/(100 - share)
    system_m3: volume of the whole system, heater and block too
    glycol_percent: share as read with a refractometer
    target_percent: share wanted
    Range: stronger, up to 60 %; the drained volume is filled with undiluted glycol.
    Raises: shares outside 0 to 100; a target under what is in.
    Caution: A radiator drains a third to half of the system. Glycol is poison: catch it, hand it in.
    Source: volume balance
    Example: system=16qt glycol=30 target=50
    Also: antifreeze, radiator

    >>> round(coolant_correction(15e-3, 30, 50).drain_m3 * 1e3, 2)
    4.29
    """
    above_zero(system_m3=system_m3)
    within(0, 60, "0 to 60 %", glycol_percent=glycol_percent, target_percent=target_percent)
    if target_percent < glycol_percent:
        raise OutsideRange("target_percent", target_percent, "at least the share that is in; else drain and add water")
    return Exchange(system_m3 * (target_percent - glycol_percent) / (100 - glycol_percent))


class OilRule(NamedTuple):
    rule_pa: Gauge
    share_of_rule: float
    meets_rule: bool


def oil_pressure_rule(rpm: float, pressure_pa: Gauge) -> OilRule:
    """Oil pressure by the rule of thumb

    Formula: 10 psi for each 1000 rpm, hot
    rpm: speed of the crank
    pressure_pa: oil pressure as read, hot
    Range: 1000 to 7000 rpm, hot oil; the relief valve ends it at 50 to 70 psi.
    Raises: speed not above 0; pressure under 0.
    Caution: The maker's figure comes first; many engines idle on 5 to 10 psi. A lamp that lights at speed: stop
        at once.
    Source: common practice, no source
    Example: rpm=6000 pressure=50psi
    Also: oil pump, bearing

    >>> round(oil_pressure_rule(3000, Gauge(206842.7)).share_of_rule, 3)
    1.0
    """
    above_zero(rpm=rpm)
    not_negative(pressure_pa=pressure_pa)
    rule = 10 * 6894.757293168361 * rpm / 1000
    return OilRule(Gauge(rule), pressure_pa / rule, pressure_pa >= rule * (1 - 1e-9))
