"""Laws that hold for any bytes at all: no traceback, no line lost, a tidy form that changes no meaning."""

from __future__ import annotations

import unicodedata

import click
from hypothesis import example, given
from hypothesis import strategies as st

from logbook.commands.terminal import problem_lines
from logbook.problems import Weight
from logbook.text.entries import Entry, Log
from logbook.text.kinds import TABLE
from logbook.text.reader import read
from logbook.text.source import LineIndex
from logbook.text.tidy import meaning, tidy
from tests.text.test_examples import CARD, TAGS
from tests.text.test_mistakes import MISTAKES

LINES = (
    *(kind.example for kind in TABLE),
    *(line for text in MISTAKES.values() for line in text.split("\n")),
    *(
        "",
        "  a *note*",
        "\tprivate: told nobody",
        "2026-05-04 first look",
        "2026-05-05",
        " - list\n - more",
        "  > quote",
    ),
    *(
        "compression: 1 130 psi, 2 128, 3 -, 4 stopped (flat)",
        "swap coil 2 4: now 2 dead, 4 fires @ warm",
        "14:30 firing: 3 dead?",
    ),
)
PIECES = st.sampled_from(
    [
        "1",
        "2",
        " ",
        ",",
        ", ",
        ":",
        "=",
        "-",
        "@",
        "(",
        ")",
        "?",
        "now ",
        "spec ",
        "at ",
        "from ",
        "old ",
        "all",
        "A1-A4",
        "..",
        "±",
        "½",
        "\u202e",
        "\xa0",
        "#",
        "rest",
        "and",
        "%",
        "'",
        '"',
        "e9",
        "\r",
        "\x0c",
        "\u2028",
    ]
)


def lines_of(raw: bytes) -> int:
    """Pieces ended by LF, and a last one if it is not empty."""
    pieces = raw.removeprefix(b"\xef\xbb\xbf").split(b"\n")
    return len(pieces) if pieces[-1] else len(pieces) - 1


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """A valid log whose lines were cut, doubled, and poked into."""
    lines = [*CARD.split("\n")[:-1], *TAGS.split("\n")[:-1], *draw(st.lists(st.sampled_from(LINES), max_size=12))]
    for _ in range(draw(st.integers(0, 6))):
        at = draw(st.integers(0, len(lines) - 1))
        place = draw(st.integers(0, len(lines[at])))
        cut = draw(st.integers(0, 3))
        lines[at] = lines[at][:place] + draw(PIECES) + lines[at][place + cut :]
    return "\n".join(lines) + draw(st.sampled_from(["", "\n", "\n\n"]))


def holds(raw: bytes) -> Log:
    """Reads and shows the bytes; every line is counted once."""
    log = read("log.txt", raw)
    assert log.lines.total == lines_of(raw)
    shown = [line for fault in log.problems for line in problem_lines("log.txt", log.text, fault)]
    assert not {unicodedata.category(c) for line in shown for c in click.unstyle(line)} & {"Cc", "Cf", "Zl", "Zp"}
    index = LineIndex(log.text)
    wrong = {index.place(p.span.start)[0] for p in log.problems if p.weight is Weight.ERROR}
    assert log.lines.problem == len(wrong | log.error_lines)
    for entry in log.entries:
        assert log.text[entry.span.start : entry.span.end].strip()
        for reading in entry.readings:
            assert entry.span.start <= reading.span.start <= reading.span.end <= entry.span.end
            assert reading.value is None or (reading.value.quantity is None) != (reading.value.word == "")
    return log


@given(st.binary(max_size=200))
@example(b"\xff\xfej\x00")
@example(b"\xef\xbb\xbfjob: a\r\n\r\n  note\r\n")
@example(b"job: a\rsymptom: b")
@example("compression: ١ 130".encode())
def test_any_bytes(raw: bytes) -> None:
    holds(raw)


@given(st.text(max_size=120))
def test_any_text(text: str) -> None:
    holds(text.encode("utf-8", "replace"))


@given(mutated())
@example("output:== 14.2")
@example("cut-out: 1==2=")
@example("engine: inline 4\ndrip: (3)")
def test_mutated_logs(text: str) -> None:
    holds(text.encode())


@given(mutated())
def test_tidy_twice_is_tidy_once(text: str) -> None:
    once = tidy(read("log.txt", text.encode()))
    assert tidy(read("log.txt", once.encode())) == once


@given(mutated())
def test_tidy_keeps_meaning_notes_and_lost_lines(text: str) -> None:
    before = read("log.txt", text.encode())
    after = read("log.txt", tidy(before).encode())
    kept = [meaning(without_jotted(e)) for e in after.entries if e.kind != "language"]
    assert kept == [meaning(e) for e in before.entries if e.kind != "language"]
    assert [meaning(d) for d in after.days] == [meaning(d) for d in before.days]
    assert note_lines(before) == note_lines(after)
    assert lost_lines(before) == lost_lines(after)


def without_jotted(entry: Entry) -> Entry:
    """The entry without the note that keeps a heard line as it was jotted."""
    return entry._replace(notes=tuple(n for n in entry.notes if not n.text.startswith("as jotted: ")))


def note_lines(log: Log) -> list[str]:
    notes = [note.text for home in (*log.entries, *log.days) for note in home.notes]
    return [n for n in notes if not n.startswith("as jotted: ")]


def lost_lines(log: Log) -> list[str]:
    pieces = log.text.split("\n")
    return [pieces[line - 1] for line in sorted(log.error_lines)]
