"""Numbers that follow from a few lines: gaps, springs, oil, vacuum, dwell, revs on the road, what a goal takes."""

from __future__ import annotations

import pytest

from tests.findings.logs import lines, log, numbers, one, result

ENGINE = "bore: all 100.0 mm\nstroke: 80.0 mm\n"


def test_ring_gaps_are_held_against_bore_and_use() -> None:
    """4 thousandths a bore on the street, 6 under boost: .40 and .60 mm on 100 mm."""
    gaps = "ring gap top: 1 0.44 mm, 2 0.45 mm, 3 0.38 mm, 4 0.44 mm\n"
    street = one(log(ENGINE + gaps), "ring_gap")
    assert result(street)["top_mm"] == pytest.approx(0.40)
    assert "3" in street.sentence and street.out and "maker" in " ".join(street.cautions)
    boosted = one(log(ENGINE + gaps, more="wanted: boost 0.8 bar\nrev limit: 6500"), "ring_gap")
    assert result(boosted)["top_mm"] == pytest.approx(0.60)


def test_a_spring_with_its_lift() -> None:
    """(690 - 320) N over 10 mm are 37 N/mm."""
    job = log("spring: seat 320 N, open 690 N\ncam intake: opens 8 btdc, closes 48 abdc, lift 10.0 mm\n")
    assert result(one(job, "spring_rate"))["rate_n_mm"] == pytest.approx(37.0)
    assert "lift" in one(log("spring: seat 320 N, open 690 N\n"), "spring_rate").missing


def test_oil_pressure_by_the_rule_only_when_hot_and_at_a_speed() -> None:
    low = one(log("oil pressure hot: 25 psi @ 3000 rpm\n"), "oil_pressure_rule")
    assert low.out and result(low)["meets_rule"] is False and "maker" in " ".join(low.cautions)
    assert not numbers(log("oil pressure: 25 psi\n"), "oil_pressure_rule")


def test_vacuum_at_the_height_of_the_place() -> None:
    """18 inHg are 60.95 kPa; the air at 1524 m is 84.3 kPa by the standard."""
    job = log("idle: rpm 800, vacuum 18 inHg\n", altitude="5000 ft", units="us")
    assert result(one(job, "vacuum_to_absolute"))["absolute_kpa"] == pytest.approx(84.31 - 60.95, abs=0.1)


def test_dwell_at_idle() -> None:
    """A V6's distributor at 800 rpm turns 2400 degrees a second: 36 degrees are 15 ms."""
    found = one(
        log("dwell: 36\nidle: rpm 800\n", engine="V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6"), "dwell_time"
    )
    assert result(found)["dwell_ms"] == pytest.approx(15.0)


def test_revs_on_the_road() -> None:
    """65 mph in 1:1, axle 3.73, a 28 in tyre rolling 3 % smaller: 2911 / .97."""
    job = log("tyre: 28x9.5\ngears: 3.0 1.7 1.0\naxle: 3.73\n", units="us")
    assert result(one(job, "road_rpm"))["rpm"] == pytest.approx(2911 / 0.97, rel=2e-3)


def test_what_a_goal_takes() -> None:
    job = log(ENGINE, more="wanted: power 300 hp, boost 0.8 bar\nrev limit: 6000\nfuel: E85")
    torque = one(job, "torque_from_power")
    assert result(torque)["torque_lbf_ft"] == pytest.approx(300 * 5252.11 / 6000, rel=1e-4)
    assert result(one(job, "mean_effective_pressure"))["bmep_kpa"] == pytest.approx(
        4 * 3.14159 * 356.05 / 2.51327e-3 / 1e3, rel=1e-3
    )
    need = one(job, "boost_for_power")
    assert "0.8 bar" in need.sentence
    assert lines(job, need)
    assert result(one(job, "gauge_to_absolute"))["absolute_kpa"] == pytest.approx(181.325)
    assert float(result(one(job, "injectors_on_fuel"))["more_than_petrol"]) == pytest.approx(1.5, abs=0.02)  # type: ignore[arg-type]


def test_the_pump_at_rail_plus_boost_and_its_volts() -> None:
    """255 l/h at 3 bar and 13.5 V: 8 % less for a bar of boost, an eighth less at 12 V."""
    job = log(
        "pump: 255 l/h @ 3 bar, 13.5 V\nfeed pump: 12.0 V @ running\n", more="wanted: boost 1.0 bar, power 200 hp"
    )
    found = one(job, "fuel_pump_at_pressure")
    assert result(found)["flow_l_h"] == pytest.approx(255 * 0.92 * 12.0 / 13.5, rel=1e-3)
    assert result(found)["rail_gauge_kpa"] == pytest.approx(400)


def test_a_fuse_for_a_shared_feed_and_a_wire_for_a_load() -> None:
    body = "resistance injector: old 1 13.5, old 2 13.5, old 3 13.5, old 4 13.5 @ 20 C\n"
    fuse = one(log(body, more="shared injector feed: 1 2 3 4"), "fuse_for_load")
    assert result(fuse)["fuse_a"] == 5.0, "four times 1 A at 13.5 V, by 80 %"
    wire = one(log("feed pump: 12.1 V @ 2.5 mm2, 4 m, 11 A\n"), "wire_for_load")
    assert wire.sentence and "2.5 mm2" in wire.sentence


def test_bolts_by_grade_and_by_angle() -> None:
    body = "torque head: 1-4 40 Nm @ M10x1.5, grade 10.9, 100 mm\nangle head: 1-4 90 deg\n"
    job = log(body)
    assert result(one(job, "bolt_strength"))["proof_kn"] == pytest.approx(48.1, rel=3e-3)
    assert result(one(job, "torque_angle_preload"))["stretch_mm"] == pytest.approx(0.375)


def test_what_to_ask_for_the_job() -> None:
    body = "hours: fitting 7.5\nspent: 400.00 parts\n"
    job = log(body, more="money: eur\nhour rate: 85.00")
    asked = one(job, "job_price")
    assert asked.private and result(asked)["cost"] == "1037.50"


def test_two_numbers_of_one_page_do_not_contradict_each_other() -> None:
    """The injector for a power, with the usual fuel use and on the blend: one fuel, one answer."""
    body = ENGINE + "injector rating: 550 cc/min @ 3 bar\n"
    job = log(body, more="wanted: power 300 hp\nrev limit: 6000\nfuel: E85")
    plain = result(one(job, "injector_size_for_power"))["flow_lb_h"]
    blend = result(one(job, "injectors_on_fuel"))["flow_lb_h"]
    assert plain == pytest.approx(blend, rel=1e-6)
