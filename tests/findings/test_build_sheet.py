"""The build sheet's numbers against sums done by hand, and what is said where something lacks."""

import math

import pytest

from tests.findings.logs import lines, log, numbers, one, result

BORES = "bore top: 1 86.00, 2 86.00, 3 86.00, 4 86.00 mm\nstroke: 86.0 mm\nrod length: 137.0 mm\n"
HEAD = (
    "chamber: 1 45.0, 2 45.0, 3 45.0, 4 46.0 cc\npiston volume: all +0.0 cc\n"
    "gasket: thickness 0.70 mm, bore 87.5 mm\ndeck: all -0.10 mm\n"
)
CAM = "cam intake: opens 10 btdc, closes 50 abdc, lift 10 mm\ncam exhaust: opens 55 bbdc, closes 12 atdc, lift 10 mm\n"


def test_volumes_and_ratio_by_hand() -> None:
    """Cylinder 1 of the handbook's pop-up deck: 48.628 cc, 11.273 : 1 (scipy integration there)."""
    job = log(BORES + HEAD)
    assert result(one(job, "displacement"))["displacement_cc"] == pytest.approx(1998.229, abs=0.01)
    clearances = {n.title[-1]: result(n)["clearance_cc"] for n in numbers(job, "clearance_volume")}
    assert clearances["1"] == pytest.approx(48.628, abs=0.001)
    assert clearances["4"] == pytest.approx(49.628, abs=0.001)
    ratio = one(job, "static_compression_ratio")
    assert "1: 11.27" in ratio.sentence and "4: 11.07" in ratio.sentence
    assert any("chamber" in line for line in lines(job, ratio))


def test_spread_of_the_displacement_by_hand() -> None:
    """Bore as the mean of four, each to .005 mm at best; stroke to .03: u(V)/V = sqrt((2 u/B)^2 + (u/S)^2)."""
    bore = 0.005 / math.sqrt(4)
    stroke = 0.03
    by_hand = 1998.229 * math.hypot(2 * bore / 86, stroke / 86)
    assert result(one(log(BORES), "displacement"))["u_displacement_cc"] == pytest.approx(by_hand, rel=1e-3)


def test_what_lacks_is_named() -> None:
    assert "the stroke" in one(log("bore: all 86.0 mm"), "displacement").missing
    assert "deck" in one(log(BORES + "chamber: all 45.0 cc\ngasket: thickness 0.7 mm, bore 87.5 mm"),
                         "static_compression_ratio").missing  # fmt: skip
    assert "closing angle" in one(log(BORES + HEAD), "trapped_compression_ratio").missing
    assert "rev limit" in one(log(BORES), "mean_piston_speed").missing
    assert "exhaust" in one(log("cam intake: opens 10 btdc, closes 50 abdc"), "cam_timing_from_events").missing


def test_quench_is_of_the_tightest() -> None:
    job = log(BORES + "gasket: thickness 0.99 mm\ndeck: 1 0.25, 2 0.10, 3 0.25, 4 0.25 mm")
    quench = one(job, "quench_height")
    assert quench.title.endswith("cylinder 2") and result(quench)["quench_mm"] == pytest.approx(1.09)
    assert not quench.out
    assert one(log("gasket: thickness 0.50 mm\ndeck: all 0.1 mm"), "quench_height").out


def test_cam_and_trapped_ratio() -> None:
    job = log(BORES + HEAD + CAM)
    assert one(job, "cam_timing_from_events").shown.startswith("110.8°")
    trapped = result(one(job, "trapped_compression_ratio"))["trapped_cr"]
    # piston below top at 50 degrees after bottom, from the rod's own triangle
    angle = math.radians(230)
    depth = 43 + 137 - (43 * math.cos(angle) + math.sqrt(137**2 - (43 * math.sin(angle)) ** 2))
    mean = (3 * (1 + 499.557 / 48.628) + (1 + 499.557 / 49.628)) / 4
    assert trapped == pytest.approx(1 + (mean - 1) * depth / 86, rel=1e-4)


def test_the_cranking_band_is_a_band() -> None:
    job = log(BORES + HEAD + CAM + "compression: 1 12.0, 2 12.1, 3 12.0, 4 12.0 bar")
    band = one(job, "cranking_pressure_at_altitude")
    assert " to " in band.shown and not band.out
    low, high = (result(n)["gauge_kpa"] for n in numbers(job, "cranking_pressure"))
    assert low < result(band)["gauge_psi"] * 6.894757 < high
    assert result(one(job, "isentropic_compression_bound"))["gauge_psi"] * 6.894757 > high
    assert one(job, "cranking_exponent_from_reading").inputs[1].value.endswith("(median)")


def test_piston_speed_against_cast_parts() -> None:
    job = log(BORES, more="rev limit: 7500")
    speed = one(job, "mean_piston_speed")
    assert result(speed)["speed_m_s"] == pytest.approx(21.5) and speed.out


def test_a_bolt_that_rose_unlike_the_others() -> None:
    body = "torque head: 1-6 40 Nm\nangle head: 1-6 90 deg\ntorque head final: 1 92, 2 95, 3 94, 4 131, 5 96, 6 93 Nm"
    check = one(log(body), "torque_angle_check")
    assert check.shown == "4" and check.out and "Take it out" in check.sentence
    mended = one(log(body + "\ncorrect torque head final: 4 94"), "torque_angle_check")
    assert mended.shown == "even" and not mended.out


def test_bolts_of_a_known_size() -> None:
    """M10x1.5: 58.0 mm2 (ISO 898-1, from memory); 50 N m oiled: 50/(.165 x .010) = 30.3 kN."""
    job = log("torque head: 1-10 50 Nm @ M10x1.5, oiled, 60 mm\nstretch head: 1 0.15, 2 0.15 mm")
    assert result(one(job, "bolt_stress_area"))["stress_area_mm2"] == pytest.approx(58.0, abs=0.05)
    assert one(job, "bolt_torque").shown.startswith("30 ± 8")
    assert result(one(job, "bolt_stretch"))["stretch_mm"] == pytest.approx(30303 * 60 / (58.0 * 206e3), rel=1e-3)
    inch = log("torque head: 1-10 60 lbft @ thread 1/2-13", units="us", altitude="0 ft")
    assert result(one(inch, "bolt_stress_area"))["stress_area_in2"] == pytest.approx(0.1419, abs=0.0003)


def test_torque_in_the_other_unit() -> None:
    assert one(log("torque head: 1-10 88.128 Nm"), "torque_units").shown == "65.0 lbf ft"
