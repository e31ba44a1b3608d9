"""Which entries feed a number: the latest of what is fitted, one condition, nothing that is doubted, nothing unsaid."""

from __future__ import annotations

import re

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.findings.making import Fed, number
from logbook.findings.outlook import outlook
from logbook.findings.work import FINDERS, work_out
from logbook.job.model import Job
from tests.findings.logs import lines, log, numbers, one, result, sample, sample_names

ENGINE = "bore: all 86.0 mm\nstroke: 86.0 mm\n"
PARTS = "injector rating: 550 cc/min @ 3 bar\npump: 255 l/h @ 3 bar\n"
WANTED = "wanted: boost 0.8 bar\nrev limit: 6500"
TAGS = "parts injector: A1-A8 from unknown\n"
BENCH = "@ 30 s, 3 bar, petrol"


def injectors(job: Job) -> float:
    found = outlook(job)
    assert found is not None
    return next(max(s.values) for s in found.shares if s.name == "injectors")


POINTS = "pull 1 rpm: 3000 4000 5000 6000\npull 1 boost: 0.3 0.6 0.8 0.8\n"


def test_a_summary_beside_its_points_does_not_empty_the_curve() -> None:
    plain = injectors(log(ENGINE + PARTS + POINTS, more="rev limit: 6500"))
    summed = log(ENGINE + PARTS + POINTS + "pull 1: boost 0.8\n", more="rev limit: 6500")
    assert injectors(summed) == pytest.approx(plain)
    first = next(n for n in work_out(summed, NOTHING) if n.title == "What runs out first")
    assert "pull 1: boost 0.8" in first.sentence and "not used" in first.sentence.casefold()


def test_a_summary_alone_is_taken_for_the_whole_range() -> None:
    """No points: the boost counts at every speed, which asks more of the fuel and never less."""
    alone = injectors(log(ENGINE + PARTS + "pull 1: boost 0.8 bar\n", more="rev limit: 6500"))
    none = injectors(log(ENGINE + PARTS + "wanted: power 200 hp\n", more="rev limit: 6500"))
    assert alone > 1.4 * none


def test_pulls_written_behind_at_are_points() -> None:
    body = "".join(
        f"pull 1 boost: {b} bar @ {n} rpm\n" for n, b in ((3000, 0.3), (4000, 0.6), (5000, 0.8), (6000, 0.8))
    )
    assert injectors(log(ENGINE + PARTS + body, more="rev limit: 6500")) == pytest.approx(
        injectors(log(ENGINE + PARTS + POINTS, more="rev limit: 6500"))
    )


REPEATS = "compression: 3 5.2 @ warm\n{between}compression: 3 9.6 @ warm\n"


@pytest.mark.parametrize(
    "between", ["repair head: all (valve ground)\n", "clean injector: old 3\n", "adjust lash: 3\n"]
)
def test_repeats_end_where_something_is_done(between: str) -> None:
    assert not numbers(log(REPEATS.format(between=between)), "repeat_uncertainty")


def test_repeats_share_their_condition() -> None:
    cold = log("compression: 3 8.2 @ cold\ncompression: 3 9.6 @ warm, throttle open\n")
    assert not numbers(cold, "repeat_uncertainty")
    same = log("compression: 3 9.4 @ warm\ncompression: 3 9.6 @ warm\n")
    assert result(one(same, "repeat_uncertainty"))["mean"] == pytest.approx(9.5)


def test_before_and_after_are_of_one_condition_each() -> None:
    body = (
        "compression: 3 5.0 @ cold\ncompression: 3 5.2 @ warm\ncompression: 3 5.4 @ warm\n"
        "repair head: all\ncompression: 3 9.4 @ warm\ncompression: 3 9.6 @ warm\ncompression: 3 8.0 @ cold\n"
    )
    found = one(log(body), "compare_repeats")
    assert [i.value for i in found.inputs] == ["5.2, 5.4", "9.4, 9.6"]


def fitted(first: str, after: str = "") -> Job:
    return log(TAGS + f"flow: {first} ml {BENCH}\nfit injector: A1 in 1, A2 in 2, A3 in 3, A4 in 4\n{after}")


def test_a_replaced_injector_feeds_no_mean() -> None:
    job = fitted("A1 20, A2 80, A3 80, A4 80, A5 80", "fit injector: A5 in 1\n")
    power = one(job, "injector_power_limit")
    assert "160 cc/min" in power.inputs[0].value
    assert result(one(job, "injector_timed_flow"))["flow_cc_min"] == pytest.approx(160)


