"""Tokens, items and measures of a body."""

from __future__ import annotations

from itertools import pairwise

from logbook.text.about import About
from logbook.text.clauses import SEPARATORS, Item, close_brackets, split_items
from logbook.text.kinds import Slot
from logbook.text.lexing import Token, tokens
from logbook.text.numbers import Measure, measure_of
from logbook.text.parsed import Head
from logbook.text.readings import ReadingsReader
from logbook.text.state import State

_WIDE = 2  # blanks between two cells
_SHORTEST_TABLE = 3  # cells


def tokens_of(state: State, start: int, end: int) -> list[Token]:
    found = tokens(state.normal, start, end)
    while found and found[-1].text in (".", "..") and len(found) > 1:
        found.pop()
    if any(t.text == "|" for t in found):
        found = _without_outer_bars(found)
    bracketed = "(" in state.normal[start:end] or ")" in state.normal[start:end]
    return close_brackets(found, state.text) if bracketed else found


def _without_outer_bars(found: list[Token]) -> list[Token]:
    """A row of a table, '| 1 165 | 2 160 |', without the bars at its ends, and without those beside a comma."""
    kept = [t for i, t in enumerate(found) if t.text != "|" or (i and found[i - 1].text not in ("|", ","))]
    while kept and kept[-1].text == "|":
        kept.pop()
    return kept


def with_gaps_closed(found: list[Token], text: str) -> list[Token]:
    """A row of a table that was pasted, '1 165   2 160   3 90': a comma for each wide gap or tabulator, where no other
    sign parts the readings.
    """
    if any(t.kind == "sign" and t.text in SEPARATORS for t in found):
        return found
    gaps = [text[a.end : b.start] for a, b in pairwise(found)]
    wide = {i for i, gap in enumerate(gaps, start=1) if len(gap) >= _WIDE or "\t" in gap}
    if len(wide) < _SHORTEST_TABLE - 1:
        return found
    row: list[Token] = []
    for i, token in enumerate(found):
        if i in wide:
            row.append(Token("sign", ",", found[i - 1].end, found[i - 1].end, False))
        row.append(token)
    return row


def items_of(state: State, start: int, end: int) -> list[Item]:
    return split_items(tokens_of(state, start, end))


def measured_by(head: Head, state: State, slot: Slot | None = None) -> Measure:
    slot = slot or next((s for s in head.kind.by_qualifier if s.name in head.qualifiers), None)
    return measure_of(slot or head.kind, state.units, state.money, () if slot is None else head.kind.words)


def readings_reader(head: Head, state: State) -> ReadingsReader:
    return ReadingsReader(
        About(head.kind, measured_by(head, state), state, head.engine, head.part, head.qualifiers, head.spec)
    )
