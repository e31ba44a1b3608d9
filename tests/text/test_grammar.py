"""What the language means: each way to write a thing, and what is read of it."""

from __future__ import annotations

import pytest

from logbook.text.entries import Entry, Subject, Value, Written
from logbook.text.reader import read

CARD = "units: metric\nmoney: eur\nengine: V6, left 1 3 5, right 2 4 6, coil near plug, leads\ndonor D1: a van\n"


def entry(line: str) -> Entry:
    """The entry of one line under a card, which must read without errors or doubts."""
    log = read("log.txt", f"{CARD}{line}\n".encode(), hearing=False)
    assert [p.message for p in log.problems if p.weight != "hint"] == []
    assert len(log.entries) == 5
    return log.entries[-1]


def of(subjects: tuple[Subject, ...]) -> str:
    return "+".join(f"{s.name or s.kind if s.kind != 'place' else ''}{s.number or ''}{s.letter}" for s in subjects)


def said(value: Value | None) -> str:
    if value is None:
        return ""
    quantity = value.quantity
    text = f"{quantity.text} {quantity.unit}".strip() if quantity else value.word
    return f"{text}{'?' if value.doubted else ''}{' (' + value.remark + ')' if value.remark else ''}"


def told(readings: tuple[Written, ...]) -> str:
    return ", ".join(
        f"{of(w.subjects)}{'>' + of(w.to) if w.to else ''}={said(w.value)}{w.remark and f' ({w.remark})'}"
        for w in readings
    )


@pytest.mark.parametrize(
    ("line", "readings"),
    [
        ("cut-out: 1 70, 2 65", "1=70 rpm, 2=65 rpm"),
        ("cut-out: 1=70 2=65", "1=70 rpm, 2=65 rpm"),
        ("Cut out: 1 70; 2 65", "1=70 rpm, 2=65 rpm"),
        ("cut-out: #1 70, cyl 2 65", "1=70 rpm, 2=65 rpm"),
        ("cut-out 3: 0", "3=0 rpm"),
        ("cut-out: 70 70 70 0 60 70", "1=70 rpm, 2=70 rpm, 3=70 rpm, 4=0 rpm, 5=60 rpm, 6=70 rpm"),
        ("cut-out: 70 70 dead 0 - 70?", "1=70 rpm, 2=70 rpm, 3=dead, 4=0 rpm, 5=not done, 6=70 rpm?"),
        ("cut-out: 1-3 and 5 70, rest 60", "1+2+3+5=70 rpm, rest=60 rpm"),
        ("cut-out: left 70, right 60", "left=70 rpm, right=60 rpm"),
        ("cut-out: odd 70, even 60", "odd=70 rpm, even=60 rpm"),
        ("compression: 1 about 12.1, 2 >13", "1=about 12.1 bar, 2=over 13 bar"),
        ("compression: 1 175 psi, 2 170", "1=175 psi, 2=170 psi"),
        ("compression: 1 12.0-12.4, 2 12.0..12.4", "1=12.0-12.4 bar, 2=12.0-12.4 bar"),
        ("compression: 1 12.1?, 2 12.0 bar?", "1=12.1 bar?, 2=12.0 bar?"),
        ("compression: 1 12.1 ± 0.2, 2 stopped (battery flat)", "1=12.1 +-0.2 bar, 2=stopped (battery flat)"),
        ("leak-down: 5 7 (exhaust)", "5=7 % (exhaust)"),
        ("leak-down: 5 70 exhaust", "5=70 % (exhaust)"),
        ("firing: 2 4 6 dead, rest fires", "2+4+6=dead, rest=fires"),
        ("firing: 3 is dead", "3=dead"),
        ("spark: none on 4", "4=none"),
        ("plug look: 4 black and wet", "4=black (wet)"),
        ("feed injector: all 12.3 V", "all=12.3 V"),
        ("flow: old 4 61, rest about 80 ml", "old4=61 ml, rest=about 80 ml"),
        ("clean injector: 4 6", "4+6="),
        ("cause coil: old 4 (split boot)", "old4= (split boot)"),
        ("torque rod: 1a 25, 1b 26 Nm", "1a=25 Nm, 1b=26 Nm"),
        ("plug gap: all 1/32 in", "all=1/32 in"),
        ("mixture: lambda 1.02", "=1.02 lambda"),
        ("mixture: 14.7:1", "=14.7 afr"),
        ("coolant temperature: 88°", "=88 C"),
        ("coolant temperature: 190 °F", "=190 F"),
        ("timing: 10° btdc", "=10 deg (btdc)"),
        ("idle: rpm 750, vacuum 60 kPa, smooth", "rpm=750 rpm, vacuum=60 kPa vac, =smooth"),
        ("battery: rest 12.6, cranking 10.2", "rest=12.6 V, cranking=10.2 V"),
        ("codes: p0302 P0351", "=P0302, =P0351"),
        ("spent: 64.00 filter, strainer and baskets", "=64.00 eur (filter, strainer and baskets)"),
        ("hours: diagnosis 2.5, 1 fitting", "diagnosis=2.5 h, fitting=1 h"),
        ("gears: 3.4 1.9 1.3", "1=3.4 ratio, 2=1.9 ratio, 3=1.3 ratio"),
        ("pull 2 boost: 2500 0.4, 3000 0.6", "speed2500=0.4 bar, speed3000=0.6 bar"),
    ],
)
def test_readings(line: str, readings: str) -> None:
    assert told(entry(line).readings) == readings


