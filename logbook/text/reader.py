"""A log's bytes to its entries. Never raises on any bytes: what cannot be used becomes the smallest problem."""

from __future__ import annotations

import re
from datetime import date
from typing import Literal

from logbook.problems import Problem
from logbook.spans import Span
from logbook.text.bodies import read_body
from logbook.text.collector import held_back
from logbook.text.days import Order, order_of_days, read_day
from logbook.text.doubts import doubts
from logbook.text.entries import Day, Entry, LineCount, Log, Note, Value, Written
from logbook.text.faults import problem
from logbook.text.heads import Marks, find_kind, read_head, read_marks
from logbook.text.hearing.hearing import Hearing
from logbook.text.limits import MOST_BYTES, MOST_ENTRIES, MOST_LINE_CHARACTERS, MOST_PROBLEMS
from logbook.text.lines import count_lines
from logbook.text.notes import NoteGatherer
from logbook.text.parsed import Body, Head
from logbook.text.source import BIDI, Source, decode
from logbook.text.state import State
from logbook.text.unread import Unread

_HIDDEN = re.compile(f"[{BIDI}\u200b\u2060\ufeff\x00-\x08\x0e-\x1f\x7f]")


def read(path: str, raw: bytes, shop: Log | None = None, *, hearing: bool = True) -> Log:
    """The log in these bytes. ``path`` is as shown to people; ``shop`` is the shop's file, whose units and money hold
    where the card names none. Without ``hearing`` only what is written as the language has it is read.
    """
    source = decode(raw)
    state = State(source.text, source.normal)
    if shop is not None:
        for entry in shop.entries:
            if entry.kind == "units":
                state.units = entry.text
            elif entry.kind == "money":
                state.money = entry.text
    reading = Reading(source, state, hearing)
    whole = _unreadable(source, len(raw))
    if whole is not None:
        state.add(whole)
        count = count_lines(source, (), (), everything_is_problem=True)
        return Log(path, source.text, (), (), tuple(state.problems), count, _all_lines(source))
    with held_back():
        for line in range(1, source.line_count + 1):
            reading.line(line)
        reading.finish()
    problems = tuple(sorted(state.problems, key=lambda p: (p.span.start, p.span.end, p.number)))
    count = count_lines(source, problems, reading.sorts)
    return Log(
        path,
        source.text,
        tuple(reading.entries),
        tuple(reading.days),
        problems,
        count,
        frozenset(reading.lost),
    )


def _unreadable(source: Source, size: int) -> Problem | None:
    first = Span(0, min(len(source.text), source.text.find("\n") if "\n" in source.text else len(source.text)))
    if source.wide:
        return problem(102, first, "The file is saved in two bytes a character (UTF-16).", "save it as UTF-8")
    if size > MOST_BYTES:
        return problem(701, first, f"The log has more than {MOST_BYTES:,} bytes.", "split it into jobs")
    if source.carriage_returns and source.text.strip():
        return problem(
            103, first, "The only line ends are carriage returns.", "save it with line ends of the usual kind"
        )
    return None


def _all_lines(source: Source) -> frozenset[int]:
    return frozenset(range(1, source.line_count + 1))


