"""Volumes and motion of a cylinder: from bore, stroke and rod to ratios and piston speed."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.refusals import (
    OutsideRange,
    above_zero,
    finite,
    not_negative,
    usual,
    whole,
)

_INCHES = "outside 30 to 250 mm; were inches meant?"


def disc_volume(diameter_m: float, height_m: float) -> float:
    """Volume of a disc, m3; a negative height gives a negative volume.

    >>> round(disc_volume(0.1, 0.001) * 1e6, 4)
    7.854
    """
    return math.pi / 4 * diameter_m**2 * height_m


class Displacement(NamedTuple):
    displacement_m3: float
    warnings: tuple[str, ...] = ()


def displacement(bore_m: float, stroke_m: float, cylinders: int) -> Displacement:
    """Displacement

    Formula: V = N · π/4 · B² · S
    bore_m: bore of the cylinder
    stroke_m: stroke
    cylinders: number of cylinders
    Range: bore and stroke 30 to 250 mm, 1 to 16 cylinders.
    Raises: bore or stroke not above 0; cylinders not a whole number of 1 or more.
    Source: Heywood, Internal Combustion Engine Fundamentals, sec. 2.2
    Example: bore=4.03in stroke=3.48in cylinders=8
    Also: cubic inches, CID, cc

    >>> round(displacement(0.086, 0.086, 4).displacement_m3 * 1e6, 1)
    1998.2
    """
    above_zero(bore_m=bore_m, stroke_m=stroke_m)
    whole(1, 64, cylinders=cylinders)
    return Displacement(
        cylinders * disc_volume(bore_m, stroke_m),
        usual(0.030, 0.250, _INCHES, bore_m=bore_m, stroke_m=stroke_m),
    )


class Clearance(NamedTuple):
    gasket_m3: float
    deck_m3: float
    clearance_m3: float
    warnings: tuple[str, ...] = ()


def clearance_volume(
    bore_m: float,
    chamber_m3: float,
    piston_m3: float,
    gasket_bore_m: float,
    gasket_thickness_m: float,
    deck_clearance_m: float,
    stroke_m: float | None = None,
) -> Clearance:
    """Clearance volume

    Formula: Vc = Vchamber + Vpiston + π/4 · Dg² · tg + π/4 · B² · deck
    bore_m: bore of the cylinder
    chamber_m3: chamber in the head
    piston_m3: piston, + for a dish or reliefs, - for a dome
    gasket_bore_m: bore of the gasket
    gasket_thickness_m: thickness of the gasket when compressed
    deck_clearance_m: piston below the deck at top dead centre, - where it stands proud
    stroke_m: stroke, not needed for the volume
    Range: clearance volume 10 to 300 cc.
    Raises: clearance volume not above 0; gasket bore under the cylinder's; thickness not above 0.
    Caution: The crevice above the top ring is left out, so the ratio reads high by about 0.1.
    Source: sum of volumes, common practice; the signs are this project's own
    Example: bore=4.03in chamber=64cc piston=5cc gasket_bore=4.1in gasket_thickness=.041in deck_clearance=.025in
        stroke=3.48in

    >>> round(clearance_volume(0.086, 45e-6, 0.0, 0.0875, 0.0007, -0.0001).clearance_m3 * 1e6, 2)
    48.63
    """
    above_zero(bore_m=bore_m, chamber_m3=chamber_m3, gasket_bore_m=gasket_bore_m)
    above_zero(gasket_thickness_m=gasket_thickness_m)
    finite(piston_m3=piston_m3, deck_clearance_m=deck_clearance_m)
    if gasket_bore_m < bore_m:
        raise OutsideRange("gasket_bore_m", gasket_bore_m, f"at least the cylinder's bore, {bore_m * 1e3:g} mm")
    gasket_m3 = disc_volume(gasket_bore_m, gasket_thickness_m)
    deck_m3 = disc_volume(bore_m, deck_clearance_m)
    clearance_m3 = chamber_m3 + piston_m3 + gasket_m3 + deck_m3
    if clearance_m3 <= 0:
        raise OutsideRange("piston_m3", piston_m3, "leaves no clearance volume: look at the signs of piston and deck")
    odd = usual(10e-6, 300e-6, "outside 10 to 300 cc; look at the units and signs", clearance_m3=clearance_m3)
    return Clearance(gasket_m3, deck_m3, clearance_m3, odd)


class CompressionRatio(NamedTuple):
    compression_ratio: float
    warnings: tuple[str, ...] = ()


def static_compression_ratio(
    bore_m: float,
    stroke_m: float,
    chamber_m3: float,
    piston_m3: float,
    gasket_bore_m: float,
    gasket_thickness_m: float,
    deck_clearance_m: float,
) -> CompressionRatio:
    """Static compression ratio

    Formula: CR = (Vs + Vc) / Vc, with Vs one cylinder's swept volume
    bore_m: bore of the cylinder
    stroke_m: stroke
    chamber_m3: chamber in the head
    piston_m3: piston, + for a dish or reliefs, - for a dome
    gasket_bore_m: bore of the gasket
    gasket_thickness_m: thickness of the gasket when compressed
    deck_clearance_m: piston below the deck at top dead centre, - where it stands proud
    Range: 5 to 25.
    Raises: as for the clearance volume; stroke not above 0.
    Caution: The crevice above the top ring is left out, so the ratio reads high by about 0.1.
    Source: Heywood, Internal Combustion Engine Fundamentals, sec. 2.2
    Example: bore=4.03in stroke=3.48in chamber=64cc piston=5cc gasket_bore=4.1in gasket_thickness=.041in
        deck_clearance=.025in
    Also: cr, compression ratio

    >>> round(static_compression_ratio(0.086, 0.086, 45e-6, 0.0, 0.0875, 0.0007, -0.0001).compression_ratio, 4)
    11.273
    """
    above_zero(bore_m=bore_m, stroke_m=stroke_m)
    clearance = clearance_volume(bore_m, chamber_m3, piston_m3, gasket_bore_m, gasket_thickness_m, deck_clearance_m)
    ratio = 1 + disc_volume(bore_m, stroke_m) / clearance.clearance_m3
    odd = usual(5, 25, "outside 5 to 25; look at the units", compression_ratio=ratio)
    return CompressionRatio(ratio, clearance.warnings + odd)


class Quench(NamedTuple):
    quench_m: float
    warnings: tuple[str, ...] = ()


def quench_height(deck_clearance_m: float, gasket_thickness_m: float) -> Quench:
    """Quench height

    Formula: q = deck + compressed gasket
    deck_clearance_m: piston below the deck at top dead centre, - where it stands proud
    gasket_thickness_m: thickness of the gasket when compressed
    Range: 0.9 to 1.5 mm is customary with steel rods; a warning beyond.
    Raises: thickness or height not above 0.
    Caution: Means something only where the piston has a flat that faces the head. The maker's figure comes first.
    Source: common practice, no source
    Example: deck_clearance=.005in gasket_thickness=.039in

    >>> round(quench_height(0.00025, 0.00099).quench_m * 1e3, 2)
    1.24
    """
    finite(deck_clearance_m=deck_clearance_m)
    above_zero(gasket_thickness_m=gasket_thickness_m)
    quench_m = deck_clearance_m + gasket_thickness_m
    if quench_m <= 0:
        raise OutsideRange("deck_clearance_m", deck_clearance_m, "leaves no gap: the piston would touch the head")
    return Quench(quench_m, usual(0.9e-3, 1.5e-3, "outside the customary 0.9 to 1.5 mm", quench_m=quench_m))


def _height(throw_m: float, rod_m: float, pin_offset_m: float, crank_deg: float) -> float:
    """Height of the pin above the crank's centre."""
    angle = math.radians(crank_deg)
    return throw_m * math.cos(angle) + math.sqrt(rod_m**2 - (throw_m * math.sin(angle) - pin_offset_m) ** 2)


