"""Compression, leak-down, cut-out: the numbers by hand, the words for a builder."""

from dataclasses import replace

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.findings.before_after import ALIKE, DIFFERENT, records
from logbook.job.model import Place
from tests.findings.logs import FOUR, V_SIX, lines, log, numbers, one, result

WARM = "@ warm, throttle open"


def test_spread_names_both_rules() -> None:
    """118 to 130 psi: 9.2 % of the highest (common practice, no source): out of the target, far inside the limit."""
    job = log(f"compression: 1 130, 2 118, 3 121, 4 126 psi {WARM}", units="us", altitude="0 ft")
    spread = one(job, "compression_spread")
    assert result(spread)["spread_of_max"] == pytest.approx(12 / 130)
    assert spread.shown.startswith("9.2 ± ")
    assert "outside the 5 % target" in spread.sentence and "far inside the last limit" in spread.sentence
    assert not spread.out
    assert lines(job, spread) == [f"compression: 1 130, 2 118, 3 121, 4 126 psi {WARM}"]


def test_spread_of_the_spread_leaves_the_shared_scale_out() -> None:
    """u of (max - min)/max by hand: the two readings' own scatter, 1/sqrt 12 psi and 10 kPa, on 130 and 118 psi."""
    job = log("compression: 1 130, 2 118, 3 121, 4 126 psi", units="us", altitude="0 ft")
    own = (1 / 12 + (10 / 6.894757) ** 2) ** 0.5
    by_hand = ((own / 130) ** 2 + (118 / 130**2 * own) ** 2) ** 0.5
    assert result(one(job, "compression_spread"))["u_spread_of_max"] == pytest.approx(by_hand, rel=1e-3)
    assert result(one(job, "propagate_uncertainty"))["standard_uncertainty"] == pytest.approx(by_hand, rel=1e-2)


def test_a_dead_hole_is_found_and_said() -> None:
    job = log("compression: 1 12.1, 2 4.0, 3 12.0, 4 12.2 bar")
    assert one(job, "compression_spread").out
    assert one(job, "compression_limits").out
    assert one(job, "robust_outlier_score").shown == "2"
    assert "low without a low neighbour" in one(job, "adjacent_pair_flag").sentence
    assert one(job, "compression_deviation").shown.startswith("2: −")


def test_two_low_neighbours_point_at_the_gasket() -> None:
    """In a V with odd and even banks 3 and 5 stand side by side, 2 and 3 do not."""
    side = log("compression: 1 12, 2 12, 3 6, 4 12, 5 6, 6 12 bar", engine=V_SIX)
    across = log("compression: 1 12, 2 6, 3 6, 4 12, 5 12, 6 12 bar", engine=V_SIX)
    assert "gasket between them" in one(side, "adjacent_pair_flag").sentence
    assert "gasket between them" not in one(across, "adjacent_pair_flag").sentence


def test_a_harmless_tight_set_is_not_flagged() -> None:
    job = log("compression: 1 12.0, 2 12.0, 3 12.0, 4 11.6 bar")
    assert one(job, "robust_outlier_score").shown == "none"


def test_all_zero_is_refused_in_words() -> None:
    job = log("compression: 1 0, 2 0, 3 0, 4 0 bar")
    spread = one(job, "compression_spread")
    assert spread.missing and not spread.shown and "not all zero" in spread.missing


def test_oil_is_held_against_a_good_cylinder() -> None:
    dry, wet = (
        "compression dry: 1 12.0, 2 6.0, 3 12.1, 4 12.0 bar\n",
        "compression wet: 1 13.0, 2 {}, 3 13.1, 4 13.0 bar",
    )
    assert "rings or bore" in one(log(dry + wet.format("10.0")), "wet_dry_rise").sentence
    assert "valves or gasket" in one(log(dry + wet.format("6.5")), "wet_dry_rise").sentence
    alone = log("compression dry: 1 12.0, 2 6.0, 3 12.1, 4 12.0 bar\ncompression wet: 2 6.5 bar")
    assert "not tested with oil" in one(alone, "wet_dry_rise").sentence


def test_the_height_scales_the_least_pressure() -> None:
    """100 psi at the sea is 82 psi at 1600 m: ISO 2533, from memory."""
    low = "compression: 1 88, 2 86, 3 87, 4 88 psi"
    assert not result(one(log(low, units="us", altitude="0 ft"), "compression_limits"))["at_least_100_psi"]
    assert result(one(log(low, units="us", altitude="5250 ft"), "compression_limits"))["at_least_100_psi"]


def test_leak_down_becomes_a_hole() -> None:
    """100/92 psi is 0.56 of the orifice's area: CoolProp value of the handbook, 0.563."""
    job = log("leak-down: 1 8, 2 3, 3 3, 4 3 @ 100 psi, warm", units="us", altitude="0 ft")
    assert result(one(job, "leakdown_orifice_area"))["area_ratio"] == pytest.approx(0.563, abs=0.005)
    assert result(one(job, "leakdown_percent"))["leak_percent"] == pytest.approx(8.0)


def test_leak_down_without_its_supply_says_what_to_add() -> None:
    assert "supply pressure" in one(log("leak-down: 1 8, 2 3, 3 3, 4 3"), "leakdown_orifice_area").missing


