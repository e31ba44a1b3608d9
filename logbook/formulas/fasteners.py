"""Bolts: torque is not tension."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from logbook.formulas.compression import OUTLIER, scores
from logbook.formulas.quantities import Stress
from logbook.formulas.refusals import (
    MissingInput,
    OutsideRange,
    above_zero,
    not_negative,
    readings,
    usual,
    within,
)

STEEL = Stress(206e9)


def bolt_stress_area(nominal_m: float, pitch_m: float | None = None, threads_per_in: float | None = None) -> float:
    """Stress area of a bolt

    Formula: As = π/4 · (d - 0.9382 P)² metric; π/4 · (D - 0.9743/n)² inch
    nominal_m: nominal diameter
    pitch_m: pitch of a metric thread
    threads_per_in: or threads to the inch
    Range: coarse and fine threads of 60 degrees.
    Raises: neither or both of pitch and threads; anything not above 0; a pitch as large as the bolt.
    Source: ISO 898-1, ASME B1.1
    Example: thread=7/16-14

    >>> round(bolt_stress_area(0.010, 0.0015) * 1e6, 1)
    58.0
    """
    above_zero(nominal_m=nominal_m)
    if (pitch_m is None) == (threads_per_in is None):
        raise MissingInput("pitch_m", pitch_m, "pitch or threads to the inch, one of them")
    if pitch_m is not None:
        above_zero(pitch_m=pitch_m)
        core = nominal_m - 0.9382 * pitch_m
    else:
        above_zero(threads_per_in=threads_per_in or 0.0)
        core = nominal_m - 0.9743 * 0.0254 / (threads_per_in or 1.0)
    if core <= 0:
        raise OutsideRange("nominal_m", nominal_m, "larger than the thread is deep")
    return math.pi / 4 * core**2


class Torque(NamedTuple):
    torque_n_m: float
    warnings: tuple[str, ...] = ()


def bolt_torque(nut_factor: float, nominal_m: float, preload_n: float) -> Torque:
    """Torque for a preload

    Formula: T = K · d · F
    nut_factor: nut factor: plain .20, oiled .15 to .18, moly .11 to .13
    nominal_m: nominal diameter
    preload_n: wanted preload
    Range: K 0.08 to 0.35.
    Raises: K outside 0.08 to 0.5; diameter or preload not above 0.
    Caution: The same torque scatters by 25 to 30 % in preload. Oil where the maker says dry gives up to a third more
        tension. The maker's figure comes first.
    Source: Shigley, Mechanical Engineering Design, Table 8-15
    Example: nut_factor=.18 nominal=7/16in preload=10000lbf
    Also: torque spec, bolt

    >>> round(bolt_torque(0.2, 0.010, 25e3).torque_n_m, 6)
    50.0
    """
    above_zero(nominal_m=nominal_m, preload_n=preload_n)
    within(0.08, 0.5, "0.08 to 0.5", nut_factor=nut_factor)
    odd = usual(0.08, 0.35, "above 0.35, more friction than any usual finish has", nut_factor=nut_factor)
    return Torque(nut_factor * nominal_m * preload_n, odd)


def nut_factor(
    nominal_m: float, pitch_m: float, friction_thread: float, friction_head: float, head_mean_diameter_m: float
) -> float:
    """Nut factor from friction

    Formula: K = (P/(2π) + μt · d2/(2 cos 30°) + μh · Dm/2)/d, d2 = d - 0.6495 P
    nominal_m: nominal diameter
    pitch_m: pitch of the thread
    friction_thread: friction in the thread
    friction_head: friction under the head
    head_mean_diameter_m: mean diameter of the bearing face
    Range: friction 0.05 to 0.4.
    Raises: diameters or pitch not above 0; friction outside 0 to 1.
    Caution: About half of a torque is friction under the head: what lies under it counts.
    Source: VDI 2230 in its linear form
    Example: nominal=M10x1.5 friction_thread=.12 friction_head=.12 head_mean_diameter=13mm

    >>> round(nut_factor(0.010, 0.0015, 0.15, 0.15, 0.013), 2)
    0.2
    """
    above_zero(nominal_m=nominal_m, pitch_m=pitch_m, head_mean_diameter_m=head_mean_diameter_m)
    within(0, 1, friction_thread=friction_thread, friction_head=friction_head)
    flank_m = nominal_m - 0.6495 * pitch_m
    if flank_m <= 0:
        raise OutsideRange("pitch_m", pitch_m, "smaller than the bolt")
    thread = pitch_m / (2 * math.pi) + friction_thread * flank_m / (2 * math.cos(math.radians(30)))
    return (thread + friction_head * head_mean_diameter_m / 2) / nominal_m


def bolt_stretch(preload_n: float, grip_m: float, area_m2: float, modulus_pa: Stress = STEEL) -> float:
    """Stretch of a bolt

    Formula: ΔL = F · L/(A · E)
    preload_n: preload
    grip_m: length that is stretched
    area_m2: area of the section, each of its own for a necked shank
    modulus_pa: modulus, 206 GPa for steel
    Range: below yield.
    Raises: anything not above 0; preload under 0.
    Caution: Torque-to-yield bolts go by angle only and are used once, unless the maker says otherwise.
    Source: Hooke's law
    Example: preload=10000lbf grip=4in area=.1063in2

    >>> round(bolt_stretch(45e3, 0.1, 72.3e-6) * 1e3, 4)
    0.3021
    """
    not_negative(preload_n=preload_n)
    above_zero(grip_m=grip_m, area_m2=area_m2, modulus_pa=modulus_pa)
    return preload_n * grip_m / (area_m2 * modulus_pa)


class AngleCheck(NamedTuple):
    outlier_bolts: tuple[int, ...]
    score: tuple[float, ...]
    warnings: tuple[str, ...] = ()


def torque_angle_check(
    angle_step_deg: float, torque_rise_n_m: Sequence[float], wrench_uncertainty_n_m: float = 0.0
) -> AngleCheck:
    """Bolts that do not tighten like the others

    Formula: z = 0.67449 · (x - median)/MAD of the torque rise for the same angle; out where |z| > 3.5
    angle_step_deg: angle that all were turned
    torque_rise_n_m: rise of torque of each bolt, 1 first
    wrench_uncertainty_n_m: what the wrench cannot tell apart; the MAD is not taken below it
    Range: 4 bolts or more, turned by one angle.
    Raises: fewer than 4 bolts; angle not above 0; more than half equal and no wrench uncertainty given.
    Caution: Low: thread stretching or stripping. High: binding, dirty, bottomed, dry. Take that bolt out and look.
    Source: Iglewicz & Hoaglin, How to Detect and Handle Outliers, ASQC 1993
    Example: angle_step=90 'torque_rise=45 46 44 61 45 46 lbft'

    >>> torque_angle_check(30, [20.0, 21.0, 20.5, 33.0, 20.8, 20.2]).outlier_bolts
    (4,)
    """
    above_zero(angle_step_deg=angle_step_deg)
    readings(4, torque_rise_n_m=torque_rise_n_m)
    not_negative(wrench_uncertainty_n_m=wrench_uncertainty_n_m)
    _, found = scores(torque_rise_n_m, wrench_uncertainty_n_m, "torque_rise_n_m")
    return AngleCheck(tuple(n for n, z in enumerate(found, start=1) if abs(z) > OUTLIER), found)
