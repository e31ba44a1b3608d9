"""The table of units: dimensions kept apart, spellings that mean one thing, values in and out again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.units import UNITS, Unit, find


def _spellings(unit: Unit) -> set[str]:
    return {s.casefold() for s in (unit.name, unit.symbol, *unit.spellings) if s}


def test_a_spelling_means_one_unit_of_a_dimension() -> None:
    for dimension in {u.dimension for u in UNITS.values()}:
        found: dict[str, str] = {}
        for unit in (u for u in UNITS.values() if u.dimension == dimension):
            # m is a thousandth and M a million: where both are in use the case tells them apart
            apart = {"mohm", "Mohm", "mJ", "MJ"}
            for spelling in {unit.name} if unit.name in apart else _spellings(unit):
                assert found.setdefault(spelling, unit.name) == unit.name, f"{spelling} is two units of {dimension}"


@pytest.mark.parametrize("unit", UNITS.values(), ids=lambda u: u.name.replace("/", "-over-"))
def test_every_spelling_is_found_within_its_dimension(unit: Unit) -> None:
    for spelling in (unit.name, *unit.spellings):
        found = find(spelling, (unit.dimension,))
        assert found is unit, spelling
    assert unit.factor > 0


@given(st.sampled_from(sorted(UNITS)), st.floats(-1e9, 1e9))
def test_in_and_out_again(name: str, value: float) -> None:
    unit = UNITS[name]
    assert unit.from_si(unit.to_si(value)) == pytest.approx(value, rel=1e-9, abs=1e-6)


def test_gauge_and_absolute_are_apart() -> None:
    assert find("psi") is not find("psia")
    assert find("psia", ("pressure",)) is None
    assert find("psi", ("absolute pressure",)) is None
    assert find("inHg", ("pressure",)) is None, "a vacuum gauge counts the other way"


def test_temperatures_and_their_steps_are_apart() -> None:
    assert find("F").to_si(212.0) == pytest.approx(373.15)  # type: ignore[union-attr]
    assert find("delta_degF").to_si(212.0) == pytest.approx(117.78, abs=0.01)  # type: ignore[union-attr]
    assert find("F", ("temperature difference",)) is None


def test_letters_that_mean_two_things_are_read_by_dimension() -> None:
    assert find("h") is UNITS["h"]
    assert find("H", ("inductance",)) is UNITS["henry"]
    assert find("mpa", ("stress",)) is UNITS["N/mm2"]
    assert find("MPa") is UNITS["MPa"]
    assert find("lb") is None, "a pound is a force, a torque or a mass: never guessed"


@pytest.mark.parametrize(
    ("name", "si"),
    [
        ("psi", 6894.757),  # NIST SP 811, from memory
        ("bar", 1e5),  # by definition
        ("inHg", 3386.389),  # NIST SP 811, from memory
        ("lbft", 1.355818),  # NIST SP 811, from memory
        ("hp", 745.6999),  # NIST SP 811, from memory
        ("PS", 735.49875),  # 75 kgf m/s, by definition
        ("gal", 3.785412e-3),  # NIST SP 811, from memory
        ("cu in", 1.638706e-5),  # 25.4 mm cubed
        ("kgm", 9.80665),  # standard gravity, by definition
        ("mile", 1609.344),  # international mile
        ("lb/h", 1.259979e-4),  # NIST SP 811, from memory
        ("thou", 2.54e-5),  # international inch
    ],
)
def test_factors(name: str, si: float) -> None:
    assert UNITS[name].to_si(1.0) == pytest.approx(si, rel=1e-6)
