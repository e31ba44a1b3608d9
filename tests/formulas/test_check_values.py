"""Every outside value of ``check_values.csv`` through the registry. Each row names its source in its own column."""

import csv
import json
from pathlib import Path

import pytest

from logbook.formulas import registry, telling
from logbook.formulas.refusals import Refusal
from logbook.formulas.working import work

HERE = Path(__file__).parent
ROWS = list(csv.DictReader((HERE / "check_values.csv").read_text(encoding="utf-8").splitlines()))
REFUSALS = list(csv.DictReader((HERE / "refusals.csv").read_text(encoding="utf-8").splitlines()))


def agrees(got: object, want: object, rel: float, slack: float) -> bool:
    if isinstance(want, (bool, str)):
        return got == want
    if isinstance(want, list):
        return (
            isinstance(got, list)
            and len(got) == len(want)
            and all(map(lambda g, w: agrees(g, w, rel, slack), got, want))
        )
    return isinstance(got, (int, float)) and abs(got - want) <= slack + rel * abs(want)


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_outside_value(row: dict[str, str]) -> None:
    worked = work(row["calculation"], json.loads(row["inputs"]))
    for key, want in json.loads(row["output"]).items():
        if key == "note" or key.endswith("_note") or key == "harmonic_k_is_crank_order":
            assert worked.result[key]
            continue
        got = worked.result[key]
        assert agrees(got, want, float(row["rel_tol"]), float(row["abs_tol"])), (
            f"{key}: {got} for {want} ({row['source']})"
        )


@pytest.mark.parametrize("row", REFUSALS, ids=[f"{n}-{row['calculation']}" for n, row in enumerate(REFUSALS)])
def test_refused_or_warned(row: dict[str, str]) -> None:
    given = json.loads(row["inputs"])
    if row["action"] == "warn":
        assert work(row["calculation"], given).warnings
        return
    names = registry.rows() if row["calculation"] == "any" else [row["calculation"]]
    for name in names:
        inputs = _poisoned(name, given["value"]) if row["calculation"] == "any" else given
        if inputs is None:
            continue
        with pytest.raises(Refusal) as caught:
            work(name, inputs)
        assert caught.value.field in inputs, "the refusal names the input by the key it was given under"
        assert caught.value.limit


def _poisoned(name: str, value: str) -> dict[str, object] | None:
    """The first outside row of ``name`` with one of its numbers made ``value``."""
    given = next(json.loads(row["inputs"]) for row in ROWS if row["calculation"] == name)
    key = next((k for k, v in given.items() if isinstance(v, (int, float)) and not isinstance(v, bool)), None)
    if key is None:
        return None
    return {**given, key: value}


def test_every_calculation_has_outside_values() -> None:
    assert {row["calculation"] for row in ROWS} == set(registry.rows())


KINDS = {"library", "definition", "textbook", "standard", "handbook", "memory", "common_practice"}


def test_a_row_that_retypes_the_formula_says_so() -> None:
    """A sum or a ratio of Python's own arithmetic catches slips of units, not wrong physics: it is a 'definition'."""
    assert {row["kind"] for row in ROWS} <= KINDS
    counted = {"money_round", "injector_best_subset", "injector_bank_split", "donor_cost_allocation"}
    for row in ROWS:
        if row["kind"] == "library" and row["source"].startswith("Python"):
            assert row["calculation"] in counted, f"{row['id']}: only rounding modes and searches of all sets count"


def test_how_many() -> None:
    own = list(csv.DictReader((HERE / "outside_values.csv").read_text(encoding="utf-8").splitlines()))
    outside = [row for row in ROWS if row["kind"] != "definition"]
    assert len(registry.rows()) >= 130
    assert len(outside) + len(own) >= 450
    for name in registry.rows():
        found = [row for row in ROWS if row["calculation"] == name] + [r for r in own if r["calculation"] == name]
        assert len(found) >= 2, name


def test_from_memory_is_said_once() -> None:
    """In the table and at the foot of the list; never on a page."""
    assert not any("memory" in row.source + row.caution + row.range for row in registry.rows().values())
    assert "from memory" in (registry.__doc__ or "") and "from memory" in telling.listing()
