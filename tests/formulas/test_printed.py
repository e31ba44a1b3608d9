"""What the terminal prints is what was computed: every result of every row is read back with its unit."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from logbook.formulas import asking, registry, telling, units_asked, working
from logbook.formulas.rows import Output
from logbook.work import work

HERE = Path(__file__).parent
ROWS = list(csv.DictReader((HERE / "check_values.csv").read_text(encoding="utf-8").splitlines()))


def printed(text: str) -> dict[str, str]:
    """Name and words of each result line."""
    block = text.partition("\n  gives\n")[2]
    lines = [m for line in block.splitlines() if (m := re.fullmatch(r"    (\S+)\s+(.*)", line))]
    return {m[1]: m[2].partition("   ±")[0] for m in lines}


def read_back(output: Output, words: str) -> list[float]:
    """The value of each alternative that stands in the line, in the unit of the key."""
    found = []
    for part in words.split(" = "):
        match = re.fullmatch(r"(-?[0-9.]+(?:e[+-]?[0-9]+)?)\s*(.*)", part)
        assert match, words
        if output.ending is None or not output.dimension:
            found.append(float(match[1]))
            continue
        unit = units_asked.named(output.dimension, match[2]) if match[2] else output.ending
        assert unit is not None, f"{match[2]} is no unit of {output.dimension}"
        found.append(output.ending.give(unit.take(float(match[1]))))
    return found


@pytest.mark.parametrize("row", ROWS, ids=[r["id"] for r in ROWS])
def test_every_result_is_printed_with_its_unit(row: dict[str, str]) -> None:
    given = json.loads(row["inputs"])
    words = [f"{k}={v if isinstance(v, str) else json.dumps(v)}" for k, v in given.items()]
    asked = asking.ask(row["calculation"], words)
    lines = printed(telling.as_text(asked))
    for output in asked.worked.row.outputs:
        if output.key not in asked.worked.result:
            continue
        same_field = [o for o in asked.worked.row.outputs if output.field and o.field == output.field and o.dimension]
        said = lines[telling.label(asked.worked.row, same_field[0] if same_field else output)]
        _check(output, asked.worked.result[output.key], said)


def _check(output: Output, value: Any, said: str) -> None:
    if isinstance(value, bool):
        assert said == ("yes" if value else "no")
    elif isinstance(value, (int, float)):
        alone = output.ending is None
        numbers = [float(re.match(r"-?[0-9.e+-]+", said)[0])] if alone else read_back(output, said)  # type: ignore[index]
        for number in numbers:
            assert number == pytest.approx(value, rel=2e-4, abs=1e-6), (output.key, said)
        if output.ending is not None and output.ending.shown:
            assert output.ending.shown in said, f"{output.key}: its own unit is not printed in {said!r}"
    elif isinstance(value, str):
        assert value in said


def run(*words: str) -> str:
    done = CliRunner().invoke(work, list(words))
    return str(done.output)


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("bolt_torque nut_factor=0.18 nominal=0.4375in preload=10000lbf", "torque  88.976 N m = 65.625 lbf ft"),
        ("mean_piston_speed stroke=3.48in rpm=6000", "speed  17.678 m/s = 3480.0 ft/min"),
        ("line_velocity flow=255l/h bore=7.9mm", "velocity  1.4451 m/s"),
        ("isa_atmosphere geopotential_altitude=0m", "density      1.2250 kg/m³"),
        ("cam_timing_from_events 10 50 55 12", "intake_centreline_atdc   110.00 °"),
    ],
)
def test_units_that_were_printed_wrong(words: str, wanted: str) -> None:
    assert wanted in run(*words.split())


@pytest.mark.parametrize(
    ("joint", "ohm"),
    [("5mΩ", 5e-3), ("5mohm", 5e-3), ("5 milliohm", 5e-3), ("0.000005MΩ", 5.0), ("0.000005Mohm", 5.0)],
)
def test_prefixes_keep_their_case(joint: str, ohm: float) -> None:
    asked = asking.ask(
        "wire_voltage_drop", ["awg=14", "one_way=0.001m", "current=10A", "return_by_wire=no", f"joint={joint}"]
    )
    assert next(t.inside for t in asked.worked.taken if t.input.stem == "joint") == pytest.approx(ohm)


def test_a_thousandth_and_a_million_of_a_joule() -> None:
    values = {
        u: asking.ask("unit_conversion", ["value=1", f"unit={u}", "to=J"]).worked.result["value"] for u in ("mJ", "MJ")
    }
    assert values == {"mJ": pytest.approx(1e-3), "MJ": pytest.approx(1e6)}


def test_keys_too() -> None:
    key = {"awg": 14, "one_way_ft": 3, "current_a": 10, "return_by_wire": False, "joint_mohm": 5}
    plain = working.work("wire_voltage_drop", {**key, "joint_mohm": 0}).result["drop_v"]
    assert working.work("wire_voltage_drop", key).result["drop_v"] - plain == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("words", "about"),
    [
        ("wire_voltage_drop awg=14 one_way=3ft current=30A return_by_wire=no joint=5MΩ", "joint"),
        ("injector_coil_current voltage=13.5kV resistance=14ohm", "voltage"),
        ("displacement bore=4.03ft stroke=3.48in cylinders=8", "bore"),
        ("compressor_outlet_temperature inlet=4600C pressure_ratio=1.8 isentropic_efficiency=.7", "inlet"),
    ],
)
def test_what_cannot_be_believed_is_doubted(words: str, about: str) -> None:
    told = run(*words.split())
    assert re.search(rf"(Doubt: )?{about}.*looks wrong", told), told


def test_an_expression_is_computed_as_written() -> None:
    """By hand: pi * 4 * 3.48 = 43.73, and its relative spread is that of the one input with a spread."""
    asked = asking.ask("propagate_uncertainty", ["model=pi*bore*stroke", "bore=4", "u_bore=0.04", "stroke=3.48"])
    assert asked.worked.result["value"] == pytest.approx(43.731, abs=1e-3)
    assert asked.worked.result["standard_uncertainty"] == pytest.approx(0.43731, abs=1e-5)
    swept = asking.ask(
        "propagate_uncertainty", ["model=V = pi/4*bore^2*stroke", "bore_cm=10", "u_bore_cm=.1", "stroke_cm=8"]
    )
    assert swept.worked.result["value"] == pytest.approx(628.32, abs=0.01)


@pytest.mark.parametrize(
    "model", ["().__class__", "a.real", "a if a else 1", "[a]", "open('x')", "a**a**a**a*1e999", "lambda: a"]
)
def test_nothing_else_is_evaluated(model: str) -> None:
    with pytest.raises(asking.Refusal):
        asking.ask("propagate_uncertainty", [f"model={model}", "a=9", "u_a=.1"])


@pytest.mark.parametrize("name", list(registry.rows()))
def test_every_calculation_answers_with_an_example(name: str) -> None:
    row = registry.find(name)
    done = CliRunner().invoke(work, [name])
    assert done.exit_code == 0
    assert row.example, "one worked example to copy, as in 'Example: bore=4.03in'"
    assert f"For example: logbook work {name} {row.example}" in done.output
    for output in row.outputs[:1]:
        assert re.search(rf"\n    {re.escape(telling.label(row, output))}\b", done.output)
    assert "looks wrong" not in done.output
