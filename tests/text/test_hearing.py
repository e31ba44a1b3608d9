"""What is jotted is heard: scores over a corpus of jottings, and the laws between a line and what it was heard as."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from logbook.problems import Weight
from logbook.text.entries import Log
from logbook.text.hearing.lexer import lex
from logbook.text.hearing.lexicon import frames
from logbook.text.kinds import TABLE
from logbook.text.reader import read
from logbook.text.tidy import tidy
from tests.text.jottings_score import HERE, judged, rows, scores

CARD = (
    "units: us\nmoney: usd\nengine: V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 7 2 6 5 4 3, coil near plug, leads\n"
    "donor D1: van, hit from behind\nparts injector: A1-A8 from D1 at 1-8\n\n2026-05-12\n"
    "cut-out: 3 0, 4 70, 7 0\nswap coil: 3 5, now same\n"
)
LINES = [row["line"] for row in rows(HERE / "jottings.csv")]


def heard(line: str) -> Log:
    return read("x.txt", (CARD + line + "\n").encode("utf-8", "replace"))


def test_the_corpus() -> None:
    table, missed, _ = scores(HERE / "jottings.csv")
    due, mends, notes = table["right-at-once"], table["mend"], table["note"]
    assert due["right"] >= 0.95 * due.total()
    assert due["right"] + due["offered"] >= 0.97 * due.total()
    assert [row["line"] for row, outcome, _ in missed if outcome == "wrong" and row["class"] == "right-at-once"] == []
    assert mends["wrong"] + notes["wrong"] <= 1


def test_lines_of_strangers() -> None:
    """Written by someone who knew neither words nor frames: an old hand, a phone, short English, whole sentences."""
    table, missed, _ = scores(HERE / "strangers.csv")
    due = table["right-at-once"]
    assert due["right"] >= 0.72 * due.total()
    # They are read as they were meant, and expected under other names: 'start' is no 'startup' to the scores, that an
    # injector dribbles stands beside its pressure, a drop in the ground has the engine beside it, the price of what was
    # ordered stands among its words, and there is no kind of its own for one sensor.
    wrong = [row["line"] for row, outcome, _ in missed if outcome == "wrong" and row["class"] != "mend"]
    assert wrong == [
        "pop test: 3 opens at 140 bar and dribbles, others 185",
        "coolant temp: 20 C at start, 60 @ 5 min, 88 @ 11 min, fan on at 97",
        ".4v drp eng gnd crk",
        "ord inj seals 18 comes thu",
    ]
    mispasted = [row["line"] for row, outcome, _ in missed if outcome == "mispasted"]
    assert mispasted == ["O2 sensor swings 0.1-0.9 V at 2000 rpm, warm"]


def test_no_kind_is_deaf() -> None:
    assert set(frames()) == {row.word for row in TABLE}


@pytest.mark.parametrize(
    ("line", "lines"),
    [
        ("unplugged 2 rpm dropped, 3 no change", ["cut-out: 2 fires, 3 none"]),
        ("swapped coils 3 and 1 - miss moved to 1", ["swap coil: 3 1, now 1 dead, 3 fires"]),
        ("oil press 42 cold 25 hot idle", ["oil pressure cold: 42", "oil pressure hot idle: 25"]),
        ("compression one is 165 two is 160", ["compression: 1 165, 2 160"]),
        ("plugs look good except 7 which is black", ["plug look: 7 black, rest ok"]),
        ("12 volts at injector 7", ["feed injector: 7 12"]),
        ("no 12v at coil 4", ["feed coil: 4 none (no 12 v)"]),
        ("sw coil 2 w 4 same", ["swap coil: 2 4, now same"]),
        ("coil 5 n 7 swpd, 7 dead now 5 ok", ["swap coil: 5 7, now 7 dead, 5 fires"]),
        ("lead 3 on 4 and 4 on 3, dead one is 4 now", ["swap lead: 3 4, now 4 dead, 3 fires"]),
        ("batt 12.5 off 10.2 crk alt 14.2", ["battery: rest 12.5, cranking 10.2", "output: 14.2"]),
        ("pts .016 dwell 49", ["points gap: .016", "dwell: 49"]),
        (
            "fp 56 koeo 51 idl 48 aft 10 min off",
            ["fuel pressure: key-on 56, idle 51", "fuel pressure held: 48 @ 10 min"],
        ),
        ("cust pd 480 cash", ["got: 480 cash"]),
        ("got hd gskt set 64 at counter", ["spent: 64 hd gasket at counter"]),
        ("pressure tested rad 1 bar holds 10 min", ["cooling pressure held: 1 bar @ 10 min"]),
        ("pop pressure 1 185 3 140 bar", ["opening pressure injector: 1 185, 3 140 bar"]),
        ("head bolts 22 ftlb then 90 deg", ["torque head: all 22 lbft", "angle head: all 90 deg"]),
        ("oil pressure 25 hot idle 55 at 2000", ["oil pressure hot idle: 25", "oil pressure: 55 @ 2000 rpm"]),
        ("comp 5: 90 dry, 140 wet", ["compression dry: 5 90", "compression wet: 5 140"]),
        ("ltft +12 b1 +11 b2", ["trims long: left +12, right +11"]),
        ("worked 9:00-12:30", ["hours: 3.5"]),
        ("cleaned injectors ultrasonic 30 min", ["clean injector: all (ultrasonic 30 min)"]),
        ("crank no fire, has spark, no fuel pressure", ["crank: no-start", "spark: all strong", "fuel pressure: none"]),
        ("plug 4 wet, spark 4 weak", ["plug look: 4 wet", "spark: 4 weak"]),
        ("smoke test: no leaks", ["smoke leak: all none"]),
        ("third gear pull eleven psi of boost no knock", ["pull: boost 11 psi, knock none @ 3rd gear"]),
        ("Compression, dry: No. 1 118 lb, No. 2 120 lb", ["compression dry: 1 118, 2 120 psi"]),
        ("Bought boots x4 @ $7", ["spent: 28 (Bought boots 4 x $7)"]),
        ("Batt 12.6 rest / 10.4 crk; alt 14.3 idle", ["battery: rest 12.6, cranking 10.4", "output: 14.3 @ idle"]),
        ("sold 2 doors at 120 each", ["got: 240 (sold 2 doors at 120 each)"]),
        ("worked 9 to 3", ["hours: 6"]),
        ("coils 4<->3: miss 4 -> 3", ["swap coil: 4 3, now 3 dead, 4 fires"]),
        (
            "lash cold mm: intake 1 0.2 / exhaust 1 0.3",
            ["lash intake: 1 0.2 mm @ cold", "lash exhaust: 1 0.3 mm @ cold"],
        ),
        ("compression 1/2/3: 12.1/12.0/9.2 bar", ["compression: 1 12.1, 2 12.0, 3 9.2 bar"]),
        ("compression dry 4 90, wet 4 130", ["compression dry: 4 90", "compression wet: 4 130"]),
        ("ran 1 hr on load, all 8 pull, no miss", ["firing: all fires @ 1 h, load"]),
        ("customer picked it up, paid the rest 1300", ["handed over", "got: 1300 the rest"]),
    ],
)
def test_what_is_heard(line: str, lines: list[str]) -> None:
    log = heard(line)
    assert [e.heard for e in log.entries if e.heard] == lines
    assert not [p for p in log.problems if p.weight is Weight.ERROR]


@pytest.mark.parametrize(
    "line",
    [
        "odometer: 91,250",  # a large number or a small one
        "compression: 1 131/126/128",  # a place and its strokes, or a row
        "fuel pressure: 43-38",
        "battery: 12.4.1",
        "fuel pressure: 43 psii",
        "fuel pressure: 58 psia",
        "drip: 3",
        "click injector: 3 = 4",
        "compression: 3 90, now 3 dead",
        "if 4 is still dead tomorrow swap coil 4 and 5",
        "did not swap coil 3 and 4, no time",
        "4 bolts missing on the bellhousing",
        "3 guys came to look at it",
        "no. 2 smudge, 3 30",
        "noid: 4 doa, rest flash",
        "seller says all 8 flow 90",
        "Did I write down that 2 was weak?",
        "got 3 spare coils",
        "gizmo: 1 9.2",
        "put in a set of eight new plugs gapped at forty thousandths",  # no eight hours
        "there was water sitting in the plug well of number three",  # no temperature
        "sell 2 door of bus, 60 together",  # which is the sum
        "Battery 12.6 volts at rest and 10.6 volts while cranking.",
    ],
)
def test_nothing_is_made_of_what_is_not_sure(line: str) -> None:
    """Refused or offered: no entry is made."""
    log = heard(line)
    assert not [e for e in log.entries if e.line > len(CARD.split("\n")) - 1]
    assert [p for p in log.problems if p.weight is Weight.ERROR]


def test_two_meanings_are_both_offered() -> None:
    (fault,) = [p for p in heard("paid 300").problems if p.weight is Weight.ERROR]
    assert fault.choices == ("got: 300", "spent: 300")


def test_every_choice_is_read_when_it_is_pasted() -> None:
    for row in rows(HERE / "jottings.csv"):
        log = heard(row["line"])
        for choice in (c for p in log.problems for c in p.choices):
            pasted = heard(choice)
            bad = [p for p in pasted.problems if p.weight is Weight.ERROR]
            assert not bad, (row["line"], choice, bad)


def test_tidy_writes_what_was_heard_and_keeps_the_line_where_words_were_left_over() -> None:
    log = heard("unplugged 2 rpm dropped, 3 no change")
    assert "\ncut-out: 2 fires, 3 none\n" in tidy(log)
    again = read("x.txt", tidy(log).encode())
    assert not [e for e in again.entries if e.heard]


# laws


def holds(line: str) -> None:
    """Nothing is lost, nothing invented, and what was heard reads without an error."""
    log = heard(line)
    assert log.lines.total == log.text.count("\n")
    entries = [e for e in log.entries if e.heard]
    for entry in entries:
        again = heard(entry.heard)
        assert not [p for p in again.problems if p.weight is Weight.ERROR and p.span.start >= len(CARD)], entry.heard
    if not entries:
        return
    said = "\n".join(e.heard for e in entries)
    if any(e.kind in ("hours", "got", "spent", "quote", "bought", "asked", "donor") for e in entries):
        return  # sums: the numbers of the line stand in them, worked out
    written = {t.number.low for t in lex(line) if t.number and t.number.clock < 0}
    said = re.sub(r"(?m)^\d\d:\d\d ", "", said)  # '2pm' is written 14:00
    if "yesterday" in line.casefold():
        said = said.replace("2026-05-11 ", "")  # the day of a correction, counted back from the day above
    loose = [Decimal(n) for n in re.findall(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.]*\d)", said.replace("-", " "))]
    states = {Decimal(n) for n in range(1, 9)}  # places that the context knows
    invented = [n for n in loose if n not in written | states and n != 0 and str(n) not in line]
    assert not invented or "-" in line or "/" in line or "from" in line.casefold(), (line, said)


words = st.sampled_from(sorted({w for line in LINES for w in line.split()}))


@given(st.sampled_from(LINES), st.lists(st.tuples(st.integers(0, 30), words, st.integers(0, 2)), max_size=3))
def test_laws_over_mutated_lines(line: str, edits: list[tuple[int, str, int]]) -> None:
    said = line.split()
    for at, word, drop in edits:
        at %= len(said) + 1
        said[at : at + drop] = [word]
    mutated = " ".join(said)
    if mutated.strip():
        holds(mutated)


@given(st.lists(words, min_size=1, max_size=9))
@example(["yesterday's", "fuel", "psi", "was", "58", "not", "48"])
@example(["2pm", "P0171", "bank", "1", "strap", "lean"])
def test_laws_over_any_words(said: list[str]) -> None:
    holds(" ".join(said))


@given(st.sampled_from(LINES), st.integers(0, 30), st.sampled_from(["gronk", "not", "never", "blarg"]))
@example("asking 250 for the gearbox", 1, "not")
@example("dist turned 5 deg adv, runs better", 6, "gronk")
def test_no_word_is_passed_over(line: str, at: int, word: str) -> None:
    """A word that nobody knows and a 'not' are kept among what was heard, or nothing is heard."""
    said = line.split()
    said.insert(at % (len(said) + 1), word)
    entries = [e for e in heard(" ".join(said)).entries if e.heard]
    if any(t.atoms > 1 and word in t.key.split(" ") for t in lex(" ".join(said))):
        return  # 'not fire' is one outcome
    assert not entries or word in " ".join(f"{e.heard} {e.text}" for e in entries), entries


@given(st.sampled_from([row for row in TABLE if row.example]))
def test_canonical_lines_are_untouched(row: object) -> None:
    example = row.example  # type: ignore[attr-defined]
    assert heard(example).entries == read("x.txt", (CARD + example + "\n").encode(), hearing=False).entries


def test_a_row_is_judged() -> None:
    row = {"setting": "pickup8", "before": "", "line": "3 dead", "class": "right-at-once", "expect": ""}
    row["expect"] = '{"kind": "firing", "facts": [{"at": "4", "word": "dead"}]}'
    assert judged(row)[0] == "wrong"


def test_a_telephone_number_is_no_speed() -> None:
    log = heard("compression: 1 130, 3 120 @ 01537234086")
    assert not any(c.quantity for e in log.entries for c in e.conditions)
