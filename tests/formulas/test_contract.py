"""Every formula keeps its contract: words for each input, units in its names, range, errors, source, worked example."""

import doctest
import importlib
import inspect
import pkgutil
import re

import pytest

import logbook.findings
import logbook.formulas
from logbook.formulas import registry
from logbook.formulas.keys import ENDINGS
from logbook.formulas.rows import Row

ROWS = list(registry.rows().values())
MODULES = [
    module.name
    for package in (logbook.formulas, logbook.findings)
    for module in pkgutil.iter_modules(package.__path__, package.__name__ + ".")
]
_UNITS = re.compile(
    r"_(n_per_m|m|m2|m3|m_s|m3_s|kg|kg_s|kg_m3|kg_j|j_kg|pa|pa_s|k|s|v|a|ohm|h|j|w|n|n_m|hz|rpm|deg|percent|hours)$|_deg_|_percent_|^rpm$"
)


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_the_docstring_says_it_all(row: Row) -> None:
    assert row.title and row.formula and row.range and row.raises and row.source, row.name
    assert ">>>" in (inspect.getdoc(row.function) or ""), "a worked example"
    for place in row.inputs:
        assert place.words, f"{row.name}: say what {place.parameter} is"


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_units_stand_in_the_names(row: Row) -> None:
    """A parameter with a dimension ends in its unit, and its key names the same stem."""
    for place in row.inputs:
        if place.sort in ("number", "whole") and place.dimension not in ("", "fraction", "any flow"):
            assert _UNITS.search(place.parameter), f"{row.name}: {place.parameter} without unit"
            own = {e.text for e in ENDINGS[place.dimension]}
            assert place.dimension in ("angle", "rpm", "percent") or any(
                place.key.endswith("_" + t) for t in own if t
            ), place.key
        stem = place.stem.rstrip("_").casefold()
        assert place.parameter.rstrip("_").startswith(stem), f"{row.name}: {place.key} is not {place.parameter}"


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_outputs_are_fields_of_the_answer(row: Row) -> None:
    fields = getattr(inspect.signature(row.function, eval_str=True).return_annotation, "_fields", None)
    for output in row.outputs:
        assert fields is None or output.field in fields, f"{row.name}: {output.key}"
    assert len({o.key for o in row.outputs}) == len(row.outputs)
    # two inputs may share a stem (start_k, start_kpa); then the unit of the value tells them apart
    keys = [k for i in row.inputs if i.sort != "open" for k in i.keys() if k != i.stem.casefold() or k == i.key]  # noqa: SIM118
    assert len(keys) == len(set(keys)), f"{row.name}: one key for two inputs"


@pytest.mark.parametrize("module", MODULES)
def test_worked_examples_run(module: str) -> None:
    failed, _ = doctest.testmod(importlib.import_module(module), optionflags=doctest.ELLIPSIS)
    assert failed == 0


def test_names_are_those_of_the_functions_and_none_is_double() -> None:
    assert len(ROWS) == len({row.function for row in ROWS}) == len({row.name for row in ROWS})
    assert all(row.name == row.function.__name__ for row in ROWS)


def test_the_danger_words_stand_where_they_must() -> None:
    """Cautions beside the numbers that can hurt: fuel, voltage, boost, torque, raw exhaust."""
    wanted = {
        "injector_timed_flow": "extinguisher",
        "injector_flow_at_pressure": "eye protection",
        "rail_pressure": "spark",
        "coil_energy": "heart",
        "battery_rest_state": "spark",
        "wastegate_balance": "safe boost",
        "end_gas_temperature": "NO knock margin",
        "bolt_torque": "maker",
        "leakdown_percent": "can turn",
        "diluted_lambda_no_fuel": "must NOT",
        "diluted_lambda_no_spark": "catalyst",
        "power_balance": "catalyst",
        "road_speed": "local law",
    }
    for name, words in wanted.items():
        assert words in registry.find(name).caution, name


def test_no_knock_margin_timing_or_safe_boost_is_computed() -> None:
    for row in ROWS:
        assert not any(re.search(r"knock|safe|timing_deg|advance", o.key) for o in row.outputs), row.name


def test_the_registry_needs_no_numpy() -> None:
    import subprocess
    import sys

    code = "import sys, logbook.work; sys.exit('numpy' in sys.modules or 'matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
