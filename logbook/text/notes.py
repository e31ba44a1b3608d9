"""Notes: the indented lines under an entry or a day, to the letter."""

from __future__ import annotations

import re

from logbook.spans import Span
from logbook.text.entries import Note
from logbook.text.faults import problem
from logbook.text.heads import find_kind, read_marks
from logbook.text.limits import MOST_NOTE_CHARACTERS, MOST_NOTE_DEPTH
from logbook.text.source import Source
from logbook.text.state import State
from logbook.text.unread import Unread

_PRIVATE = re.compile(r"\bprivate:\s*", re.IGNORECASE)
_DEEP = re.compile(r"[ >*+-]*")
_LONG_INDENT = 120


class NoteGatherer:
    """Gathers note lines until the next line at the margin, and knows whose they are."""

    def __init__(self, source: Source, state: State) -> None:
        self.source = source
        self.state = state
        self.home: tuple[str, int] | None = None
        self.lost = False  # the line above could not be used
        self.lines: list[tuple[int, int, int]] = []  # line, start, end; (0, 0, 0) is a blank line

    def under_entry(self, index: int) -> None:
        self.home, self.lost = ("entry", index), False

    def under_day(self, index: int) -> None:
        self.home, self.lost = ("day", index), False

    def under_nothing(self) -> None:
        self.home, self.lost = None, True

    def blank(self) -> None:
        if self.lines:
            self.lines.append((0, 0, 0))

    def add(self, line: int, start: int, end: int) -> bool:
        """Takes an indented line; False where it can belong to nothing or is too long."""
        span = Span(start, end)
        if self.home is None and not self.lost:
            self.state.add(
                problem(
                    120,
                    span,
                    "An indented line is a note, and no line stands above it.",
                    "take the blanks away if it is an entry",
                )
            )
            return False
        if end - start > MOST_NOTE_CHARACTERS:
            self.state.add(
                problem(
                    706,
                    span,
                    f"The line has {end - start} characters; {MOST_NOTE_CHARACTERS} are the most.",
                    "break it into several lines",
                )
            )
            return False
        self._doubts(span)
        if self.lost and not self.lines:
            self.state.add(
                problem(122, span, "The line above was not used, so this note hangs in the air.", "mend the line above")
            )
        self.lines.append((line, start, end))
        return True

    def _doubts(self, span: Span) -> None:
        normal = self.state.normal
        lead = _DEEP.match(normal, span.start, span.end)
        opening = lead.group() if lead else ""
        if (len(opening.replace(" ", "")) > MOST_NOTE_DEPTH and opening.strip("- ")) or len(opening) > _LONG_INDENT:
            self.state.add(
                problem(
                    707, span, f"The note is nested more than {MOST_NOTE_DEPTH} deep.", "take signs away from its front"
                )
            )
        at = span.start
        while normal[at] == " ":
            at += 1
        if not self._looks_like_entry(at, span.end):
            return
        self.state.add(
            problem(
                121,
                Span(at, span.end),
                f"'{self.state.said(Span(at, span.end))}' is read as a note, because the line is indented.",
                "take the blanks away if it is an entry",
            )
        )

    def _looks_like_entry(self, at: int, end: int) -> bool:
        normal = self.state.normal
        colon = normal.find(":", at, min(end, at + 60))
        if colon < 0:
            return False
        try:
            _, start = read_marks(self.state, at, end)
        except Unread:
            return False
        found = find_kind(self.state, start, end)
        if found is None or found[0].word == "private":
            return False
        between = normal[found[1] : colon].split()
        return found[1] <= colon and len(between) <= 2

    def take(self) -> tuple[tuple[str, int] | None, tuple[Note, ...]]:
        """The notes gathered, and whose they are; forgets the lines, keeps the home."""
        lines, self.lines = self.lines, []
        if not lines:
            return self.home, ()
        notes: list[Note] = []
        block: list[tuple[int, int, int]] = []
        for line in (*lines, (0, 0, 0)):
            if line[0]:
                block.append(line)
            elif block:
                notes.extend(self._block(block))
                block = []
        return self.home, tuple(notes)

    def _block(self, block: list[tuple[int, int, int]]) -> list[Note]:
        normal, text = self.state.normal, self.source.text
        indent = min(_indent(normal, start, end) for _, start, end in block)
        notes: list[Note] = []
        open_lines: list[tuple[int, int, int]] = []

        def close() -> None:
            if open_lines:
                told = "\n".join(text[s:e].rstrip() for _, s, e in open_lines)
                notes.append(Note(Span(open_lines[0][1], open_lines[-1][2]), open_lines[0][0], told))
                open_lines.clear()

        for line, start, end in block:
            private = _PRIVATE.search(normal, start, end)
            begin = start + indent
            if private is None:
                open_lines.append((line, begin, end))
                continue
            if normal[begin : private.start()].strip():
                open_lines.append((line, begin, private.start()))
            close()
            notes.append(Note(Span(private.start(), end), line, text[private.end() : end].rstrip(), True))
        close()
        return notes


def _indent(normal: str, start: int, end: int) -> int:
    line = normal[start:end]
    return len(line) - len(line.lstrip(" "))
