"""``logbook work`` as a person uses it: units in value or key, wrong names and units, JSON for scripts."""

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from logbook.formulas import asking, registry, telling
from logbook.formulas.refusals import Refusal
from logbook.work import work

ROWS = list(csv.DictReader(Path(__file__).with_name("check_values.csv").read_text(encoding="utf-8").splitlines()))


def run(*words: str) -> Result:
    return CliRunner().invoke(work, list(words))


def as_words(inputs: dict[str, object]) -> list[str]:
    """Inputs as somebody types them: text bare, lists and the rest as JSON."""
    return [f"{k}={v if isinstance(v, str) else json.dumps(v)}" for k, v in inputs.items()]


@pytest.mark.parametrize("name", ["displacement-05", "robust_outlier_score-02", "donor_cost_allocation-02"])
def test_outside_rows_through_the_command(name: str) -> None:
    row = next(r for r in ROWS if r["id"] == name)
    done = run(row["calculation"], *as_words(json.loads(row["inputs"])), "--as", "json")
    assert done.exit_code == 0, done.output
    told = json.loads(done.output)
    assert set(told) == {"calculation", "inputs", "result", "warnings", "source"}
    assert done.output.isascii()
    for key, want in json.loads(row["output"]).items():
        got = told["result"][key]
        if isinstance(want, float):
            assert got == pytest.approx(want, rel=float(row["rel_tol"]), abs=float(row["abs_tol"]))
        else:
            assert got == (pytest.approx(want, rel=1e-3) if key == "score" else want)


@pytest.mark.parametrize("row", ROWS, ids=[r["id"] for r in ROWS])
def test_words_and_values_give_the_same(row: dict[str, str]) -> None:
    """What the terminal reads is what the pages compute: one row of the registry for both."""
    asked = asking.ask(row["calculation"], as_words(json.loads(row["inputs"])))
    for key in json.loads(row["output"]):
        assert key in asked.worked.result


def test_units_may_stand_in_the_value() -> None:
    ways = (
        ["bore=4.03in", "stroke=3.48in"],
        ["bore_mm=102.362", "stroke=88.392 mm"],
        ["bore=10.2362cm", 'stroke=3.48"'],
    )
    told = [
        json.loads(run("displacement", *words, "cylinders=8", "--as", "json").output)["result"]["displacement_cc"]
        for words in ways
    ]
    assert told[0] == pytest.approx(told[1]) == pytest.approx(told[2])


@pytest.mark.parametrize(
    ("words", "field", "speaks"),
    [
        (["displacement", "bore=4.03", "stroke=3.48in", "cylinders=8"], "bore", "needs a unit of length"),
        (["displacement", "bore=4.03psi", "stroke=3.48in", "cylinders=8"], "bore", "a unit of length"),
        (["displacement", "bore_psi=4", "stroke=3.48in", "cylinders=8"], "bore_psi", "no unit of length"),
        (["displacement", "bore_mm=4in", "stroke=3.48in", "cylinders=8"], "bore_mm", "says mm already"),
        (["displacement", "bor=4in", "stroke=3.48in", "cylinders=8"], "bor", "did you mean bore"),
        (["displacement", "bore=4in"], "stroke_mm", "still needed: stroke_mm (stroke), cylinders"),
        (["displacement", "bore=4,03in", "stroke=3in", "cylinders=8"], "bore", "with a point"),
        (["displacement", "bore=wide", "stroke=3in", "cylinders=8"], "bore", "a number"),
        (["displacement", "bore=nan", "stroke=3in", "cylinders=8"], "bore", "finite"),
        (["displacement", "bore=4in", "bore_mm=100", "stroke=3in", "cylinders=8"], "bore_mm", "once"),
        (["displacement", "4in"], "stroke_mm", "still needed"),
        (["displacement", "4in", "3in", "8", "9"], "9", "one more than"),
        (["injector", "duty", "pulse=3", "rpm=800"], "pulse", "as in pulse=...ms or pulse_ms=..."),
        (["displacement", "bore=0in", "stroke=3in", "cylinders=8"], "bore", "above 0"),
        (["displacment", "bore=4in"], "calculation", "near: displacement"),
        (["compression_spread", "readings_psi=[150, NaN]"], "readings_psi", "one number"),
        (["compression_spread", "readings_psi=[150, [148]]"], "readings_psi", "a list 1 deep"),
        (["compression_spread", "readings_psi=[150, 148"], "readings_psi", "a list written as"),
        (["cranking_pressure", "trapped_cr=8", "exponent=1.5", "ambient=1bar"], "exponent", "1.0 to 1.40"),
        (["cranking_pressure", "trapped_cr=8", "exponent=1.2", "ambient=14.7psig"], "ambient", "absolute pressure"),
        (["rail_pressure", "base=3bar", "manifold=0bar", "referenced=maybe"], "referenced", "true or false"),
        (
            ["rail_pressure", "base_gauge=3bar", "manifold_gauge=0bar", "referenced=maybe"],
            "referenced",
            "true or false",
        ),
        (["money_round", "amount=12,50"], "amount", "an amount"),
        (["unit_conversion", "value=1", "unit=furlong", "to=mm"], "unit", "a unit that is known"),
        (["unit_conversion", "value=1", "unit=psi", "to=mm"], "to", "a unit of pressure"),
        (["unit_conversion", "value=1", "unit=psi", "to=bara"], "unit", "gauge, vacuum or absolute"),
        (["torque_units", "value=1", "unit=mm", "to=Nm"], "unit", "a unit of torque"),
        (["propagate_uncertainty", "model=a*b", "a=2", "u_a=0.1"], "b", "needed by the model"),
        (["propagate_uncertainty", "model=__import__('os')", "a=2", "u_a=0.1"], "model", "letters of the inputs"),
    ],
)
def test_wrong_names_and_units_are_named(words: list[str], field: str, speaks: str) -> None:
    done = run(*words, "--as", "json")
    assert done.exit_code == 2
    error = json.loads(done.output)["error"]
    assert set(error) == {"field", "value", "limit", "command"}
    assert error["field"] == field
    assert speaks in error["limit"]
    assert run(*words).exit_code == 2


