"""Readings by name and by row: subjects, values, and what may not stand together."""

from __future__ import annotations

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.clauses import Item
from logbook.text.entries import Subject, Value, Written
from logbook.text.lexing import Token
from logbook.text.limits import MOST_MEMBERS
from logbook.text.numbers import ValueReader, falling_range, is_negated, is_value_start, says_where
from logbook.text.place_lists import check_all_but, is_place, with_place_lists
from logbook.text.reading_checks import (
    check_missing_subject,
    check_subjects,
    check_valueless,
    with_shared_unit,
    without_doubles,
)
from logbook.text.remarks import check_one_entry, left_over, words_in
from logbook.text.rows import read_row
from logbook.text.subjects import Element, read_element, read_elements, shown, too_many
from logbook.text.told_causes import as_remarks
from logbook.text.unread import Unread
from logbook.text.vocabulary import fold, part_named, qualifier_words, units_spelt, word_of

_PLACED = frozenset({"cyl", "part", "bolt", "bearing", "stock", "any", "bank"})
_LETTERED = frozenset({"bolt", "cyl", "any", "part"})

_IS = frozenset({"is", "are", "was", "were", "reads"})
_ON = frozenset({"on", "in", "at", "for"})
_ANDS = frozenset({"and", "&"})


class _Told:
    """What stood behind the subjects of one item."""

    def __init__(self) -> None:
        self.value: Value | None = None
        self.words: list[str] = []
        self.setting: str = ""
        self.slot: Subject | None = None
        self.subjects: tuple[Subject, ...] = ()


def _joint(found: list[Token], at: int, words: tuple[str, ...]) -> bool:
    """'black and wet': whether a joint between two words of results stands here."""
    if found[at].text.casefold() not in _ANDS or at + 1 >= len(found):
        return False
    return bool(word_of(found[at + 1].text, words))


