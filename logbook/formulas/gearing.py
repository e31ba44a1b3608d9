"""Revs on the road, and what another axle or tyre does to them."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.refusals import above_zero, not_negative, usual


class RoadRpm(NamedTuple):
    rpm: float


def road_rpm(speed_m_s: float, gear_ratio: float, axle_ratio: float, rolling_diameter_m: float) -> RoadRpm:
    """Engine speed at a road speed

    Formula: rpm = 60 · v · gear · axle/(π · D); mph · gear · axle · 336/D in inches
    speed_m_s: road speed
    gear_ratio: ratio of the gear
    axle_ratio: ratio of the axle
    rolling_diameter_m: rolling diameter of the tyre, 2 to 4 % under its free one
    Range: no slip; an unlocked automatic turns 100 to 300 rpm more.
    Raises: speed under 0; a ratio or the diameter not above 0.
    Source: kinematics
    Example: speed=65mph gear=.7 axle=3.73 tire=265/70R17
    Also: tire, mph, gear, cruise

    >>> round(road_rpm(65 * 0.44704, 1.0, 3.73, 28 * 0.0254).rpm)
    2911
    """
    not_negative(speed_m_s=speed_m_s)
    above_zero(gear_ratio=gear_ratio, axle_ratio=axle_ratio, rolling_diameter_m=rolling_diameter_m)
    return RoadRpm(60 * speed_m_s * gear_ratio * axle_ratio / (math.pi * rolling_diameter_m))


class Changed(NamedTuple):
    rpm_ratio: float
    speedometer_error_percent: float
    axle_for_old_revs: float
    warnings: tuple[str, ...] = ()


def axle_tyre_change(old_axle: float, new_axle: float, old_diameter_m: float, new_diameter_m: float) -> Changed:
    """What another axle or tyre changes

    Formula: revs change by (new axle/old axle) · (old D/new D); a speedometer at the gearbox reads as much more
    old_axle: ratio of the axle before
    new_axle: ratio of the axle after
    old_diameter_m: diameter of the tyre before
    new_diameter_m: diameter of the tyre after, measured in the same way
    Range: any.
    Raises: a ratio or a diameter not above 0.
    Caution: A speedometer that reads low gets tickets, and a wrong reading may fail inspection: correct the drive gear
        or the controller.
    Source: kinematics
    Example: old_axle=3.08 new_axle=3.73 old_diameter=26in new_diameter=28in
    Also: tire, gear swap, speedometer

    >>> round(axle_tyre_change(3.08, 3.73, 26 * 0.0254, 28 * 0.0254).rpm_ratio, 4)
    1.1245
    """
    above_zero(old_axle=old_axle, new_axle=new_axle, old_diameter_m=old_diameter_m, new_diameter_m=new_diameter_m)
    ratio = new_axle / old_axle * old_diameter_m / new_diameter_m
    odd = usual(0.6, 1.7, "changes the revs by more than two thirds", new_axle=ratio)
    return Changed(ratio, 100 * (ratio - 1), old_axle * new_diameter_m / old_diameter_m, odd)


class Revolutions(NamedTuple):
    per_km: float
    per_mile: float


def tyre_revolutions(rolling_diameter_m: float) -> Revolutions:
    """Turns of a tyre in a kilometre and a mile

    Formula: 1000/(π · D); 1609.344/(π · D)
    rolling_diameter_m: rolling diameter of the tyre; a rolled-out mark on the floor gives it best
    Range: any.
    Raises: diameter not above 0.
    Source: kinematics
    Example: tire=265/70R17
    Also: tire, speedometer, revs per mile

    >>> round(tyre_revolutions(0.7112).per_mile, 1)
    720.3
    """
    above_zero(rolling_diameter_m=rolling_diameter_m)
    round_m = math.pi * rolling_diameter_m
    return Revolutions(1000 / round_m, 1609.344 / round_m)
