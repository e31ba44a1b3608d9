"""Amounts with their words, groups of cylinders, and parts by tag."""

from __future__ import annotations

import re

from logbook.spans import Span
from logbook.text.body_tokens import items_of, measured_by, readings_reader
from logbook.text.card_words import FUELLING
from logbook.text.clause_bodies import with_clauses
from logbook.text.clauses import Item
from logbook.text.entries import Written
from logbook.text.money import read_amount
from logbook.text.numbers import Measure, ValueReader
from logbook.text.parsed import Body, Head
from logbook.text.remarks import words_in
from logbook.text.state import State
from logbook.text.subjects import read_elements
from logbook.text.unread import Unread
from logbook.text.vocabulary import MOVING_PARTS, part_named

_JOINS = frozenset({"and", "to", "each"})
_MOVED = frozenset({"spent", "got", "bought"})  # money that changed hands


def read_many(head: Head, state: State, start: int, end: int) -> Body:
    """Amounts, each with the words beside it."""
    readings: list[Written] = []
    measure = measured_by(head, state)
    for item in items_of(state, start, end):
        try:
            if readings and not any(t.kind == "number" for t in item.tokens):
                readings[-1] = _told_too(readings[-1], item, state)
                continue
            readings.append(_amount(item, measure, head, state))
        except Unread as fault:
            state.tell(fault)
    return Body(readings=tuple(readings))


def _told_too(written: Written, item: Item, state: State) -> Written:
    """'64.00 filter, strainer and baskets': the words behind a comma belong to the amount before."""
    assert written.value is not None
    told = state.text[item.start : item.end].strip()
    value = written.value._replace(remark=f"{written.value.remark}, {told}".removeprefix(", "))
    return written._replace(span=Span(written.span.start, item.end), value=value)


def _amount(item: Item, measure: Measure, head: Head, state: State) -> Written:
    amount = read_amount(item, measure, state)
    quantity = amount.value.quantity
    if quantity and quantity.low != quantity.high and head.kind.word in _MOVED:
        said = state.said(item.span)
        raise Unread(
            326, item.span, f"'{said}' is no sum that was paid.", "write the sum; a guess of it is a 'quote: ...'"
        )
    remark = ", ".join(p for p in (amount.told, item.remark) if p)
    words = ("each",) if amount.each else ()
    return Written(item.span, (), amount.value._replace(remark=remark, remark_words=words), pieces=amount.pieces)


def read_group(head: Head, state: State, start: int, end: int) -> Body:
    readings: list[Written] = []
    for item in items_of(state, start, end):
        elements = read_elements(item.tokens, 0, letters=False)
        at = elements[-1].end if elements else 0
        try:
            if at < len(item.tokens):
                token = item.tokens[at]
                fuelling = any(re.search(pattern, state.normal[item.start : item.end]) for pattern, _ in FUELLING)
                raise Unread(
                    208,
                    Span(token.start, item.end),
                    f"'{token.text}' is no cylinder.",
                    f"write it on the engine's line: 'engine: inline 4, {state.said(item.span)}'"
                    if fuelling
                    else "write groups of cylinders with commas between: '1 3 5, 2 4 6'",
                )
            members = tuple(s for e in elements for s in e.members)
            for subject in members:
                state.check_place(subject, head.engine)
            readings.append(Written(item.span, members, remark=item.remark))
        except Unread as fault:
            state.tell(fault)
    return Body(readings=tuple(readings))


def read_stock(head: Head, state: State, start: int, end: int) -> Body:
    def read(h: Head, s: State, items: list[Item]) -> tuple[Written, ...]:
        kept = []
        plain = []
        for item in items:
            if len(item.tokens) > 2 and item.tokens[1].text == ":" and part_named(item.tokens[0].text):
                del item.tokens[:2]  # 'asked coil: A1 15': a tag is of one part alone
            first = item.tokens[0] if item.tokens else None
            part = part_named(first.text) if first and first.kind == "word" else ""
            second = item.tokens[1] if len(item.tokens) > 1 else None
            if h.kind.dimension and _is_count_or_place(item, h):
                state.tell(_which_number(item, h))
            elif h.kind.dimension and (_is_counted(item) or _is_named(item) or (part and _is_times(item))):
                kept.append(_counted(h, s, item))
            elif part and (second is None or (second.kind == "number" and h.kind.dimension)):
                kept.append(_part_amount(h, s, item, part))
            else:
                plain.append(item)
        found = readings_reader(h, s).read(plain) if plain else ()
        return (*(k for k in kept if k is not None), *found)

    return with_clauses(read, head, state, start, end)


def _is_count_or_place(item: Item, head: Head) -> bool:
    """'injectors 8 120': eight of them, or the one of cylinder 8?"""
    numbers = [t for t in item.tokens if t.kind == "number" and not t.glued]
    return head.part in MOVING_PARTS and len(item.tokens) == len(numbers) == 2


def _which_number(item: Item, head: Head) -> Unread:
    first, money = (t.text for t in item.tokens)
    word, part = head.kind.word, head.part
    mend = f"write '{word}: {first} {part}s {money}', or '{word} {part}: old {first} {money}'"
    return Unread(425, item.span, f"{first} {part}s, or the {part} of cylinder {first}?", mend)


def _is_counted(item: Item) -> bool:
    """'8 injectors 15 each', '8 x 15 injectors': a count and what it is of, where no part is named."""
    found = item.tokens
    if len(found) < 3 or found[0].kind != "number" or found[1].glued or found[1].text.casefold() in _JOINS:
        return False
    named = bool(part_named(found[1].text)) or not read_elements(found, 1, letters=False)
    return found[1].kind == "word" and named and any(t.kind == "number" for t in found[2:])


def _is_times(item: Item) -> bool:
    """'plugs 4x 6.50': so many, at so much."""
    texts = [t.text.casefold() for t in item.tokens[1:4]]
    return len(texts) == 3 and texts[1] in ("x", "×", "*", "@") and item.tokens[3].kind == "number"


def _is_named(item: Item) -> bool:
    """'hood 80': a thing that is no part of the table, and its price."""
    first = item.tokens[0] if item.tokens else None
    if first is None or first.kind != "word" or part_named(first.text) or first.text.casefold() in _JOINS:
        return False
    return not read_elements(item.tokens, 0, letters=False) and any(t.kind == "number" for t in item.tokens)


def _counted(head: Head, state: State, item: Item) -> Written | None:
    """Parts that have no names of their own yet, with what they cost together or each."""
    try:
        return _amount(item, measured_by(head, state), head, state)
    except Unread as fault:
        state.tell(fault)
        return None


def _part_amount(head: Head, state: State, item: Item, part: str) -> Written | None:
    """'injectors 28.00': a price for a sort of part."""
    measure = measured_by(head, state)
    if len(item.tokens) == 1 or not measure.numeric:
        return Written(item.span, part=part, remark=item.remark)
    try:
        reader = ValueReader(item.tokens, 1, measure, state.normal)
        value = reader.read()
        extra = " ".join(t.text for t in item.tokens[reader.at :])
        remark = ", ".join(p for p in (extra, item.remark) if p)
        return Written(
            item.span, (), value._replace(remark=remark, remark_words=words_in(remark, head.kind.words)), part=part
        )
    except Unread as fault:
        state.tell(fault)
        return None
