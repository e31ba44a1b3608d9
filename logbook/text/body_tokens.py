"""Tokens, items and measures of a body."""

from __future__ import annotations

from logbook.text.about import About
from logbook.text.clauses import Item, close_brackets, split_items
from logbook.text.kinds import Slot
from logbook.text.lexing import Token, tokens
from logbook.text.numbers import Measure, measure_of
from logbook.text.parsed import Head
from logbook.text.readings import ReadingsReader
from logbook.text.state import State


def tokens_of(state: State, start: int, end: int) -> list[Token]:
    found = tokens(state.normal, start, end)
    while found and found[-1].text in (".", "..") and len(found) > 1:
        found.pop()
    bracketed = "(" in state.normal[start:end] or ")" in state.normal[start:end]
    return close_brackets(found, state.text) if bracketed else found


def items_of(state: State, start: int, end: int) -> list[Item]:
    return split_items(tokens_of(state, start, end))


def measured_by(head: Head, state: State, slot: Slot | None = None) -> Measure:
    slot = slot or next((s for s in head.kind.by_qualifier if s.name in head.qualifiers), None)
    return measure_of(slot or head.kind, state.units, state.money, () if slot is None else head.kind.words)


def readings_reader(head: Head, state: State) -> ReadingsReader:
    return ReadingsReader(
        About(head.kind, measured_by(head, state), state, head.engine, head.part, head.qualifiers, head.spec)
    )