def test_the_flow_before_cleaning_does_not_count() -> None:
    job = fitted("A1 40, A2 80, A3 80, A4 80", f"clean injector: A1\nflow: A1 80 ml {BENCH}\n")
    assert "160 cc/min" in one(job, "injector_power_limit").inputs[0].value
    stale = fitted("A1 40, A2 80, A3 80, A4 80", "clean injector: A1\n")
    assert not [n for n in numbers(stale, "injector_power_limit") if not n.missing]
    assert "cleaned since" in one(stale, "injector_power_limit").missing


def test_a_shared_feed_needs_every_injector_that_is_fitted() -> None:
    body = (
        TAGS + "resistance injector: A1 14.4, A2 14.6, A3 14.5, A4 14.4, A5 2.0 @ 20 C\n"
        "fit injector: A1 in 1, A2 in 2, A3 in 3, A4 in 4\n{}"
    )
    shared = "shared injector feed: 1 2 3"
    assert len(one(log(body.format(""), more=shared), "resistance_parallel").inputs[0].value.split(",")) == 3
    scrapped = log(body.format("scrap injector: A2\nfit injector: A6 in 2\n"), more=shared)
    found = one(scrapped, "resistance_parallel")
    assert found.missing and "2" in found.missing


@pytest.mark.parametrize("slip", ["2760", "5000 F"])
def test_what_the_page_doubts_is_no_headline(slip: str) -> None:
    body = ENGINE + PARTS + POINTS + f"pull 1 intake-air: 30 40 45 {slip}\n"
    job = log(body, more="rev limit: 6500")
    assert job.problems, "the reader doubts it"
    first = next(n for n in work_out(job, NOTHING) if n.title == "What runs out first")
    assert not first.shown.startswith("intake temperature")
    assert "left out" in first.sentence.casefold()
    found = outlook(job)
    assert found is not None and max(found.manifold_k) < 400


def test_a_mark_of_doubt_keeps_a_reading_out() -> None:
    job = log("compression: 1 9.5, 2 9.6, 3 2.0?, 4 9.4\n")
    spread = one(job, "compression_spread")
    assert result(spread)["spread_of_max"] == pytest.approx(0.2 / 9.6)
    assert "3 2.0" in spread.sentence and "doubt" in spread.sentence


CAM = ENGINE + (
    "rod length: 143 mm\nchamber: all 46 cc\npiston volume: all +8 cc\ngasket: thickness 1.2 mm, bore 87.5 mm\n"
    "deck: all 0.2 mm\ncam intake: opens 8 btdc, closes {} abdc{}\n"
)


@pytest.mark.parametrize("lift", [" @ .050 in", " @ 1.27 mm", " @ at .050"])
def test_cam_figures_at_fifty_thou_are_no_seat_timing(lift: str) -> None:
    seat, card = log(CAM.format(48, "")), log(CAM.format(20, lift))
    assert [n for n in numbers(seat, "cranking_pressure_at_altitude") if n.shown]
    assert not [n for n in numbers(card, "cranking_pressure_at_altitude") if n.shown]
    assert "seat" in one(card, "trapped_compression_ratio").missing


def test_a_boosted_engine_uses_more_fuel_everywhere_on_the_page() -> None:
    boosted = log(ENGINE + PARTS, more="wanted: power 300 hp, boost 0.8 bar\nrev limit: 6500")
    plain = log(ENGINE + PARTS, more="wanted: power 300 hp\nrev limit: 6500")
    rate = re.compile(r"([0-9.]+) lb/\(hp h\)")
    said = {m[1] for n in work_out(boosted, NOTHING) for i in n.inputs if (m := rate.match(i.value))}
    assert said == {"0.60"}
    power = [result(one(j, "injector_power_limit"))["power_hp"] for j in (plain, boosted)]
    assert power[0] / power[1] == pytest.approx(1.2)  # type: ignore[operator]


DONOR = "donor D1: estate car, bought 650 eur\nparts coil: C1-C8 from D1\nparts injector: J1-J4 from D1\n"


def test_a_donor_is_shared_out_when_every_part_has_a_price() -> None:
    some = log("bought: D1 650.00\nasked: C1-C8 20.00 each\n", more="money: eur\n" + DONOR.rstrip())
    found = one(some, "donor_cost_allocation")
    assert found.missing and "4 parts" in found.missing and not found.shown
    every = log("bought: D1 650.00\nasked: C1-C8 20.00 each, J1-J4 0.00 each\n", more="money: eur\n" + DONOR.rstrip())
    assert "81.25" in one(every, "donor_cost_allocation").sentence


def test_one_bolt_has_no_median() -> None:
    found = one(log("torque head: 1 90 Nm\n"), "torque_units")
    assert "median" not in found.sentence + "".join(i.value for i in found.inputs)
    assert "bolt 1" in found.sentence


