"""Every row of the table has an example that reads without problems, and is found by each of its names."""

from __future__ import annotations

import pytest

from logbook.text.kinds import TABLE, Kind
from logbook.text.reader import read
from logbook.text.tidy import tidy
from logbook.text.vocabulary import KINDS, kind_named, word_of
from logbook.units import UNITS

CARD = "language: 1\nunits: metric\nmoney: eur\nengine: V8, left 1 3 5 7, right 2 4 6 8, coil near plug, leads\n"
TAGS = "donor D1: a van\nparts coil: A1-A8 from D1 at 1-8\n"


@pytest.mark.parametrize("kind", TABLE, ids=lambda kind: kind.word.replace(" ", "-").replace("'", ""))
def test_example_reads_clean(kind: Kind) -> None:
    log = read("log.txt", f"{CARD}{TAGS}{kind.example}\n".encode())
    assert [p.message for p in log.problems] == []
    assert log.entries[-1].kind == kind.word
    assert log.lines.entry == 7


@pytest.mark.parametrize("kind", TABLE, ids=lambda kind: kind.word.replace(" ", "-").replace("'", ""))
def test_example_is_tidy(kind: Kind) -> None:
    text = f"{CARD}{TAGS}{kind.example}\n"
    assert tidy(read("log.txt", text.encode())) == text


def test_names_are_unambiguous() -> None:
    """No name of one kind is a name of another, so that the longest match is the only one."""
    for kind in TABLE:
        for name in (kind.word, *kind.synonyms):
            assert kind_named(name) is kind, name
        for name in kind.colon_synonyms:
            assert kind_named(name, before_colon=True) is kind, name
            assert kind_named(name) is None, name


def test_rows_use_known_units_and_dimensions() -> None:
    for kind in TABLE:
        for row in (kind, *kind.slots, *kind.by_qualifier):
            for unit in (row.us, row.metric):
                if unit:
                    assert UNITS[unit].dimension == row.dimension, (kind.word, unit)
        if kind.low:
            assert UNITS[kind.bound_unit].dimension == kind.dimension
            assert float(kind.low) < float(kind.high)


def test_words_of_a_row_are_read_as_themselves() -> None:
    for kind in TABLE:
        for word in kind.words:
            assert word_of(word, kind.words) == word, (kind.word, word)


def test_every_kind_says_what_it_is_for() -> None:
    assert len(KINDS) == len(TABLE) >= 113
    for kind in TABLE:
        assert kind.means.endswith(".") and kind.heading and kind.example, kind.word
