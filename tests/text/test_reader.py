"""A whole log: the taste of the language, engine cards, and logs that mean harm."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

from logbook.text.card import engine_card
from logbook.text.limits import MOST_ENTRIES
from logbook.text.reader import read

TASTE = """\
job: Parcel van, shakes at the lights
units: metric
engine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug
symptom: shakes at idle since the rain
owner: K. Example

2026-05-04 looked it over
cut-out: 1 70, 2 65, 3 70, 4 0, 5 60, 6 70
swap coil 2 4: now same
  Boots look fine. *Nobody* was in here before.

2026-05-05
clue: harness wet
compression: 1 12.1, 2 12.0, 3 11.8, 4 11.9?, 5 12.2, 6 stopped (battery flat) @ warm
feed injector: all 12.3 @ key on
swap injector 4 6: now 6 dead, 4 fires
put back injector: 4 6
remove injector: 4
flow: old 4 61, rest about 80 ml @ 30 s, 3 bar, test fluid
clean injector: old 4
flow: old 4 78 ml @ 30 s, 3 bar, test fluid
fit injector: old 4 in 4, now all fires
photo: connector.jpg lock tab gone
correct 2026-05-04 cut-out: 5 70
cause injector: old 4 (fouled)
proved cut-out: 70 70 70 65 70 70 @ 690 rpm, warm
hours: diagnosis 2.5, fitting 1
"""


def test_the_taste_of_the_language_reads_clean() -> None:
    log = read("van.txt", TASTE.encode())
    assert log.problems == ()
    lines = log.lines
    assert (lines.blank, lines.day, lines.entry, lines.note, lines.problem) == (2, 2, 22, 1, 0)


@pytest.mark.parametrize(
    ("card", "places", "banks"),
    [
        ("V6, left 1 3 5, right 2 4 6", 6, {"left", "right"}),
        ("four in line, fires 1 3 4 2", 4, set()),
        ("flat four", 4, {"left", "right"}),
        ("straight six, 4.2 l", 6, set()),
        ("inline 16", 16, set()),
        ("left 1 2, right 3 4", 4, {"left", "right"}),
        ("4.2 l diesel", 0, set()),
    ],
)
def test_engine_cards(card: str, places: int, banks: set[str]) -> None:
    found = engine_card(card)
    assert (found.places, found.banks) == (places, banks)


def test_reading_imports_nothing_heavy() -> None:
    code = (
        "import sys, logbook.text.reader, logbook.text.tidy, logbook.text.faults;"
        "print(sorted({'numpy', 'jinja2', 'matplotlib', 'watchdog', 'markdown_it', 'click'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


HOSTILE = {
    "one long line": "a" * 900_000,
    "runs": "parts coil: " + ", ".join(["A1-A99"] * 400) + "\n",
    "huge run": "parts coil: A1-A999999999\n",
    "numbers": "cut-out: " + "1 " * 1900 + "\n",
    "brackets": "firing: " + "(" * 3900 + "\n",
    "equals": "cut-out: " + "1=2 " * 900 + "\n",
    "conditions": "vacuum: 17 " + "@ " * 1900 + "\n",
    "unknown kinds": "gizmo: 3\n",
    "deep note": "  " + ">" * 3000 + "\n",
    "marks": "private " * 480 + "\n",
    "commas": "firing: " + "," * 3900 + "\n",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_logs_end(name: str) -> None:
    """A megabyte of each ends; 30 s is no timing but far from for ever."""
    piece = HOSTILE[name]
    text = "engine: V16\njob: x\n" + piece * (900_000 // len(piece))
    begun = time.process_time()
    log = read("log.txt", text.encode())
    assert log.lines.total == text.count("\n") + (not text.endswith("\n"))
    assert log.lines.problem or log.problems
    assert time.process_time() - begun < 30


def test_a_log_reads_the_same_whatever_was_read_before() -> None:
    """Lines are remembered over logs: units, cards and used-up suggestions of one must not speak in another."""
    metric = read("a.txt", TASTE.encode())
    american = TASTE.replace("units: metric", "units: us").replace("12.", "112.").encode()
    misspelt = ("engine: inline 4\n" + "".join(f"firing: {n % 4 + 1} daed{n}\n" for n in range(100))).encode()
    others = [read("b.txt", american), read("c.txt", misspelt), read("d.txt", b"firing: 4 daed99\n" + TASTE.encode())]
    code = (
        "import sys; from logbook.text.reader import read;"
        "print([repr((log.entries, log.problems)) for log in [read('x.txt', sys.argv[1].encode())]])"
    )
    for text, log in zip((american, misspelt), others, strict=False):
        alone = subprocess.run([sys.executable, "-c", code, text.decode()], capture_output=True, text=True, check=True)
        assert alone.stdout == f"{[repr((log.entries, log.problems))]}\n"
    assert read("a.txt", TASTE.encode()) == metric
    shop = read("shop.txt", b"units: us\n")
    bare = b"engine: inline 4\ncompression: 1 130\n"
    first, second = read("a.txt", bare), read("a.txt", bare, shop)
    assert (len(first.problems), len(second.problems)) == (1, 0)


@pytest.mark.parametrize("line", ["engine {}: inline 4", "donor {}: a van"])
def test_thousands_of_engines_or_donors_end(line: str) -> None:
    """Each line once looked at all those before it; 30 s is no timing but far from for ever."""
    tags = [f"{letter}{number}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" for number in range(1, 900)]
    begun = time.process_time()
    log = read("log.txt", "\n".join(line.format(tag) for tag in tags).encode())
    assert len(log.entries) == MOST_ENTRIES < len(tags)
    assert [p.number for p in log.problems if p.span.start == log.text.index(line.format(tags[MOST_ENTRIES]))] == [710]
    assert time.process_time() - begun < 30
