"""Readings and the clauses behind them: now, spec, from, at and the conditions."""

from __future__ import annotations

from collections.abc import Callable

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.body_tokens import measured_by, tokens_of
from logbook.text.clauses import Item, split_clauses, split_items
from logbook.text.conditions import read_conditions
from logbook.text.entries import Subject, Value, Written
from logbook.text.kinds import Kind
from logbook.text.lexing import Token
from logbook.text.numbers import ValueReader, in_unit, measure_of
from logbook.text.parsed import Body, Head
from logbook.text.readings import ReadingsReader
from logbook.text.state import State
from logbook.text.subjects import read_elements
from logbook.text.unread import Unread
from logbook.text.vocabulary import KINDS

Reader = Callable[[Head, State, list[Item]], tuple[Written, ...]]


def with_clauses(read: Reader, head: Head, state: State, start: int, end: int) -> Body:
    kind = head.kind
    found = tokens_of(state, start, end)
    stock = kind.subjects in ("stock", "fit")
    at_opens = _what_at_opens(kind, found)
    parts = split_clauses(found, at_opens, from_is_clause=stock)
    body = Body()
    for name, group, opener in parts:
        if name == "":
            while group and group[-1].text in (":",) and len(parts) > 1:
                group.pop()
            items = split_items(group) if group else []
            readings = read(head, state, items) if items else ()
            if items and not readings:
                return Body()  # what the clauses are about could not be read
            body.readings = readings
            continue
        assert opener is not None
        try:
            _clause(name, group, opener, body, head, state)
        except Unread as fault:
            state.tell(fault)
    if any(s.kind == "slot" for w in body.readings for s in w.subjects) and not head.kind.slots:
        _promote(body, head)
        _one_qualifier_a_line(body, head, state)
    return body


def _what_at_opens(kind: Kind, found: list[Token]) -> str:
    """Where parts stood in what they come from; a mere link in 'fit coil: new at 3' and in a cause; else conditions."""
    if kind.word == "cause":
        return ""
    if kind.subjects == "fit":
        return "at" if any(t.text.casefold() == "from" for t in found) else ""
    return "at" if kind.subjects in ("stock", "swap") else "@"


def _clause(name: str, group: list[Token], opener: Token, body: Body, head: Head, state: State) -> None:
    """Reads one clause into the body."""
    span = Span(opener.start, group[-1].end if group else opener.end)
    if not group:
        raise Unread(211, span, f"Nothing stands behind '{opener.text}'.", "write what belongs there, or take it away")
    if name == "@":
        body.conditions = (*body.conditions, *read_conditions(group, state))
    elif name == "spec":
        body.spec = _spec(group, span, body, head, state)
    elif getattr(body, {"now": "now", "from": "source", "at": "at"}[name]):
        raise _twice(name, span)
    elif name == "now":
        _now(group, span, body, head, state)
    elif name == "at":
        body.at = _at(group, body, head, state)
    elif any(t.text in (",", ";") for t in group):
        raise _twice(name, span)
    else:
        body.source = state.text[group[0].start : group[-1].end]


def _at(group: list[Token], body: Body, head: Head, state: State) -> tuple[Subject, ...]:
    elements = read_elements(group, 0, letters=False)
    at = elements[-1].end if elements else 0
    if at < len(group):
        raise Unread(
            208,
            Span(group[at].start, group[-1].end),
            f"'{group[at].text}' is no cylinder.",
            "write the places: 'at 1-8'",
        )
    places = tuple(s for e in elements for s in e.members)
    for place in places:
        if not body.source:
            state.check_place(place, head.engine)
    return places


def _twice(name: str, span: Span) -> Unread:
    return Unread(
        226, span, f"'{name}' holds for the whole line, and stands there with more than one.", "write a line for each"
    )


def _now(group: list[Token], span: Span, body: Body, head: Head, state: State) -> None:
    if not head.kind.action:
        raise Unread(
            217,
            span,
            "'now' tells what was seen right after an action, and this is a test.",
            "write it as an entry of its own: 'firing: 3 dead'",
        )
    said = group[0].text.casefold()
    if len(group) == 1 and said in ("same", "moved"):
        body.now_word = said
        return
    firing = KINDS["firing"]
    reader = ReadingsReader(About(firing, measure_of(firing, state.units), state, head.engine, free=True))
    body.now = reader.read(split_items(group))


def _spec(group: list[Token], span: Span, body: Body, head: Head, state: State) -> Value:
    reader = ValueReader(group, 0, measured_by(head, state)._replace(sign=False), state.normal)
    value = reader.read()
    if reader.at < len(group) or body.spec is not None:
        raise Unread(224, span, "The clause 'spec' takes one value.", "write 'spec 12.2-12.8'")
    if value.quantity and not value.quantity.unit_written:
        quantities = [w.value.quantity for w in body.readings if w.value and w.value.quantity]
        written = next((q.unit for q in quantities if q.unit_written), value.quantity.unit)
        value = in_unit(value, written)
    return value


def _one_qualifier_a_line(body: Body, head: Head, state: State) -> None:
    """'top 1 .44, second 1 .53': a qualifier holds for a line, save where one value stands behind each."""
    if head.kind.subjects == "free slots":
        return
    kept = []
    for written in body.readings:
        slots = [s for s in written.subjects if s.kind == "slot"]
        if slots and len(slots) < len(written.subjects):
            name = slots[0].name
            mend = f"write a line for it: '{head.kind.word} {name}: ...'"
            state.tell(
                Unread(228, written.span, f"'{name}' is for this reading alone, and others stand beside it.", mend)
            )
        else:
            kept.append(written)
    body.readings = tuple(kept)


def _promote(body: Body, head: Head) -> None:
    """A qualifier written inside the body, the same for every reading, belongs to the entry."""
    slots = {tuple(s.name for s in w.subjects if s.kind == "slot") for w in body.readings}
    if len(slots) != 1 or head.kind.subjects not in ("one", "any", "cyl", "part", "bolt", "bank"):
        return
    bare = tuple(w._replace(subjects=tuple(s for s in w.subjects if s.kind != "slot")) for w in body.readings)
    body.readings = bare
    body.qualifiers = tuple(n for n in next(iter(slots)) if n not in head.qualifiers)
