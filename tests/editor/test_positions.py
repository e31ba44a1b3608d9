"""Offsets and UTF-16 positions, against counting by UTF-16 itself."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from logbook.editor.positions import Positions
from logbook.spans import Span
from logbook.text.source import decode

from .client import offset_of, position_of

TEXTS = st.lists(st.sampled_from(["a", "\n", "\r\n", "\t", "Ω", "\U0001f527", "\u2028", " "]), max_size=40).map("".join)


@given(TEXTS, st.integers(0, 80))
def test_there_and_back(text: str, at: int) -> None:
    at = min(at, len(text))
    if text[at - 1 : at + 1] == "\r\n":
        at += 1  # no place between the two
    position = position_of(text, at)
    assert Positions(text).at(at) == position
    assert Positions(text).offset(position) == at == offset_of(text, position)


@given(TEXTS)
def test_a_span_of_the_readers_text_is_the_same_piece_of_the_editors(text: str) -> None:
    if "\r" in text.replace("\r\n", ""):
        return
    read = decode(text.encode()).text
    for start in range(len(read)):
        place = Positions(text).range_of(Span(start, start + 1))
        piece = text[offset_of(text, place.start) : offset_of(text, place.end)]
        assert piece.replace("\r\n", "\n") == read[start]
        assert Positions(text).in_read(offset_of(text, place.start)) == start
