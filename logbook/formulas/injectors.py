"""One injector: its flow under other conditions, its pulse, its coil, and what power it feeds."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.quantities import (
    PETROL_KG_M3,
    AnyFlow,
    Fraction,
    PressureStep,
)
from logbook.formulas.refusals import (
    MissingInput,
    NotPositive,
    OutsideRange,
    above_zero,
    finite,
    not_negative,
    usual,
    whole,
)

USUAL_DUTY = Fraction(0.8)


class FlowAtPressure(NamedTuple):
    flow: AnyFlow
    warnings: tuple[str, ...] = ()


def injector_flow_at_pressure(flow: AnyFlow, reference_dp_pa: PressureStep, dp_pa: PressureStep) -> FlowAtPressure:
    """Injector flow at another pressure

    Formula: q = q0 · √(Δp/Δp0), Δp = rail - manifold
    flow: flow at the reference pressure, in any unit; the answer is in the same
    reference_dp_pa: pressure across the injector at that flow
    dp_pa: pressure across it now
    Range: 100 to 1000 kPa across.
    Raises: flow or a pressure not above 0.
    Caution: Bring every bench figure to one stated pressure before comparing. Fuel under pressure: no spark, eye
        protection.
    Source: Bernoulli's orifice
    Example: flow=24lb/hr reference_dp=43.5psi dp=58psi

    >>> round(injector_flow_at_pressure(AnyFlow(250.0), PressureStep(300e3), PressureStep(400e3)).flow, 3)
    288.675
    """
    above_zero(flow=flow, reference_dp_pa=reference_dp_pa, dp_pa=dp_pa)
    words = "outside 100 to 1000 kPa; is the unit right?"
    odd = usual(100e3, 1000e3, words, reference_dp_pa=reference_dp_pa, dp_pa=dp_pa)
    return FlowAtPressure(AnyFlow(flow * math.sqrt(dp_pa / reference_dp_pa)), odd)


def injector_timed_flow(volume_m3: float, time_s: float) -> float:
    """Injector flow from a timed test

    Formula: q = V/t, injector held fully open
    volume_m3: volume caught
    time_s: time held open
    Range: run longer than makes the reading's step smaller than the spread you judge.
    Raises: time not above 0; volume under 0.
    Caution: Bench testing sprays fuel or solvent as a mist that burns: outdoors, no open switch in the vapour,
        extinguisher, eye and hand protection, away from a running engine.
    Source: definition
    Example: volume=62.5cc time=15s

    >>> round(injector_timed_flow(62.5e-6, 15.0) * 60e6, 6)
    250.0
    """
    not_negative(volume_m3=volume_m3)
    above_zero(time_s=time_s)
    return volume_m3 / time_s


class FlowUnits(NamedTuple):
    flow_kg_s: float
    flow_m3_s: float


def injector_flow_units(
    flow_m3_s: float | None = None, density_kg_m3: float = PETROL_KG_M3, flow_kg_s: float | None = None
) -> FlowUnits:
    """Injector flow by volume and by mass

    Formula: mass flow = volume flow · ρ
    flow_m3_s: flow by volume
    density_kg_m3: density of the fluid
    flow_kg_s: or flow by mass
    Range: petrol 720 to 775 kg/m3.
    Raises: neither or both flows; a flow or the density not above 0.
    Caution: '10.5 cc/min per lb/h' hides a density of 720; 740 gives 10.2. The density used is printed.
    Source: definition; 1 lb/h = 0.125998 g/s
    Example: flow=250cc/min

    >>> round(injector_flow_units(250e-6 / 60, 740.0).flow_kg_s * 1e3, 4)
    3.0833
    """
    above_zero(density_kg_m3=density_kg_m3)
    if flow_m3_s is not None and flow_kg_s is None:
        above_zero(flow_m3_s=flow_m3_s)
        return FlowUnits(flow_m3_s * density_kg_m3, flow_m3_s)
    if flow_kg_s is not None and flow_m3_s is None:
        above_zero(flow_kg_s=flow_kg_s)
        return FlowUnits(flow_kg_s, flow_kg_s / density_kg_m3)
    raise MissingInput("flow_m3_s", flow_m3_s, "one flow, by volume or by mass")


class OtherFluid(NamedTuple):
    fuel_flow_m3_s: float
    mass_flow_ratio: float


def injector_flow_other_fluid(bench_flow_m3_s: float, bench_kg_m3: float, fuel_kg_m3: float) -> OtherFluid:
    """Injector flow from bench fluid to fuel

    Formula: qfuel = qbench · √(ρbench/ρfuel); by mass √(ρfuel/ρbench)
    bench_flow_m3_s: flow of the bench fluid
    bench_kg_m3: density of the bench fluid
    fuel_kg_m3: density of the fuel
    Range: the same regime of flow; viscosity shifts it by 1 to 3 %, which is left out.
    Raises: a flow or density not above 0.
    Caution: Volume goes up and mass down with a lighter fluid. No plain water on steel inside.
    Source: Bernoulli's orifice
    Example: bench_flow=250cc/min bench=780kg/m3 fuel=740kg/m3

    >>> round(injector_flow_other_fluid(250e-6 / 60, 780.0, 740.0).fuel_flow_m3_s * 60e6, 2)
    256.67
    """
    above_zero(bench_flow_m3_s=bench_flow_m3_s, bench_kg_m3=bench_kg_m3, fuel_kg_m3=fuel_kg_m3)
    ratio = math.sqrt(bench_kg_m3 / fuel_kg_m3)
    return OtherFluid(bench_flow_m3_s * ratio, 1 / ratio)


def _sizing(bsfc_kg_j: float, injectors: int, max_duty: float) -> tuple[str, ...]:
    above_zero(bsfc_kg_j=bsfc_kg_j, max_duty=max_duty)
    whole(1, 64, injectors=injectors)
    if max_duty > 1:
        raise OutsideRange("max_duty", max_duty, "above 0 to 1; 80 % is 0.8")
    one = 0.45359237 / (745.6998715822702 * 3600)
    odd = usual(0.42 * one, 1.0 * one, "outside 0.42 to 1.0 lb/(hp h)", bsfc_kg_j=bsfc_kg_j)
    return odd + usual(0.5, 0.9, "outside 0.5 to 0.9", max_duty=max_duty)


class InjectorSize(NamedTuple):
    flow_kg_s: float
    warnings: tuple[str, ...] = ()


def injector_size_for_power(
    power_w: float, bsfc_kg_j: float, injectors: int, max_duty: Fraction = USUAL_DUTY
) -> InjectorSize:
    """Injector size for a power

    Formula: q = P · BSFC/(n · duty)
    power_w: power at the crank
    bsfc_kg_j: fuel used per power and time at that mixture
    injectors: number of injectors
    max_duty: highest duty wanted
    Range: BSFC 0.42 to 0.65 lb/(hp h) on petrol, about 1.45 times that on E85; duty 0.5 to 0.9.
    Raises: power or BSFC not above 0; duty outside 0 to 1; no injector.
    Caution: BSFC is a guess until measured; it carries straight into the answer.
    Source: mass balance; the ranges are common practice
    Example: power=400hp bsfc=.5lb/hp-hr injectors=8 duty=80%
    Also: horsepower, hp, fuel injector

    >>> one = 0.45359237 / (745.6998715822702 * 3600)
    >>> round(injector_size_for_power(350 * 745.6998715822702, 0.5 * one, 8).flow_kg_s * 1e3, 4)
    3.4453
    """
    above_zero(power_w=power_w)
    odd = _sizing(bsfc_kg_j, injectors, max_duty)
    return InjectorSize(power_w * bsfc_kg_j / (injectors * max_duty), odd)


class PowerLimit(NamedTuple):
    power_w: float
    warnings: tuple[str, ...] = ()


def injector_power_limit(
    flow_kg_s: float, bsfc_kg_j: float, injectors: int, max_duty: Fraction = USUAL_DUTY
) -> PowerLimit:
    """Power that a set of injectors feeds

    Formula: P = q · n · duty/BSFC
    flow_kg_s: flow of one injector held open, by mass
    bsfc_kg_j: fuel used per power and time at that mixture
    injectors: number of injectors
    max_duty: highest duty wanted
    Range: BSFC 0.42 to 0.65 lb/(hp h) on petrol, about 1.45 times that on E85; duty 0.5 to 0.9.
    Raises: flow or BSFC not above 0; duty outside 0 to 1; no injector.
    Caution: A limit of fuel, not a promise of power, and no word on what the engine stands.
    Source: mass balance; the ranges are common practice
    Example: flow=24lb/hr bsfc=.5lb/hp-hr injectors=8 duty=80%
    Also: horsepower, hp

    >>> one = 0.45359237 / (745.6998715822702 * 3600)
    >>> round(injector_power_limit(24 * 0.45359237 / 3600, 0.5 * one, 8).power_w / 745.6998715822702, 1)
    307.2
    """
    above_zero(flow_kg_s=flow_kg_s)
    odd = _sizing(bsfc_kg_j, injectors, max_duty)
    return PowerLimit(flow_kg_s * injectors * max_duty / bsfc_kg_j, odd)


class CoilCurrent(NamedTuple):
    current_a: float
    power_w: float
    warnings: tuple[str, ...] = ()


def injector_coil_current(voltage_v: float, resistance_ohm: float) -> CoilCurrent:
    """Current of an injector's coil

    Formula: I = V/R; P = V²/R
    voltage_v: voltage
    resistance_ohm: resistance of the coil
    Range: high-resistance coils 12 to 17 ohm; low ones 1 to 3 ohm, which need a driver or ballast made for them.
    Raises: resistance not above 0.
    Source: Ohm's law
    Example: voltage=12V resistance=14.5ohm
    Also: ohm, ohms law, volts, amps

    >>> round(injector_coil_current(12.0, 14.5).current_a, 4)
    0.8276
    """
    finite(voltage_v=voltage_v)
    above_zero(resistance_ohm=resistance_ohm)
    low = () if not 0 < resistance_ohm < 4 else ("a low-resistance coil: it needs a driver or ballast made for it",)
    if voltage_v < 0:
        raise NotPositive("voltage_v", voltage_v, "0 or more")
    return CoilCurrent(voltage_v / resistance_ohm, voltage_v**2 / resistance_ohm, low)


def copper_temperature(resistance_20c_ohm: float, temperature_k: float) -> float:
    """Resistance of copper at another temperature

    Formula: R = R20 · (1 + 0.00393 (t - 20)), t in °C
    resistance_20c_ohm: resistance at 20 °C
    temperature_k: temperature of the coil or wire
    Range: -50 to 150 °C.
    Raises: resistance not above 0; temperature outside -80 to 250 °C.
    Caution: Match coils at one temperature: 20 degrees are 8 %.
    Source: IEC 60028, annealed copper
    Example: resistance_20c=14.5ohm temperature=194F
    Also: ohm

    >>> round(copper_temperature(14.5, 363.15), 2)
    18.49
    """
    above_zero(resistance_20c_ohm=resistance_20c_ohm, temperature_k=temperature_k)
    celsius = temperature_k - 273.15
    if not -80 <= celsius <= 250:
        raise OutsideRange("temperature_k", temperature_k, "-80 to 250 °C")
    return resistance_20c_ohm * (1 + 0.00393 * (celsius - 20))


def copper_at_20c(resistance_ohm: float, temperature_k: float) -> float:
    """The inverse: what a resistance measured warm would be at 20 degrees C.

    >>> round(copper_at_20c(18.489, 363.15), 2)
    14.5
    """
    above_zero(resistance_ohm=resistance_ohm)
    return resistance_ohm / copper_temperature(1.0, temperature_k)