def _rod_reaches(throw_m: float, rod_m: float, pin_offset_m: float) -> None:
    if rod_m <= throw_m + abs(pin_offset_m):
        raise OutsideRange("rod_m", rod_m, f"longer than throw and offset, {(throw_m + abs(pin_offset_m)) * 1e3:g} mm")


def piston_position(
    stroke_m: float, rod_m: float, crank_deg_after_crank_top: float, pin_offset_m: float = 0.0
) -> float:
    """Piston below top dead centre

    Formula: x = √((l + r)² - e²) - (r cos t + √(l² - (r sin t - e)²)), r = S/2
    stroke_m: twice the crank's throw
    rod_m: length of the rod between centres
    crank_deg_after_crank_top: angle of the crank after its own top
    pin_offset_m: offset of the pin, + toward the side to which the crankpin moves after top
    Range: any angle.
    Raises: rod not longer than throw and offset together; stroke not above 0.
    Source: Heywood, Internal Combustion Engine Fundamentals, eq. 2.5, with the offset added
    Example: stroke=3.48in rod=5.7in crank=90 pin_offset=0in

    >>> round(piston_position(0.088392, 0.1448, 90.0) * 1e3, 3)
    51.106
    """
    above_zero(stroke_m=stroke_m, rod_m=rod_m)
    finite(pin_offset_m=pin_offset_m, crank_deg_after_crank_top=crank_deg_after_crank_top)
    throw_m = stroke_m / 2
    _rod_reaches(throw_m, rod_m, pin_offset_m)
    top_m = math.sqrt((rod_m + throw_m) ** 2 - pin_offset_m**2)
    return top_m - _height(throw_m, rod_m, pin_offset_m, crank_deg_after_crank_top)