def test_warnings_are_carried() -> None:
    told = json.loads(run("displacement", "bore_mm=4", "stroke_mm=3.48", "cylinders=8", "--as", "json").output)
    assert any("inches" in w for w in told["warnings"])
    told = json.loads(run("wet_dry_rise", "dry=0.9psi", "wet=1psi", "--as", "json").output)
    assert any("bar" in w for w in told["warnings"])


def test_the_text_shows_the_working() -> None:
    done = run("displacement", "bore=4.03in", "stroke=3.48in", "cylinders=8")
    assert done.exit_code == 0
    for words in (
        "V = N",
        "4.03 in = 102.36 mm",
        "bore of the cylinder",
        "cc = ",
        "cu in",
        "Source: Heywood",
    ):
        assert words in done.output
    assert "Note: " in run("coil_energy", "inductance=3mH", "current=9A").output


def test_a_spread_is_written_or_usual_and_never_guessed_from_the_digits() -> None:
    """4in and 4.0in are the same bore; a nut factor has the scatter that every book gives it, and says so."""
    plain = [asking.ask("displacement", [f"bore={b}", "stroke=3.48in", "cylinders=8"]) for b in ("4in", "4.0in")]
    assert plain[0].spreads == plain[1].spreads == {}
    told = asking.ask("mean_piston_speed", ["stroke=3.5 +- 0.1 in", "rpm=6000"])
    assert told.spreads["speed_m_s"] == pytest.approx(17.78 * 0.1 / 3.5 / 3**0.5, rel=1e-3)
    assert told.spread_from == "stroke as written"
    torque = asking.ask("bolt_torque", ["nut_factor=.2", "nominal=M10", "preload=30kN"])
    assert 2 * torque.spreads["torque_n_m"] / 60 == pytest.approx(0.28), "Shigley: 25 to 30 % (from memory)"
    assert "nut factor" in torque.spread_from
    mine = asking.ask("bolt_torque", ["nut_factor=.2+-.01", "nominal=M10", "preload=30kN"])
    assert mine.spreads["torque_n_m"] < torque.spreads["torque_n_m"]


@pytest.mark.parametrize(
    ("words", "speaks", "instead"),
    [
        ("rail_pressure base=43.5psi manifold=18inHg referenced=yes", "vacuum", "manifold=-18inHg"),
        ("engine_air_flow 350CID 5500 85% manifold=10psi manifold=95F", "gauge or absolute", "manifold=10psia"),
        ("engine_air_flow 350CID 5500 85% manifold=10psig manifold=95F", "at sea level", "manifold=170.3kPaa"),
        (
            "injector_idle_pulse displacement=5.7l cylinders=8 rpm=750 map=18inHg charge=104F ve=.6 static_flow=3g/s",
            "vacuum",
            "map=40.4kPaa",
        ),
        ("boost_pressure_ratio boost=24.7psia altitude=0ft", "is absolute", "boost=10.00psi"),
    ],
)
def test_gauge_absolute_and_vacuum_are_asked(words: str, speaks: str, instead: str) -> None:
    done = run(*words.split(), "--as", "json")
    assert done.exit_code == 2, done.output
    error = json.loads(done.output)["error"]
    assert speaks in error["limit"] and instead in error["limit"] and instead in error["command"]


