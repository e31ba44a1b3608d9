"""Amounts with their words, groups of cylinders, and parts by tag."""

from __future__ import annotations

import re

from logbook.spans import Span
from logbook.text.body_tokens import items_of, measured_by, readings_reader
from logbook.text.card_words import FUELLING
from logbook.text.clause_bodies import with_clauses
from logbook.text.clauses import Item
from logbook.text.entries import Written
from logbook.text.numbers import Measure, ValueReader
from logbook.text.parsed import Body, Head
from logbook.text.remarks import words_in
from logbook.text.state import State
from logbook.text.subjects import read_elements
from logbook.text.unread import Unread
from logbook.text.vocabulary import part_named


def read_many(head: Head, state: State, start: int, end: int) -> Body:
    """Amounts, each with the words beside it."""
    readings: list[Written] = []
    measure = measured_by(head, state)
    for item in items_of(state, start, end):
        try:
            if readings and not any(t.kind == "number" for t in item.tokens):
                readings[-1] = _told_too(readings[-1], item, state)
                continue
            readings.append(_amount(item, measure, state))
        except Unread as fault:
            state.tell(fault)
    return Body(readings=tuple(readings))


def _told_too(written: Written, item: Item, state: State) -> Written:
    """'64.00 filter, strainer and baskets': the words behind a comma belong to the amount before."""
    assert written.value is not None
    told = state.text[item.start : item.end].strip()
    value = written.value._replace(remark=f"{written.value.remark}, {told}".removeprefix(", "))
    return written._replace(span=Span(written.span.start, item.end), value=value)


def _amount(item: Item, measure: Measure, state: State) -> Written:
    at = next((i for i, t in enumerate(item.tokens) if t.kind == "number" or t.text in "$€£"), -1)
    if at < 0:
        raise Unread(320, item.span, f"'{state.said(item.span)}' has no number.", "write how much: '41.90 coil'")
    reader = ValueReader(item.tokens, at, measure, state.normal)
    value = reader.read()
    before = state.text[item.start : item.tokens[at].start].replace(":", "").strip()
    after = ""
    if reader.at < len(item.tokens):
        after = state.text[item.tokens[reader.at].start : item.tokens[-1].end].strip()
    remark = ", ".join(p for p in (" ".join(p for p in (before, after) if p), item.remark) if p)
    return Written(item.span, (), value._replace(remark=remark))


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
            if part and (second is None or (second.kind == "number" and h.kind.dimension)):
                kept.append(_part_amount(h, s, item, part))
            else:
                plain.append(item)
        found = readings_reader(h, s).read(plain) if plain else ()
        return (*(k for k in kept if k is not None), *found)

    return with_clauses(read, head, state, start, end)


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
