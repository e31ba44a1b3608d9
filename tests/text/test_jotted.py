"""Lines as they were jotted by somebody who had not read a manual, and what they must be taken for."""

from __future__ import annotations

import pytest

from logbook.problems import Weight
from logbook.text.entries import Entry, Log, Value, Written
from logbook.text.forms import entry_line
from logbook.text.reader import read

CARD = "units: metric\nmoney: gbp\nengine: inline 4, fires 1 3 4 2, coil on plug\n2026-01-01\n"


def jotted(line: str, hearing: bool = False) -> Log:
    return read("x.txt", (CARD + line + "\n").encode(), hearing=hearing)


def said(value: Value | None) -> str:
    if value is None:
        return ""
    return value.word or (f"{value.quantity.text} {value.quantity.unit}" if value.quantity else "")


def readings(entry: Entry) -> list[str]:
    def who(written: Written) -> str:
        return "+".join(s.name or str(s.number or s.kind) for s in written.subjects)

    return [f"{who(w)}: {said(w.value)}" for w in entry.readings]


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("cut-out: 1 - 60, 2 - 55, 3 - 40, 4 - 60", ["1: 60 rpm", "2: 55 rpm", "3: 40 rpm", "4: 60 rpm"]),
        ("compression: 160psi, 155psi, 40psi, 158psi", ["1: 160 psi", "2: 155 psi", "3: 40 psi", "4: 158 psi"]),
        ("compression: cyl 1 11.2, cylinder 2 11.4", ["1: 11.2 bar", "2: 11.4 bar"]),
        ("vacuum: 17\u202618 inHg", [": 17-18 inHg"]),
        ("firing: 1\u20264 fire", ["1+2+3+4: fires"]),
        ("lead order: 2 wrong, 4 right", ["2: wrong", "4: right"]),
        ("mixture: 0.98 lambda", [": 0.98 lambda"]),
        ("hours: 2:30", [": 2:30 h"]),
        ("time: 2 h fitting", ["fitting: 2 h"]),
        ("plugs: 3 wet", ["3: wet"]),
        ("noid light: 3 none", ["3: none"]),
        ("resistance lead: 2 14.2k, 3 5.1 K", ["2: 14.2 kohm", "3: 5.1 kohm"]),
        ("resistance injector: 3 OL", ["3: open"]),
        ("resistance injector: on 3 14.4 ohm", ["3: 14.4 ohm"]),
        ("idle: 650 rpm rough", ["rpm: 650 rpm"]),
        ("idle: 650-700 rpm, 18 inHg, smooth", ["rpm: 650-700 rpm", "vacuum: 18 inHg", ": smooth"]),
    ],
)
def test_taken_for_what_it_is(line: str, wanted: list[str]) -> None:
    log = jotted(line)
    assert not [p for p in log.problems if p.weight is not Weight.HINT]
    assert readings(log.entries[-1]) == wanted


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ("swap coil: 3 4: 4 dead", "now 4 dead"),
        ("swap coil: 3 4, 3 dead, 4 fires", "now 3 dead, 4 fires"),
        ("swapped coils: 3 and 4 no change", "now no change"),
        ("fit coil: new in 3, all fires", "now all fires"),
    ],
)
def test_a_forgotten_now_is_put_in(line: str, mend: str) -> None:
    log = jotted(line)
    told = [p for p in log.problems if p.number == 227]
    assert len(told) == 1 and told[0].weight is Weight.HINT and mend in told[0].mend
    entry = log.entries[-1]
    assert len(entry.readings) == 1 and entry.readings[0].to
    assert f"now {entry.now_word}" == "now same" if "no change" in line else entry.now


@pytest.mark.parametrize("line", ["hours: 2 h 30", "hours: 2h30 diagnosis", "cut-out: 1 - 60 2 - 55 3 - 40 4 - 60"])
def test_never_guessed(line: str) -> None:
    assert [p for p in jotted(line).problems if p.weight is Weight.ERROR]