@pytest.mark.parametrize(
    ("line", "moves"),
    [
        ("swap coil 3 4", "3>4="),
        ("swap coil: 3 and 4", "3>4="),
        ("swap coil: 3 with 4, 1 / 2", "3>4=, 1>2="),
        ("swap coil: 3-4", "3>4="),
        ("swap coil: 3 <> 4", "3>4="),
        ("move coil: 1 to 2, 2 to 3, 3 to 1", "1>2=, 2>3=, 3>1="),
        ("fit injector: old 4 in 4", "old4>4="),
        ("fit coil: new in 3", "new>3="),
        ("fit coil: 3 new", "new>3="),
        ("fit new coil in 3", "new>3="),
        ("fit plug: new in all", "new>all="),
        ("fit gasket: new", "new="),
    ],
)
def test_moves(line: str, moves: str) -> None:
    assert told(entry(line).readings) == moves


def test_what_was_seen_right_after() -> None:
    moved = entry("swap injector 4 6: now 6 dead, 4 fires @ 700 rpm, warm")
    assert told(moved.now) == "6=dead, 4=fires"
    assert [c.text for c in moved.conditions] == ["700 rpm", "warm"]
    assert moved.conditions[0].quantity is not None and moved.conditions[0].quantity.unit == "rpm"
    assert entry("swap coil 4 6, now same").now_word == "same"
    assert entry("swap coil 4 6: now moved").now_word == "moved"


def test_marks_time_and_head() -> None:
    marked = entry("2:30 pm private proved cut-out drop: 1 70")
    assert (marked.time, marked.private, marked.proved, marked.qualifiers) == ("14:30", True, True, ("drop",))
    assert entry("12:05 am road: fine").time == "00:05"
    corrected = entry("correct 2026-05-04 14:30 compression wet: 1 12.0")
    assert corrected.correct and str(corrected.correct_day) == "2026-05-04" and corrected.correct_time == "14:30"
    assert entry("spec ring gap top: 0.40-0.50").spec_mark
    assert entry("order 1042 wants four injectors").name == "1042"
    assert entry("torque head step 2: all 40 Nm").name == "2"
    assert entry("pull 2 intake-air: 30 35 41").qualifiers == ("intake-air",)
    assert entry("compression D1: 1 12.0").engine == "D1"
    assert entry("private: pays late").kind == "private"


def test_clauses_of_stock() -> None:
    stock = entry("parts coil: A1-A4 from D1 at 1-4")
    assert of(stock.readings[0].subjects) == "A1+A2+A3+A4"
    assert (stock.source, of(stock.at), stock.part) == ("D1", "1+2+3+4", "coil")
    assert entry("scrap: injector old 2, coil A1").readings[1].part == "coil"
    assert entry("bought coil: 45").readings[0].value is not None


def test_spec_clause_takes_the_unit_of_its_line() -> None:
    limited = entry("compression: 1 150 psi, spec over 120")
    assert said(limited.spec) == "over 120 psi"


def test_words_found_in_free_text() -> None:
    assert entry("clue: harness wet, it sat for months").words == ("harness-wet", "sat")


@pytest.mark.parametrize(
    ("line", "file"),
    [
        ("photo: connector.jpg lock tab gone", "connector.jpg"),
        ("photo: IMG 0012.jpg", "IMG 0012.jpg"),
        ('photo: "my van.png" dirty', "my van.png"),
        ("trace cranking: start.csv time s, current A", "start.csv"),
    ],
)
def test_files(line: str, file: str) -> None:
    assert entry(line).file == file


def test_what_a_phone_does_is_fine() -> None:
    plain = entry("compression wet: 1 12.0-12.4, 2 11.8 (it's slow)")
    phone = entry("Compression\u00a0wet: 1 12.0\u201312.4, 2 11.8 (it\u2019s slow).")
    assert told(plain.readings).replace("'", "\u2019") == told(phone.readings)


def test_each_sign_keeps_its_place() -> None:
    log = read("log.txt", "\ufeffunits: us\r\nbattery:\u00a012.4 \u2126\r\n".encode(), hearing=False)
    assert log.text.split("\n")[1][log.problems[0].span.start - len("units: us\n") :].startswith("\u2126")


def test_the_shops_units_hold_where_the_card_names_none() -> None:
    shop = read("shop.txt", b"units: us\nmoney: usd\n")
    log = read("log.txt", b"engine: inline 4\ncompression: 1 130\nspent: 4.00\n", shop)
    assert told(log.entries[1].readings) == "1=130 psi"
    assert told(log.entries[2].readings) == "=4.00 usd"
    own = read("log.txt", b"units: metric\nengine: inline 4\ncompression: 1 13\n", shop)
    assert told(own.entries[-1].readings) == "1=13 bar"


def test_money_for_a_part_is_no_order_of_its_name() -> None:
    got = entry("got coil: A1 15")
    assert (got.name, told(got.readings)) == ("", "=15 eur (coil A1)")
    assert entry("got 7: 80.00").name == "7"


def test_a_word_keeps_what_stands_behind_its_apostrophe() -> None:
    assert entry("cut-out: 1 70 @ doesn't idle").conditions[0].words == ("doesn't", "idle")


@pytest.mark.parametrize(
    ("line", "kind", "what"),
    [
        ("dwell: 47 deg", "dwell", "=47 deg"),
        ("dwell angle: 60 %", "dwell", "=60 %"),
        ("points gap: 0.4 mm", "points gap", "=0.4 mm"),
        ("points: 0.4", "points gap", "=0.4 mm"),
    ],
)
def test_contact_points(line: str, kind: str, what: str) -> None:
    found = entry(line)
    assert (found.kind, told(found.readings)) == (kind, what)
