"""The likeliest mistakes, each as a builder would jot it, with what the reader says to it."""

from __future__ import annotations

import click
import pytest
from syrupy.assertion import SnapshotAssertion

from logbook.commands.terminal import problem_lines
from logbook.text.forms import entry_line
from logbook.text.reader import read

FOUR = "units: us\nengine: inline 4, fires 1 3 4 2, coil on plug\n"
SIX = "units: metric\nengine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug\n"

MISTAKES: dict[str, str] = {
    "no-colon": FOUR + "compression 1 130, 2 128",
    "kind-misspelt": FOUR + "compresion: 1 130, 2 128",
    "kind-misspelt-no-colon": FOUR + "leekdown 1 9, 2 8",
    "kind-by-another-word": FOUR + "pressure: 43",
    "sentence-at-the-margin": FOUR + "took the coils off and had a look, all fine",
    "sentence-with-colon": FOUR + "i think so: it is the coil",
    "customer-says": FOUR + "customer says it only happens when wet",
    "indented-entry": FOUR + "2026-05-04\n  compression: 1 130",
    "entry-and-note": FOUR + "battery: 12.4 but the terminals were green",
    "hash-three": FOUR + "#3 dead",
    "three-dead": FOUR + "3 dead",
    "hash-day": FOUR + "# 2026-05-04\nfiring: all fires",
    "date-two-ways": FOUR + "4/5/2026\nfiring: all fires",
    "date-one-way": FOUR + "25/5/2026",
    "date-dots": FOUR + "4.5.2026",
    "date-words": FOUR + "May 4, 2026",
    "date-no-year": FOUR + "4 May",
    "weekday": FOUR + "monday evening",
    "april-31": FOUR + "2026-04-31\nfiring: all fires",
    "day-and-entry": FOUR + "2026-05-04 firing: 3 dead",
    "days-back": FOUR + "2026-05-05\n2026-05-04",
    "times-back": FOUR + "2026-05-05\n4 pm firing: all fires\n14:00 firing: 3 dead",
    "time-of-no-day": FOUR + "2026-05-05\n24:30 firing: 3 dead",
    "decimal-comma": SIX + "compression: 1 12,4 bar",
    "thousands": FOUR + "odometer: 91,250",
    "strokes": FOUR + "compression: 1 131/126/128",
    "pairs-or-row": FOUR + "cut-out: 1 90 2 0",
    "no-commas": FOUR + "cut-out: 1 90 2 0 3 85",
    "seven-for-eight": "engine: V8, left 1 3 5 7, right 2 4 6 8\ncut-out: 70 70 70 65 70 70 70",
    "nine-of-eight": "engine: V8, left 1 3 5 7, right 2 4 6 8\nfiring: 9 dead",
    "place-twice": FOUR + "compression: 1 130, 2 128, 2 131",
    "all-and-one": FOUR + "firing: all fires, 3 dead",
    "no-engine": "cut-out: 70 70 0 70",
    "bank-unknown": FOUR + "mixture: left 14.7, right 16",
    "bank-front-on-left-right": SIX + "trims short: front +3",
    "one-place-swap": FOUR + "swap coil: 3",
    "swap-of-what": FOUR + "swap 3 4: now 4 dead",
    "swap-tag-and-place": FOUR + "parts coil: A3 used\nswap coil: A3 4",
    "place-with-itself": FOUR + "swap coil: 3 3",
    "swap-of-three": FOUR + "swap coil: 1 2 3",
    "fit-nowhere": FOUR + "fit coil: new",
    "fit-what": FOUR + "fit coil: 3",
    "fit-four-in-three": FOUR + "parts coil: A1-A4 used\nfit coil: A1-A4 in 1-3",
    "no-unit": "engine: inline 4\ncompression: 1 130",
    "wrong-dimension": FOUR + "battery: 12.4 psi",
    "no-such-unit": FOUR + "fuel pressure: 43 psii",
    "absolute": FOUR + "fuel pressure: 58 psia",
    "psi-1310": FOUR + "compression: 1 1310, 2 128, 3 131, 4 130",
    "pound": FOUR + "torque head: 1-10 65 lb",
    "lost-zero": FOUR + "lash intake: 1 028",
    "lost-point": SIX + "lash intake: 1 0.22, 2 2.3, 3 0.23",
    "falling-range": FOUR + "fuel pressure: 43-38",
    "unsigned-trim": FOUR + "trims long: 12",
    "condition-of-what": FOUR + "vacuum: 17 @ 2500",
    "condition-unit": FOUR + "vacuum: 17 @ 2500 rmp",
    "min": FOUR + "oil pressure: 25 min",
    "smoke": FOUR + "smoke: blue",
    "paid": FOUR + "paid: 45 for the coil",
    "pulled": FOUR + "pulled: injector 3",
    "even": FOUR + "compression: even",
    "drop-or-speed": FOUR + "cut-out: 1 610, 2 600 @ 690 rpm",
    "all-leak": FOUR + "leak-down: 1 92, 2 90, 3 93, 4 91",
    "word-of-another-kind": FOUR + "spark: 3 rich",
    "unread-word": FOUR + "firing: 3 dead sometimes maybe",
    "bracket-open": FOUR + "leak-down: 3 70 (exhaust",
    "bracket-shut": FOUR + "leak-down: 3 70 exhaust)",
    "empty-clause": FOUR + "swap coil: 2 4, now",
    "empty-condition": FOUR + "vacuum: 17 @",
    "double-comma": FOUR + "firing: 1 fires,, 2 dead",
    "two-entries": FOUR + "firing: 3 dead, compression: 3 90",
    "now-on-a-test": FOUR + "compression: 3 90, now 3 dead",
    "units-imperial": "units: imperial",
    "photo-without-file": FOUR + "photo: the connector of 3",
    "no-code": FOUR + "codes: misfire on 3",
    "all-but-one": FOUR + "firing: all ok but 3",
    "all-but-one-fire": FOUR + "firing: all but #3 fire",
    "all-but-a-number": FOUR + "compression: all 130 but 3 90",
    "glued-commas-and-a-number": FOUR + "compression: 1,2,4 130",
    "hash-title": "# my van\n" + FOUR,
    "adjusted-by-or-to": FOUR + "adjust idle: 50 rpm",
    "trims-without-comma": FOUR + "trims: LTFT +12 STFT +3",
    "kind-misspelt-in-a-sentence": FOUR + "swaped coils 2 and 3",
    "codes-in-a-sentence": FOUR + "pulled codes P0302 p0304",
    "cylinder-dead": FOUR + "cyl 2 is dead",
    "changed": FOUR + "changed coil 2 with new one",
    "put": FOUR + "put new plug in 2",
    "sold": FOUR + "sold injector B1 20",
    "bang": FOUR + "fixed!! runs great",
    "fuelling-as-feeds": FOUR + "feeds: carburettor",
    "look-of-a-part": FOUR + "look cap: carbon tracks",
    "all-but-at": FOUR + "compression: all good except 4 at 95",
    "sent-order": FOUR + "sent: order 14",
    "dash-for-blank": FOUR + "cut-out: 1-70, 2-65",
    "swap-colon-prose": FOUR + "swap coil 3 & 4: misfire moved to 4",
    "hashes-without-commas": FOUR + "compression: #1 130psi #2 128psi",
    "qualifier-in-brackets": FOUR + "compression (wet): 4 110",
    "bank-by-number": SIX + "trims long: bank 1 +12",
    "old-what": FOUR + "clean injector: old",
    "run-falls": FOUR + "clean injector: 4-1",
    "too-long-a-run": FOUR + "parts coil: A1-A999999999",
    "lookalike": FOUR + "parts coil: А1 used",
    "compression-of-which": FOUR + "compression: 130",
    "what-of-three": FOUR + "drip: 3",
    "slot-misspelt": FOUR + "idle: rpm 700, vaccum 17",
    "hours-without-number": FOUR + "hours: diagnosis",
    "nothing-behind": FOUR + "compression:",
    "mark-alone": FOUR + "proved",
    "rest-of-what": FOUR + "firing: rest fires",
    "parts-of-two-donors": FOUR + "donor D1: van\ndonor D2: car\nparts coil: A1 from D1, B1 from D2",
    "number-for-word": FOUR + "click injector: 3 = 4",
    "not-a-number": FOUR + "battery: 12.4.1",
    "exponent": FOUR + "odometer: 9e4",
    "twenty-cylinders": "engine: V24",
    "qualifier-misspelt": FOUR + "compression: wett 1 130, 2 128",
    "two-qualifiers": FOUR + "ring gap: top 1 .017, second 1 .021",
    "now-forgotten": FOUR + "swap coil: 2 4, 2 dead",
    "bidi": FOUR + "battery: 12.4 \u202eV",
    "note-under-nothing": "  shakes\njob: van",
    "note-under-a-lost-line": FOUR + "gizmo: 3\n  because of this",
}


