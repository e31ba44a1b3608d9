"""Readings and the clauses behind them: now, spec, from, at and the conditions."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.behind_at import MEASURED, sorted_out
from logbook.text.body_tokens import measured_by, tokens_of, with_gaps_closed
from logbook.text.clauses import Item, split_clauses, split_items
from logbook.text.conditions import read_conditions
from logbook.text.entries import Condition, Subject, Value, Written
from logbook.text.kinds import Kind
from logbook.text.lexing import Token
from logbook.text.meant_otherwise import check_brackets
from logbook.text.moves import without_what_was_seen
from logbook.text.numbers import ValueReader, in_unit, measure_of
from logbook.text.parsed import Body, Head
from logbook.text.readings import ReadingsReader
from logbook.text.remarks import words_in
from logbook.text.state import State
from logbook.text.subjects import read_elements, shown
from logbook.text.unread import Unread
from logbook.text.vocabulary import CONDITION_WORDS, KINDS, fold

_CONDITION_OF = {fold(word): word for word in CONDITION_WORDS} | {"koeo": "key on", "atrest": "engine off"}
_TROUBLE = frozenset({"dead", "weak", "intermittent"})
Reader = Callable[[Head, State, list[Item]], tuple[Written, ...]]


def with_clauses(read: Reader, head: Head, state: State, start: int, end: int) -> Body:
    kind = head.kind
    found = tokens_of(state, start, end)
    if kind.subjects in ("cyl", "part"):
        found = with_gaps_closed(found, state.text)
    stock = kind.subjects in ("stock", "fit")
    at_opens = _what_at_opens(kind, found)
    parts = split_clauses(found, at_opens, from_is_clause=stock)
    if any(name == "@" for name, _, _ in parts):
        parts = sorted_out(parts, kind, measured_by(head, state), state.places(head.engine))
    body = Body()
    stretches: list[_Stretch] = []
    for name, group, opener in parts:
        if name == "":
            while group and group[-1].text in (":",) and len(parts) > 1:
                group.pop()
            items = split_items(group) if group else []
            seen: list[Token] = []
            if kind.action and not kind.words and not kind.dimension:
                items, seen = without_what_was_seen(items, state)
            check_brackets(items, head, state)
            readings = tuple(_with_condition(w, kind) for w in read(head, state, items)) if items else ()
            if items and not readings:
                return Body()  # what the clauses are about could not be read
            stretches.append(_Stretch(list(readings), []))
            body.readings = readings
            if seen:
                _now(seen, Span(seen[0].start, seen[-1].end), body, head, state)
            continue
        assert opener is not None
        try:
            if name == "@":
                stretches[-1].conditions.extend(_conditions(group, opener, state))
            elif name == "seen":
                _add_seen(stretches[-1], group, kind, state)
            else:
                _clause(name, group, opener, body, head, state)
        except Unread as fault:
            state.tell(fault)
    _put_together(body, stretches, shared=kind.subjects in ("slots", "pull"))
    if not body.readings and any(s.conditions for s in stretches) and not kind.action and kind.word != "cause":
        said = state.said(Span(start, end))
        raise Unread(320, Span(start, end), f"'{said}' holds no reading.", f"write for example '{kind.example}'")
    if any(s.kind == "slot" for w in body.readings for s in w.subjects) and not head.kind.slots:
        _promote(body, head)
        _one_qualifier_a_line(body, head, state)
    return body


def _with_condition(written: Written, kind: Kind) -> Written:
    """'58 (key on)' as '58 @ key on': a bracket that holds a condition and nothing else."""
    value = written.value
    if value is None or not value.remark or value.remark_words or kind.subjects not in MEASURED:
        return written
    said = _CONDITION_OF.get(fold(value.remark), "")
    if not said:
        return written
    condition = Condition(written.span, said, None, tuple(said.split()))
    return written._replace(value=value._replace(remark=""), conditions=(condition,))


class _Stretch(NamedTuple):
    """Readings and the conditions that stand behind them."""

    readings: list[Written]
    conditions: list[Condition]


def _conditions(group: list[Token], opener: Token, state: State) -> tuple[Condition, ...]:
    if not group:
        span = Span(opener.start, opener.end)
        raise Unread(211, span, f"Nothing stands behind '{opener.text}'.", "write what belongs there, or take it away")
    return read_conditions(group, state)


def _add_seen(stretch: _Stretch, group: list[Token], kind: Kind, state: State) -> None:
    """A result behind '@' goes to the reading before it, as if it stood in a bracket there."""
    span = Span(group[0].start, group[-1].end)
    said = group[0].text if group[0].kind == "bracket" else state.said(span)
    value = stretch.readings[-1].value if len(stretch.readings) == 1 else None
    if value is None:
        raise Unread(
            425,
            span,
            f"'{said}' says what was seen, and not where.",
            f"put '({said})' behind the reading it belongs to",
        )
    remark = f"{value.remark} {said}".strip()
    stretch.readings[-1] = stretch.readings[-1]._replace(
        value=value._replace(remark=remark, remark_words=words_in(remark, kind.words))
    )


def _put_together(body: Body, stretches: list[_Stretch], shared: bool) -> None:
    """The conditions of the one stretch hold for the line; of several each has its own.

    ``shared``: what is read at one glance shares the conditions of what stands before it.
    """
    body.readings = tuple(w for stretch in stretches for w in stretch.readings)
    with_some = [stretch for stretch in stretches if stretch.conditions]
    bracketed = any(w.conditions for w in body.readings)
    if bracketed and len(body.readings) == 1:
        body.conditions = (*body.readings[0].conditions, *(c for s in with_some for c in s.conditions))
        body.readings = (body.readings[0]._replace(conditions=()),)
    elif len(with_some) == 1 and not bracketed and (len(stretches) == 1 or shared):
        body.conditions = tuple(with_some[0].conditions)
    elif with_some:
        body.readings = tuple(
            w._replace(conditions=(*w.conditions, *stretch.conditions))
            for stretch in stretches
            for w in stretch.readings
        )


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
    if name == "spec":
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
    seen = reader.read(split_items(group))
    if len(seen) == 1 and not seen[0].subjects and seen[0].value and seen[0].value.word == "same":
        body.now_word = "same"  # 'now no change'
        return
    _check_bare(seen, span, body, head, state)
    body.now = seen


def with_now(head: Head, state: State, start: int, end: int) -> Body:
    """Free words about something done, and what was seen right after it: 'soldered the feed of 2, now 2 fires'."""
    found = tokens_of(state, start, end)
    at = next((i for i, t in enumerate(found) if i and t.text.casefold() == "now" and found[i - 1].text in ",;:"), 0)
    if not at or at + 1 == len(found):
        return Body(state.text[start:end])
    body = Body(state.text[start : found[at - 1].start].rstrip())
    try:
        _now(found[at + 1 :], Span(found[at].start, end), body, head, state)
    except Unread as fault:
        state.tell(fault)
    return body


def _check_bare(seen: tuple[Written, ...], span: Span, body: Body, head: Head, state: State) -> None:
    """A trouble without its cylinder is about the place worked on; of the two of a swap nobody knows which."""
    bare = [w.value.word for w in seen if not w.subjects and w.value]
    if head.kind.subjects != "swap" or not set(bare) & _TROUBLE:
        return
    word = next(w for w in bare if w in _TROUBLE)
    places = [shown(s) for w in body.readings for s in (*w.subjects, *w.to)]
    start = state.said(Span(head.span.start, span.start)).rstrip(" ,;:")
    lines = " or ".join(f"'{start}, now {place} {word}'" for place in places[:2])
    raise Unread(231, span, f"'{word}' at {' or '.join(places[:2])}?", f"write {lines}")


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