def test_a_barometer_is_absolute_and_a_vacuum_counts_down() -> None:
    assert "14.7 psi abs" in run("cranking_pressure", "8", "1.3", "ambient=14.7psi").output
    assert "29.9 inHg abs" in run("sae_j1349_factor", "dry_air=29.9inHg", "inlet=77F").output
    rail = [
        asking.ask("rail_pressure", ["base=300kPa", f"manifold={m}", "referenced=yes"]).worked.result["rail_gauge_kpa"]
        for m in ("-18inHg", "18inHg vacuum", "18 inHg vac")
    ]
    assert rail == [pytest.approx(300 - 60.955, abs=1e-3)] * 3


def test_the_unit_tells_inputs_of_one_stem_apart() -> None:
    words = ["volume_ratio=8", "start=20C", "start=1bar"]
    one = asking.ask("isentropic_compression_bound", words).worked.result
    keyed = ["volume_ratio=8", "start_k=293.15", "start_kpa=100"]
    assert one == pytest.approx(asking.ask("isentropic_compression_bound", keyed).worked.result)


def test_what_a_builder_types_without_thinking() -> None:
    assert run("injector", "duty", "pulse=3ms", "rpm=800").exit_code == 0
    assert run("injector-duty", "pulse=3ms", "rpm=800").exit_code == 0
    assert run("cranking_pressure", "trapped_cr=8:1", "exponent=1.3", "ambient=14.7psi").exit_code == 0
    assert run("donor_cost_allocation", "donor_cost=100", "expected_values=1, 1, 1").exit_code == 0
    flow = ("displacement=350ci", "rpm=5500", "ve_manifold=85%", "manifold=99kPa", "manifold=35C")
    assert "35 °C = 95.000 °F" in run("engine_air_flow", *flow).output
    assert "over_100_percent  no" in run("injector_duty", "pulse=3ms", "rpm=800").output
    assert "readings  150, 148, 152 psi" in run("compression_spread", "readings=150 148 152 psi").output


def test_lists_may_be_typed_with_commas() -> None:
    one = asking.ask("compression_spread", ["readings=150, 148, 152 psi"]).worked.result
    other = asking.ask("compression_spread", ["readings_psi=[150, 148, 152]"]).worked.result
    assert one == other


def test_alone_it_lists_every_calculation_by_subject() -> None:
    done = run()
    assert done.exit_code == 0
    assert all(f"  {name} " in done.output for name in registry.rows())
    found = run("--search", "injector flow").output
    assert "injector_timed_flow" in found and "displacement" not in found
    assert "No calculation" in run("--search", "zzz").output


def test_a_name_alone_says_what_it_wants() -> None:
    done = run("trapped_compression_ratio")
    assert done.exit_code == 0
    assert "ivc_deg_abdc" in done.output and "Note: " in done.output and "logbook work trapped" in done.output


def test_hostile_text_is_made_visible() -> None:
    with pytest.raises(Refusal) as caught:
        asking.ask("displacement", ["bore=\x1b[31m4in", "stroke=3in", "cylinders=8"])
    assert "\x1b" not in telling.refusal_as_text(caught.value)
    assert telling.refusal_as_json(caught.value).isascii()


@pytest.mark.parametrize("bore", ["1e400in", "1e300in", "4 +- 9999999999999999 in", "-1e16mm"])
def test_what_is_larger_than_anything_is_refused(bore: str) -> None:
    done = run("displacement", f"bore={bore}", "stroke=3.48in", "cylinders=8")
    assert (done.exit_code, type(done.exception)) == (2, SystemExit)
    assert "at most 1e+15" in done.output


def test_what_is_smaller_than_anything_counts_as_nothing() -> None:
    done = run("line_velocity", "flow_l_h=255", "bore_mm=1e-300")
    assert (done.exit_code, type(done.exception)) == (2, SystemExit)
    assert "above 0" in done.output