NO_COLON = 204
READ_AS = {
    "adjust timing: 12 btdc": "adjust timing: to 12 btdc",
    "adjust timing: 12 deg btdc": "adjust timing: to 12 deg btdc",
    "adjust timing: +2 deg": "adjust timing: +2 deg",
    "adjust idle: 850 rpm": "adjust idle: to 850 rpm",
    "trims: LTFT +12": "trims long: +12",
    "LTFT: +12": "trims long: +12",
    "trims: STFT +3, LTFT +12": "trims: short +3, long +12",
    "spark: on 2 none, 3 strong": "spark: 2 none, 3 strong",
    "parts coil: A1 used": "parts coil: A1 used",
    "engine v8 firing order 18436572": "engine: v8 firing order 18436572",
    "spark: good on all": "spark: all strong",
    "firing: 1,2,4 fires, 3 dead": "firing: 1 2 4 fires, 3 dead",
    "firing: 1, 2, 4 fires, 3 dead": "firing: 1 2 4 fires, 3 dead",
    "spark: 1,2,4 good, 3 none": "spark: 1 2 4 strong, 3 none",
    "swap coil: 3,4": "swap coil: 3 4",
    "remove injector: 2,4": "remove injector: 2 4",
    "mixture: 15.1 @ 1 cut out": "mixture: 15.1 @ 1 cut out",
    "mixture: 15.1 @ cut out 1": "mixture: 15.1 @ cut out 1",
}


@pytest.mark.parametrize("jotted", READ_AS)
def test_what_a_builder_jots_reads_without_a_word(jotted: str) -> None:
    log = read("van.txt", (FOUR + jotted).encode(), hearing=False)
    assert not [p for p in log.problems if p.number != NO_COLON]
    assert entry_line(log.entries[-1]) == READ_AS[jotted]
    again = read("van.txt", (FOUR + READ_AS[jotted]).encode())
    assert not again.problems
    assert entry_line(again.entries[-1]) == READ_AS[jotted]


@pytest.mark.parametrize("name", MISTAKES)
def test_what_is_said(name: str, snapshot: SnapshotAssertion) -> None:
    log = read("van.txt", MISTAKES[name].encode())
    assert log.problems, "a mistake that nobody is told of"
    assert (
        "\n".join(click.unstyle(line) for p in log.problems for line in problem_lines("van.txt", log.text, p))
        == snapshot
    )


def test_at_least_forty_numbers_are_met() -> None:
    met = {p.number for text in MISTAKES.values() for p in read("van.txt", text.encode(), hearing=False).problems}
    assert len(met) >= 60
