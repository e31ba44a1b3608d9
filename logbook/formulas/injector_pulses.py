"""The pulse of an injector: its share of the cycle, what flows in it, and what to expect at idle."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.mixture import LAMBDA_AS_AFR, stoich_afr
from logbook.formulas.quantities import (
    PETROL_H_PER_C,
    R_DRY,
    Absolute,
    Fraction,
)
from logbook.formulas.refusals import (
    OutsideRange,
    above_zero,
    not_negative,
    usual,
    whole,
)


class Duty(NamedTuple):
    cycle_s: float
    duty: float
    over_100_percent: bool
    warnings: tuple[str, ...] = ()


def injector_duty(pulse_s: float, rpm: float, pulses_per_cycle: int = 1) -> Duty:
    """Injector duty

    Formula: duty = pulse · pulses a cycle/cycle; cycle = 120/rpm seconds
    pulse_s: pulse as logged
    rpm: speed of the crank
    pulses_per_cycle: openings in two turns: 1 in sequence, 2 where it fires every turn
    Range: up to 0.8 to 0.85 in use.
    Raises: speed not above 0; pulse under 0; openings not whole.
    Caution: Above 1 the injector never closes: it gives all it has, and mixture goes lean without a sign.
    Source: definition
    Example: pulse=12ms rpm=6000
    Also: duration, duty cycle

    >>> injector_duty(0.016, 6000).duty
    0.8
    """
    above_zero(rpm=rpm)
    not_negative(pulse_s=pulse_s)
    whole(1, 16, pulses_per_cycle=pulses_per_cycle)
    cycle_s = 120 / rpm
    duty = pulse_s * pulses_per_cycle / cycle_s
    # a pulse that fills the cycle to the last digit is not over it
    over = duty > 1 + 1e-12
    told = ("the injector is open all the time: it cannot give more",) if over else ()
    return Duty(cycle_s, duty, over, told)


class EffectivePulse(NamedTuple):
    effective_s: float
    warnings: tuple[str, ...] = ()


def injector_effective_pulse(pulse_s: float, dead_time_s: float) -> EffectivePulse:
    """Pulse less dead time

    Formula: effective = pulse - dead time at this battery voltage and pressure
    pulse_s: pulse as logged, dead time included
    dead_time_s: time before fuel flows
    Range: below 1.5 to 2 ms an injector is not linear.
    Raises: pulse or dead time under 0.
    Caution: Say whether a logged pulse includes the dead time. Fired in batches, every opening pays it.
    Source: definition
    Example: pulse=2.5ms dead_time=0.9ms

    >>> round(injector_effective_pulse(0.0025, 0.0009).effective_s * 1e3, 6)
    1.6
    """
    not_negative(pulse_s=pulse_s, dead_time_s=dead_time_s)
    if pulse_s <= dead_time_s:
        return EffectivePulse(0.0, ("pulse_s: no longer than the dead time, so no fuel can be told from it",))
    return EffectivePulse(pulse_s - dead_time_s)


class PulseMass(NamedTuple):
    fuel_kg: float
    warnings: tuple[str, ...] = ()


def injector_pulse_mass(pulse_s: float, dead_time_s: float, static_flow_kg_s: float) -> PulseMass:
    """Fuel of one pulse

    Formula: m = q · (pulse - dead time)
    pulse_s: pulse as logged, dead time included
    dead_time_s: time before fuel flows
    static_flow_kg_s: flow held open, by mass
    Range: pulses above 1.5 to 2 ms.
    Raises: pulse or dead time under 0; flow not above 0.
    Source: definition
    Example: pulse=2.5ms dead_time=.9ms static_flow=24lb/hr
    Also: duration

    >>> round(injector_pulse_mass(0.0025, 0.0009, 3.0833e-3).fuel_kg * 1e6, 3)
    4.933
    """
    above_zero(static_flow_kg_s=static_flow_kg_s)
    effective = injector_effective_pulse(pulse_s, dead_time_s)
    return PulseMass(effective.effective_s * static_flow_kg_s, effective.warnings)


class IdlePulse(NamedTuple):
    fuel_kg: float
    effective_s: float
    logged_s: float
    air_flow_kg_s: float
    air_mg_per_cycle: float
    warnings: tuple[str, ...] = ()


def injector_idle_pulse(
    displacement_m3: float,
    cylinders: int,
    rpm: float,
    map_pa: Absolute,
    charge_k: float,
    ve_manifold: Fraction,
    static_flow_kg_s: float,
    lambda_: float = 1.0,
    h_per_c: float = PETROL_H_PER_C,
    dead_time_s: float = 0.0,
) -> IdlePulse:
    """Pulse to be expected at idle

    Formula: air = (Vd/N) · VE · p/(R T); fuel = air/(λ AFRs); effective = fuel/q; logged = effective + dead time
    displacement_m3: displacement of the engine
    cylinders: number of cylinders
    rpm: speed of the crank
    map_pa: manifold pressure (absolute)
    charge_k: temperature of the charge
    ve_manifold: filling against the air in the manifold, at idle 0.5 to 0.7
    static_flow_kg_s: flow of one injector held open, by mass
    lambda_: lambda
    h_per_c: hydrogen per carbon of the fuel
    dead_time_s: time before fuel flows
    Range: a logged idle pulse is plausible at about 0.8 to 4.5 ms.
    Raises: anything not above 0; filling above 1.4.
    Caution: Filling is against MANIFOLD air here; against outside air the same engine has about 0.2. A logged pulse may
        leave the dead time out, or count one of two openings: say which before judging it.
    Source: ideal gas; common practice for the plausible band
    Example: displacement=350CID cylinders=8 rpm=750 map=35kPa charge=104F ve_manifold=60% static_flow=24lb/hr

    >>> round(injector_idle_pulse(2.0e-3, 4, 800, Absolute(33e3), 313.15, 0.6, 2.5e-3).effective_s * 1e3, 2)
    3.02
    """
    above_zero(displacement_m3=displacement_m3, rpm=rpm, map_pa=map_pa, charge_k=charge_k)
    above_zero(ve_manifold=ve_manifold, static_flow_kg_s=static_flow_kg_s, lambda_=lambda_)
    whole(1, 64, cylinders=cylinders)
    not_negative(dead_time_s=dead_time_s)
    if ve_manifold > 1.4:
        raise OutsideRange("ve_manifold", ve_manifold, "above 0 to 1.4")
    air = displacement_m3 / cylinders * ve_manifold * map_pa / (R_DRY * charge_k)
    fuel = air / (lambda_ * stoich_afr(1, h_per_c))
    effective = fuel / static_flow_kg_s
    odd = usual(0.8e-3, 4.5e-3, "outside the plausible 0.8 to 4.5 ms", logged_s=effective + dead_time_s)
    odd += usual(0, 3, LAMBDA_AS_AFR, lambda_=lambda_)
    return IdlePulse(fuel, effective, effective + dead_time_s, air * cylinders * rpm / 120, air * 1e6, odd)
