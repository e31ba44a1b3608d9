"""The bodies of entries: one small reader for each sort of body, in a table."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType

from logbook.spans import NOWHERE, Span
from logbook.text.card import engine_card, unread_pieces
from logbook.text.clauses import Item, close_brackets, split_clauses, split_items
from logbook.text.conditions import read_conditions
from logbook.text.entries import Condition, Subject, Value, Written
from logbook.text.kinds import Kind, Slot
from logbook.text.lexing import Token, tokens
from logbook.text.limits import MOST_MEMBERS
from logbook.text.moves import read_fit, read_swap
from logbook.text.numbers import Measure, ValueReader, measure_of
from logbook.text.readings import ReadingsReader, check_one_entry, left_over, words_in
from logbook.text.state import State
from logbook.text.subjects import read_elements, too_many
from logbook.text.unread import Unread
from logbook.text.vocabulary import KINDS, kind_named, part_named, word_of


@dataclass(frozen=True, slots=True)
class Head:
    """What stood before the body."""

    kind: Kind
    qualifiers: tuple[str, ...] = ()
    part: str = ""
    name: str = ""
    engine: str = ""
    spec: bool = False
    colon: bool = True
    span: Span = NOWHERE


@dataclass(frozen=True, slots=True)
class Body:
    """What was read of a body."""

    text: str = ""
    readings: tuple[Written, ...] = ()
    now: tuple[Written, ...] = ()
    now_word: str = ""
    spec: Value | None = None
    source: str = ""
    at: tuple[Subject, ...] = ()
    conditions: tuple[Condition, ...] = ()
    words: tuple[str, ...] = ()
    file: str = ""
    qualifiers: tuple[str, ...] = ()
    part: str = ""


_FILE = re.compile(
    r"(?P<quote>\"(?P<quoted>[^\"]+)\")|(?P<name>[^\s\"](?:[^\"\n]{0,120}?[^\s\"])?\.(?i:jpe?g|png|webp|gif|heic|heif|svg|tiff?|bmp|csv|wav|toml|txt|pdf)\b)|(?P<bare>\S+\.\w{2,5})(?=\s|$)"
)
_CODE = re.compile(r"[PBCUpbcu][0-9][0-9A-Fa-f]{3}\Z")


def read_body(head: Head, state: State, start: int, end: int) -> Body:
    """Reads ``state.text[start:end]`` as the body of an entry; raises ``Unread`` where nothing of it can be used."""
    while start < end and state.normal[start].isspace():
        start += 1
    while end > start and state.normal[end - 1].isspace():
        end -= 1
    if start == end and not head.kind.bare:
        raise Unread(
            207, head.span, f"Nothing stands behind '{head.kind.word}'.", f"write for example '{head.kind.example}'"
        )
    return _READERS[head.kind.subjects](head, state, start, end)


# free text


def _text(head: Head, state: State, start: int, end: int) -> Body:
    text = state.text[start:end]
    return Body(text, words=words_in(state.normal[start:end], head.kind.words) if head.kind.words else ())


def _word(head: Head, state: State, start: int, end: int) -> Body:
    said = state.normal[start:end].rstrip(".").strip()
    word = next((w for w in head.kind.words if w == said.casefold()), "")
    if not word:
        word = {
            "imperial": "",
            "usa": "us",
            "si": "metric",
            "dollars": "",
            "euro": "eur",
            "euros": "eur",
            "€": "eur",
            "pounds": "gbp",
            "£": "gbp",
        }.get(said.casefold(), "")
    if not word or word not in head.kind.words:
        raise Unread(
            216,
            Span(start, end),
            f"'{state.said(Span(start, end))}' is not a word for '{head.kind.word}'.",
            f"write one of: {', '.join(head.kind.words)}",
        )
    return Body(word)


def _file(head: Head, state: State, start: int, end: int) -> Body:
    match = _FILE.match(state.normal, start, end)
    if not match:
        raise Unread(222, Span(start, end), "No file is named.", f"write the file's name first: '{head.kind.example}'")
    group = "quoted" if match["quote"] else "name" if match["name"] else "bare"
    return Body(state.text[start:end], file=state.text[match.start(group) : match.end(group)])


def _facts(head: Head, state: State, start: int, end: int) -> Body:
    """Free text whose pieces may open with a slot word."""
    readings: list[Written] = []
    position = start
    for piece in state.normal[start:end].split(","):
        lead = len(piece) - len(piece.lstrip())
        word = piece.split(maxsplit=1)
        slot = next((s for s in head.kind.slots if word and word[0].casefold() in (s.name, *s.synonyms)), None)
        if slot and len(word) == 2:
            at = position + lead
            span = Span(at, position + len(piece.rstrip()))
            told = state.text[at + len(word[0]) : span.end].strip()
            readings.append(Written(span, (Subject("slot", Span(at, at + len(word[0])), name=slot.name),), text=told))
        position += len(piece) + 1
    return Body(state.text[start:end], tuple(readings))


def _engine(head: Head, state: State, start: int, end: int) -> Body:
    text = state.text[start:end]
    card = engine_card(state.normal[start:end])
    if card.too_many:
        raise Unread(
            708, Span(start, end), f"The card speaks of {card.too_many} cylinders; 16 are the most.", "check the count"
        )
    state.engines[head.engine] = card
    for piece in unread_pieces(state.normal[start:end]):
        at = start + piece.start
        state.tell(
            Unread(
                220,
                Span(at, start + piece.end),
                f"'{piece.text}' is no part of an engine card.",
                "write it on a line of its own: 'vehicle: ...', or as an indented note",
            )
        )
    return Body(text)


def _codes(head: Head, state: State, start: int, end: int) -> Body:
    readings: list[Written] = []
    for item in _items(state, start, end):
        unread: list[Token] = []
        for token in item.tokens:
            span = Span(token.start, token.end)
            if token.text == "-":
                readings.append(Written(span, (), Value(span, word="not done")))
            elif _CODE.match(token.text):
                readings.append(Written(span, (), Value(span, word=token.text.upper(), remark=item.remark)))
            elif word := word_of(token.text, head.kind.words):
                readings.append(Written(span, (), Value(span, word=word, remark=item.remark)))
            elif token.text not in (".", "and", "&"):
                unread.append(token)
        if unread or not item.tokens:
            span = Span(unread[0].start, unread[-1].end) if unread else item.span
            mend = "write a letter P, B, C or U and four digits: P0302; words go into a bracket behind a code"
            state.tell(Unread(223, span, f"'{state.said(span)}' is not a trouble code.", mend))
    return Body(readings=tuple(readings))


# bodies with readings


def _tokens(state: State, start: int, end: int) -> list[Token]:
    found = tokens(state.normal, start, end)
    while found and found[-1].text in (".", "..") and len(found) > 1:
        found.pop()
    return close_brackets(found, state.text)


def _items(state: State, start: int, end: int) -> list[Item]:
    return split_items(_tokens(state, start, end))


def _measure(head: Head, state: State, slot: Slot | None = None) -> Measure:
    slot = slot or next((s for s in head.kind.by_qualifier if s.name in head.qualifiers), None)
    return measure_of(slot or head.kind, state.units, state.money, () if slot is None else head.kind.words)


def _reader(head: Head, state: State) -> ReadingsReader:
    return ReadingsReader(head.kind, _measure(head, state), state, head.engine, head.part, head.qualifiers, head.spec)


Reader = Callable[[Head, State, list[Item]], tuple[Written, ...]]


def _with_clauses(read: Reader, head: Head, state: State, start: int, end: int) -> Body:
    kind = head.kind
    found = _tokens(state, start, end)
    stock = kind.subjects in ("stock", "fit")
    parts = split_clauses(found, at_is_place=kind.subjects in ("stock", "fit", "swap"), from_is_clause=stock)
    body = Body()
    for name, group, opener in parts:
        if name == "":
            while group and group[-1].text in (":",) and len(parts) > 1:
                group.pop()
            items = split_items(group) if group else []
            body = replace(body, readings=read(head, state, items) if items else ())
            continue
        assert opener is not None
        try:
            body = _clause(name, group, opener, body, head, state)
        except Unread as fault:
            state.tell(fault)
    return _promote(body, head)


def _clause(name: str, group: list[Token], opener: Token, body: Body, head: Head, state: State) -> Body:
    span = Span(opener.start, group[-1].end if group else opener.end)
    if not group:
        raise Unread(211, span, f"Nothing stands behind '{opener.text}'.", "write what belongs there, or take it away")
    if name == "@":
        return replace(body, conditions=(*body.conditions, *read_conditions(group, state)))
    if name != "spec" and getattr(body, {"now": "now", "from": "source", "at": "at"}[name]):
        raise _twice(name, span)
    if name == "now":
        return _now(group, span, body, head, state)
    if name == "spec":
        return _spec(group, span, body, head, state)
    if name == "from":
        if any(t.text in (",", ";") for t in group):
            raise _twice(name, span)
        return replace(body, source=state.text[group[0].start : group[-1].end])
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
    return replace(body, at=places)


def _twice(name: str, span: Span) -> Unread:
    return Unread(
        226, span, f"'{name}' holds for the whole line, and stands there with more than one.", "write a line for each"
    )


def _now(group: list[Token], span: Span, body: Body, head: Head, state: State) -> Body:
    if not head.kind.action:
        raise Unread(
            217,
            span,
            "'now' tells what was seen right after an action, and this is a test.",
            "write it as an entry of its own: 'firing: 3 dead'",
        )
    said = group[0].text.casefold()
    if len(group) == 1 and said in ("same", "moved"):
        return replace(body, now_word=said)
    firing = KINDS["firing"]
    reader = ReadingsReader(firing, measure_of(firing, state.units), state, head.engine, "", (), True)
    return replace(body, now=reader.read(split_items(group)))


def _spec(group: list[Token], span: Span, body: Body, head: Head, state: State) -> Body:
    reader = ValueReader(group, 0, replace(_measure(head, state), sign=False), state.normal)
    value = reader.read()
    if reader.at < len(group) or body.spec is not None:
        raise Unread(224, span, "The clause 'spec' takes one value.", "write 'spec 12.2-12.8'")
    if value.quantity and not value.quantity.unit and _measure(head, state).numeric:
        written = next((w.value.quantity.unit for w in body.readings if w.value and w.value.quantity), "")
        value = replace(value, quantity=replace(value.quantity, unit=written))
    return replace(body, spec=value)


def _promote(body: Body, head: Head) -> Body:
    """A qualifier written inside the body, the same for every reading, belongs to the entry."""
    slots = {tuple(s.name for s in w.subjects if s.kind == "slot") for w in body.readings}
    if len(slots) != 1 or head.kind.slots or head.kind.subjects not in ("one", "any", "cyl", "part", "bolt", "bank"):
        return body
    names = next(iter(slots))
    if not names:
        return body
    bare = tuple(replace(w, subjects=tuple(s for s in w.subjects if s.kind != "slot")) for w in body.readings)
    return replace(body, readings=bare, qualifiers=tuple(n for n in names if n not in head.qualifiers))


def _readings(head: Head, state: State, start: int, end: int) -> Body:
    return _with_clauses(lambda h, s, items: _reader(h, s).read(items), head, state, start, end)


def _any(head: Head, state: State, start: int, end: int) -> Body:
    return _readings(head, state, start, end)


def _part(head: Head, state: State, start: int, end: int) -> Body:
    if head.kind.word == "repair" and not head.part and not head.qualifiers and _is_prose(state, start, end):
        return Body(state.text[start:end])
    return _readings(head, state, start, end)


def _is_prose(state: State, start: int, end: int) -> bool:
    first = tokens(state.normal, start, min(end, start + 60))[:1]
    return (
        bool(first)
        and first[0].kind == "word"
        and not read_elements(first, 0, False)
        and len(state.normal[start:end].split()) >= 2
    )


def _one(head: Head, state: State, start: int, end: int) -> Body:
    def read(h: Head, s: State, items: list[Item]) -> tuple[Written, ...]:
        found = _reader(h, s).read(items)
        bare = [w for w in found if not any(x.kind == "slot" for x in w.subjects)]
        if len(bare) > 1:
            merged = _word_and_number(bare)
            if merged is not None:
                return (merged,)
            for extra in bare[1:]:
                s.tell(
                    Unread(225, extra.span, f"'{h.kind.word}' takes one value a line.", "put it on a line of its own")
                )
            return tuple(w for w in found if w not in bare[1:])
        return found

    return _with_clauses(read, head, state, start, end)


def _word_and_number(found: list[Written]) -> Written | None:
    """'flicks, 12-16': one number and words beside it are one reading."""
    numbers = [w for w in found if w.value and w.value.quantity]
    words = [w for w in found if w.value and w.value.word]
    if len(numbers) != 1 or len(numbers) + len(words) != len(found):
        return None
    told = tuple(w.value.word for w in words if w.value)
    value = numbers[0].value
    assert value is not None
    return replace(
        numbers[0],
        value=replace(value, remark=" ".join((*told, value.remark)).strip(), remark_words=(*told, *value.remark_words)),
    )


def _many(head: Head, state: State, start: int, end: int) -> Body:
    """Amounts, each with the words beside it."""
    readings: list[Written] = []
    measure = _measure(head, state)
    for item in _items(state, start, end):
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
    value = replace(written.value, remark=f"{written.value.remark}, {told}".removeprefix(", "))
    return replace(written, span=Span(written.span.start, item.end), value=value)


def _amount(item: Item, measure: Measure, state: State) -> Written:
    at = next((i for i, t in enumerate(item.tokens) if t.kind == "number" or t.text in "$€£"), -1)
    if at < 0:
        raise Unread(320, item.span, f"'{state.said(item.span)}' has no number.", "write how much: '41.90 coil'")
    reader = ValueReader(item.tokens, at, measure, state.normal)
    value = reader.read()
    before = state.text[item.start : item.tokens[at].start].strip()
    after = ""
    if reader.at < len(item.tokens):
        after = state.text[item.tokens[reader.at].start : item.tokens[-1].end].strip()
    remark = ", ".join(p for p in (" ".join(p for p in (before, after) if p), item.remark) if p)
    return Written(item.span, (), replace(value, remark=remark))


def _group(head: Head, state: State, start: int, end: int) -> Body:
    readings: list[Written] = []
    for item in _items(state, start, end):
        elements = read_elements(item.tokens, 0, letters=False)
        at = elements[-1].end if elements else 0
        try:
            if at < len(item.tokens):
                token = item.tokens[at]
                raise Unread(
                    208,
                    Span(token.start, item.end),
                    f"'{token.text}' is no cylinder.",
                    "write groups of cylinders with commas between: '1 3 5, 2 4 6'",
                )
            members = tuple(s for e in elements for s in e.members)
            for subject in members:
                state.check_place(subject, head.engine)
            readings.append(Written(item.span, members, remark=item.remark))
        except Unread as fault:
            state.tell(fault)
    return Body(readings=tuple(readings))


def _stock(head: Head, state: State, start: int, end: int) -> Body:
    def read(h: Head, s: State, items: list[Item]) -> tuple[Written, ...]:
        kept = []
        plain = []
        for item in items:
            first = item.tokens[0] if item.tokens else None
            part = part_named(first.text) if first and first.kind == "word" else ""
            second = item.tokens[1] if len(item.tokens) > 1 else None
            if part and (second is None or (second.kind == "number" and h.kind.dimension)):
                kept.append(_part_amount(h, s, item, part))
            else:
                plain.append(item)
        found = _reader(h, s).read(plain) if plain else ()
        return (*(k for k in kept if k is not None), *found)

    return _with_clauses(read, head, state, start, end)


def _part_amount(head: Head, state: State, item: Item, part: str) -> Written | None:
    """'injectors 28.00': a price for a sort of part."""
    measure = _measure(head, state)
    if len(item.tokens) == 1 or not measure.numeric:
        return Written(item.span, part=part, remark=item.remark)
    try:
        reader = ValueReader(item.tokens, 1, measure, state.normal)
        value = reader.read()
        extra = " ".join(t.text for t in item.tokens[reader.at :])
        remark = ", ".join(p for p in (extra, item.remark) if p)
        return Written(
            item.span, (), replace(value, remark=remark, remark_words=words_in(remark, head.kind.words)), part=part
        )
    except Unread as fault:
        state.tell(fault)
        return None


# bodies with slots


def _slots(head: Head, state: State, start: int, end: int) -> Body:
    return _with_clauses(_slot_items, head, state, start, end)


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
    measure = _measure(head, state, slot)
    reader = ValueReader(item.tokens, at, measure, state.normal)
    value = reader.read()
    extra = []
    while reader.at < len(item.tokens):
        token = item.tokens[reader.at]
        word = word_of(token.text, head.kind.words) if token.kind == "word" else ""
        if not word:
            raise left_over(item.tokens, reader.at, measure, state)
        extra.append(word)
        reader.at += 1
    _check_slot_unit(value, measure)
    remark = " ".join((*extra, item.remark)).strip()
    return Written(item.span, (subject,), replace(value, remark=remark, remark_words=words_in(remark, head.kind.words)))


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
        name = _fold(state.normal[group[0].start : group[-1].end])
        for slot in kind.slots:
            if name in (_fold(slot.name), *(_fold(s) for s in slot.synonyms)):
                return slot, length
    return None, 0


def _fold(word: str) -> str:
    return word.replace("-", "").replace(" ", "").casefold()


def _slotless(head: Head, state: State, item: Item) -> Written:
    """A word of the kind alone ('smooth'), or a fault."""
    first = item.tokens[0]
    measure = Measure(head.kind.words)
    if (first.kind == "word" and word_of(first.text, head.kind.words)) or first.text == "-":
        reader = ValueReader(item.tokens, 0, measure, state.normal)
        value = reader.read()
        if reader.at < len(item.tokens):
            token = item.tokens[reader.at]
            raise Unread(208, Span(token.start, item.end), f"'{token.text}' is left over.", "put it into a bracket")
        return Written(item.span, (), replace(value, remark=item.remark))
    names = tuple(slot.name for slot in head.kind.slots)
    fault = Unread(
        420,
        Span(first.start, first.end),
        f"'{first.text}' is nothing that '{head.kind.word}' is told of.",
        f"write one of: {', '.join(names)}",
    )
    fault.near = names
    raise fault


def _free_slot(head: Head, state: State, item: Item) -> Written:
    """Any words, then a value: 'road test 0.5'; the value alone for all of it."""
    at = next((i for i, t in enumerate(item.tokens) if t.kind == "number"), -1)
    if at < 0:
        raise Unread(
            320, item.span, f"How much was '{state.said(item.span)}'?", "write the hours behind it: 'fitting 1.5'"
        )
    measure = _measure(head, state)
    reader = ValueReader(item.tokens, at, measure, state.normal)
    value = reader.read()
    told = state.text[item.tokens[reader.at].start : item.end] if reader.at < len(item.tokens) else ""
    name = " ".join(state.text[item.start : item.tokens[at].start].split()).rstrip("=: ")
    if not name and told:
        name, told = told, ""
    subjects = (Subject("slot", Span(item.start, item.tokens[at].start), name=name),) if name else ()
    return Written(item.span, subjects, replace(value, remark=", ".join(p for p in (told, item.remark) if p)))


def _pull(head: Head, state: State, start: int, end: int) -> Body:
    slot = next((s for s in head.kind.slots if s.name in head.qualifiers), None)
    if slot is None:
        return _slots(head, state, start, end)

    def read(h: Head, s: State, items: list[Item]) -> tuple[Written, ...]:
        return _pull_items(h, s, items, slot)

    return _with_clauses(read, head, state, start, end)


def _pull_items(head: Head, state: State, items: list[Item], slot: Slot) -> tuple[Written, ...]:
    """A quantity a line: values in the order of the speeds, or pairs of speed and value."""
    measure = _measure(head, state, slot)
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
            return [Written(item.span, (subject,), replace(values[1], remark=item.remark))]
    last = len(values) - 1
    return [Written(v.span, (), replace(v, remark=item.remark) if i == last else v) for i, v in enumerate(values)]


def _pull_units(found: list[Written], measure: Measure, state: State) -> tuple[Written, ...]:
    units = {w.value.quantity.unit for w in found if w.value and w.value.quantity and w.value.quantity.unit_written}
    shared = next(iter(units)) if len(units) == 1 else ""
    kept = []
    for written in found:
        value = written.value
        if value and value.quantity and shared and not value.quantity.unit_written:
            value = replace(value, quantity=replace(value.quantity, unit=shared))
            written = replace(written, value=value)
        try:
            if value:
                _check_slot_unit(value, measure)
            kept.append(written)
        except Unread as fault:
            state.tell(fault)
    return tuple(kept)


def _row(head: Head, state: State, start: int, end: int) -> Body:
    """Values in order, counted from 1; or named by their number."""
    measure = _measure(head, state)
    readings: list[Written] = []
    for item in _items(state, start, end):
        try:
            reader = ValueReader(item.tokens, 0, measure, state.normal)
            values = []
            while reader.at < len(item.tokens):
                values.append(reader.read())
                if len(values) > MOST_MEMBERS:
                    raise too_many(item.span)
            for value in values:
                subject = Subject("place", value.span, number=len(readings) + 1)
                readings.append(Written(value.span, (subject,), replace(value, remark=item.remark)))
        except Unread as fault:
            state.tell(fault)
    return Body(readings=tuple(readings))


def _swap(head: Head, state: State, start: int, end: int) -> Body:
    return _with_clauses(
        lambda h, s, items: read_swap(items, h.kind.word, h.part, h.engine, s), head, state, start, end
    )


def _fit(head: Head, state: State, start: int, end: int) -> Body:
    if not head.part and not head.qualifiers:
        raise _no_part(head, state, start, end)
    return _with_clauses(lambda h, s, items: read_fit(items, h.part, h.engine, s), head, state, start, end)


def _no_part(head: Head, state: State, start: int, end: int) -> Unread:
    span = Span(start, end) if end > start else head.span
    said = state.said(Span(start, end))
    return Unread(
        214,
        span,
        f"{head.kind.word} of what?",
        f"name the part: '{head.kind.word} coil {said}', or lead, plug, injector"
        if said
        else f"name the part: '{head.kind.example}'",
    )


def _swap_checked(head: Head, state: State, start: int, end: int) -> Body:
    if not head.part:
        raise _no_part(head, state, start, end)
    return _swap(head, state, start, end)


_READERS: MappingProxyType[str, Callable[[Head, State, int, int], Body]] = MappingProxyType(
    {
        "text": _text,
        "word": _word,
        "file": _file,
        "engine": _engine,
        "facts": _facts,
        "cyl": _readings,
        "part": _part,
        "bank": _readings,
        "bolt": _readings,
        "bearing": _readings,
        "any": _any,
        "one": _one,
        "many": _many,
        "group": _group,
        "stock": _stock,
        "swap": _swap_checked,
        "fit": _fit,
        "codes": _codes,
        "slots": _slots,
        "free slots": _slots,
        "pull": _pull,
        "row": _row,
    }
)

__all__ = ["Body", "Head", "kind_named", "read_body"]
