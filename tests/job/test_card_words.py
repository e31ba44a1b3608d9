"""The reader and the job read an engine card by one table: what the one counts, the other has."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.job.card import parse_engine
from logbook.text.card import engine_card, unread_pieces

PIECES = (
    *("V6", "V8", "inline 4", "straight six", "flat four", "opposed twin", "four in line", "4 in a row", "slant 6"),
    *("2.0 l four", "a four", "8 pots", "350 V8", "left 1 3 5", "right 2 4 6", "left 1-4", "odd left, even right"),
    *("left odd", "front 1 3", "fires 1 3 4 2", "coil on plug", "leads", "5 mains", "direct injection", "one carb"),
)


@given(st.lists(st.sampled_from(PIECES), min_size=1, max_size=4, unique=True).map(", ".join))
def test_the_reader_counts_as_many_places_as_the_job_has(card: str) -> None:
    engine, _ = parse_engine(card)
    if engine.cylinders:
        assert engine_card(card).places == len(engine.cylinders)


@pytest.mark.parametrize("card", ["V8, left odd", "V6, left 1 3 5", "opposed twin", "boxer 6", "V6, rear 1 3 5"])
def test_the_reader_knows_the_banks_that_the_job_has(card: str) -> None:
    engine, _ = parse_engine(card)
    assert engine_card(card).banks == {bank.name for bank in engine.banks}


@pytest.mark.parametrize("piece", [*PIECES, "magneto", "tbi", "wasted spark", "coil each cylinder", "no injectors"])
def test_what_the_job_takes_from_a_card_is_not_left_over(piece: str) -> None:
    assert unread_pieces(piece) == ()


def test_other_words_are_left_over() -> None:
    assert [p.text for p in unread_pieces("V6, painted green, coil on plug")] == ["painted green"]
