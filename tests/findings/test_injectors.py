"""Bench flow, sets, coils, power: by hand and by brute force."""

from itertools import combinations

import pytest

from logbook.findings.injectors import choose
from tests.findings.logs import V_SIX, lines, log, numbers, one, result, sample

TAGS = "parts injector: A1-A6 from unknown\n"
BENCH = "@ 30 s, 3 bar, test fluid"


def test_flow_is_timed_and_turned_into_fuel() -> None:
    """75 ml in 30 s is 150 cc/min; at 780 over 740 kg/m3 x 1.02667 (fluids value of the handbook)."""
    job = log(TAGS + f"flow: A1 75, A2 75, A3 75, A4 75 ml {BENCH}")
    assert result(one(job, "injector_timed_flow"))["flow_cc_min"] == pytest.approx(150)
    assert result(one(job, "injector_flow_at_pressure"))["flow"] == pytest.approx(150)
    fuel = result(one(job, "injector_flow_other_fluid"))
    assert fuel["fuel_flow_cc_min"] == pytest.approx(150 * (780 / 740) ** 0.5)
    assert result(one(job, "injector_flow_units"))["flow_g_s"] == pytest.approx(fuel["fuel_flow_cc_min"] * 0.740 / 60)


def test_flow_at_another_pressure_is_normalised() -> None:
    job = log(TAGS + "flow: A1 100, A2 100, A3 100, A4 100 ml @ 30 s, 4 bar, petrol")
    assert result(one(job, "injector_flow_at_pressure"))["flow"] == pytest.approx(200 * (3 / 4) ** 0.5)
    assert not numbers(job, "injector_flow_other_fluid")


def test_what_a_bench_line_lacks() -> None:
    assert "time" in one(log(TAGS + "flow: A1 75, A2 75 ml"), "injector_timed_flow").missing
    assert "pressure" in one(log(TAGS + "flow: A1 75, A2 75 ml @ 30 s"), "injector_flow_at_pressure").missing


def test_the_best_set_is_the_best_of_all_sets() -> None:
    flows = {"A1": 80, "A2": 74, "A3": 79, "A4": 83, "A5": 78, "A6": 81}
    said = ", ".join(f"{k} {v}" for k, v in flows.items())
    job = log(TAGS + f"flow: {said} ml {BENCH}")
    best = one(job, "injector_best_subset")
    least = min(max(s) - min(s) for s in combinations(flows.values(), 4))
    assert result(best)["min_range_cc_min"] == pytest.approx(2 * least)
    assert "A2: clean again" in best.sentence
    assert lines(job, best)


def test_what_is_left_over_is_sorted_out() -> None:
    body = TAGS + (
        f"flow: A1 80, A2 66, A3 79, A4 80, A5 79, A6 81 ml {BENCH}\nclean injector: A2\n"
        f"flow: A2 68 ml {BENCH}\ndrip: A6 drips, rest none\n"
    )
    found = choose(log(body))
    assert found is not None
    _, choice = found
    assert {p.split("/")[-1] for p in choice.chosen} == {"A1", "A3", "A4", "A5"}
    assert {p.split("/")[-1] for p in choice.scrap} == {"A2", "A6"}


def test_several_tests_at_once_decide() -> None:
    """At 3 bar A1 to A4 match best; in the second test A4 falls out, and A5 takes its place."""
    body = TAGS + (
        f"flow: A1 80, A2 80, A3 80, A4 80, A5 81, A6 90 ml {BENCH}\n"
        "flow: A1 40, A2 40, A3 40, A4 46, A5 40, A6 50 ml @ 30 s, 1 bar, test fluid\n"
    )
    found = choose(log(body))
    assert found is not None
    assert {p.split("/")[-1] for p in found[1].chosen} == {"A1", "A2", "A3", "A5"}


def test_scrapped_parts_are_out() -> None:
    body = TAGS + f"flow: A1 80, A2 80, A3 80, A4 80, A5 80, A6 80 ml {BENCH}\nscrap injector: A1 A2\n"
    assert choose(log(body)) is None


def test_a_set_for_two_banks_is_split() -> None:
    job = log(
        f"parts injector: A1-A8 from unknown\nflow: A1 80, A2 81, A3 80, A4 79, A5 80, A6 82, A7 90, A8 70 ml {BENCH}",
        engine=V_SIX,
    )
    split = result(one(job, "injector_bank_split"))
    assert len(split["one_bank"]) == len(split["other_bank"]) == 3
    assert split["min_bank_difference_cc_min"] == pytest.approx(0.0, abs=1e-9)


def test_coils_are_brought_to_one_temperature() -> None:
    """14.5 ohm at 20 C is 18.49 ohm at 90 C (inferred-zero form, NBS Handbook 100, from memory)."""
    job = log(TAGS + "resistance injector: A1 14.5, A2 14.5, A3 14.5 @ 20 C")
    assert result(one(job, "copper_temperature"))["resistance_ohm"] == pytest.approx(18.49, abs=0.01)
    assert result(one(job, "injector_coil_current"))["current_a"] == pytest.approx(0.8276, abs=1e-4)
    warm = log(TAGS + "resistance injector: A1 18.49, A2 18.49, A3 18.49 @ 90 C")
    assert result(one(warm, "copper_temperature"))["resistance_ohm"] == pytest.approx(18.49, abs=0.01)
    assert (
        "20 degrees are 8 %" in one(log(TAGS + "resistance injector: A1 14.5, A2 14.5"), "copper_temperature").missing
    )


def test_power_of_a_rated_set() -> None:
    """400 cc/min at 740 kg/m3 is 39.15 lb/h; four at 85 % on .50 lb/(hp h) feed 266 hp."""
    job = log("injector rating: 400 cc/min @ 3 bar", more="wanted: power 300 hp")
    feeds = result(one(job, "injector_power_limit"))
    assert feeds["power_hp"] == pytest.approx(400 * 0.740 / 453.59237 * 60 * 4 * 0.85 / 0.5, rel=1e-3)
    size = one(job, "injector_size_for_power")
    assert size.out and "too small" in size.sentence


def test_alcohol_wants_more_fuel() -> None:
    body = "injector rating: 400 cc/min @ 3 bar"
    petrol, e85 = (result(one(log(body, more=m), "injector_power_limit"))["power_hp"] for m in ("", "fuel: E85"))
    assert e85 < 0.8 * petrol


def test_the_idle_pulse() -> None:
    """2.6 ms at 920 rpm is 2.0 % of a cycle of 130.4 ms."""
    job = sample("hill-climb-turbo")
    assert result(one(job, "injector_duty"))["duty"] == pytest.approx(2.6 * 920 / 120000)
    expected = result(one(job, "injector_idle_pulse"))
    # by hand: 1.999 l / 4 x .6 x 40.7 kPa / (287.05 x 313.15) = 135.8 mg of air, over 14.6 and 6.99 g/s, plus .9 ms
    assert expected["air_mg_per_cycle"] == pytest.approx(135.8, abs=1.5)
    assert expected["logged_ms"] == pytest.approx(135.8 / 14.6 / 6.99 + 0.9, abs=0.05)