class EffectiveStroke(NamedTuple):
    stroke_m: float
    tdc_crank_deg: float


def effective_stroke(crank_throw_m: float, rod_m: float, pin_offset_m: float) -> EffectiveStroke:
    """Stroke with an offset pin

    Formula: S = √((l + r)² - e²) - √((l - r)² - e²); top dead centre at asin(e / (l + r))
    crank_throw_m: throw of the crank, half its stroke
    rod_m: length of the rod between centres
    pin_offset_m: offset of the pin, + toward the side to which the crankpin moves after top
    Range: any offset shorter than rod less throw.
    Raises: offset not under rod less throw; throw not above 0.
    Source: kinematics of the offset slider-crank, any textbook
    Example: crank_throw=1.74in rod=5.7in pin_offset=.06in

    >>> round(effective_stroke(0.043, 0.130, 0.012).stroke_m * 1e3, 4)
    86.4149
    """
    above_zero(crank_throw_m=crank_throw_m, rod_m=rod_m)
    finite(pin_offset_m=pin_offset_m)
    if abs(pin_offset_m) >= rod_m - crank_throw_m:
        reach = f"under rod less throw, {(rod_m - crank_throw_m) * 1e3:g} mm"
        raise OutsideRange("pin_offset_m", pin_offset_m, reach)
    top = math.sqrt((rod_m + crank_throw_m) ** 2 - pin_offset_m**2)
    bottom = math.sqrt((rod_m - crank_throw_m) ** 2 - pin_offset_m**2)
    return EffectiveStroke(top - bottom, math.degrees(math.asin(pin_offset_m / (rod_m + crank_throw_m))))


class PistonSpeed(NamedTuple):
    speed_m_s: float
    warnings: tuple[str, ...] = ()


def mean_piston_speed(stroke_m: float, rpm: float) -> PistonSpeed:
    """Mean piston speed

    Formula: v = 2 · S · n, n in turns a second
    stroke_m: stroke
    rpm: speed of the crank
    Range: 0 to 30 m/s; above about 20 m/s a warning (cast parts).
    Raises: stroke not above 0; speed under 0.
    Caution: What the parts stand is for their maker to say; 20 m/s is common practice for cast ones.
    Source: Heywood, Internal Combustion Engine Fundamentals, eq. 2.9
    Example: stroke=3.48in rpm=6000rpm

    >>> round(mean_piston_speed(0.088392, 6000).speed_m_s, 4)
    17.6784
    """
    above_zero(stroke_m=stroke_m)
    not_negative(rpm=rpm)
    speed = 2 * stroke_m * rpm / 60
    return PistonSpeed(speed, usual(0, 20, "above about 20 m/s, beyond what cast parts are used to", speed_m_s=speed))


class RodRatio(NamedTuple):
    rod_ratio: float
    warnings: tuple[str, ...] = ()


def rod_ratio(stroke_m: float, rod_m: float) -> RodRatio:
    """Rod ratio

    Formula: rod length / stroke
    stroke_m: stroke
    rod_m: length of the rod between centres
    Range: 1.3 to 2.2; a warning beyond.
    Raises: stroke or rod not above 0.
    Caution: Some books divide by the throw, half the stroke, and print twice this number.
    Source: definition; common practice
    Example: stroke=3.48in rod=5.7in

    >>> round(rod_ratio(0.088392, 0.1448).rod_ratio, 4)
    1.6382
    """
    above_zero(stroke_m=stroke_m, rod_m=rod_m)
    ratio = rod_m / stroke_m
    return RodRatio(ratio, usual(1.3, 2.2, "outside 1.3 to 2.2; was the throw given as stroke?", rod_ratio=ratio))
