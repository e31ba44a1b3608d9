"""Kinds that a shop needs: each line as a builder writes it, and what is read (common practice, no source)."""

from __future__ import annotations

import pytest

from logbook.text.entries import Entry
from logbook.text.reader import read
from logbook.text.tidy import tidy

CARD = "language: 1\nunits: us\nmoney: usd\nengine: V8, left 1 3 5 7, right 2 4 6 8, coil near plug\n"
DAY = "\n2026-05-12\n"


def entry(line: str) -> Entry:
    log = read("log.txt", f"{CARD}{DAY}{line}\n".encode())
    assert [p.message for p in log.problems if p.number != 204] == [], line
    return log.entries[-1]


def said(found: Entry) -> list[str]:
    """'left 1.5 turn out' of each reading: who, number, unit, words."""
    rows = []
    for w in found.readings:
        value = w.value
        assert value is not None
        number = f"{value.quantity.middle} {value.quantity.unit}" if value.quantity else value.word
        who = [s.name or str(s.number or s.kind) for s in w.subjects]
        rows.append(" ".join([*who, number, *value.remark_words]))
    return rows


@pytest.mark.parametrize(
    ("line", "head", "rows"),
    [
        ("crank: no-start", "crank", ["no-start"]),
        ("crank: turns, no start", "crank", ["turns no-start"]),
        ("crank: slow no-start", "crank", ["slow no-start"]),
        ("crank: slow, no-start", "crank", ["slow no-start"]),
        ("crank: does not start", "crank", ["no-start"]),
        ("cranking speed: 180", "cranking speed", ["180 rpm"]),
        ("cranking rpm: 95 rpm, uneven", "cranking speed", ["95 rpm uneven"]),
        ("voltage drop ground engine: 0.8 V @ cranking", "voltage drop ground engine", ["0.8 V"]),
        ("voltage drop starter feed: 0.3", "voltage drop starter feed", ["0.3 V"]),
        ("voltage drop coil ground: 3 0.3 V", "voltage drop coil ground", ["3 0.3 V"]),
        ("voltage drop strap: 40 mV", "voltage drop strap", ["40 mV"]),
        ("sensor coolant: 2400 ohm @ 20 C", "sensor coolant", ["2400 ohm"]),
        ("sensor map: 1.2 V @ idle", "sensor map", ["1.2 V"]),
        ("sensor air-flow: 82 Hz", "sensor air-flow", ["82 Hz"]),
        ("sensor oxygen: left 0.45 V, right 0.1 V", "sensor oxygen", ["left 0.45 V", "right 0.1 V"]),
        ("sensor crank: open", "sensor crank", ["open"]),
        ("screw idle: 1/2 turn in", "screw idle", ["0.5 turn in"]),
        ("screw mixture: left 1.5 out, right 1.25 out", "screw mixture", ["left 1.5 turn out", "right 1.25 turn out"]),
        ("float level: 7/16 in", "float level", ["0.4375 in"]),
        ("codes pending: P0304, P0171", "codes pending", ["P0304", "P0171"]),
        ("codes cleared", "codes cleared", []),
        ("codes: cleared", "codes cleared", []),
        ("cleared codes: P0304", "codes cleared", ["P0304"]),
        ("back pressure: 2.5 @ idle", "back-pressure", ["2.5 psi"]),
        ("quote: 1800 labor, 350 parts", "quote", ["1800 usd", "350 usd"]),
        ("agreed: $1650 for all of it", "agreed", ["1650 usd"]),
        ("smell: sweet (out the back)", "smell", ["sweet"]),
        ("noise: 3 tick", "noise", ["3 tick"]),
        ("bore look: 3 scored, rest clean", "bore look", ["3 scored", "rest clean"]),
        ("air in fuel: found", "air in fuel", ["found"]),
        ("oil look: milky", "oil look", ["milky"]),
        ("resistance glow plug: 1 0.6, 2 open", "resistance glow plug", ["1 0.6 ohm", "2 open"]),
        ("feed glow plug: all 11.8", "feed glow plug", ["all 11.8 V"]),
        ("torque wheel: all 100", "torque wheel", ["all 100 lbft"]),
        ("sensor resistance: 820 ohm", "resistance sensor", ["820 ohm"]),
        ("fuel: pressure 55", "fuel pressure", ["55 psi"]),
    ],
)
def test_it_is_read(line: str, head: str, rows: list[str]) -> None:
    found = entry(line)
    assert " ".join(w for w in (found.kind, found.part, *found.qualifiers) if w) == head
    assert said(found) == rows


@pytest.mark.parametrize(
    "line", ["promised: friday", "guess: rings", "reckon: head gasket", "lent: pulse light (to Ed)"]
)
def test_free_words_are_kept(line: str) -> None:
    assert entry(line).text == line.partition(": ")[2]


def test_fuel_itself_stays_free_text() -> None:
    assert (entry("fuel: pump petrol 95").kind, entry("fuel: pump petrol 95").text) == ("fuel", "pump petrol 95")


def test_a_sensor_says_its_unit() -> None:
    log = read("log.txt", f"{CARD}{DAY}sensor crank: 820\n".encode())
    assert [(p.number, p.mend) for p in log.problems] == [(306, "write the unit behind it: ohm, V or Hz")]


def test_a_drop_of_nothing_is_asked_for() -> None:
    assert [p.number for p in read("log.txt", f"{CARD}{DAY}voltage drop coil: all\n".encode()).problems] == [320]


@pytest.mark.parametrize(
    "line", ["crank: slow no-start", "screw idle: 0.5 turn in", "sensor oxygen: left 0.45, right 0.1 V"]
)
def test_the_tidy_form_keeps_it(line: str) -> None:
    text = f"{CARD}{DAY}{line}\n"
    assert tidy(read("log.txt", text.encode())) == text
