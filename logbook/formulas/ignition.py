"""Dwell, and marks on a damper."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.refusals import OutsideRange, above_zero, usual, whole


class Dwell(NamedTuple):
    dwell_s: float
    share: float
    warnings: tuple[str, ...] = ()


def dwell_time(dwell_deg: float, rpm: float, cylinders: int) -> Dwell:
    """Dwell in milliseconds from degrees

    Formula: t = degrees/(3 · rpm) s, degrees of the distributor, which turns at half speed
    dwell_deg: dwell angle of the distributor
    rpm: speed of the crank
    cylinders: number of cylinders that the distributor serves
    Range: four-stroke with a distributor: 25 to 35° of 45° for eight cylinders, 35 to 60° of 90° for four.
    Raises: angle or speed not above 0; as many degrees as lie between two sparks.
    Caution: A longer dwell heats the coil; a gap of the points moves the timing, so set dwell first, then timing.
    Source: kinematics; usual angles are common practice, no source
    Example: dwell=30 rpm=3000 cylinders=8
    Also: points, distributor, coil, duration

    >>> round(dwell_time(30, 3000, 8).dwell_s * 1e3, 3)
    3.333
    """
    above_zero(dwell_deg=dwell_deg, rpm=rpm)
    whole(1, 16, cylinders=cylinders)
    between = 360 / cylinders
    if dwell_deg >= between:
        raise OutsideRange("dwell_deg", dwell_deg, f"under {between:g}°, what lies between two sparks")
    share = dwell_deg / between
    return Dwell(dwell_deg / (3 * rpm), share, usual(0.3, 0.85, "outside 30 to 85 % of the angle", dwell_deg=share))


class DwellAngle(NamedTuple):
    dwell_deg: float
    share: float


def dwell_angle(dwell_s: float, rpm: float, cylinders: int) -> DwellAngle:
    """Dwell in degrees from milliseconds

    Formula: degrees = 3 · rpm · t, of the distributor
    dwell_s: time that the coil is fed
    rpm: speed of the crank
    cylinders: number of cylinders that the coil serves
    Range: one coil with a distributor.
    Raises: time or speed not above 0; more time than lies between two sparks.
    Caution: At high speed a long dwell does not fit between two sparks: the coil is never switched off.
    Source: kinematics
    Example: dwell=3ms rpm=5000 cylinders=8
    Also: points, distributor, coil, duration

    >>> round(dwell_angle(3e-3, 4000, 8).dwell_deg, 6)
    36.0
    """
    above_zero(dwell_s=dwell_s, rpm=rpm)
    whole(1, 16, cylinders=cylinders)
    angle = 3 * rpm * dwell_s
    between = 360 / cylinders
    if angle > between:
        most = between / (3 * rpm) * 1e3
        raise OutsideRange("dwell_s", dwell_s, f"at most {most:.2f} ms, what lies between two sparks at that speed")
    return DwellAngle(angle, angle / between)


def damper_mark_distance(diameter_m: float, angle_deg: float) -> float:
    """Distance of a mark on a damper

    Formula: s = π · D · angle/360, along the rim
    diameter_m: diameter of the damper
    angle_deg: angle of the crank
    Range: 0 to 180°.
    Raises: diameter not above 0; angle outside 0 to 180.
    Caution: Find true top with a piston stop first: a damper's ring may have slipped.
    Source: kinematics
    Example: diameter=8in angle=30
    Also: timing tape, timing mark, degree wheel

    >>> round(damper_mark_distance(0.2032, 30) * 1e3, 2)
    53.2
    """
    above_zero(diameter_m=diameter_m)
    if not 0 <= angle_deg <= 180:
        raise OutsideRange("angle_deg", angle_deg, "0 to 180°")
    return math.pi * diameter_m * angle_deg / 360
