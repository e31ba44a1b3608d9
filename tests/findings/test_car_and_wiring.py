"""Feeds, coils side by side, battery, tyre, gears, joints: by hand."""

import pytest

from tests.findings.logs import V_SIX, log, numbers, one, result


def test_loss_of_a_feed_by_hand() -> None:
    """14 AWG, 4 m, 10 A, chassis return: 8.286 mohm/m (NBS Handbook 100, from memory) give .331 V."""
    job = log("feed pump: 12.1 @ 14 awg, 4 m, 10 A")
    drop = one(job, "wire_voltage_drop")
    assert result(drop)["drop_v"] == pytest.approx(0.3314, abs=0.001)
    assert "12.1 V arrived" in drop.sentence and not drop.out
    assert result(one(job, "wire_diameter_awg"))["diameter_mm"] == pytest.approx(1.628, abs=0.001)
    metric = log("feed pump: 12.1 @ 1.5 mm2, 4 m, 10 A")
    assert result(one(metric, "wire_voltage_drop"))["drop_v"] == pytest.approx(10 * 1.7241e-8 * 4 / 1.5e-6, rel=1e-6)
    assert one(metric, "wire_voltage_drop").out  # 3.8 % of 12 V


def test_what_a_feed_lacks() -> None:
    assert "load" in one(log("feed pump: 12.1 @ 2.5 mm2, 4 m"), "wire_voltage_drop").missing
    assert not numbers(log("feed pump: 12.1 @ key on"), "wire_voltage_drop")


def test_injectors_of_one_feed_together() -> None:
    job = log("resistance injector: all 13.1 @ 20 C", engine=V_SIX, more="shared injector feed: 1 3 5, 2 4 6")
    found = numbers(job, "resistance_parallel")
    assert [n.title for n in found] == ["Injectors 1, 3 and 5 together", "Injectors 2, 4 and 6 together"]
    assert result(found[0])["resistance_ohm"] == pytest.approx(13.1 / 3)


def test_battery() -> None:
    good = one(log("battery: rest 12.65, cranking 10.9"), "battery_rest_state")
    assert good.shown == "100 ± 10 %" and "enough for the starter" in good.sentence
    flat = one(log("battery: rest 12.0, cranking 9.2"), "battery_rest_state")
    assert flat.out and "come first" in flat.sentence
    wrong = one(log("battery rest: 14.9"), "battery_rest_state")
    assert wrong.missing and "24 V" in wrong.missing


def test_road_speed_by_hand() -> None:
    """205/55-16 is 631.9 mm; 3 % less rolls 1.9256 m; 6000 rpm over .82 x 4.1 are 206.2 km/h."""
    job = log("gears: 3.36 1.86 1.32 1.00 0.82\naxle: 4.1\ntyre: 205/55-16", more="rev limit: 6000")
    assert result(one(job, "tyre_diameter"))["diameter_mm"] == pytest.approx(631.9)
    speed = one(job, "road_speed")
    assert result(speed)["speed_km_h"] == pytest.approx(1.92562 * 6000 / (0.82 * 4.1) * 60 / 1000, rel=1e-4)
    assert "1: " in speed.sentence and "5: " in speed.sentence


@pytest.mark.parametrize("code", ["205/55-16", "205/55 R16", "205/55R16", "205/55ZR16"])
def test_ways_to_write_a_tyre(code: str) -> None:
    assert result(one(log(f"tyre: {code}"), "tyre_diameter"))["diameter_mm"] == pytest.approx(631.9)


def test_inch_tyres_and_what_lacks() -> None:
    job = log("gears: 3.0 1.5 1.0\naxle: 4.1\ntyre: 31x10.5-15")
    assert not numbers(job, "tyre_diameter")
    assert result(one(job, "road_speed"))["speed_km_h"] > 0
    assert one(log("axle: 4.1\ntyre: 205/55-16"), "road_speed").missing == "add the gears ('gears: 3.4 1.9 1.3 1.0')"


def test_joints_cancel_only_when_equal() -> None:
    apart = numbers(log("joint angle: front 2.5 deg, rear 4.0 deg"), "ujoint_speed_variation")
    assert len(apart) == 2 and all(n.out for n in apart) and "do not cancel" in apart[0].sentence
    alike = numbers(log("joint angle: front 2.5 deg, rear 2.6 deg"), "ujoint_speed_variation")
    assert not any(n.out for n in alike)
    assert result(alike[0])["peak_to_peak_fraction"] == pytest.approx(0.0436332**2, rel=2e-3)
