"""Fuel for a wanted power: injectors on any blend, mixing a blend, the pump at boost and low volts, the wideband."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.injectors import USUAL_DUTY
from logbook.formulas.mixture import fuel_blend_by_volume
from logbook.formulas.power import lower_heating_value
from logbook.formulas.quantities import DISPLAY_AFR, Fraction, Gauge
from logbook.formulas.refusals import (
    Contradiction,
    OutsideRange,
    above_zero,
    finite,
    not_negative,
    usual,
    whole,
    within,
)

NO_BOOST = Gauge(0.0)
FALL_PER_BAR = Fraction(0.08)
"""Flow that an electric pump loses for each bar above its rating: common practice, no source."""

PUMP_EFFICIENCY = Fraction(0.25)
"""Of motor and pump together: common practice, no source."""


class OnFuel(NamedTuple):
    flow_kg_s: float
    flow_m3_s: float
    more_than_petrol: float
    warnings: tuple[str, ...] = ()


def injectors_on_fuel(
    power_w: float, ethanol_percent: float, bsfc_kg_j: float, injectors: int, max_duty: Fraction = USUAL_DUTY
) -> OnFuel:
    """Injectors for a wanted power on a blend

    Formula: mass = P · BSFC · (LHV petrol/LHV blend)/(n · duty); volume by the density of the blend
    power_w: wanted power at the crank
    ethanol_percent: ethanol by volume
    bsfc_kg_j: fuel use on petrol: about .50 lb/(hp h), .60 under boost
    injectors: number of injectors
    max_duty: highest duty
    Range: 0 to 100 % ethanol, equal efficiency on both fuels.
    Raises: share outside 0 to 100; power or BSFC not above 0; duty outside 0 to 1.
    Caution: Pumps and lines must carry the same share more. Alcohol attacks old hoses, seals and tank linings.
    Source: energy balance
    Example: power=500hp ethanol=E85 bsfc=.6lb/hp-hr injectors=8
    Also: E85, horsepower, flex fuel, injector size

    >>> round(injectors_on_fuel(300e3, 85, 1e-7, 8).more_than_petrol, 2)
    1.5
    """
    within(0, 100, "0 to 100 %", ethanol_percent=ethanol_percent)
    above_zero(power_w=power_w, bsfc_kg_j=bsfc_kg_j, max_duty=max_duty)
    whole(1, 64, injectors=injectors)
    if max_duty > 1:
        raise OutsideRange("max_duty", max_duty, "above 0 to 1; 80 % is 0.8")
    blend = fuel_blend_by_volume(ethanol_percent)
    petrol = lower_heating_value("petrol")
    share = blend.ethanol_mass_fraction
    heat = share * lower_heating_value("ethanol") + (1 - share) * petrol
    each = power_w * bsfc_kg_j * petrol / heat / (injectors * max_duty)
    odd = usual(0, 0.9, "above 90 % an injector hardly closes", max_duty=max_duty)
    return OnFuel(each, each / blend.density_kg_m3, petrol / heat, odd)


class Mix(NamedTuple):
    add_m3: float
    total_m3: float


def ethanol_mix(
    fuel_m3: float, ethanol_percent: float, target_percent: float, added_ethanol_percent: float = 85.0
) -> Mix:
    """Mixing to a target share of ethanol

    Formula: add = V · (target - share)/(added share - target)
    fuel_m3: fuel in the tank
    ethanol_percent: ethanol in it, by volume
    target_percent: share wanted
    added_ethanol_percent: share in what is added
    Range: target between what is in and what is added.
    Raises: a share outside 0 to 100; a target that the added fuel cannot reach.
    Caution: What is sold as E85 holds 51 to 83 %: measure it. Mix before it reaches the engine. Fuel vapour burns:
        outdoors, bonded cans, no spark.
    Source: volume balance; contraction of mixing under .5 % is left out
    Example: fuel=10gal ethanol=10 target=50 added_ethanol=85
    Also: E85, flex fuel, blend, alcohol

    >>> round(ethanol_mix(10.0, 10, 50, 85).add_m3, 3)
    11.429
    """
    above_zero(fuel_m3=fuel_m3)
    limit = "0 to 100 %"
    within(0, 100, limit, ethanol_percent=ethanol_percent, target_percent=target_percent)
    within(0, 100, limit, added_ethanol_percent=added_ethanol_percent)
    low, high = sorted((ethanol_percent, added_ethanol_percent))
    if target_percent == ethanol_percent:
        return Mix(0.0, fuel_m3)
    if not low <= target_percent <= high or target_percent == added_ethanol_percent:
        raise Contradiction("target_percent", target_percent, "between the share in the tank and that of what is added")
    add = fuel_m3 * (target_percent - ethanol_percent) / (added_ethanol_percent - target_percent)
    return Mix(add, fuel_m3 + add)


class PumpAt(NamedTuple):
    flow_m3_s: float
    rail_gauge_pa: Gauge
    share_of_rating: float
    warnings: tuple[str, ...] = ()


def fuel_pump_at_pressure(
    rated_flow_m3_s: float,
    rated_gauge_pa: Gauge,
    base_gauge_pa: Gauge,
    boost_gauge_pa: Gauge = NO_BOOST,
    supply_v: float = 13.5,
    rated_v: float = 13.5,
    fall_per_bar: Fraction = FALL_PER_BAR,
) -> PumpAt:
    """What a fuel pump gives at rail plus boost and low volts

    Formula: q = q0 · (1 - fall · (p - p0)) · U/U0, p = base + boost
    rated_flow_m3_s: flow that the pump is rated for
    rated_gauge_pa: pressure of that rating
    base_gauge_pa: rail pressure with the regulator's hose off
    boost_gauge_pa: boost, which a referenced regulator adds
    supply_v: voltage at the pump's plug under load
    rated_v: voltage of the rating
    fall_per_bar: share of flow lost for each bar above the rating; take it from the pump's own curve
    Range: 1 to 8 bar, 9 to 15 V; a straight line is a guess of 10 % either way.
    Raises: flow or a voltage not above 0; a pressure under 0; a pump that gives nothing at that pressure.
    Caution: The pump's own curve comes first; a relief valve inside may open at 6 to 8 bar. Measure volts at the plug,
        and flow into a can: fuel under pressure, no spark, extinguisher, eye protection.
    Source: common practice, no source
    Example: rated_flow=255l/h rated=43.5psi base=43.5psi boost=15psi supply=12V
    Also: gph, lph, boost, turbo

    >>> round(fuel_pump_at_pressure(255.0, Gauge(3e5), Gauge(3e5), Gauge(1e5), 13.5).flow_m3_s, 1)
    234.6
    """
    above_zero(rated_flow_m3_s=rated_flow_m3_s, supply_v=supply_v, rated_v=rated_v)
    not_negative(rated_gauge_pa=rated_gauge_pa, base_gauge_pa=base_gauge_pa, fall_per_bar=fall_per_bar)
    finite(boost_gauge_pa=boost_gauge_pa)
    rail = base_gauge_pa + boost_gauge_pa
    share = (1 - fall_per_bar * (rail - rated_gauge_pa) / 1e5) * supply_v / rated_v
    if share <= 0:
        raise OutsideRange("boost_gauge_pa", boost_gauge_pa, "less: the pump gives nothing against that pressure")
    odd = usual(9, 15.5, "outside 9 to 15.5 V", supply_v=supply_v)
    odd += usual(0, 7e5, "makes more rail pressure than most pumps' relief valves hold", boost_gauge_pa=rail)
    return PumpAt(rated_flow_m3_s * share, Gauge(rail), share, odd)


class PumpCurrent(NamedTuple):
    hydraulic_w: float
    current_a: float


def fuel_pump_current(
    flow_m3_s: float, rail_gauge_pa: Gauge, supply_v: float = 13.5, efficiency: Fraction = PUMP_EFFICIENCY
) -> PumpCurrent:
    """Current of a fuel pump

    Formula: P = q · p; I = P/(efficiency · U)
    flow_m3_s: flow through the pump
    rail_gauge_pa: pressure behind it
    supply_v: voltage at its plug
    efficiency: of motor and pump together, .2 to .3
    Range: electric roller and turbine pumps, 2 to 7 bar.
    Raises: anything not above 0; efficiency above 1.
    Caution: Much less current than expected at full pressure is a worn pump or low volts; much more is a blocked
        filter or a pinched line.
    Source: definition; the efficiency is common practice, no source
    Example: flow=255l/h rail=43.5psi
    Also: amps, fuel pump

    >>> round(fuel_pump_current(255e-3 / 3600, Gauge(3e5), 13.5).current_a, 1)
    6.3
    """
    above_zero(flow_m3_s=flow_m3_s, rail_gauge_pa=rail_gauge_pa, supply_v=supply_v, efficiency=efficiency)
    if efficiency > 1:
        raise OutsideRange("efficiency", efficiency, "above 0 to 1; 25 % is 0.25")
    power = flow_m3_s * rail_gauge_pa
    return PumpCurrent(power, power / (efficiency * supply_v))


class Wideband(NamedTuple):
    lambda_: float
    displayed_afr: float
    warnings: tuple[str, ...] = ()


def wideband_lambda(
    output_v: float,
    low_v: float = 0.0,
    low_lambda: float = 0.68,
    high_v: float = 5.0,
    high_lambda: float = 1.36,
) -> Wideband:
    """Lambda from a wideband controller's volts

    Formula: λ = λ0 + (U - U0) · (λ1 - λ0)/(U1 - U0)
    output_v: volts at the controller's output
    low_v: its volts at the rich end
    low_lambda: lambda there
    high_v: its volts at the lean end
    high_lambda: lambda there
    Range: the controller's own two points; 0 V at .68 and 5 V at 1.36 is only a usual pair.
    Raises: equal ends; volts outside them by more than 5 % of the span.
    Caution: A volt of ground offset is a wrong mixture: hold the logged figure against the controller's display.
    Source: straight line between the maker's two points
    Example: output=2.5V
    Also: afr, wideband, E85

    >>> round(wideband_lambda(2.5).lambda_, 3)
    1.02
    """
    finite(output_v=output_v, low_v=low_v, high_v=high_v)
    above_zero(low_lambda=low_lambda, high_lambda=high_lambda)
    if low_v == high_v:
        raise OutsideRange("high_v", high_v, "unlike the volts of the other end")
    share = (output_v - low_v) / (high_v - low_v)
    if not -0.05 <= share <= 1.05:
        raise OutsideRange("output_v", output_v, f"between {low_v:g} and {high_v:g} V, the ends of this controller")
    found = low_lambda + share * (high_lambda - low_lambda)
    at_end = usual(0.02, 0.98, "at the end of the controller's range: it may be further out", output_v=share)
    return Wideband(found, found * DISPLAY_AFR, at_end)
