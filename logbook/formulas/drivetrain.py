"""Road speed, tyres, joints."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.refusals import OutsideRange, above_zero, finite, not_negative, usual, within


class RoadSpeed(NamedTuple):
    speed_m_s: float
    warnings: tuple[str, ...] = ()


def road_speed(rpm: float, gear_ratio: float, axle_ratio: float, rolling_diameter_m: float) -> RoadSpeed:
    """Road speed

    Formula: v = π · D · rpm/(60 · gear · axle)
    rpm: speed of the crank
    gear_ratio: ratio of the gear
    axle_ratio: ratio of the axle
    rolling_diameter_m: rolling diameter of the tyre, 2 to 4 % under its free one
    Range: no slip; an automatic slips unless locked.
    Raises: a ratio or the diameter not above 0; speed under 0.
    Caution: Try it on a closed course: speed limits and registration are local law.
    Source: kinematics
    Example: rpm=2500 gear_ratio=1 axle_ratio=3.73 tire=265/70R17
    Also: tire, mph, gear

    >>> round(road_speed(2000, 1.0, 3.73, 0.7493).speed_m_s * 3.6, 2)
    75.73
    """
    not_negative(rpm=rpm)
    above_zero(gear_ratio=gear_ratio, axle_ratio=axle_ratio, rolling_diameter_m=rolling_diameter_m)
    odd = usual(0.3, 1.6, "outside 0.3 to 1.6 m", rolling_diameter_m=rolling_diameter_m)
    return RoadSpeed(math.pi * rolling_diameter_m * rpm / 60 / (gear_ratio * axle_ratio), odd)


def tyre_diameter(width_m: float, aspect_percent: float, rim_m: float) -> float:
    """Free diameter of a tyre

    Formula: D = rim + 2 · aspect/100 · width
    width_m: width of the tyre
    aspect_percent: height of its side against its width
    rim_m: diameter of the rim
    Range: metric codes such as 265/70-17; inch codes such as 31x10.5 give the diameter themselves.
    Raises: aspect outside 25 to 100; width or rim not above 0.
    Caution: Free and unloaded; it rolls 2 to 4 % smaller.
    Source: ISO 4000-1
    Example: tire=265/70R17
    Also: tire, tire size, wheel

    >>> round(tyre_diameter(0.265, 70, 17 * 0.0254) * 1e3, 1)
    802.8
    """
    above_zero(width_m=width_m, rim_m=rim_m)
    within(25, 100, "25 to 100 %", aspect_percent=aspect_percent)
    return rim_m + 2 * aspect_percent / 100 * width_m


class JointVariation(NamedTuple):
    max_ratio: float
    min_ratio: float
    peak_to_peak_fraction: float
    warnings: tuple[str, ...] = ()


def ujoint_speed_variation(joint_angle_deg: float) -> JointVariation:
    """Speed variation of a cross joint

    Formula: from cos β to 1/cos β, twice a turn; peak to peak 1/cos β - cos β
    joint_angle_deg: working angle of the joint
    Range: 0 to 45 degrees; about 1 to 3 in use.
    Raises: angle outside 0 to 60 degrees.
    Caution: Two joints cancel only with equal angles and yokes in phase. Above 3 degrees, or unequal by more than 1, it
        shakes; near 0 the needles wear too. The pinion rises under torque. Support a raised vehicle on stands.
    Source: kinematics of the cross joint; the limits are common practice
    Example: joint_angle=3

    >>> round(ujoint_speed_variation(10.0).max_ratio, 4)
    1.0154
    """
    finite(joint_angle_deg=joint_angle_deg)
    if not 0 <= joint_angle_deg < 60:
        raise OutsideRange("joint_angle_deg", joint_angle_deg, "0 to 60 degrees")
    ratio = math.cos(math.radians(joint_angle_deg))
    odd = usual(0, 3, "above 3 degrees", joint_angle_deg=joint_angle_deg)
    return JointVariation(1 / ratio, ratio, 1 / ratio - ratio, odd)
