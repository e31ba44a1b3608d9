"""Springs, shims and lift."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.quantities import Stress
from logbook.formulas.refusals import OutsideRange, above_zero, finite, not_negative, usual

SPRING_STEEL = Stress(79.3e9)
"""Shear modulus of hard-drawn spring steel, Pa: Shigley table 10-5."""


class Rate(NamedTuple):
    rate_n_per_m: float


def spring_rate(seat_force_n: float, open_force_n: float, lift_m: float) -> Rate:
    """Rate of a valve spring

    Formula: rate = (open force - seat force)/lift
    seat_force_n: force at the installed height
    open_force_n: force at full lift
    lift_m: lift between the two
    Range: straight springs; a beehive or a spring with a damper is stiffer near the end.
    Raises: lift not above 0; seat force under 0; less force open than shut.
    Caution: A compressed spring throws its keepers: eye protection, and a proper tester.
    Source: Hooke's law
    Example: seat=120lbf open=320lbf lift=.5in
    Also: valve spring, seat pressure

    >>> round(spring_rate(320.0, 690.0, 10e-3).rate_n_per_m)
    37000
    """
    not_negative(seat_force_n=seat_force_n)
    above_zero(lift_m=lift_m)
    if open_force_n <= seat_force_n:
        raise OutsideRange("open_force_n", open_force_n, "more than the force at the seat")
    return Rate((open_force_n - seat_force_n) / lift_m)


class OpenForce(NamedTuple):
    open_force_n: float


def spring_open_force(seat_force_n: float, rate_n_per_m: float, lift_m: float) -> OpenForce:
    """Force of a valve spring at full lift

    Formula: open force = seat force + rate · lift
    seat_force_n: force at the installed height
    rate_n_per_m: rate of the spring
    lift_m: valve lift
    Range: straight springs.
    Raises: seat force or lift under 0; rate not above 0.
    Caution: More force than the cam's maker names wears a flat tappet in minutes: break it in with the inner
        spring out.
    Source: Hooke's law
    Example: seat=120lbf rate=400lb/in lift=.5in
    Also: valve spring, open pressure

    >>> round(spring_open_force(320.0, 37e3, 10e-3).open_force_n)
    690
    """
    not_negative(seat_force_n=seat_force_n, lift_m=lift_m)
    above_zero(rate_n_per_m=rate_n_per_m)
    return OpenForce(seat_force_n + rate_n_per_m * lift_m)


def spring_rate_from_wire(
    wire_m: float, mean_diameter_m: float, active_coils: float, modulus_pa: Stress = SPRING_STEEL
) -> Rate:
    """Rate of a coil spring from its wire

    Formula: rate = G · d⁴/(8 · D³ · n)
    wire_m: diameter of the wire
    mean_diameter_m: mean diameter of the coil: outer diameter less the wire
    active_coils: coils that move: all less the two flat ends
    modulus_pa: shear modulus, 79.3 GPa for spring steel
    Range: round wire, D/d of 4 to 12.
    Raises: anything not above 0; a coil no wider than its wire.
    Source: Shigley, Mechanical Engineering Design, eq. 10-9
    Example: wire=.187in mean_diameter=1.08in active_coils=4.5
    Also: valve spring, coil spring

    >>> round(spring_rate_from_wire(4.5e-3, 26e-3, 5).rate_n_per_m / 1e3, 1)
    46.3
    """
    above_zero(wire_m=wire_m, mean_diameter_m=mean_diameter_m, active_coils=active_coils, modulus_pa=modulus_pa)
    if mean_diameter_m <= wire_m:
        raise OutsideRange("mean_diameter_m", mean_diameter_m, "more than the wire")
    return Rate(modulus_pa * wire_m**4 / (8 * mean_diameter_m**3 * active_coils))


class CoilBind(NamedTuple):
    margin_m: float
    warnings: tuple[str, ...] = ()


def spring_coil_bind(installed_m: float, bind_m: float, lift_m: float) -> CoilBind:
    """Room left before the coils bind

    Formula: margin = installed height - lift - height at bind
    installed_m: installed height
    bind_m: height with all coils closed
    lift_m: valve lift
    Range: 1.3 to 2.5 mm (.050 to .100 in) left at full lift is customary.
    Raises: heights not above 0; lift under 0.
    Caution: Coils that bind bend pushrods and break rockers at the first turn: turn the engine by hand first. Check
        retainer to guide as well.
    Source: definition; the margin is common practice, no source
    Example: installed=1.8in bind=1.15in lift=.55in
    Also: valve spring, lift

    >>> round(spring_coil_bind(0.0457, 0.0292, 0.014).margin_m * 1e3, 2)
    2.5
    """
    above_zero(installed_m=installed_m, bind_m=bind_m)
    not_negative(lift_m=lift_m)
    margin = installed_m - bind_m - lift_m
    words = "leaves less than 1.3 mm (.050 in) before the coils bind"
    return CoilBind(margin, usual(1.27e-3, 1.0, words, lift_m=margin))


class Shim(NamedTuple):
    shim_m: float
    warnings: tuple[str, ...] = ()


def spring_shim(measured_m: float, wanted_m: float) -> Shim:
    """Shim under a valve spring

    Formula: shim = measured height - wanted height
    measured_m: installed height as measured without shims
    wanted_m: installed height wanted
    Range: up to 2.5 mm.
    Raises: heights not above 0; a height that is under what is wanted: no shim makes it longer.
    Caution: A shim takes as much off the room before the coils bind.
    Source: definition
    Example: measured=1.83in wanted=1.8in
    Also: valve spring, installed height

    >>> round(spring_shim(0.0465, 0.0457).shim_m * 1e3, 2)
    0.8
    """
    above_zero(measured_m=measured_m, wanted_m=wanted_m)
    if measured_m < wanted_m:
        raise OutsideRange("measured_m", measured_m, "at least the height wanted: a shim only shortens it")
    return Shim(measured_m - wanted_m)


def lash_shim(shim_m: float, measured_m: float, wanted_m: float) -> Shim:
    """Shim for a valve's lash

    Formula: new shim = old shim + measured lash - wanted lash
    shim_m: thickness of the shim that is in
    measured_m: lash as measured, cold
    wanted_m: lash wanted
    Range: shims of 1.5 to 4 mm.
    Raises: shim not above 0; a lash under 0; a new shim of no thickness.
    Caution: Too little lash burns the valve. Measure cold, turn the engine twice, and measure again.
    Source: definition
    Example: shim=2.50mm measured=.25mm wanted=.20mm
    Also: valve lash, bucket, tappet

    >>> round(lash_shim(2.50e-3, 0.25e-3, 0.20e-3).shim_m * 1e3, 3)
    2.55
    """
    above_zero(shim_m=shim_m)
    not_negative(measured_m=measured_m, wanted_m=wanted_m)
    new = shim_m + measured_m - wanted_m
    if new <= 0:
        raise OutsideRange("wanted_m", wanted_m, "less than the shim and the lash together")
    return Shim(new, usual(1e-3, 5e-3, "makes a shim outside 1 to 5 mm; are the units right?", shim_m=new))


class Lift(NamedTuple):
    lift_m: float


def valve_lift(lobe_lift_m: float, rocker_ratio: float = 1.0, lash_m: float = 0.0) -> Lift:
    """Valve lift from the lobe

    Formula: lift = lobe lift · ratio - lash
    lobe_lift_m: lift of the lobe
    rocker_ratio: ratio of the rocker, 1 for a bucket
    lash_m: lash at the valve
    Range: ratios of 1 to 2; the ratio of a real rocker changes a little over the lift.
    Raises: lobe lift or ratio not above 0; lash under 0.
    Caution: Check coil bind, retainer to guide and valve to piston before the first start.
    Source: definition
    Example: lobe_lift=.32in rocker_ratio=1.6 lash=.02in
    Also: cam, rocker, duration

    >>> round(valve_lift(8e-3, 1.5, 0.3e-3).lift_m * 1e3, 2)
    11.7
    """
    above_zero(lobe_lift_m=lobe_lift_m, rocker_ratio=rocker_ratio)
    not_negative(lash_m=lash_m)
    finite(rocker_ratio=rocker_ratio)
    return Lift(lobe_lift_m * rocker_ratio - lash_m)
