"""Nothing is dropped for want of form: numbers whose size tells their unit, rows that were pasted from a table."""

from __future__ import annotations

import pytest

from logbook.problems import Weight
from logbook.text.forms import entry_line
from logbook.text.reader import read


def line_of(line: str, units: str = "") -> tuple[str, list[int]]:
    """The canonical line, '' where it is refused, and the numbers of what is told."""
    card = f"units: {units}\n" if units else ""
    log = read("x.txt", f"{card}engine: inline 4\n2026-05-12\n{line}\n".encode())
    errors = [p.number for p in log.problems if p.weight is Weight.ERROR]
    return ("" if errors else entry_line(log.entries[-1])), [p.number for p in log.problems if p.number != 204]


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("compression: 1 165, 2 160, 3 90", "compression: 1 165, 2 160, 3 90 psi"),
        ("compression: 1 12.1, 2 12.0", "compression: 1 12.1, 2 12.0 bar"),
        ("compression: 165 160 90 150", "compression: 1 165, 2 160, 3 90, 4 150 psi"),
        ("bore: 1 86.02, 2 86.02", "bore: 1 86.02, 2 86.02 mm"),
        ("plug gap: all .035", "plug gap: all .035 in"),
        ("coolant temperature: 190", "coolant temperature: 190 F"),
        ("gasket: thickness 1.2, bore 87.5", "gasket: thickness 1.2 mm, bore 87.5 mm"),
    ],
)
def test_a_log_without_units_is_read_by_the_size_of_its_numbers(written: str, canonical: str) -> None:
    assert line_of(written)[0] == canonical
    assert set(line_of(written)[1]) == {328}


@pytest.mark.parametrize(
    "written", ["vacuum: 17", "fuel pressure: 5", "torque head: 1-10 40", "coolant temperature: 90"]
)
def test_what_can_be_both_is_asked(written: str) -> None:
    assert line_of(written) == ("", [306])


def test_inches_and_millimetres_stand_side_by_side() -> None:
    assert line_of("bore: 1 86.02, 2 86.02", "us")[0] == "bore: 1 86.02, 2 86.02 mm"
    assert line_of("plug gap: all .035", "metric")[0] == "plug gap: all .035 in"
    assert line_of("bore: 1 3.386", "us") == ("bore: 1 3.386", [])


def test_a_pressure_is_never_taken_in_another_unit_than_the_cards() -> None:
    assert line_of("compression: 1 9", "us") == ("compression: 1 9", [311])


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("compression | 1 165 | 2 160 | 3 90", "compression: 1 165, 2 160, 3 90"),
        ("| compression | 1 165 | 2 160 |".strip("| "), "compression: 1 165, 2 160"),
        ("compression: | 165 | 160 | 90 | 150 |", "compression: 1 165, 2 160, 3 90, 4 150"),
        ("compression   1 165   2 160   3 90", "compression: 1 165, 2 160, 3 90"),
        ("compression:\t1 165\t2 160\t3 dead".replace("dead", "low"), "compression: 1 165, 2 160, 3 low"),
        ("cut-out: 1 70 | 2 65 | 3 0 @ idle", "cut-out: 1 70, 2 65, 3 0 @ idle"),
    ],
)
def test_a_row_of_a_table_is_read(written: str, canonical: str) -> None:
    assert line_of(written, "us") == (canonical, [])
