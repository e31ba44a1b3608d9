"""What the reader itself must know of an engine card: how many places there are, and which banks."""

from __future__ import annotations

import re
from typing import NamedTuple

from logbook.text.card_words import FUELLING, count_and_layout, understood, written_banks
from logbook.text.limits import MOST_CYLINDERS

_LONGEST_CARD = 600  # characters
_LOW = frozenset({"carburettor", "single-point"})
_PIECE = re.compile(r"[^,;]+")


class EngineCard(NamedTuple):
    """``places`` is 0 where the card does not say; ``banks`` are names of banks, '' never among them."""

    places: int
    banks: frozenset[str]
    too_many: int = 0
    carburettor: bool = False  # or single-point: the pressure of the fuel is low there


def engine_card(text: str) -> EngineCard:
    """Count of cylinders and names of banks in the words of an engine card."""
    said = " ".join(text.casefold().split())[:_LONGEST_CARD].rstrip(".")
    count, layout = count_and_layout(said)
    banks = written_banks(said, min(count, MOST_CYLINDERS))
    if not count:
        count = sum(len(cylinders) for cylinders in banks.values())
    if count > MOST_CYLINDERS:
        return EngineCard(0, frozenset(banks), count)
    if not banks and layout in ("v", "flat"):
        banks = dict.fromkeys(("left", "right"), ())
    low = any(re.search(pattern, said) for pattern, fuelling in FUELLING if fuelling in _LOW)
    return EngineCard(count, frozenset(banks), carburettor=low)


class Piece(NamedTuple):
    """A piece of a card between commas; ``start`` and ``end`` count from the beginning of the card."""

    text: str
    start: int
    end: int


def unread_pieces(text: str) -> tuple[Piece, ...]:
    """The pieces of a card that hold no word an engine card is made of."""
    found = []
    for match in _PIECE.finditer(text):
        said = match.group().strip()
        if said and not understood(said.casefold()):
            start = match.start() + len(match.group()) - len(match.group().lstrip())
            found.append(Piece(said, start, start + len(said)))
    return tuple(found)
