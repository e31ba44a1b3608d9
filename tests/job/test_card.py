"""Engine cards as builders write them. What a layout means is common practice, no source."""

from __future__ import annotations

import pytest

from logbook.job.card import parse_engine
from logbook.job.model import Engine, Place

ALL_EIGHT = ((1, 3, 5, 7), (2, 4, 6, 8))


def banks(engine: Engine) -> dict[str, tuple[int, ...]]:
    return {bank.name: bank.cylinders for bank in engine.banks}


@pytest.mark.parametrize(
    ("text", "layout", "count"),
    [
        ("V6, left 1 3 5, right 2 4 6", "v", 6),
        ("straight six", "inline", 6),
        ("Straight-Six.", "inline", 6),
        ("flat four, left 1 3, right 2 4", "flat", 4),
        ("inline 4, 1 at the front", "inline", 4),
        ("four in line, coil on plug", "inline", 4),
        ("4 in a row", "inline", 4),
        ("2.0 l four, carburettor", "inline", 4),
        ("3.0 V6, left 1 2 3, right 4 5 6", "v", 6),
        ("I6", "inline", 6),
        ("single cylinder", "inline", 1),
        ("twin cylinder", "inline", 2),
        ("five cylinder diesel", "inline", 5),
        ("boxer 6", "flat", 6),
        ("V-16, left 1 3 5 7 9 11 13 15, right 2 4 6 8 10 12 14 16", "v", 16),
        ("left 1 2, right 3 4", "v", 4),
    ],
)
def test_layout_and_count(text: str, layout: str, count: int) -> None:
    engine, _ = parse_engine(text)
    assert (engine.layout, len(engine.cylinders)) == (layout, count)
    assert engine.cylinders == tuple(range(1, count + 1))


@pytest.mark.parametrize("text", ["rotary", "V17", "", "coil on plug", "a very old one, 2.5 litres"])
def test_an_engine_without_a_readable_count_has_no_cylinders(text: str) -> None:
    engine, faults = parse_engine(text)
    assert engine.cylinders == ()
    assert [fault.slug for fault in faults] == ["engine unread"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("V8, left 1-4, right 5-8", {"left": (1, 2, 3, 4), "right": (5, 6, 7, 8)}),
        ("V8, left bank 1 3 5 7, right bank 2 4 6 8", dict(zip(("left", "right"), ALL_EIGHT, strict=True))),
        ("V8, odd left, even right", dict(zip(("left", "right"), ALL_EIGHT, strict=True))),
        ("V8, left odd", dict(zip(("left", "right"), ALL_EIGHT, strict=True))),
        ("V6, rear 1, 3, 5; front 2, 4, 6", {"rear": (1, 3, 5), "front": (2, 4, 6)}),
        ("inline 4, 1 at the flywheel", {"": (4, 3, 2, 1)}),
        ("inline 4, 1 at the front", {"": (1, 2, 3, 4)}),
    ],
)
def test_banks_as_written(text: str, expected: dict[str, tuple[int, ...]]) -> None:
    engine, faults = parse_engine(text)
    assert banks(engine) == expected
    assert faults == ()


def test_banks_that_are_not_said_are_a_doubt_and_used() -> None:
    engine, faults = parse_engine("V8, fires 1 8 4 3 6 5 7 2")
    assert [fault.slug for fault in faults] == ["banks unknown"]
    assert tuple(bank.cylinders for bank in engine.banks) == ALL_EIGHT


@pytest.mark.parametrize("written", ["1 5 3 6 2 4", "1-5-3-6-2-4", "153624"])
def test_firing_order_of_a_six(written: str) -> None:
    engine, faults = parse_engine(f"inline 6, firing order {written}, coil on plug")
    assert engine.firing_order == (1, 5, 3, 6, 2, 4)
    assert faults == ()


@pytest.mark.parametrize("written", ["1 3 4 2", "1-3-4-2", "1, 3, 4, 2", "1342"])
def test_firing_order(written: str) -> None:
    engine, faults = parse_engine(f"inline 4, fires {written}, coil on plug")
    assert engine.firing_order == (1, 3, 4, 2)
    assert faults == ()


@pytest.mark.parametrize(
    ("text", "ignition", "fuelling", "kinds"),
    [
        ("inline 4, coil on plug", "on-plug", "port", ("coil", "plug", "injector")),
        ("inline 4, coil near plug, leads", "near-plug", "port", ("coil", "lead", "plug", "injector")),
        ("inline 4, coil pair, leads", "pair", "port", ("coil", "lead", "plug", "injector")),
        ("inline 4, waste spark, no leads", "pair", "port", ("coil", "plug", "injector")),
        ("inline 4, distributor, carburettor", "one", "carburettor", ("coil", "lead", "plug")),
        ("inline 4, coil one, leads, injection none", "one", "carburettor", ("coil", "lead", "plug")),
        ("inline 4, one carb", "one", "carburettor", ("coil", "lead", "plug")),
        ("inline 4, single-point injection, distributor", "one", "single-point", ("coil", "lead", "plug")),
        ("inline 4, diesel", "none", "direct", ()),
        ("inline 4, direct injection", "on-plug", "direct", ("coil", "plug", "injector")),
    ],
)
def test_ignition_and_fuelling(text: str, ignition: str, fuelling: str, kinds: tuple[str, ...]) -> None:
    engine, _ = parse_engine(text)
    assert (engine.ignition, engine.fuelling) == (ignition, fuelling)
    expected = (*kinds, "injector") if ignition == "none" else kinds  # a diesel has injectors and no spark
    assert engine.part_kinds == expected


# Waste-spark partners stand half the firing order apart (360 degrees of the crank): common practice, no source.
@pytest.mark.parametrize(
    ("text", "pairs"),
    [
        ("inline 4, fires 1 3 4 2, coil pair", [(1, 4), (2, 3)]),
        ("inline 4, coil pair", [(1, 4), (2, 3)]),
        ("straight six, fires 1 5 3 6 2 4, wasted spark", [(1, 6), (2, 5), (3, 4)]),
        ("flat four, left 1 3, right 2 4, fires 1 3 2 4, coil pair", [(1, 2), (3, 4)]),
        ("V6, left 1 2 3, right 4 5 6, coil pairs 1+4, 2+5, 3+6", [(1, 4), (2, 5), (3, 6)]),
    ],
)
def test_waste_spark_pairs(text: str, pairs: list[tuple[int, int]]) -> None:
    engine, _ = parse_engine(text)
    assert [group.cylinders for group in engine.groups] == pairs
    for one, other in pairs:
        assert engine.seat("coil", one) == engine.seat("coil", other) == Place("", min(one, other))
        assert engine.served("coil", other) == (one, other)
        assert engine.seat("lead", other) == Place("", other)


def test_one_coil_serves_all_cylinders_of_a_distributor_engine() -> None:
    engine, _ = parse_engine("straight six, distributor")
    assert engine.served("coil", 5) == (1, 2, 3, 4, 5, 6)
    assert engine.served("plug", 5) == (5,)


def test_mains() -> None:
    assert parse_engine("inline 4, mains 5")[0].mains == 5
    assert parse_engine("inline 4, 3 main bearings")[0].mains == 3
    assert parse_engine("inline 4")[0].mains == 0