class ReadingsReader:
    """Reads the items of one entry; a fault costs the one reading, except in a row."""

    def __init__(self, about: About) -> None:
        self.about = about
        self.kind, self.measure, self.state, self.engine = about.kind, about.measure, about.state, about.engine

    def read(self, items: list[Item]) -> tuple[Written, ...]:
        """All readings of the items; what cannot be read is told to the state."""
        if self.kind.word == "cause":
            items = as_remarks(items, self.about)
        self._check_first_word(items[0].tokens if items else [])
        row = read_row(self.about, items)
        if row is not None:
            return row
        found: list[Written] = []
        for item in self._spread(with_place_lists(items, self.about)):
            try:
                found.append(self._item(item))
            except Unread as fault:
                if fault.number == 212 and not self.measure.words:
                    fault.mend = self._as_remark(fault.span.start, item)
                self.state.tell(fault)
        return without_doubles(self.about, with_shared_unit(self.about, found, items), len(items))

    def _as_remark(self, start: int, item: Item) -> str:
        """The mend of words behind a part or a place where no reading is due."""
        if self.measure.numeric or (start == item.start and not self.about.may_stand_alone):
            return f"write for example '{self.kind.example}'"
        now = ", or ', now ...' before what was seen right after it" if self.kind.action else ""
        return f"put it into a bracket, '({self.state.said(Span(start, item.end))})'{now}"

    def _check_first_word(self, found: list[Token]) -> None:
        """A misspelt qualifier costs the line: its readings would be taken for others."""
        if len(found) < 2 or found[0].kind != "word" or is_value_start(found[0], self.measure):
            return
        qualifiers = tuple(q for q in self.kind.qualifiers if q.islower())
        if not qualifiers:
            return
        first = found[0]
        if first.text.casefold() in ("to", "even", "old", *_ON) or part_named(first.text) or self._slot(found, 0)[0]:
            return
        if read_element(found, 0, letters=False) is not None or units_spelt(first.text):
            return
        if self.kind.words and self.kind.word != "cause" and (self.about.qualifiers or self.about.part):
            raise Unread.word(first, self.kind.words)
        if self.kind.subjects == "bank" and first.text.casefold() == "bank":
            mend = "write the bank by its name, as the card has it: left, right, front or rear"
            raise Unread(215, Span(first.start, first.end), "Which bank that is the card does not say.", mend)
        fault = Unread(
            215,
            Span(first.start, first.end),
            f"'{first.text}' is no word that '{self.kind.word}' takes here.",
            f"write what it was into a bracket behind it: '({self.state.said(Span(first.start, found[-1].end))})'"
            if self.kind.word == "cause" and (self.about.qualifiers or self.about.part)
            else f"write one of: {', '.join(qualifiers)}; or the reading alone",
        )
        fault.near = qualifiers
        raise fault

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
                if begin <= starts[-1]:
                    sign = item.tokens[at]
                    raise Unread(208, Span(sign.start, sign.end), "A '=' too many.", "write '1=70 2=65'")
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
        if not found and self.about.may_stand_alone:
            return Written(item.span, (), None, (), item.remark)
        if not found:
            raise Unread(208, item.span, "A bracket stands alone.", "write it behind the reading it belongs to")
        check_one_entry(item, self.kind, self.state)
        check_all_but(item, self.about)
        if found[0].text.casefold() in _ON and len(found) > 2 and is_place(found[1]):
            found = found[1:]  # 'on 2 none'
        lead, start = self._slot(found, 0)
        if lead is not None and start < len(found):
            found = found[start:]
        else:
            lead = None
        elements, at, equals = self._subjects(found)
        if at >= len(found) and self.about.value_needed and [m.kind for e in elements for m in e.members] == ["even"]:
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
        slot = slot or lead
        if slot is not None:
            subjects = (*subjects, slot)
        check_subjects(self.about, subjects)
        told = _Told()
        if at + 1 < len(found) and elements and found[at].text.casefold() in _IS:
            at += 1
        if at < len(found):
            told = self._value(found, at, bool(subjects))
        elif equals:
            raise Unread(320, item.span, "Nothing stands behind '='.", "write what was read, or '-' for not done")
        remark = item.remark
        if told.setting and not remark:
            remark = told.setting
        if told.words:
            remark = f"{' '.join(told.words)}{', ' + remark if remark else ''}"
        remark_words = self._remark_words(remark)
        value = told.value
        if told.subjects:
            subjects = told.subjects
            check_subjects(self.about, subjects)
        if told.slot is not None and slot is None:
            subjects = (*subjects, told.slot)
        if value is None:
            check_valueless(self.about, item, subjects)
            return Written(item.span, subjects, None, (), remark, remark_words, part)
        if remark:
            value = value._replace(remark=remark, remark_words=remark_words)
        written = Written(item.span, subjects, value, (), "", (), part)
        check_missing_subject(self.about, item, written)
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
            number = any(
                t.kind == "number" and t.start == fault.span.start for t in found[0 if self.about.free else 1 :]
            )
            if fault.number != 415 or not self.measure.numeric or not number:
                raise
            raise falling_range(fault.span, self.state.said(fault.span)) from None

    def _last_is_value(self, elements: list[Element], found: list[Token], at: int) -> bool:
        if not self.measure.numeric:
            return False
        last = elements[-1]
        if self.kind.word == "adjust" and says_where(found, last.start):
            return True
        number = found[last.start].kind == "number"
        if not number or last.joined or (last.part and len(elements) == 1):
            return False
        if at < len(found) and found[at].text == "-" and last.bare:
            return False
        if at < len(found) and is_value_start(found[at], self.measure):
            # '2 4 6 dead' names three; '5 70 exhaust' cannot on an engine without a 70
            places = self.state.places(self.engine)
            return len(elements) > 1 and last.bare and bool(places) and last.members[0].number > places
        rest = found[at] if at < len(found) else None
        if rest is not None and rest.kind == "word" and len(elements) == 1 and self._names_place(last, rest):
            return False
        if rest is not None and rest.kind == "number" and not last.bare:
            return False
        if len(elements) == 1 and not self.about.value_needed and rest is None:
            return self.kind.subjects == "stock"
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
        known = qualifier_words(self.kind)
        if not known or at >= len(found) or found[at].kind != "word":
            return None, at
        for length in (3, 1):
            group = found[at : at + length]
            name = self.state.normal[group[0].start : group[-1].end]
            match = known.get(fold(name), "")
            if match and not (word_of(name, self.measure.words) and at + len(group) == len(found)):
                return Subject("slot", Span(group[0].start, group[-1].end), name=match), at + len(group)
        return None, at

    def _value(self, found: list[Token], at: int, placed: bool) -> _Told:
        """The value from ``at`` on, and the words, qualifiers and places behind it."""
        measure = self.measure
        told = _Told()
        if self.kind.word == "adjust":
            to = found[at].text.casefold() == "to" and at + 1 < len(found)
            if to or says_where(found, at):
                told.setting, at, measure = "set to", at + to, measure._replace(sign=False)
        reader = ValueReader(found, at, measure, self.state.normal)
        try:
            value = reader.read()
        except Unread as fault:
            if fault.number == 305 and self.kind.word == "adjust":
                fault.mend += f" for a change, or 'to {found[at].text}' for what it was set to"
            raise
        while reader.at < len(found):
            token = found[reader.at]
            word = word_of(token.text, measure.words) if token.kind == "word" else ""
            follows = found[reader.at + 1].text if reader.at + 1 < len(found) else ""
            if word and is_negated(token.text, follows, measure.words):
                span = Span(token.start, found[reader.at + 1].end)
                said = self.state.said(span)
                raise Unread(209, span, f"'{said}' is no reading.", f"put it into a bracket: '({said})'")
            if word:
                told.words.append(word)
            elif _joint(found, reader.at, measure.words):
                pass
            elif token.kind == "number" and value.word and measure.numeric and (placed or value.word != "not done"):
                following = ValueReader(found, reader.at, measure, self.state.normal)
                second = following.read()
                if value.word != "not done":  # in '1 - 60' the dash stands for nothing
                    told.words.append(value.word)
                value, reader = second, following
                continue
            elif not placed and value.word and not told.words and (behind := self._places_behind(found, reader.at)):
                told.subjects = behind
                break
            else:
                slot, after = self._slot(found, reader.at)
                if slot is not None and after < len(found):
                    span = Span(token.start, found[-1].end)
                    said = self.state.said(span)
                    if self._slot(found, after)[1] == len(found):  # '3.5 bar cold idle'
                        mend = f"write them before the reading: '{self.kind.word} {said}: ...'"
                        raise Unread(425, span, f"'{said}' says how it was read.", mend)
                    raise Unread(425, span, f"'{said}' is a reading of its own.", f"put a comma before '{said}'")
                if slot is None:
                    raise left_over(found, reader.at, measure, self.state)
                told.slot = slot
                break
            reader.at += 1
        told.value = value
        return told

    def _places_behind(self, found: list[Token], at: int) -> tuple[Subject, ...]:
        """'none on 4', 'wrong 3 and 4': the places behind the word, where nothing else follows."""
        if found[at].text.casefold() in _ON and at + 1 < len(found):
            at += 1
        elements = read_elements(found, at, self.kind.subjects in _LETTERED)
        if self.kind.subjects not in _PLACED or not elements or elements[-1].end < len(found):
            return ()
        return tuple(s for e in elements for s in e.members)

    def _remark_words(self, remark: str) -> tuple[str, ...]:
        return words_in(remark, self.measure.words) if remark else ()
