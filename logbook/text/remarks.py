"""Words beside readings: those of the table in free text, and those that are left over."""

from __future__ import annotations

from logbook.spans import Span
from logbook.text.clauses import Item
from logbook.text.kinds import Kind
from logbook.text.lexing import Token
from logbook.text.numbers import Measure
from logbook.text.state import State
from logbook.text.unread import Unread
from logbook.text.vocabulary import kind_named, unit_spellings, units_spelt, word_of


def check_one_entry(item: Item, kind: Kind, state: State) -> None:
    """Raises where a piece of a line opens with another kind and its colon."""
    colon = next((i for i, t in enumerate(item.tokens) if t.text == ":"), 0)
    if not colon or any(t.kind != "word" for t in item.tokens[:colon]):
        return
    span = Span(item.start, item.tokens[colon - 1].end)
    name = state.normal[span.start : span.end]
    other = kind_named(name, before_colon=True)
    slots = {_folded(s) for slot in kind.slots for s in (slot.name, *slot.synonyms)}
    if other is not None and other is not kind and _folded(name) not in slots:
        raise Unread(
            219,
            item.span,
            f"'{other.word}' is another entry on the same line.",
            f"write it on a line of its own: '{state.said(item.span)}'",
        )


def left_over(found: list[Token], at: int, measure: Measure, state: State) -> Unread:
    """The fault of what stands behind a reading and is no part of it."""
    token = found[at]
    span = Span(token.start, found[-1].end)
    said = state.said(span)
    before = found[at - 1] if at else token
    if token.text == "#" and at:
        return Unread(425, span, "The readings run into each other.", "put a comma before each '#'")
    if token.kind == "number":
        return Unread(
            425, span, f"'{said}' is left over.", "put a comma between readings, and write a number in one piece"
        )
    if before.kind == "number" and measure.numeric and token.kind == "word":
        units = tuple(s for s in unit_spellings() if {u.dimension for u in units_spelt(s)} & set(measure.dimensions))
        near = state.nearest(token.text, units)
        if near:
            return Unread(
                308,
                Span(token.start, token.end),
                f"'{token.text}' is no unit that is known.",
                f"did you mean '{near}'?",
            )
    if len(found) - at >= 3:
        mend = f"put it into a bracket, '({said})', or on an indented line below"
        return Unread(209, span, f"'{said}' is no reading.", mend)
    fault = Unread(
        208, span, f"'{said}' is left over.", f"put it into a bracket: '({said})', or on an indented line below"
    )
    fault.near = measure.words
    return fault


def words_in(remark: str, words: tuple[str, ...]) -> tuple[str, ...]:
    """The words of the row that stand in a free text, in its order, each once."""
    pieces = remark.replace(",", " ").replace(";", " ").replace(".", " ").split()
    found: dict[str, None] = {}
    at = 0
    while at < len(pieces):
        for length in (3, 2, 1):
            group = "".join(pieces[at : at + length])
            word = word_of(group, words) if len(pieces[at : at + length]) == length else ""
            if word and word in words:
                found.setdefault(word)
                at += length - 1
                break
        at += 1
    return tuple(found)


def _folded(word: str) -> str:
    return word.replace("-", "").replace(" ", "").casefold()