def test_one_noise_on_one_page() -> None:
    body = "".join(
        f"cut-out: 1 {a}, 2 {b}, 3 {c}, 4 {d} @ 800 rpm\n" for a, b, c, d in ((60, 61, 59, 60), (61, 60, 60, 61))
    )
    said = [m[1] for n in numbers(log(body), "power_balance") if (m := re.search(r"under ([0-9]+) rpm", n.sentence))]
    assert said == ["2"], "a tachometer tells 2 rpm apart, not 1"


def test_the_largest_leak_is_no_smaller_than_the_others() -> None:
    found = one(log("leak-down: 1 7.5, 2 7.5, 3 7.5, 4 7.4 @ 7 bar\n"), "leakdown_percent")
    assert found.shown == "7.50 %" and "others lose 7.50 %" in found.sentence


def test_margin_counts_the_hours() -> None:
    """2,400 came in, 130 went out, 20 h at 60: 1,070 are left, 45 % of the price."""
    body = "spent: 130.00 gasket\ngot: 2400.00 repair\nhours: fitting 20\n"
    priced = one(log(body, more="money: eur\nhour rate: 60.00"), "margin")
    assert result(priced)["profit"] == "1070.00" and "45 %" in priced.shown
    unpriced = one(log(body, more="money: eur"), "margin")
    assert unpriced.missing and "hour rate" in unpriced.missing


def u(number: object, key: str) -> float:
    found = dict(number.result)  # type: ignore[attr-defined]
    return float(found["u_" + key])


def test_spreads_that_an_engineer_would_believe() -> None:
    ratio = one(log(CAM.format(48, "")), "static_compression_ratio")
    assert 0.05 <= 2 * u(ratio, "compression_ratio") <= 0.3 and "crevice" in ratio.sentence
    hose = one(log("pump: 255 l/h @ 3 bar\nhose feed: 3/8 in @ 3 m\n"), "line_velocity")
    assert u(hose, "velocity_m_s") / float(dict(hose.result)["velocity_m_s"]) < 0.06  # type: ignore[arg-type]
    coils = one(
        log("resistance injector: old 1 14.4, old 2 14.5, old 3 14.4, old 4 14.6 @ 20 C\n"), "copper_temperature"
    )
    assert 2 * u(coils, "resistance_ohm") > 0.8, "90 degrees under a bonnet are 70 to 110"
    leak = one(log("leak-down: 1 20, 2 5, 3 5, 4 6 @ 7 bar\n"), "leakdown_orifice_area")
    assert 2 * u(leak, "leak_diameter_mm") > 0.15, "the orifice of the tester is not known"


def test_a_healthy_cylinder_gets_no_verdict_from_oil() -> None:
    body = "compression dry: 1 12.4, 2 12.5, 3 12.3, 4 12.6\ncompression wet: 1 12.9, 2 13.0, 3 12.8, 4 13.1\n"
    found = one(log(body), "wet_dry_rise")
    assert "valves" not in found.sentence and "gasket" not in found.sentence and "no fault" in found.sentence


def test_cold_is_not_held_against_warm() -> None:
    body = "compression: 3 5.0 @ cold\nrepair head: all\ncompression: 3 9.4 @ warm\n"
    assert not numbers(log(body), "compare_readings")
    assert numbers(log(body.replace("cold", "warm")), "compare_readings")


def test_a_page_does_not_use_what_cannot_be_believed() -> None:
    feeds = [Fed("voltage_v", 13_500.0, "13.5 kV"), Fed("resistance_ohm", 14.0, "14 Ω")]
    found = number(log("idle: rpm 800\n"), "injector_coil_current", "electrical", "Current", feeds, "", "")
    assert "looks wrong" in found.missing and not found.shown


def test_noise_kills_nobody() -> None:
    found = one(log("cut-out: 1 4, 2 5, 3 3, 4 6 @ 800 rpm\n"), "power_balance")
    assert "dead: none" in found.shown or found.missing
    assert "no work" not in found.sentence


def test_a_lever_multiplies_and_the_page_says_so() -> None:
    gate = one(log("wastegate: spring 0.6 bar, diaphragm 60 mm, valve 25 mm"), "wastegate_balance")
    assert any("lever" in c for c in gate.cautions)


def test_every_finder_says_what_may_feed_it_and_why() -> None:
    assert all(f.entries and f.why for f in FINDERS)


@pytest.mark.parametrize("name", sample_names())
def test_numbers_come_from_entries_that_may_feed_them(name: str) -> None:
    job = sample(name)
    for finder in FINDERS:
        for found in finder.find(job, NOTHING):
            for given in found.inputs:
                for entry in given.entries:
                    kind = job.entries[entry].entry.kind
                    assert kind in finder.kinds, (found.title, given.sign, job.entries[entry].line_text)
    assert lines
