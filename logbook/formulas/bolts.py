"""Bolts by grade, by angle, and what a thread in a softer part holds."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.fasteners import STEEL
from logbook.formulas.quantities import Fraction, Stress
from logbook.formulas.refusals import OutsideRange, WrongKind, above_zero, usual, within

WHOLE = Fraction(1.0)
_MPA, _KSI = 1e6, 6894757.293168361
# proof, yield, tensile strength in Pa: ISO 898-1 table 3 (8.8 up to M16), SAE J429 (grade 5 up to 1 in)
_GRADES = {
    "4.6": (225 * _MPA, 240 * _MPA, 400 * _MPA),
    "5.8": (380 * _MPA, 420 * _MPA, 520 * _MPA),
    "8.8": (580 * _MPA, 640 * _MPA, 800 * _MPA),
    "9.8": (650 * _MPA, 720 * _MPA, 900 * _MPA),
    "10.9": (830 * _MPA, 940 * _MPA, 1040 * _MPA),
    "12.9": (970 * _MPA, 1100 * _MPA, 1220 * _MPA),
    "grade 2": (55 * _KSI, 57 * _KSI, 74 * _KSI),
    "grade 5": (85 * _KSI, 92 * _KSI, 120 * _KSI),
    "grade 8": (120 * _KSI, 130 * _KSI, 150 * _KSI),
}


class Strength(NamedTuple):
    proof_n: float
    yield_n: float
    tensile_n: float
    usual_preload_n: float


def bolt_strength(grade: str, area_m2: float) -> Strength:
    """Strength of a bolt by its grade

    Formula: load = strength · stress area; usual preload = 0.75 · proof load
    grade: 4.6, 5.8, 8.8, 9.8, 10.9, 12.9, or grade 2, grade 5, grade 8
    area_m2: stress area of the thread
    Range: steel bolts up to M16 or 1 in, at room temperature.
    Raises: another grade; area not above 0.
    Caution: Head, rod and main bolts go by their maker's figure, many of them past yield and once only. A head without
        marks is no strength at all.
    Source: ISO 898-1 table 3; SAE J429; 75 % of proof load is Shigley's for joints that are opened again
    Example: grade=10.9 area=58mm2
    Also: torque spec, proof load, grade 8

    >>> round(bolt_strength("8.8", 58e-6).proof_n)
    33640
    """
    above_zero(area_m2=area_m2)
    word = " ".join(grade.casefold().replace("class", "").replace("sae", "").split())
    word = f"grade {word}" if word in ("2", "5", "8") else word
    if word not in _GRADES:
        raise WrongKind("grade", grade, "one of " + ", ".join(_GRADES))
    proof, yields, tensile = (stress * area_m2 for stress in _GRADES[word])
    return Strength(proof, yields, tensile, 0.75 * proof)


class AnglePreload(NamedTuple):
    stretch_m: float
    preload_n: float
    stress_pa: Stress
    warnings: tuple[str, ...] = ()


def torque_angle_preload(
    angle_deg: float,
    pitch_m: float,
    grip_m: float,
    area_m2: float,
    modulus_pa: Stress = STEEL,
    bolt_share: Fraction = WHOLE,
) -> AnglePreload:
    """Stretch and preload of an angle

    Formula: ΔL = pitch · angle/360 · share of the bolt; F = E · A · ΔL/L
    angle_deg: angle turned after the snug torque
    pitch_m: pitch of the thread
    grip_m: length that is stretched
    area_m2: area of the section that stretches
    modulus_pa: modulus, 206 GPa for steel
    bolt_share: share of the movement that stretches the bolt; the joint is squeezed by the rest, often a third to half
    Range: below yield; the snug torque's own preload is added.
    Raises: angle outside 0 to 720; anything else not above 0; share above 1.
    Caution: With a share of 1 it is the most there can be. Above yield the formula ends: the bolt grows longer and
        pulls no harder. Bolts turned to yield are used once.
    Source: Hooke's law; VDI 2230 for the share of bolt and joint
    Example: angle=90 pitch=1.5mm grip=100mm area=58mm2 bolt_share=60%
    Also: torque to yield, stretch, head bolt

    >>> found = torque_angle_preload(90, 1.5e-3, 0.1, 58e-6)
    >>> round(found.stretch_m * 1e3, 3), round(found.preload_n / 1e3, 1)
    (0.375, 44.8)
    """
    within(0, 720, "0 to 720°", angle_deg=angle_deg)
    above_zero(pitch_m=pitch_m, grip_m=grip_m, area_m2=area_m2, modulus_pa=modulus_pa, bolt_share=bolt_share)
    if bolt_share > 1:
        raise OutsideRange("bolt_share", bolt_share, "above 0 to 1; 60 % is 0.6")
    stretch = pitch_m * angle_deg / 360 * bolt_share
    stress = modulus_pa * stretch / grip_m
    odd = usual(
        0, 940e6, "beyond the yield of a 10.9 bolt: the bolt yields before it pulls that hard", angle_deg=stress
    )
    return AnglePreload(stretch, stress * area_m2, Stress(stress), odd)


class Strip(NamedTuple):
    strip_load_n: float


def thread_strip_load(nominal_m: float, engaged_m: float, shear_pa: Stress) -> Strip:
    """Load that strips a thread in a softer part

    Formula: F = 0.5 · π · d · L · τ
    nominal_m: nominal diameter of the thread
    engaged_m: length of thread that holds
    shear_pa: shear strength of the softer part: cast aluminium 120 to 180 MPa, cast iron 150 to 220, mild steel 250
    Range: coarse and fine threads of 60 degrees, half of the height sheared.
    Raises: anything not above 0.
    Caution: Worn, wet or once stripped threads hold less. One and a half diameters in aluminium is the customary least.
    Source: common practice after Machinery's Handbook, shear of half the cylinder
    Example: nominal=10mm engaged=15mm shear=150MPa
    Also: helicoil, stripped thread, insert

    >>> round(thread_strip_load(0.01, 0.015, Stress(150e6)).strip_load_n / 1e3, 1)
    35.3
    """
    above_zero(nominal_m=nominal_m, engaged_m=engaged_m, shear_pa=shear_pa)
    return Strip(0.5 * math.pi * nominal_m * engaged_m * shear_pa)
