"""Mixture with and without dead cylinders; the fuel table waits."""

from dataclasses import replace

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.job.model import Place
from tests.findings.logs import V_SIX, log, numbers, one, result

DEAD = "cut-out: 1 70, 2 0, 3 68, 4 71 @ 800 rpm\n"


def test_lambda_first_then_both_ratios() -> None:
    job = log("mixture: 13.23 @ idle, warm")
    assert result(one(job, "lambda_from_afr"))["lambda_"] == pytest.approx(0.9)
    shown = result(one(job, "displayed_afr"))
    assert shown["displayed_afr"] == pytest.approx(13.23)
    assert shown["true_afr"] == pytest.approx(0.9 * 14.60, abs=0.01)


def test_alcohol_has_its_own_ratio() -> None:
    job = log("mixture: 14.7 @ idle, warm", more="fuel: E85 from the pump")
    assert result(one(job, "displayed_afr"))["true_afr"] == pytest.approx(9.80, abs=0.02)
    assert result(one(job, "fuel_blend_by_volume"))["afr_mass"] == pytest.approx(9.80, abs=0.02)


def test_dilution_in_both_cases() -> None:
    """One of four dead, 15.4 shown: 1.048 x 3/4 = .786 without fuel; anything from there to 1.048 with."""
    job = log(DEAD + "mixture: 15.4 @ idle, warm")
    inner = 15.4 / 14.7 * 3 / 4
    no_fuel, no_spark = one(job, "diluted_lambda_no_fuel"), one(job, "diluted_lambda_no_spark")
    assert result(no_fuel)["mixture_lambda"] == pytest.approx(15.4 / 14.7)
    assert f"{inner:.2f}" in no_fuel.sentence and "rich" in no_fuel.sentence and no_fuel.out
    assert result(no_spark)["lower_bound"] == pytest.approx(inner)
    assert result(no_spark)["upper_bound"] == pytest.approx(15.4 / 14.7)
    assert "cannot tell the two cases apart" in no_spark.sentence
    gas = result(one(job, "diluted_exhaust_dry_gas"))
    assert gas["o2_percent_dry"] > 3 and gas["co_percent_dry"] > 3
    assert any("wash" in c for c in no_fuel.cautions)


def test_only_the_bank_of_the_sensor_counts() -> None:
    body = "cut-out: 1 70, 2 0, 3 68, 4 71, 5 70, 6 70 @ 800 rpm\nmixture: left 14.7, right 15.4 @ idle, warm"
    found = numbers(log(body, engine=V_SIX), "diluted_lambda_no_fuel")
    assert len(found) == 1 and "right bank" in found[0].title
    assert result(found[0])["mixture_lambda"] == pytest.approx(15.4 / 14.7)
    assert {i.sign: i.value for i in found[0].inputs}["cylinders"] == "3"


@pytest.mark.parametrize("how", ["written", "diagnosed", "suspected"])
def test_no_fuel_table_while_a_cylinder_is_dead_or_suspected(how: str) -> None:
    job = log((DEAD if how == "written" else "") + "mixture: 15.4 @ idle, warm")
    diagnosis = NOTHING
    if how == "diagnosed":
        diagnosis = replace(NOTHING, states=((Place("", 2), "dead"),))
    elif how == "suspected":
        diagnosis = replace(NOTHING, tuning_blocked="cylinder 2 is suspected of being dead")
    table = one(job, "fuel_table_correction", diagnosis)
    assert table.missing.startswith("refused") and "every cylinder must fire" in table.missing
    assert not table.shown and not table.result


def test_fuel_table_where_all_fire() -> None:
    job = log("firing: all fires\nmixture: 15.4 @ idle, warm")
    assert result(one(job, "fuel_table_correction"))["table_factor"] == pytest.approx(15.4 / 14.7)
    assert "warm" in one(log("mixture: 15.4 @ idle"), "fuel_table_correction").missing
    assert "wanted" in one(log("mixture: 12.4 @ 3000 rpm, warm"), "fuel_table_correction").missing


def test_trims_are_multiplied_and_banks_kept_apart() -> None:
    job = log("trims short: left +5, right +25 %\ntrims long: left +10, right +25 %", engine=V_SIX)
    left, right = numbers(job, "fuel_trim_total")
    assert left.shown == "+15.5 %" and right.shown == "+56.2 %" and right.out
    assert "long trim" in numbers(log("trims short: left +5 %", engine=V_SIX), "fuel_trim_total")[0].missing
