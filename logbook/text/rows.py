"""Rows: as many values as there are cylinders, in their order."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.clauses import Item
from logbook.text.entries import Subject, Value, Written
from logbook.text.lexing import Token
from logbook.text.limits import MOST_MEMBERS
from logbook.text.numbers import ValueReader, in_unit
from logbook.text.reading_checks import check_unit, with_unit_by_size
from logbook.text.remarks import words_in
from logbook.text.subjects import too_many
from logbook.text.unread import Unread
from logbook.text.vocabulary import units_spelt, word_of

_SHORTEST_ROW = 3  # values


def read_row(about: About, items: list[Item]) -> tuple[Written, ...] | None:
    if about.kind.subjects not in ("cyl", "part") or (not about.measure.numeric and len(items) != 1):
        return None
    tokens = [item.tokens for item in items]
    if sum(map(len, tokens)) < _SHORTEST_ROW:
        return None
    inside = any(item.bracketed and (len(items) > 1 or item.bracket_at < len(item.tokens)) for item in items)
    if inside or any(t.text in ("=", ":") for group in tokens for t in group):
        return None
    if len(items) > 1:
        if not all(len(group) <= 2 and group[0].kind == "number" for group in tokens[:-1]) or len(tokens[-1]) > 3:
            return None
        if any(len(group) == 2 and group[1].text != "?" and not _is_unit(group[1]) for group in tokens[:-1]):
            return None
    first = tokens[0][0]
    if first.kind == "word" and not word_of(first.text, about.measure.words):
        return None
    values = _row_values(about, [t for group in tokens for t in group])
    if values is None or len(values) < _SHORTEST_ROW:
        return None
    return _placed_row(about, values, items)


def _row_values(about: About, found: list[Token]) -> list[Value] | None:
    values: list[Value] = []
    reader = ValueReader(found, 0, about.measure, about.state.normal)
    reader.in_row = True
    while reader.at < len(found):
        token = found[reader.at]
        if len(values) > MOST_MEMBERS:
            raise too_many(Span(found[0].start, found[-1].end))
        if token.text == "#" or (token.kind == "number" and _glued_letter(found, reader.at)):
            return None
        try:
            values.append(reader.read())
        except Unread as fault:
            if fault.number in (301, 302, 303, 304, 705) and len(values) >= 2:
                raise
            return None
    return values


def _placed_row(about: About, values: list[Value], items: list[Item]) -> tuple[Written, ...] | None:
    span = Span(items[0].start, items[-1].end)
    places = about.state.places(about.engine)
    numbers = [v.quantity.low if v.quantity else None for v in values]
    if _words_after_places(about, values, numbers, places):
        return None
    pairs = numbers[0::2]
    rising = all(n is not None and n == n.to_integral_value() for n in pairs) and all(
        a is not None and b is not None and a < b for a, b in pairwise(pairs)
    )
    small = all(n is not None and 0 < n <= (places or 16) for n in pairs)
    if len(items) == 1 and len(values) % 2 == 0 and rising and small:
        mend = ", ".join(
            f"{about.state.said(a.span)} {about.state.said(b.span)}"
            for a, b in zip(values[0::2], values[1::2], strict=True)
        )
        if len(values) == places or len(values) == 4:
            raise Unread(
                410,
                span,
                "These may be cylinders with their readings, or a row of readings.",
                f"write '{mend}', or commas between all of them for a row",
            )
        raise Unread(425, span, "The readings run into each other.", f"write '{mend}'")
    if len(items) > 1 and rising and small and len(values) != places:
        return None
    if not places:
        raise Unread(
            401,
            span,
            "A row needs an engine card above: nobody knows how many cylinders there are.",
            "write the card first: 'engine: inline 4, fires 1 3 4 2'",
        )
    if len(values) != places and values[-1].word and not any(v.word for v in values[:-1]):
        return None  # '5 70 exhaust' is one reading and what was heard
    if len(values) != places:
        raise Unread(
            409,
            span,
            f"The row has {len(values)} values, and the engine has {places} cylinders.",
            "write '-' for a cylinder that was not done, or name the cylinders: '1 70, 3 65'",
        )
    shared = next((v.quantity for v in reversed(values) if v.quantity and v.quantity.unit_written), None)
    units = {v.quantity.unit for v in values if v.quantity and v.quantity.unit_written}
    row = []
    if items[-1].remark:
        told = words_in(items[-1].remark, about.measure.words)
        values = [*values[:-1], values[-1]._replace(remark=items[-1].remark, remark_words=told)]
    for number, value in enumerate(values, start=1):
        if shared and len(units) == 1 and value.quantity and not value.quantity.unit_written:
            value = in_unit(value, shared.unit)
        row.append(Written(value.span, (Subject("place", value.span, number=number),), value))
    row = with_unit_by_size(about, row)
    for written in row:
        check_unit(about, written)
    return tuple(row)


def _words_after_places(about: About, values: list[Value], numbers: list[Decimal | None], places: int) -> bool:
    """'2 4 6 dead': numbers before a word are places, not a row."""
    if not values[-1].word or any(v.word for v in values[:-1]):
        return False
    return all(n is not None and n == int(n) and 0 < n <= (places or 16) for n in numbers[:-1])


def _is_unit(token: Token) -> bool:
    return token.kind == "word" and bool(units_spelt(token.text))


def _glued_letter(found: list[Token], at: int) -> bool:
    return (
        at + 1 < len(found)
        and found[at + 1].glued
        and found[at + 1].kind == "word"
        and len(found[at + 1].text) == 1
        and found[at + 1].text in "abcd"
    )
