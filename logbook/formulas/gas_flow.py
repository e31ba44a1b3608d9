"""Pressure lost by gas in pipes and coolers."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.fuel_supply import friction_factor_colebrook
from logbook.formulas.quantities import R_DRY, Absolute, PressureStep
from logbook.formulas.refusals import OutsideRange, above_zero, not_negative, usual

BEND_K = 0.3
"""Loss factor of a smooth bend of 90 degrees, radius about 1.5 diameters: Crane TP 410."""


def _viscosity(kelvin: float) -> float:
    """Sutherland's formula for air, Pa s; exhaust is within a few percent of it."""
    return float(1.458e-6 * kelvin**1.5 / (kelvin + 110.4))


class PipeLoss(NamedTuple):
    velocity_m_s: float
    reynolds: float
    drop_pa: PressureStep
    mach: float
    warnings: tuple[str, ...] = ()


def gas_pipe_loss(
    gas_kg_s: float,
    temperature_k: float,
    pressure_pa: Absolute,
    bore_m: float,
    length_m: float,
    bends: float = 0.0,
    roughness_m: float = 4.5e-5,
) -> PipeLoss:
    """Pressure lost in an exhaust or charge pipe

    Formula: Δp = (f L/D + 0.3 · bends) · ρ v²/2, ρ = p/(R T), f by Colebrook
    gas_kg_s: flow of gas: air, or air and fuel in an exhaust
    temperature_k: temperature of the gas
    pressure_pa: pressure in the pipe (absolute)
    bore_m: inner diameter
    length_m: length
    bends: bends of 90°, smooth; halves count half
    roughness_m: roughness, .045 mm for steel tube
    Range: a loss of under a tenth of the pressure, a speed under Mach .3; steady flow.
    Raises: flow, temperature, pressure, bore or length not above 0; bends or roughness under 0; faster than sound.
    Caution: Steady flow: pulses cost more. Mufflers and catalysts are extra, and mostly most of it: measure with a
        gauge. Exhaust is hot and poisonous: outdoors.
    Source: Darcy and Weisbach; Colebrook 1939; Sutherland's viscosity of air
    Example: gas=40lb/min temperature=1200F pressure=110kPaa bore=3in length=10ft bends=3
    Also: exhaust, back-pressure, turbo, intercooler piping

    >>> found = gas_pipe_loss(0.1, 800.0, Absolute(105e3), 0.0635, 3.0, 2)
    >>> round(found.velocity_m_s), round(found.drop_pa / 1e3, 1)
    (69, 1.8)
    """
    above_zero(gas_kg_s=gas_kg_s, temperature_k=temperature_k, pressure_pa=pressure_pa)
    above_zero(bore_m=bore_m, length_m=length_m)
    not_negative(bends=bends, roughness_m=roughness_m)
    density = pressure_pa / (R_DRY * temperature_k)
    velocity = 4 * gas_kg_s / (math.pi * bore_m**2 * density)
    mach = velocity / math.sqrt(1.35 * R_DRY * temperature_k)
    if mach >= 1:
        raise OutsideRange("bore_m", bore_m, "wider: the gas would run faster than sound")
    reynolds = density * velocity * bore_m / _viscosity(temperature_k)
    friction = friction_factor_colebrook(reynolds, roughness_m / bore_m).darcy_friction_factor
    drop = (friction * length_m / bore_m + BEND_K * bends) * density * velocity**2 / 2
    odd = usual(0, 0.3, "makes the gas run above Mach .3: the loss is larger than this", bore_m=mach)
    odd += usual(0, 0.1, "loses more than a tenth of the pressure: the figure is low", length_m=drop / pressure_pa)
    return PipeLoss(velocity, reynolds, PressureStep(drop), mach, odd)


class ExhaustFlow(NamedTuple):
    exhaust_kg_s: float
    flow_m3_s: float