def test_cut_out_without_and_with_repeats() -> None:
    once = log("cut-out: 1 70, 2 2, 3 68, 4 26 @ 800 rpm")
    single = one(once, "power_balance")
    assert single.shown == "dead: 2; weak: 4"
    assert any(i.source == "typical value, not measured" for i in single.inputs)
    twice = log("cut-out: 1 70, 2 2, 3 68, 4 26 @ 800 rpm\ncut-out: 1 72, 2 -1, 3 69, 4 30 @ 800 rpm")
    repeated = numbers(twice, "power_balance")[-1]
    assert "2 times over" in repeated.title
    # pooled by hand: variances 2, 4.5, .5, 8, root of their mean 1.94: finer than a tachometer's 2
    assert result(repeated)["pooled_sd_rpm"] == pytest.approx(2.0)
    assert repeated.shown == "dead: 2; weak: 4"


def test_a_swap_between_two_tests_makes_them_no_repeats() -> None:
    job = log(
        "cut-out: 1 70, 2 2, 3 68, 4 71 @ 800 rpm\nswap coil 2 3: now same\ncut-out: 1 72, 2 1, 3 69, 4 70 @ 800 rpm"
    )
    assert not any("times over" in n.title for n in numbers(job, "power_balance"))


def test_before_and_after_say_whether_they_differ() -> None:
    body = (
        "cut-out: 1 70, 2 2, 3 68, 4 71 @ 800 rpm\ncompression: 1 12.0, 2 12.1, 3 12.0, 4 12.0 bar\n"
        "fit coil: new in 2, now all fires\n"
        "proved cut-out: 1 71, 2 69, 3 68, 4 70 @ 800 rpm\ncompression: 1 12.1, 2 12.1, 3 12.0, 4 12.0 bar\n"
    )
    found = {(r.test, r.subject): r.words for r in records(log(body))}
    assert found["cut-out", "2"] == DIFFERENT
    assert found["cut-out", "1"] == ALIKE
    assert found["compression", "1"] == ALIKE
    shown = [n for n in numbers(log(body), "compare_readings") if "cut-out" in n.title]
    assert len(shown) == 1 and "cylinder 2" in shown[0].title and DIFFERENT in shown[0].sentence


def test_before_and_after_from_repeats() -> None:
    before = "compression: 1 8.0, 2 12.1, 3 12.0, 4 12.0 bar\ncompression: 1 8.2, 2 12.0, 3 12.1, 4 12.1 bar\n"
    after = "compression: 1 12.0, 2 12.1, 3 12.0, 4 12.0 bar\ncompression: 1 12.2, 2 12.0, 3 12.1, 4 12.0 bar\n"
    found = numbers(log(before + "repair head\n" + after), "compare_repeats")
    assert [n.shown for n in found if "cylinder 1" in n.title] == [DIFFERENT]
    assert [n.shown for n in found if "cylinder 2" in n.title] == [ALIKE]


def test_without_a_repair_nothing_is_compared() -> None:
    assert records(log("cut-out: 1 70, 2 2, 3 68, 4 71 @ 800 rpm", engine=FOUR)) == ()


def test_nothing_measured_gives_no_numbers() -> None:
    from logbook.findings.work import work_out

    job = log("symptom: shakes", altitude="0 m")
    assert [n.calculation for n in work_out(job, NOTHING) if not n.missing] == ["isa_atmosphere"]


def test_the_shake_of_dead_cylinders() -> None:
    """In a six that fires 1 2 3 4 5 6, 1 and 4 stand opposite: odd harmonics vanish (numpy FFT, handbook)."""
    job = log("idle: rpm 800", engine=V_SIX)

    def dead(*cylinders: int) -> str:
        states = tuple((Place("", c), "dead") for c in cylinders)
        found = one(job, "firing_spectrum", replace(NOTHING, states=states))
        return found.shown + " | " + found.sentence

    assert dead(1, 4).startswith("0.0, 2.0, 0.0, 2.0, 0.0, 4.0") and "strongest 2 times" in dead(1, 4)
    assert "one dead cylinder" in dead(3)
    assert "healthy engine of 3 cylinders" in dead(1, 3, 5)


def test_what_the_log_wants_outranks_common_practice() -> None:
    """9 to 13 bar wanted: a tight set of 8.8 bar meets every rule of thumb and is out all the same."""
    wanted = "spec compression: 9-13\n"
    low = one(log(wanted + "compression: 1 8.9, 2 8.8, 3 9.1, 4 8.9 bar"), "compression_limits")
    assert low.out and "The log wants 9-13 bar: 1 (8.9 bar), 2 (8.8 bar) and 4 (8.9 bar) outside." in low.sentence
    good = one(log(wanted + "compression: 1 10.9, 2 10.8, 3 11.1, 4 10.9 bar"), "compression_limits")
    assert not good.out and good.sentence.endswith("The log wants 9-13 bar: all inside.")


def test_a_doubted_reading_is_left_out_and_said() -> None:
    job = log("compression: 1 12.1, 2 12.0?, 3 12.0, 4 12.2 bar")
    spread = one(job, "compression_spread")
    assert spread.inputs[0].value == "1 12.1, 3 12.0, 4 12.2 bar"
    assert spread.sentence.endswith("Left out as doubted: 2 12.0.")
    assert one(log("compression: 1 12.1, 2 12.0, 3 12.0, 4 12.2 bar"), "compression_spread").inputs[0].value == (
        "1 12.1, 2 12.0, 3 12.0, 4 12.2 bar"
    )
