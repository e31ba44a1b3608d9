"""Readings by name and by row: subjects, values, and what may not stand together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from logbook.spans import Span
from logbook.text.clauses import Item
from logbook.text.entries import Subject, Value, Written
from logbook.text.kinds import Kind
from logbook.text.lexing import Token
from logbook.text.limits import MOST_MEMBERS
from logbook.text.numbers import Measure, ValueReader, falling_range, is_value_start
from logbook.text.state import State
from logbook.text.subjects import Element, read_elements, same_subject, shown, too_many
from logbook.text.unread import Unread
from logbook.text.vocabulary import MOVING_PARTS, kind_named, unit_spellings, units_spelt, word_of

WHOLE_WORDS = frozenset({"alike", "same", "ok", "not done", "stopped"})
_PLACED = frozenset({"cyl", "part", "bolt", "bearing", "stock", "any", "bank"})
_LETTERED = frozenset({"bolt", "cyl", "any", "part"})
_ALLOWED: dict[str, frozenset[str]] = {
    "cyl": frozenset({"place", "all", "rest", "bank", "odd", "even"}),
    "part": frozenset({"place", "all", "rest", "bank", "odd", "even", "tag", "old", "spare"}),
    "bolt": frozenset({"place", "all", "rest", "odd", "even"}),
    "bearing": frozenset({"place", "all", "rest"}),
    "bank": frozenset({"bank", "all"}),
    "stock": frozenset({"tag", "old", "spare", "place", "all", "rest"}),
}


class ReadingsReader:
    """Reads the items of one entry; a fault costs the one reading, except in a row."""

    def __init__(
        self,
        kind: Kind,
        measure: Measure,
        state: State,
        engine: str,
        part: str,
        qualifiers: tuple[str, ...],
        free: bool,
    ) -> None:
        self.kind = kind
        self.measure = measure
        self.state = state
        self.engine = engine
        self.part = part
        self.qualifiers = qualifiers
        self.free = free  # subjects may be left out: a 'spec' for all, a 'now' clause
        self.value_needed = not kind.action and kind.word != "cause" and kind.subjects != "stock"

    def read(self, items: list[Item]) -> tuple[Written, ...]:
        """All readings of the items; what cannot be read is told to the state."""
        row = self._row(items)
        if row is not None:
            return row
        found: list[Written] = []
        for item in self._spread(items):
            self._guarded(lambda item=item: found.append(self._item(item)))  # type: ignore[misc]
        return self._without_doubles(self._with_shared_unit(found, items))

    def _guarded(self, step: Callable[[], None]) -> None:
        try:
            step()
        except Unread as fault:
            self.state.tell(fault)

    # rows

    def _row(self, items: list[Item]) -> tuple[Written, ...] | None:
        if self.kind.subjects not in ("cyl", "part") or (not self.measure.numeric and len(items) != 1):
            return None
        tokens = [item.tokens for item in items]
        if any(item.bracketed for item in items) or any(t.text in ("=", ":") for group in tokens for t in group):
            return None
        if len(items) > 1:
            if not all(len(group) <= 2 and group[0].kind == "number" for group in tokens[:-1]) or len(tokens[-1]) > 3:
                return None
            if any(len(group) == 2 and group[1].text != "?" and not _is_unit(group[1]) for group in tokens[:-1]):
                return None
        first = tokens[0][0]
        if first.kind == "word" and not word_of(first.text, self.measure.words):
            return None
        values = self._row_values([t for group in tokens for t in group])
        if values is None or len(values) < 3:
            return None
        return self._placed_row(values, items)

    def _row_values(self, found: list[Token]) -> list[Value] | None:
        values: list[Value] = []
        reader = ValueReader(found, 0, self.measure, self.state.normal)
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

    def _placed_row(self, values: list[Value], items: list[Item]) -> tuple[Written, ...] | None:
        span = Span(items[0].start, items[-1].end)
        places = self.state.places(self.engine)
        numbers = [v.quantity.low if v.quantity else None for v in values]
        if self._words_after_places(values, numbers, places):
            return None
        pairs = numbers[0::2]
        rising = all(n is not None and n == n.to_integral_value() for n in pairs) and all(
            a is not None and b is not None and a < b for a, b in pairwise(pairs)
        )
        small = all(n is not None and 0 < n <= (places or 16) for n in pairs)
        if len(items) == 1 and len(values) % 2 == 0 and rising and small:
            mend = ", ".join(
                f"{self.state.said(a.span)} {self.state.said(b.span)}"
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
        for number, value in enumerate(values, start=1):
            if shared and len(units) == 1 and value.quantity and not value.quantity.unit_written:
                value = replace(value, quantity=replace(value.quantity, unit=shared.unit))
            row.append(Written(value.span, (Subject("place", value.span, number=number),), value))
        for written in row:
            self._check_unit(written)
        return tuple(row)

    def _words_after_places(self, values: list[Value], numbers: list[Decimal | None], places: int) -> bool:
        """'2 4 6 dead': numbers before a word are places, not a row."""
        if not values[-1].word or any(v.word for v in values[:-1]):
            return False
        return all(n is not None and n == int(n) and 0 < n <= (places or 16) for n in numbers[:-1])

    # readings by name

    def _spread(self, items: list[Item]) -> list[Item]:
        """'1=90 2=0' without commas becomes one item a reading."""
        spread: list[Item] = []
        for item in items:
            equals = [i for i, t in enumerate(item.tokens) if t.text == "="]
            if len(equals) < 2:
                spread.append(item)
                continue
            starts = [0]
            for at in equals[1:]:
                begin = at - 1
                while begin - 1 > starts[-1] + 2 and item.tokens[begin - 1].text.casefold() == "old":
                    begin -= 1
                starts.append(begin)
            for number, start in enumerate(starts):
                stop = starts[number + 1] if number + 1 < len(starts) else len(item.tokens)
                group = item.tokens[start:stop]
                last = number + 1 == len(starts)
                spread.append(
                    Item(group, item.remark if last else "", item.bracketed and last, group[0].start, group[-1].end)
                )
        return spread

    def _item(self, item: Item) -> Written:
        found = item.tokens
        if not found:
            raise Unread(208, item.span, "A bracket stands alone.", "write it behind the reading it belongs to")
        check_one_entry(item, self.kind, self.state)
        elements, at, equals = self._subjects(found)
        if at >= len(found) and self.value_needed and [m.kind for e in elements for m in e.members] == ["even"]:
            raise Unread(
                213, item.span, "'even' names the even numbers, not a reading.", "write 'alike' where all read the same"
            )
        if elements and self.kind.subjects == "one":
            elements, at = [], 0
        subjects = tuple(s for e in elements for s in e.members)
        if len(subjects) > MOST_MEMBERS or self.state.too_many(len(subjects)):
            raise too_many(item.span)
        part = next((e.part for e in elements if e.part), "")
        slot, at = self._slot(found, at)
        if slot is not None:
            subjects = (*subjects, slot)
        self._check_subjects(subjects)
        value: Value | None = None
        words: tuple[str, ...] = ()
        setting = ""
        if at < len(found):
            value, words, setting = self._value(found, at)
        elif equals:
            raise Unread(320, item.span, "Nothing stands behind '='.", "write what was read, or '-' for not done")
        remark = item.remark
        if setting and not remark:
            remark = setting
        if words:
            remark = f"{' '.join(words)}{', ' + remark if remark else ''}"
        remark_words = self._remark_words(remark)
        if value is None:
            self._check_valueless(item, subjects)
            return Written(item.span, subjects, None, (), remark, remark_words, part)
        value = replace(value, remark=remark, remark_words=remark_words)
        written = Written(item.span, subjects, value, (), "", (), part)
        self._check_missing_subject(item, written)
        return written

    def _subjects(self, found: list[Token]) -> tuple[list[Element], int, bool]:
        if self.kind.subjects not in _PLACED and not (self.kind.subjects == "one" and self.kind.qualifiers):
            return [], 0, False
        mark = next((i for i, t in enumerate(found) if t.text in ("=", ":") and i > 0), -1)
        letters = self.kind.subjects in _LETTERED
        elements = self._but_a_word(self._elements(found, letters), found)
        at = elements[-1].end if elements else 0
        if mark > 0 and (found[mark].text == "=" or at == mark):
            if at != mark:
                token = found[at]
                raise Unread(
                    208,
                    Span(token.start, token.end),
                    f"'{token.text}' before '=' is no cylinder and no part.",
                    "write the cylinder or the part's tag before '='",
                )
            return elements, mark + 1, True
        if elements and self._last_is_value(elements, found, at):
            last = elements.pop()
            at = last.start
            bare = [e for e in elements if e.bare]
            if len(bare) > 1 and not all(e.joined for e in elements[1:]):
                raise self._commas(found, elements, last)
        return elements, at, False

    def _but_a_word(self, elements: list[Element], found: list[Token]) -> list[Element]:
        """Without a last one that is a word of results here: in 'lead order: 4 right' nobody means a bank."""
        last = found[-1].text if elements and elements[-1].end == len(found) else ""
        return elements[:-1] if last and word_of(last, self.kind.words) else elements

    def _elements(self, found: list[Token], letters: bool) -> list[Element]:
        """The subjects in front. A falling run where a number is due is a falling range."""
        if self.kind.subjects == "one":
            return []
        try:
            return read_elements(found, 0, letters)
        except Unread as fault:
            number = any(t.kind == "number" and t.start == fault.span.start for t in found[0 if self.free else 1 :])
            if fault.number != 415 or not self.measure.numeric or not number:
                raise
            raise falling_range(fault.span, self.state.said(fault.span)) from None

    def _last_is_value(self, elements: list[Element], found: list[Token], at: int) -> bool:
        if not self.measure.numeric:
            return False
        last = elements[-1]
        number = found[last.start].kind == "number"
        if not number or last.joined or (last.part and len(elements) == 1):
            return False
        if at < len(found) and found[at].text == "-" and last.bare:
            return False
        if at < len(found) and is_value_start(found[at], self.measure):
            return False
        rest = found[at] if at < len(found) else None
        if rest is not None and rest.kind == "word" and len(elements) == 1 and self._names_place(last, rest):
            return False
        if rest is not None and rest.kind == "number" and not last.bare:
            return False
        if len(elements) == 1 and not self.value_needed and rest is None:
            return False
        if rest is not None and rest.kind == "number" and rest.glued is False and last.bare:
            return False
        return not (rest is not None and rest.text.casefold() == "to")

    def _names_place(self, last: Element, rest: Token) -> bool:
        """'3 funny': a cylinder and an unknown word, rather than a number with an unknown unit."""
        if units_spelt(rest.text) or rest.text.casefold() in ("lb", "lbs", "min", "to") or not last.bare:
            return False
        places = self.state.places(self.engine)
        return self.kind.subjects in ("cyl", "part") and 1 <= last.members[0].number <= (places or 16)

    def _commas(self, found: list[Token], elements: list[Element], last: Element) -> Unread:
        span = Span(found[0].start, found[last.end - 1].end)
        numbers = [shown(e.members[0]) for e in (*elements, last)]
        if len(numbers) % 2 == 0:
            pairs = ", ".join(f"{a} {b}" for a, b in zip(numbers[0::2], numbers[1::2], strict=True))
            return Unread(
                425,
                span,
                "Several numbers stand side by side.",
                f"write '{pairs}', or '{' and '.join(numbers[:-1])} {numbers[-1]}' where all read {numbers[-1]}",
            )
        return Unread(
            425,
            span,
            "Several numbers stand side by side.",
            f"write '{' and '.join(numbers[:-1])} {numbers[-1]}' where all read {numbers[-1]}, else commas",
        )

    def _slot(self, found: list[Token], at: int) -> tuple[Subject | None, int]:
        if at >= len(found) or found[at].kind != "word":
            return None, at
        for length in (3, 1):
            group = found[at : at + length]
            name = self.state.normal[group[0].start : group[-1].end]
            match = next((q for q in self.kind.qualifiers if q.islower() and _folded(q) == _folded(name)), "")
            if match and not (word_of(name, self.measure.words) and at + len(group) == len(found)):
                return Subject("slot", Span(group[0].start, group[-1].end), name=match), at + len(group)
        return None, at

    def _value(self, found: list[Token], at: int) -> tuple[Value | None, tuple[str, ...], str]:
        setting = ""
        measure = self.measure
        if self.kind.word == "adjust" and found[at].text.casefold() == "to" and at + 1 < len(found):
            setting, at, measure = "set to", at + 1, replace(measure, sign=False)
        reader = ValueReader(found, at, measure, self.state.normal)
        value = reader.read()
        words: list[str] = []
        while reader.at < len(found):
            token = found[reader.at]
            word = word_of(token.text, measure.words) if token.kind == "word" else ""
            if word and value.quantity is None and not words and not value.word:
                value = replace(value, word=word)
            elif word:
                words.append(word)
            elif token.kind == "number" and value.word and measure.numeric:
                following = ValueReader(found, reader.at, measure, self.state.normal)
                second = following.read()
                if value.word != "not done":  # in '1 - 60' the dash stands for nothing
                    words.append(value.word)
                value, reader = second, following
                continue
            else:
                raise left_over(found, reader.at, measure, self.state)
            reader.at += 1
        return value, tuple(words), setting

    def _remark_words(self, remark: str) -> tuple[str, ...]:
        return words_in(remark, self.measure.words) if remark else ()

    # checks

    def _check_subjects(self, subjects: tuple[Subject, ...]) -> None:
        allowed = _ALLOWED.get(self.kind.subjects)
        for subject in subjects:
            if subject.kind == "slot":
                continue
            if allowed is not None and subject.kind not in allowed:
                raise Unread(
                    412,
                    subject.span,
                    f"'{shown(subject)}' is not what '{self.kind.word}' is told of.",
                    _subject_mend(self.kind.subjects),
                )
            if (
                self.kind.subjects in ("cyl", "part", "any")
                and self.part not in ("", *MOVING_PARTS)
                and subject.kind == "place"
            ):
                continue
            if self.kind.subjects in ("cyl", "part", "any", "bank"):
                self.state.check_place(subject, self.engine)

    def _check_valueless(self, item: Item, subjects: tuple[Subject, ...]) -> None:
        if self.value_needed and self.kind.subjects != "any":
            who = " and ".join(shown(s) for s in subjects) or "it"
            words = ", ".join(self.measure.words[:5])
            raise Unread(
                320,
                item.span,
                f"What was seen at {who}?",
                f"write the reading behind it: {words}" if words else "write the reading behind it",
            )

    def _check_missing_subject(self, item: Item, written: Written) -> None:
        if any(s.kind != "slot" for s in written.subjects) or self.free:
            return
        if self.kind.subjects not in ("cyl", "part", "bolt", "bearing"):
            return
        value = written.value
        if value is None or value.word in WHOLE_WORDS or (value.word == "none" and self.kind.subjects == "part"):
            return
        if self.kind.subjects == "part" and (
            self.part not in ("", *MOVING_PARTS) or {"connector", "harness"} & set(self.qualifiers)
        ):
            return
        if self.kind.word == "output":
            return
        said = self.state.said(item.span)
        where = "bolt" if self.kind.subjects == "bolt" else "bearing" if self.kind.subjects == "bearing" else "cylinder"
        raise Unread(
            411,
            item.span,
            f"'{said}' does not say which {where}.",
            f"write the {where} before it: '1 {said}', or 'all {said}'",
        )

    def _check_unit(self, written: Written) -> None:
        quantity = written.value.quantity if written.value else None
        if quantity is None or quantity.unit or not self.measure.numeric or "money" in self.measure.dimensions:
            return
        if quantity.low == 0 == quantity.high:
            return
        raise Unread(
            306,
            written.value.span if written.value else written.span,
            f"{quantity.text}: in {self.measure.us} or {self.measure.metric}?",
            "write the unit behind it, or 'units: us' or 'units: metric' on the card",
        )

    def _with_shared_unit(self, found: list[Written], items: list[Item]) -> list[Written]:
        """A unit written once on a line holds for its bare numbers too."""
        written = [
            w.value.quantity.unit for w in found if w.value and w.value.quantity and w.value.quantity.unit_written
        ]
        kept: list[Written] = []
        for reading in found:
            quantity = reading.value.quantity if reading.value else None
            if reading.value and quantity and written and not quantity.unit_written:
                if len(set(written)) > 1 and self.measure.numeric:
                    self.state.tell(
                        Unread(
                            324,
                            reading.value.span,
                            f"{quantity.text}: the line holds two units.",
                            "write the unit behind each number",
                        )
                    )
                    continue
                reading = replace(reading, value=replace(reading.value, quantity=replace(quantity, unit=written[0])))
            try:
                self._check_unit(reading)
            except Unread as fault:
                self.state.tell(fault)
                continue
            kept.append(reading)
        return kept

    def _without_doubles(self, found: list[Written]) -> tuple[Written, ...]:
        """Each subject once; 'all' alone."""
        seen: dict[tuple[object, ...], Span] = {}
        kept: list[Written] = []
        for reading in found:
            fault = self._double(reading, seen)
            if fault is None:
                kept.append(reading)
                slots = tuple(s.name for s in reading.subjects if s.kind == "slot")
                for subject in reading.subjects:
                    seen.setdefault((*same_subject(subject), reading.part, slots), subject.span)
            else:
                self.state.tell(fault)
        if len(kept) == 1 and [s.kind for s in kept[0].subjects] == ["rest"] and len(found) == 1:
            self.state.tell(
                Unread(
                    423, kept[0].span, "'rest' are those that the line does not name, and it names none.", "write 'all'"
                )
            )
        return tuple(kept)

    def _double(self, reading: Written, seen: dict[tuple[object, ...], Span]) -> Unread | None:
        slots = tuple(s.name for s in reading.subjects if s.kind == "slot")
        if not reading.subjects and seen and self.kind.subjects in ("one", "bank") and not reading.part:
            return None
        own: set[tuple[object, ...]] = set()
        for subject in reading.subjects:
            if subject.kind == "slot" or (subject.kind == "spare"):
                continue
            key = (*same_subject(subject), reading.part, slots)
            if key in seen or key in own:
                first = seen.get(key, subject.span)
                return Unread(
                    403,
                    subject.span,
                    f"'{shown(subject)}' stands twice on this line.",
                    "one reading a line for each; write a repeat on a line of its own",
                    (first,),
                )
            own.add(key)
            everything = ("all", 0, "", "", reading.part, slots)
            if (everything in seen) or (subject.kind == "all" and any(k[-2:] == (reading.part, slots) for k in seen)):
                return Unread(
                    404,
                    subject.span,
                    "'all' and a named one stand on one line.",
                    "name those that differ and write 'rest' for the others",
                )
        return None


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
    if token.kind == "number":
        return Unread(425, span, f"'{said}' is left over.", "put a comma between readings")
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


def _folded(word: str) -> str:
    return word.replace("-", "").replace(" ", "").casefold()


def _subject_mend(subjects: str) -> str:
    return {
        "cyl": "name cylinders: '3', '1-4', 'left', 'all', 'rest'",
        "part": "name parts by the cylinder they stand in, by tag, or 'old 3'",
        "bank": "name a bank of the card, or none where the engine has one",
        "bolt": "name bolts by their number",
        "bearing": "name bearings by their number",
        "stock": "name parts by their tags",
    }.get(subjects, "leave it out")