class Reading:
    """One pass over the lines."""

    def __init__(self, source: Source, state: State, hears: bool) -> None:
        self.source = source
        self.state = state
        self.entries: list[Entry] = []
        self.days: list[Day] = []
        self.sorts: list[Literal["blank", "day", "entry", "note", "problem"]] = []
        self.lost: set[int] = set()
        self.day: date | None = None
        self.part_of: Literal["card", "day", "unknown day"] = "card"
        self.last_day: Day | None = None
        self.order: tuple[str, Literal["month", "day", ""]] | None = None  # of the days, by units
        self.last_time = ""
        self.gave_up = False
        self.notes = NoteGatherer(source, state)
        self.bad = {b.line: b for b in source.bad_bytes}
        self.hidden = _HIDDEN.search(source.text) is not None
        self.hearing = Hearing(self, hears)

    def line(self, number: int) -> None:
        """Reads one line."""
        if self.state.errors >= MOST_PROBLEMS or len(self.entries) >= MOST_ENTRIES:
            self._give_up(number)
            return
        start, end = self.source.starts[number - 1], self._end(number)
        normal = self.state.normal
        if number in self.bad:
            byte = self.bad[number]
            self.state.add(
                problem(
                    101,
                    Span(start, end),
                    f"Byte {byte.byte} of line {number} (hex {byte.value:02x}) is not UTF-8.",
                    "save the file as UTF-8 and look at this line",
                )
            )
            self._close()
            self.lose(number)
            return
        if not normal[start:end].strip():
            self.sorts.append("blank")
            self.notes.blank()
            return
        if normal[start] == " ":
            self.sorts.append("note" if self.notes.add(number, start, end) else "problem")
            return
        self._close()
        while normal[end - 1] == " ":
            end -= 1
        if end - start > MOST_LINE_CHARACTERS:
            self.state.add(
                problem(
                    702,
                    Span(start, end),
                    f"The line has {end - start} characters; {MOST_LINE_CHARACTERS} are the most.",
                    "split it over several lines",
                )
            )
            self.lose(number)
            return
        if self.hidden and (found := _HIDDEN.search(self.source.text, start, end)):
            self.state.add(
                problem(
                    104,
                    Span(found.start(), found.end()),
                    f"An invisible sign stands here (U+{ord(found.group()):04X}).",
                    "delete it",
                )
            )
        before = self.hearing.mark()
        try:
            self._margin(number, start, end)
        except Unread as fault:
            self.state.tell(fault)
            self.lose(number)
        if self.state.errors > before.errors:
            self.hearing.listen(number, start, end, before)
        elif len(self.entries) > before.entries and (
            ":" not in normal[start:end] or any(p.number == 229 for p in self.state.problems[before.problems :])
        ):
            self.hearing.compare(number, start, end, before)

    def _give_up(self, number: int) -> None:
        """Behind too many errors or entries the rest of the log counts as problem lines."""
        start, end = self.source.starts[number - 1], self._end(number)
        if not self.state.normal[start:end].strip():
            self.sorts.append("blank")
            return
        if not self.gave_up:
            self.gave_up = True
            self._close()
            span = Span(start, end)
            if len(self.entries) >= MOST_ENTRIES:
                message = f"The log has {MOST_ENTRIES} entries; from here on it is not read."
                self.state.add(problem(710, span, message, "begin another log here"))
            else:
                message = f"The log has {MOST_PROBLEMS} errors; from here on it is not read."
                self.state.add(problem(709, span, message, "mend those above first; is this a log at all?"))
        self.lose(number)

    def _end(self, number: int) -> int:
        starts = self.source.starts
        end = starts[number] - 1 if number < len(starts) else len(self.source.text)
        if number == len(starts) and self.source.text[end - 1 : end] == "\n":
            end -= 1
        return end

    def lose(self, number: int) -> None:
        self.sorts.append("problem")
        self.lost.add(number)
        self.notes.under_nothing()

    # days and entries

    def _margin(self, number: int, start: int, end: int) -> None:
        try:
            found = read_day(self.state.normal, start, end, self._order())
        except Unread:
            self._unknown_day(number, start, end)
            raise
        if found is not None:
            self._day(number, start, end, *found)
            return
        self._entry(number, start, end)

    def _order(self) -> Order:
        """What a day without its own order or year is read by; looked for in the whole log when first asked."""
        if self.order is None or self.order[0] != self.state.units:
            self.order = self.state.units, order_of_days(self.state.normal, self.state.units)
        return Order(self.order[1], self.day)

    def _unknown_day(self, number: int, start: int, end: int) -> None:
        self.day, self.part_of, self.last_time = None, "unknown day", ""
        self.days.append(Day(Span(start, end), number, None, self.source.text[start:end]))

    def _day(self, number: int, start: int, end: int, day: date, title_at: int, loose: str, hint: int) -> None:
        title = self.source.text[title_at:end].strip()
        span = Span(start, end)
        entry_in_title = self._entry_in_title(title_at, end)
        if loose:
            self.state.tell(
                Unread(
                    hint,
                    Span(start, min(title_at, end)),
                    loose,
                    f"write {day.isoformat()}",
                )
            )
        if self.last_day and self.last_day.day and day < self.last_day.day:
            self.state.tell(
                Unread(
                    115,
                    span,
                    f"{day.isoformat()} stands below {self.last_day.day.isoformat()}.",
                    "put the days in their order, or correct the date",
                    (self.last_day.span,),
                )
            )
        self.day, self.part_of, self.last_time = day, "day", ""
        self.last_day = Day(span, number, day, "" if entry_in_title else title)
        self.days.append(self.last_day)
        self.sorts.append("day")
        self.notes.under_day(len(self.days) - 1)
        if entry_in_title:
            self.state.tell(
                Unread(
                    114,
                    Span(title_at, end),
                    "A day and an entry stand on one line.",
                    f"write the entry on the next line: '{self.state.said(Span(title_at, end))}'",
                )
            )

    def _entry_in_title(self, start: int, end: int) -> bool:
        """Whether a title reads as an entry: a kind with its colon, or a measured kind with a number behind it."""
        if start >= end:
            return False
        try:
            marks, at = read_marks(self.state, start, end)
        except Unread:
            return False
        found = find_kind(self.state, at, end)
        if found is None:
            return bool(marks.time)
        kind, stop = found
        rest = self.state.normal[stop:end].lstrip()
        colon = ":" in self.state.normal[stop : min(end, stop + 40)]
        return colon or (bool(rest[:1].isdigit()) and kind.subjects not in ("text", "facts", "file"))

    def _entry(self, number: int, start: int, end: int) -> None:
        entry = self.read_entry(number, start, end)
        if entry is None:
            self.lose(number)
            return
        self.keep(entry, Span(start, end))
        self.sorts.append("entry")

    def keep(self, entry: Entry, span: Span) -> None:
        """One more entry; notes below it are its own."""
        if entry.heard:
            self._remember(entry)
        self._times(entry, span)
        self.entries.append(entry)
        self.notes.under_entry(len(self.entries) - 1)

    def heard_day(self, number: int, span: Span, said: str) -> None:
        """A day line that was jotted in other signs."""
        day, _, title = said.partition(" ")
        self.day, self.part_of, self.last_time = date.fromisoformat(day), "day", ""
        self.last_day = Day(span, number, self.day, title)
        self.days.append(self.last_day)
        self.sorts.append("day")
        self.notes.under_day(len(self.days) - 1)

    def read_entry(self, number: int, start: int, end: int, index: int | None = None) -> Entry | None:
        """The entry of a line, None where nothing of it can be used."""
        state = self.state
        state.members = 0
        marks, at = read_marks(state, start, end)
        head, at = read_head(state, at, end, marks)
        errors = state.errors
        withdrawn = marks.correct and state.normal[at:end] == "-" and head.kind.subjects in ("swap", "fit")
        body = _nothing_done(Span(at, end)) if withdrawn else read_body(head, state, at, end)
        if state.errors > errors:
            return None  # a line with an error is not used at all: what is left of it may mean something else
        head = head._replace(kind=body.kind or head.kind)
        entry = self._built(number, Span(start, end), marks, head, body)
        if index is None:
            self._remember(entry)
        else:
            entry = entry._replace(index=index)
        for doubt in doubts(entry, head.kind, state):
            state.add(doubt)
        return entry

    def _built(self, number: int, span: Span, marks: Marks, head: Head, body: Body) -> Entry:
        return Entry(
            index=len(self.entries),
            line=number,
            span=span,
            kind=head.kind.word,
            day=self.day,
            part_of=self.part_of,
            time=marks.time,
            private=marks.private,
            spec_mark=marks.spec,
            proved=marks.proved,
            correct=marks.correct,
            correct_day=marks.correct_day,
            correct_time=marks.correct_time,
            qualifiers=(*head.qualifiers, *body.qualifiers) if body.qualifiers else head.qualifiers,
            part=head.part or body.part,
            name=head.name,
            engine=head.engine,
            text=body.text,
            readings=body.readings,
            now=body.now,
            now_word=body.now_word,  # type: ignore[arg-type]
            spec=body.spec,
            source=body.source,
            at=body.at,
            conditions=body.conditions,
            words=body.words,
            file=body.file,
        )

    def _times(self, entry: Entry, span: Span) -> None:
        if not entry.time:
            return
        if self.last_time and entry.time < self.last_time:
            self.state.tell(
                Unread(
                    116,
                    Span(span.start, span.start + 5),
                    f"{entry.time} stands below {self.last_time}.",
                    "put the entries in their order, or correct the time",
                )
            )
        self.last_time = entry.time

    def _remember(self, entry: Entry) -> None:
        """What later lines are read by."""
        if entry.kind == "units":
            self.state.units = entry.text
        elif entry.kind == "money":
            self.state.money = entry.text
        elif entry.kind == "donor" and entry.name:
            self.state.donors.add(entry.name)

    def _close(self) -> None:
        """Gives the notes gathered so far to their line."""
        home, notes = self.notes.take()
        if not notes or home is None:
            return
        sort, index = home
        if sort == "entry":
            self.entries[index] = self.entries[index]._replace(notes=(*self.entries[index].notes, *notes))
        else:
            self.days[index] = self.days[index]._replace(notes=(*self.days[index].notes, *notes))

    def finish(self) -> None:
        """Closes the last notes."""
        self._close()


def _nothing_done(span: Span) -> Body:
    """'correct swap coil: -': the earlier one never was."""
    return Body(readings=(Written(span, (), Value(span, word="not done")),))


__all__ = ["LineCount", "Note", "read"]