def exhaust_flow(air_kg_s: float, afr_mass: float, temperature_k: float, pressure_pa: Absolute) -> ExhaustFlow:
    """Exhaust of an engine

    Formula: m = air · (1 + 1/AFR); volume = m · R T/p
    air_kg_s: air that the engine takes
    afr_mass: the fuel's true air-fuel ratio
    temperature_k: temperature of the exhaust there
    pressure_pa: pressure there (absolute)
    Range: any; R of air, within 2 % of exhaust.
    Raises: anything not above 0.
    Source: mass balance, ideal gas
    Example: air=40lb/min afr=12 temperature=1400F pressure=105kPaa
    Also: cfm, exhaust, turbo, muffler

    >>> round(exhaust_flow(0.1, 12.5, 900.0, Absolute(101325.0)).exhaust_kg_s, 3)
    0.108
    """
    above_zero(air_kg_s=air_kg_s, afr_mass=afr_mass, temperature_k=temperature_k, pressure_pa=pressure_pa)
    mass = air_kg_s * (1 + 1 / afr_mass)
    return ExhaustFlow(mass, mass * R_DRY * temperature_k / pressure_pa)


class PipeBore(NamedTuple):
    bore_m: float


def pipe_bore_for_speed(gas_kg_s: float, temperature_k: float, pressure_pa: Absolute, speed_m_s: float) -> PipeBore:
    """Bore of a pipe for a gas speed

    Formula: D = √(4 · m · R T/(π · p · v))
    gas_kg_s: flow of gas
    temperature_k: temperature of the gas
    pressure_pa: pressure in the pipe (absolute)
    speed_m_s: speed wanted: 60 to 90 m/s (200 to 300 ft/s) in exhaust and charge pipes
    Range: under Mach .3.
    Raises: anything not above 0.
    Source: continuity, ideal gas; usual speeds are common practice, no source
    Example: gas=40lb/min temperature=130F pressure=200kPaa speed=250ft/s
    Also: exhaust size, intercooler piping, turbo

    >>> round(pipe_bore_for_speed(0.3, 330.0, Absolute(200e3), 76.2).bore_m * 1e3, 1)
    48.7
    """
    above_zero(gas_kg_s=gas_kg_s, temperature_k=temperature_k, pressure_pa=pressure_pa, speed_m_s=speed_m_s)
    return PipeBore(math.sqrt(4 * gas_kg_s * R_DRY * temperature_k / (math.pi * pressure_pa * speed_m_s)))


class CoolerLoss(NamedTuple):
    drop_pa: PressureStep


def intercooler_pressure_loss(
    known_drop_pa: PressureStep,
    known_air_kg_s: float,
    air_kg_s: float,
    known_pa: Absolute,
    manifold_pa: Absolute,
    known_k: float = 330.0,
    charge_k: float = 330.0,
) -> CoolerLoss:
    """Pressure lost in a charge cooler at another flow

    Formula: Δp = Δp0 · (m/m0)² · (T/T0) · (p0/p)
    known_drop_pa: loss at a known flow, as measured or from its maker
    known_air_kg_s: that flow
    air_kg_s: flow now
    known_pa: pressure in the cooler then (absolute)
    manifold_pa: pressure in the cooler now (absolute)
    known_k: mean temperature in it then
    charge_k: mean temperature in it now
    Range: turbulent flow, two to three times the known flow at most.
    Raises: anything not above 0.
    Caution: Measure both sides of the cooler with one gauge. More than 1 to 2 psi at full load is a small core.
    Source: quadratic loss of turbulent flow, ideal gas
    Example: known_drop=1psi known_air=30lb/min air=45lb/min known=170kPaa manifold=200kPaa
    Also: turbo, intercooler, boost

    >>> round(intercooler_pressure_loss(PressureStep(1e4), 0.1, 0.2, Absolute(2e5), Absolute(2e5)).drop_pa)
    40000
    """
    above_zero(known_drop_pa=known_drop_pa, known_air_kg_s=known_air_kg_s, air_kg_s=air_kg_s)
    above_zero(known_pa=known_pa, manifold_pa=manifold_pa, known_k=known_k, charge_k=charge_k)
    share = (air_kg_s / known_air_kg_s) ** 2 * charge_k / known_k * known_pa / manifold_pa
    return CoolerLoss(PressureStep(known_drop_pa * share))
