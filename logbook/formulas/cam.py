"""The cam, and what is left to compress once the intake has closed."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.geometry import piston_position
from logbook.formulas.refusals import (
    above,
    usual,
    within,
)


class TrappedRatio(NamedTuple):
    trapped_cr: float
    warnings: tuple[str, ...] = ()


def trapped_compression_ratio(stroke_m: float, rod_m: float, static_cr: float, ivc_deg_abdc: float) -> TrappedRatio:
    """Trapped compression ratio

    Formula: CRt = 1 + (CR - 1) · x / S, x = piston below top when the intake valve closes
    stroke_m: stroke
    rod_m: length of the rod between centres
    static_cr: static compression ratio
    ivc_deg_abdc: intake closing angle at the seat, after bottom dead centre
    Range: closing 0 to 120 degrees after bottom dead centre.
    Raises: closing outside 0 to 180; ratio not above 1; rod not longer than the throw.
    Caution: Needs the angle at the seat. An angle at 1.27 mm (.050 in) lift is 15 to 35 degrees early and gives a ratio
        that is too high. It is a ratio of volumes, not of pressures.
    Source: kinematics of the slider-crank; common practice
    Example: stroke=3.48in rod=5.7in static_cr=9.5 ivc=60
    Also: dynamic compression, cam

    >>> round(trapped_compression_ratio(0.088392, 0.1448, 9.5, 60.0).trapped_cr, 4)
    7.8703
    """
    above(1, static_cr=static_cr)
    within(0, 180, "0 to 180 degrees after bottom dead centre", ivc_deg_abdc=ivc_deg_abdc)
    depth_m = piston_position(stroke_m, rod_m, 180 + ivc_deg_abdc)
    late = usual(0, 120, "closing later than 120 degrees is beyond any usual cam", ivc_deg_abdc=ivc_deg_abdc)
    return TrappedRatio(1 + (static_cr - 1) * depth_m / stroke_m, late)


class CamTiming(NamedTuple):
    intake_duration_deg: float
    exhaust_duration_deg: float
    intake_centreline_deg_atdc: float
    exhaust_centreline_deg_btdc: float
    lobe_separation_cam_deg: float
    overlap_deg: float


def cam_timing_from_events(
    intake_open_deg_btdc: float,
    intake_close_deg_abdc: float,
    exhaust_open_deg_bbdc: float,
    exhaust_close_deg_atdc: float,
) -> CamTiming:
    """Cam timing from its events

    Formula: durations IO + 180 + IC and EO + 180 + EC; centrelines (180 + IC - IO)/2 and (180 + EO - EC)/2;
        lobe separation = their mean; overlap = IO + EC
    intake_open_deg_btdc: intake opens before top dead centre, - for after
    intake_close_deg_abdc: intake closes after bottom dead centre
    exhaust_open_deg_bbdc: exhaust opens before bottom dead centre
    exhaust_close_deg_atdc: exhaust closes after top dead centre, - for before
    Range: each event within 180 degrees.
    Raises: an event beyond 180 degrees; a duration not above 0.
    Caution: The centreline is the middle of the events only for a symmetric lobe; all four must be at the same lift.
        Separation is in cam degrees, the rest in crank degrees. A negative overlap is a gap.
    Source: geometry; common practice
    Example: intake_open=10 intake_close=50 exhaust_open=55 exhaust_close=12
    Also: duration, overlap, lobe separation, cam card

    >>> cam_timing_from_events(10, 50, 55, 12).lobe_separation_cam_deg
    110.75
    """
    events = {
        "intake_open_deg_btdc": intake_open_deg_btdc,
        "intake_close_deg_abdc": intake_close_deg_abdc,
        "exhaust_open_deg_bbdc": exhaust_open_deg_bbdc,
        "exhaust_close_deg_atdc": exhaust_close_deg_atdc,
    }
    within(-180, 180, "-180 to 180 crank degrees", **events)
    intake = intake_open_deg_btdc + 180 + intake_close_deg_abdc
    exhaust = exhaust_open_deg_bbdc + 180 + exhaust_close_deg_atdc
    above(
        0, "the valve would never open: duration above 0", intake_close_deg_abdc=intake, exhaust_close_deg_atdc=exhaust
    )
    intake_centre = (180 + intake_close_deg_abdc - intake_open_deg_btdc) / 2
    exhaust_centre = (180 + exhaust_open_deg_bbdc - exhaust_close_deg_atdc) / 2
    return CamTiming(
        intake,
        exhaust,
        intake_centre,
        exhaust_centre,
        (intake_centre + exhaust_centre) / 2,
        float(intake_open_deg_btdc + exhaust_close_deg_atdc),
    )
