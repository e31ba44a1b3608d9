"""Bodies with slot words: a glance, a pull, a row of ratios."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from logbook.spans import Span
from logbook.text.body_tokens import items_of, measured_by
from logbook.text.clause_bodies import with_clauses
from logbook.text.clauses import Item
from logbook.text.doubts import unit_by_size
from logbook.text.entries import Quantity, Subject, Value, Written
from logbook.text.kinds import Kind, Slot
from logbook.text.lexing import Token
from logbook.text.limits import MOST_MEMBERS
from logbook.text.numbers import Measure, ValueReader, in_unit
from logbook.text.parsed import Body, Head
from logbook.text.reading_checks import as_if_written
from logbook.text.remarks import check_one_entry, left_over, words_in
from logbook.text.state import State
from logbook.text.subjects import too_many
from logbook.text.unread import Unread
from logbook.text.vocabulary import fold, units_spelt, word_of

_RANGES = frozenset({"-", "..", "±", "+-"})
_LONGEST_UNIT = 4  # tokens


def read_slots(head: Head, state: State, start: int, end: int) -> Body:
    return with_clauses(_slot_items, head, state, start, end)


def _slot_items(head: Head, state: State, items: list[Item]) -> tuple[Written, ...]:
    found = []
    seen: set[str] = set()
    for item in items:
        try:
            written = _slot_item(head, state, item)
            name = next((s.name for s in written.subjects if s.kind == "slot"), "")
            if name and name in seen:
                raise Unread(
                    403, item.span, f"'{name}' stands twice on this line.", "write the second one on a line of its own"
                )
            seen.add(name)
            found.append(written)
        except Unread as fault:
            state.tell(fault)
    return tuple(found)


def _slot_item(head: Head, state: State, item: Item) -> Written:
    if not item.tokens:
        raise Unread(208, item.span, "A bracket stands alone.", "write it behind what it belongs to")
    check_one_entry(item, head.kind, state)
    slot, at = _slot_named(head.kind, item.tokens, state)
    if slot is None and head.kind.subjects == "free slots":
        return _free_slot(head, state, item)
    if slot is None:
        return _slotless(head, state, item)
    if at < len(item.tokens) and item.tokens[at].text in ("=", ":"):
        at += 1
    subject = Subject("slot", Span(item.tokens[0].start, item.tokens[at - 1].end), name=slot.name)
    if at >= len(item.tokens):
        raise Unread(320, item.span, f"What was '{slot.name}'?", "write the reading behind it")
    return _slot_reading(head, state, item, slot, subject, at)


def _slot_reading(head: Head, state: State, item: Item, slot: Slot, subject: Subject, at: int) -> Written:
    """The value from ``at`` on, and words of the kind behind it."""
    measure = measured_by(head, state, slot)
    reader = ValueReader(item.tokens, at, measure, state.normal)
    value = reader.read()
    extra = []
    while reader.at < len(item.tokens):
        token = item.tokens[reader.at]
        word = word_of(token.text, head.kind.words) if token.kind == "word" else ""
        if not word and _slot_named(head.kind, item.tokens[reader.at :], state)[0]:
            span = Span(token.start, item.end)
            said = state.said(span)
            raise Unread(425, span, f"'{said}' is a reading of its own.", f"put a comma before '{said}'")
        if not word:
            raise left_over(item.tokens, reader.at, measure, state)
        extra.append(word)
        reader.at += 1
    value = _slot_by_size(value, slot, measure, state)
    _check_slot_unit(value, measure)
    remark = " ".join((*extra, item.remark)).strip()
    if remark:
        value = value._replace(remark=remark, remark_words=words_in(remark, head.kind.words))
    return Written(item.span, (subject,), value)


def _slot_by_size(value: Value, slot: Slot, measure: Measure, state: State) -> Value:
    """A bare number in the one unit that it can be believed in, with a hint that says so."""
    quantity = value.quantity
    if quantity is None or quantity.unit_written:
        return value
    unit = unit_by_size(slot, "", (quantity,), measure.usual)
    if not unit:
        return value
    told = f"No unit stands here; by the size of the number it is '{unit}'."
    state.tell(Unread(328, value.span, told, f"write '{quantity.text} {unit}'"))
    return as_if_written(value, unit)


def _check_slot_unit(value: Value, measure: Measure) -> None:
    quantity = value.quantity
    if quantity and not quantity.unit and measure.numeric and not quantity.low == 0 == quantity.high:
        raise Unread(
            306,
            value.span,
            f"{quantity.text}: in {measure.us} or {measure.metric}?",
            "write the unit behind it, or 'units: us' or 'units: metric' on the card",
        )


def _slot_named(kind: Kind, found: list[Token], state: State) -> tuple[Slot | None, int]:
    for length in (2, 1):
        group = found[:length]
        if len(group) < length or any(t.kind != "word" for t in group):
            continue
        slot = _slots_by_name(kind).get(fold(state.normal[group[0].start : group[-1].end]))
        if slot:
            return slot, length
    return None, 0


@lru_cache(maxsize=512)
def _slots_by_name(kind: Kind) -> dict[str, Slot]:
    named = [(fold(name), slot) for slot in kind.slots for name in (slot.name, *slot.synonyms)]
    return dict(reversed(named))  # the first of two with one name


def _slot_by_unit(kind: Kind, found: list[Token], state: State) -> Slot | None:
    """'750 rpm' without its slot word: the one slot that its unit fits."""
    behind = next((i for i, t in enumerate(found) if i and t.kind != "number" and t.text not in _RANGES), len(found))
    for end in range(min(len(found), behind + _LONGEST_UNIT), behind, -1):
        written = " ".join(state.normal[found[behind].start : found[end - 1].end].rstrip("? ").split())
        dimensions = {unit.dimension for unit in units_spelt(written)}
        fitting = [slot for slot in kind.slots if slot.dimension in dimensions]
        if len(fitting) == 1:
            return fitting[0]
    return None


def _slotless(head: Head, state: State, item: Item) -> Written:
    """A word of the kind alone ('smooth'), or a fault."""
    first = item.tokens[0]
    measure = Measure(head.kind.words)
    if first.kind == "number" and (slot := _slot_by_unit(head.kind, item.tokens, state)):
        return _slot_reading(head, state, item, slot, Subject("slot", item.span, name=slot.name), 0)
    if (first.kind == "word" and word_of(first.text, head.kind.words)) or first.text == "-":
        reader = ValueReader(item.tokens, 0, measure, state.normal)
        value = reader.read()
        if reader.at < len(item.tokens):
            token = item.tokens[reader.at]
            raise Unread(208, Span(token.start, item.end), f"'{token.text}' is left over.", "put it into a bracket")
        return Written(item.span, (), value._replace(remark=item.remark))
    names = tuple(slot.name for slot in head.kind.slots)
    fault = Unread(
        420,
        Span(first.start, first.end),
        f"'{first.text}' is nothing that '{head.kind.word}' is told of.",
        f"write what it is before it, as in '{head.kind.example}'"
        if first.kind == "number"
        else f"write one of: {', '.join(names)}",
    )
    fault.near = names
    raise fault


_CLOCK = re.compile(
    r"(?P<h1>\d{1,2})(?::(?P<m1>[0-5]\d))?\s*(?P<half1>[ap]m)?\s*(?:-|to|until|till)\s*"
    r"(?P<h2>\d{1,2})(?::(?P<m2>[0-5]\d))?\s*(?P<half2>[ap]m)?(?![\w.:])",
    re.IGNORECASE,
)
_CREW = re.compile(r"\d+ (?:guys?|men|people|of us|mechanics?|hands)\b", re.IGNORECASE)
_PLANNED = frozenset({"quoted", "quote", "estimated", "estimate", "planned", "budget", "budgeted", "promised"})


def _free_slot(head: Head, state: State, item: Item) -> Written:
    """Any words, then a value: 'road test 0.5'; the value alone for all of it. '8-12' is from eight to twelve."""
    at = next((i for i, t in enumerate(item.tokens) if t.kind == "number"), -1)
    if at < 0:
        raise Unread(
            320, item.span, f"How much was '{state.said(item.span)}'?", "write the hours behind it: 'fitting 1.5'"
        )
    start = item.tokens[at].start
    _check_worked(item, state)
    if clock := _CLOCK.match(state.normal, start, item.tokens[-1].end):
        value, told_at = _span_of_time(clock, state), clock.end()
    else:
        reader = ValueReader(item.tokens, at, measured_by(head, state), state.normal)
        value = reader.read()
        told_at = item.tokens[reader.at].start if reader.at < len(item.tokens) else item.tokens[-1].end
        if value.quantity and value.quantity.low != value.quantity.high:
            span = Span(start, item.end)
            raise Unread(
                327, span, f"'{state.said(span)}': how long was it?", "write the hours as 2.5 h, 150 min or 2:30"
            )
    told = state.text[told_at : item.tokens[-1].end].strip()
    if re.match(r"h?\d", told) or re.search(r"(?<!\w)\d", told):
        span = Span(start, item.end)
        raise Unread(
            208, span, f"'{state.said(span)}' is more than one number.", "write the hours as 2.5 h, 150 min or 2:30"
        )
    name = " ".join(state.text[item.start : start].split()).rstrip("=: ")
    if not name and told:
        name, told = told, ""
    subjects = (Subject("slot", Span(item.start, start), name=name),) if name else ()
    return Written(item.span, subjects, value._replace(remark=", ".join(p for p in (told, item.remark) if p)))


def _check_worked(item: Item, state: State) -> None:
    """Raises where several worked, or where nobody worked yet."""
    said = state.normal[item.start : item.end]
    if crew := _CREW.search(said):
        mend = "write the hours of all of them together: 'hours: fitting 6'"
        raise Unread(327, Span(item.start + crew.start(), item.start + crew.end()), "Hours of each, or together?", mend)
    if planned := next((t for t in item.tokens if t.text.casefold() in _PLANNED), None):
        span = Span(planned.start, planned.end)
        raise Unread(
            327, span, f"'{planned.text}': these hours were not worked.", f"write 'plan: {state.said(item.span)}'"
        )


def _span_of_time(clock: re.Match[str], state: State) -> Value:
    """'8-12' is four hours, '11-2' three, '9:30-17' seven and a half, '8am to 12pm' four."""
    first, last = (
        Decimal(int(clock[f"h{n}"]) % (12 if clock[f"half{n}"] else 24)) + Decimal(int(clock[f"m{n}"] or 0)) / 60
        + (12 if (clock[f"half{n}"] or "").casefold() == "pm" else 0)
        for n in (1, 2)
    )  # fmt: skip
    hours = last - first
    if hours <= 0 and not clock["half2"]:
        hours += 12  # over noon
    span = Span(*clock.span())
    if hours <= 0 or max(int(clock["h1"]), int(clock["h2"])) > 24:
        raise Unread(327, span, f"'{state.said(span)}' is no stretch of a day.", "write the hours: '2.5 h'")
    text = " ".join(clock.group().split())
    return Value(span, Quantity(text, hours, hours, "h", False, resolution=Decimal("0.25")))


def read_pull(head: Head, state: State, start: int, end: int) -> Body:
    slot = next((s for s in head.kind.slots if s.name in head.qualifiers), None)
    if slot is None:
        return read_slots(head, state, start, end)

    def read(h: Head, s: State, items: list[Item]) -> tuple[Written, ...]:
        return _pull_items(h, s, items, slot)

    return with_clauses(read, head, state, start, end)


def _pull_items(head: Head, state: State, items: list[Item], slot: Slot) -> tuple[Written, ...]:
    """A quantity a line: values in the order of the speeds, or pairs of speed and value."""
    measure = measured_by(head, state, slot)
    found: list[Written] = []
    for item in items:
        try:
            values: list[Value] = []
            reader = ValueReader(item.tokens, 0, measure, state.normal)
            while reader.at < len(item.tokens):
                if item.tokens[reader.at].text == "=":
                    reader.at += 1
                    continue
                values.append(reader.read())
                if len(values) > MOST_MEMBERS:
                    raise too_many(item.span)
            found.extend(_pull_pieces(values, item, len(items), slot))
        except Unread as fault:
            state.tell(fault)
    return _pull_units(found, measure, state)


def _pull_pieces(values: list[Value], item: Item, pieces: int, slot: Slot) -> list[Written]:
    pair = len(values) == 2 and pieces > 1 and slot.name != "rpm" and values[0].quantity is not None
    if pair:
        speed = values[0].quantity
        assert speed is not None
        if speed.low == speed.low.to_integral_value() and speed.low >= 100:
            subject = Subject("speed", values[0].span, number=int(speed.low))
            return [Written(item.span, (subject,), values[1]._replace(remark=item.remark))]
    if values and item.remark:
        values[-1] = values[-1]._replace(remark=item.remark)
    return [Written(v.span, (), v) for v in values]


def _pull_units(found: list[Written], measure: Measure, state: State) -> tuple[Written, ...]:
    units = {w.value.quantity.unit for w in found if w.value and w.value.quantity and w.value.quantity.unit_written}
    shared = next(iter(units)) if len(units) == 1 else ""
    kept = []
    for written in found:
        value = written.value
        if value and value.quantity and shared and not value.quantity.unit_written:
            value = in_unit(value, shared)
            written = written._replace(value=value)
        try:
            if value:
                _check_slot_unit(value, measure)
            kept.append(written)
        except Unread as fault:
            state.tell(fault)
    return tuple(kept)


def read_row(head: Head, state: State, start: int, end: int) -> Body:
    """Values in order, counted from 1; or named by their number."""
    measure = measured_by(head, state)
    readings: list[Written] = []
    for item in items_of(state, start, end):
        try:
            reader = ValueReader(item.tokens, 0, measure, state.normal)
            values = []
            while reader.at < len(item.tokens):
                values.append(reader.read())
                if len(values) > MOST_MEMBERS:
                    raise too_many(item.span)
            for value in values:
                subject = Subject("place", value.span, number=len(readings) + 1)
                told = value._replace(remark=item.remark) if item.remark else value
                readings.append(Written(value.span, (subject,), told))
        except Unread as fault:
            state.tell(fault)
    return Body(readings=tuple(readings))
