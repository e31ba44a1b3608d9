"""Where the reader turns to with a line that it refused: heard lines become entries, choices one problem."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text.entries import Entry
from logbook.text.faults import problem
from logbook.text.forms import entry_line
from logbook.text.hearing.limits import FIRST_LINES, MOST_HEARD, MOST_SAID
from logbook.text.unread import Unread
from logbook.text.vocabulary import KINDS

if TYPE_CHECKING:
    from logbook.text.hearing.hear import Heard
    from logbook.text.reader import Reading


_QUOTED = re.compile(r"'([^'\n]{3,200})'")
_WRITE = re.compile(r"(?:did you mean|write|put|take)\b[^']*'", re.IGNORECASE)
_SAY = "name the test or the work first and the cylinder beside what was seen, or indent the line for a note"
_TRADE = frozenset({"bought", "spent", "got", "asked", "quote"})


class Mark(NamedTuple):
    """How far a log was read before a line."""

    problems: int
    errors: int
    entries: int
    days: int
    sorts: int
    home: tuple[str, int] | None = None  # whose the notes are that follow


UNKNOWN = 202  # the line opens with no kind of entry
EITHER = 231  # the refusal names both lines that may be meant: there is nothing to guess


class Hearing:
    """Hears the lines of one log. What is loaded for it is loaded at the first line that was refused."""

    def __init__(self, reading: Reading, hears: bool) -> None:
        self.reading = reading
        self.hears = hears
        self.tracker: object = None
        self.count = 0
        self.asked = 0  # lines
        self.prose = False  # what was asked so far is no log

    def mark(self) -> Mark:
        r = self.reading
        return Mark(len(r.state.problems), r.state.errors, len(r.entries), len(r.days), len(r.sorts), r.notes.home)

    def listen(self, number: int, start: int, end: int, before: Mark) -> None:
        """Hears one line that was refused: on success its problems and what was kept of it are taken back."""
        if any(p.number == EITHER for p in self.reading.state.problems[before.problems :]):
            return
        heard = self._heard(number, start, end, before)
        if heard is None:
            return
        if not heard.choices:
            if not self._as_note(number, start, end, before):
                self._one_message(number, Span(start, end), before)
            return
        self._take_back(number, before)
        if heard.sure:
            self._keep(number, Span(start, end), heard.choices[0])
        else:
            self._offer(number, Span(start, end), heard.choices)

    def compare(self, number: int, start: int, end: int, before: Mark) -> None:
        """Hears one line that was read though it has no colon, and so may be a jotting that was misread.

        What is heard of it for certain, with every word in its place, outranks a reading that says something else.
        """
        heard = self._heard(number, start, end, before)
        if heard is None:
            return
        from logbook.text.hearing.lexer import lex
        from logbook.text.hearing.lexicon import frames

        kind = self.reading.entries[before.entries].kind
        if (
            not heard.choices
            and (kind in _TRADE or kind == "engine")
            and ":" not in self.reading.state.normal[start:end]
        ):
            self._ask(number, Span(start, end), before, kind)
            return
        if not heard.sure:
            said = [
                t
                for t in lex(self.reading.state.normal[start:end])
                if t.says("got", "spent", "out") and not t.says("fill")
            ]
            if said and frames()[kind].sort == "none" and ":" not in self.reading.state.normal[start:end]:
                self._ask(number, Span(start, end), before, kind)
            return
        read = self._reads(tuple(heard.choices[0].split("\n")), number, Span(start, end))
        strict = self.reading.entries[before.entries :]
        if read is None or [entry_line(e) for e in read[0]] == [entry_line(e) for e in strict]:
            return
        if (
            strict[0].kind not in {e.kind for e in read[0]}
            and strict[0].kind not in _TRADE
            and KINDS[strict[0].kind].subjects not in ("text", "engine", "facts")
        ):
            return  # what its first word names outranks a guess
        self._take_back(number, before)
        self._keep(number, Span(start, end), heard.choices[0])

    def _ask(self, number: int, span: Span, before: Mark, kind: str) -> None:
        self._take_back(number, before)
        said = f"Is this an entry '{kind}' or a sentence?"
        self.reading.state.add(problem(205, span, said, "put a colon behind the kind, or indent it for a note"))
        self.reading.lose(number)

    def _heard(self, number: int, start: int, end: int, before: Mark) -> Heard | None:
        reading = self.reading
        if not self.hears or self.prose or end - start > MOST_SAID or self.count >= MOST_HEARD:
            return None
        self.count += end - start
        self.asked += 1
        self.prose = self.asked > FIRST_LINES and self._is_prose(before)
        from logbook.text.hearing.context import Tracker
        from logbook.text.hearing.hear import CLEAN, DOUBTED, hear

        if self.tracker is None:
            self.tracker = Tracker(reading.state)
        assert isinstance(self.tracker, Tracker)
        day = reading.last_day.day if reading.last_day else None
        context = self.tracker.before(reading.entries[: before.entries], day)

        def reads(lines: tuple[str, ...]) -> int:
            read = self._reads(lines, number, Span(start, end))
            return 0 if read is None else DOUBTED if read[1] else CLEAN

        return hear(reading.state.normal[start:end], context, reads)

    def _is_prose(self, before: Mark) -> bool:
        """Whether no day, no line of the language and few heard ones stand among the first lines."""
        entries = self.reading.entries[: before.entries]
        read = any(not e.heard for e in entries) or bool(self.reading.days[: before.days])
        return not read and 3 * len(entries) < self.asked

    def _take_back(self, number: int, before: Mark) -> None:
        reading, state = self.reading, self.reading.state
        del state.problems[before.problems :]
        state.errors = before.errors
        del reading.entries[before.entries :]
        del reading.days[before.days :]
        del reading.sorts[before.sorts :]
        reading.lost.discard(number)

    def _as_note(self, number: int, start: int, end: int, before: Mark) -> bool:
        """Takes a line of which nothing could be evidence for a note of what stands above it: 'rained all day'."""
        from logbook.text.hearing.laws import only_tells

        reading = self.reading
        errors = [p for p in reading.state.problems[before.problems :] if p.weight is Weight.ERROR]
        if [p.number for p in errors] != [UNKNOWN] or before.home is None:
            return False
        if before.home[0] == "entry" and reading.entries[before.home[1]].kind == "language":
            return False  # that line stands there for the program alone
        if not only_tells(reading.state.normal[start:end]):
            return False
        self._take_back(number, before)
        reading.notes.home, reading.notes.lost = before.home, False
        reading.sorts.append("note" if reading.notes.add(number, start, end) else "problem")
        reading.state.add(problem(252, Span(start, end), "Taken as a note.", "indent it by a blank, or leave it"))
        return True

    def _one_message(self, number: int, span: Span, before: Mark) -> None:
        """Of several faults of a line the first is told. A whole line is offered only where it says all of the line."""
        from logbook.text.hearing.laws import says_all

        state = self.reading.state
        errors = [p for p in state.problems[before.problems :] if p.weight is Weight.ERROR]
        first = errors[0]
        line = state.normal[span.start : span.end]
        offered = []
        for said in _QUOTED.findall(first.mend):
            read = self._reads((said,), number, span) if ":" in said and says_all(line, said) else None
            if read is not None and not read[1]:
                offered.append(said)
        names = any(said in KINDS for said in _QUOTED.findall(first.mend))  # 'did you mean resistance?'
        mend = (
            first.mend
            if offered or names or not _WRITE.search(first.mend)
            else _WRITE.split(first.mend)[0].rstrip(" ,;")
        )
        kept = [p for p in state.problems[before.problems :] if p.weight is not Weight.ERROR]
        told = first._replace(mend=mend or _SAY, choices=tuple(offered[:3]))
        state.problems[before.problems :] = [told, *kept]
        state.errors = before.errors + 1

    def _offer(self, number: int, span: Span, choices: tuple[str, ...]) -> None:
        shown = [c.replace("\n", " + ") for c in choices]
        mend = f"write '{shown[0]}'" if len(shown) == 1 else "; ".join(f"{n}: '{c}'" for n, c in enumerate(shown, 1))
        said = "This may be meant." if len(shown) == 1 else "This can mean more than one thing."
        fault = problem(251, span, said, mend)
        self.reading.state.add(fault._replace(choices=choices))
        self.reading.lose(number)

    def _keep(self, number: int, span: Span, canonical: str) -> None:
        """Entries of the heard lines; every place in them is the whole line, as it was jotted."""
        reading = self.reading
        lines = tuple(canonical.split("\n"))
        day = _day_of(lines)
        if day:
            reading.heard_day(number, span, canonical)
            said = canonical
        else:
            read = self._reads(lines, number, span)
            assert read is not None
            entries, doubts = read
            said = " + ".join(entry_line(e) for e in entries)
            for entry in entries:
                reading.keep(entry._replace(heard=entry_line(entry)), span)
            reading.sorts.append("entry")
            for doubt in doubts:
                reading.state.add(doubt)
        hint = Problem(
            250, Weight.HINT, span, f"Heard as: {said}", "write it so, or leave it: it is used", (), tuple(lines)
        )
        reading.state.add(hint)

    def _reads(self, lines: tuple[str, ...], number: int, span: Span) -> tuple[list[Entry], list[Problem]] | None:
        """The entries of canonical lines, None where one of them is not read without an error."""
        if _day_of(lines):
            return [], []
        state = self.reading.state
        kept = state.text, state.normal, state.problems, state.errors, state.searches
        entries: list[Entry] = []
        found: list[Problem] = []
        try:
            for said in lines:
                state.text = state.normal = said
                state.problems = []
                try:
                    entry = self.reading.read_entry(
                        number, 0, len(said), index=len(self.reading.entries) + len(entries)
                    )
                except Unread:
                    return None
                if entry is None or any(p.weight is Weight.ERROR for p in state.problems):
                    return None
                entries.append(moved(entry, span))
                found += [p._replace(span=span, related=()) for p in state.problems if p.weight is Weight.DOUBT]
        finally:
            state.text, state.normal, state.problems, state.errors, state.searches = kept
        return entries, found


def _day_of(lines: tuple[str, ...]) -> bool:
    return len(lines) == 1 and lines[0][:4].isdigit() and lines[0][4:5] == "-"


def moved(value: Entry, span: Span) -> Entry:
    """The entry with every place in it the one span."""
    return _moved(value, span)  # type: ignore[return-value]


def _moved(value: object, span: Span) -> object:
    if isinstance(value, Span):
        return span
    if isinstance(value, tuple):
        fields = (_moved(member, span) for member in value)
        return type(value)._make(fields) if hasattr(type(value), "_make") else tuple(fields)  # type: ignore[attr-defined]
    return value