def test_conditions_of_a_recording_are_read() -> None:
    entry = jotted("trace speed: idle.csv, time s, speed rpm @ 790 rpm, cut out 1").entries[-1]
    assert entry.file == "idle.csv" and [c.text for c in entry.conditions] == ["790 rpm", "cut out 1"]
    assert "@" not in entry.text


@pytest.mark.parametrize(
    ("line", "heard"),
    [
        ("all cylinders fire now", "firing: all fires"),
        ("new coil in 3", "fit coil: new in 3"),
        ("New plugs in all", "fit plug: new in all"),
        ("5 drops 82, 16 dropped by 77", "cut-out: 5 82, 16 77"),
    ],
)
def test_a_sentence_is_heard_as_the_entry_that_it_means(line: str, heard: str) -> None:
    log = read("x.txt", f"engine: V16\nunits: metric\n2026-01-01\n{line}\n".encode())
    assert [e.heard for e in log.entries if e.heard] == [heard]


@pytest.mark.parametrize(
    ("line", "tidy"),
    [
        ("injector resistance: all 14.5 ohms", "resistance injector: all 14.5 ohm"),
        ("coil resistance secondary: 2 12 kohm", "resistance coil secondary: 2 12 kohm"),
        ("coil swap: 3 4, now moved", "swap coil: 3 4, now moved"),
        ("Injector flow: 1 240, 2 236 cc/min", "flow injector: 1 240, 2 236 cc/min"),
    ],
)
def test_a_part_may_stand_before_its_kind(line: str, tidy: str) -> None:
    log = jotted(line)
    assert not log.problems
    assert entry_line(log.entries[-1]) == tidy


@pytest.mark.parametrize("line", ["coil order: two of them", "injector hopes: none", "coil resistance is low, I think"])
def test_a_part_before_something_else_is_no_kind(line: str) -> None:
    assert [p.number for p in jotted(line).problems if p.weight is Weight.ERROR][:1] in ([201], [202])


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ("oil pressure: 3.5 bar cold idle", "write them before the reading: 'oil pressure cold idle: ...'"),
        ("boost: 0.5 bar at 4000", "write 'wanted: boost ...' or 'idle: boost ...' or 'pull: boost ...'"),
        ("gasket: 1.2 mm thick", "as in 'gasket: thickness 1.20 mm, bore 87.5 mm'"),
        ("remove head: , gasket ok", "put what follows into a bracket, or on a line of its own"),
        ("engine: inline 4, bore 79 mm", "'bore: all 79 mm'"),
        ("engine: inline 4, stroke 81.4 mm", "'stroke: 81.4 mm'"),
        ("engine: inline 4, chrome rocker covers", "'vehicle: ...'"),
    ],
)
def test_mends_lead_to_where_it_belongs(line: str, mend: str) -> None:
    assert mend in jotted(line).problems[0].mend


def test_slots_without_a_comma_between_are_told() -> None:
    assert "put a comma before 'vacuum 60 kPa'" in jotted("idle: 650 rpm vacuum 60 kPa").problems[0].mend


@pytest.mark.parametrize(
    "line",
    [
        "pull 1 boost: 0.2 0.4 0.5 bar (boost drops 2 psi at 5000)",
        "unplug injector: 3 (drops 80)",
        "unplug injector: 3, now 3 dead (drop 0)",
    ],
)
def test_a_drop_in_a_remark_is_a_remark(line: str) -> None:
    assert not jotted(line).problems


def test_where_the_trouble_went_is_asked_for() -> None:
    assert "', now moved'" in jotted("swap coil: 3 4, miss moved to 4").problems[0].mend


def test_at_is_a_link_where_a_part_went_in() -> None:
    assert jotted("fit coil: new at 3").entries[-1].readings[0].to[0].number == 3
    assert not jotted("fit coil: new at 3").problems
