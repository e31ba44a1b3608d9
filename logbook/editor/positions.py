"""Places of a typed text as the protocol counts them: lines from 0, columns in UTF-16 units.

Problems carry offsets into the text as the reader has it, with LF alone at line ends; the editor's text may have CR LF,
or a lone CR, which ends a line for the protocol and not for the reader.
"""

from __future__ import annotations

import re
from bisect import bisect_right

from lsprotocol.types import Position, Range

from logbook.spans import Span

_LINE_END = re.compile(r"\r\n|\n|\r")


class Positions:
    """Offsets of one text to positions and back."""

    def __init__(self, source: str) -> None:
        self.source = source
        self._starts = [0, *(m.end() for m in _LINE_END.finditer(source))]
        self._pairs = [m.start() for m in re.finditer("\r\n", source)]  # each is one sign less for the reader

    def range_of(self, span: Span) -> Range:
        """The range of a span of the reader's text."""
        return Range(self.at(self._in_source(span.start)), self.at(self._in_source(span.end)))

    def at(self, offset: int) -> Position:
        """The position of an offset of the editor's text."""
        offset = min(max(offset, 0), len(self.source))
        line = bisect_right(self._starts, offset) - 1
        return Position(line, _units(self.source[self._starts[line] : offset]))

    def offset(self, position: Position) -> int:
        """The offset in the editor's text; of what lies beyond a line's end, that end."""
        if position.line >= len(self._starts):
            return len(self.source)
        start, left = self._starts[position.line], position.character
        line = self.line(position.line)
        for at, char in enumerate(line):
            if left <= 0:
                return start + at
            left -= _units(char)
        return start + len(line)

    def line(self, number: int) -> str:
        """A line without its end; "" where there is none."""
        if not 0 <= number < len(self._starts):
            return ""
        end = self._starts[number + 1] if number + 1 < len(self._starts) else len(self.source)
        return self.source[self._starts[number] : end].rstrip("\r\n")

    def whole_line(self, number: int) -> Range:
        """All of a line but its end."""
        return Range(Position(number, 0), Position(number, _units(self.line(number))))

    def in_read(self, offset: int) -> int:
        """An offset of the editor's text as one of the reader's."""
        return offset - bisect_right(self._pairs, offset - 1)

    @property
    def end(self) -> Position:
        return self.at(len(self.source))

    @property
    def line_end(self) -> str:
        return "\r\n" if self._pairs else "\n"

    def _in_source(self, offset: int) -> int:
        """An offset of the reader's text as one of the editor's."""
        if not self._pairs:
            return offset
        low, high = 0, len(self._pairs)
        while low < high:  # how many pairs lie wholly before it
            middle = (low + high) // 2
            if self._pairs[middle] - middle < offset:
                low = middle + 1
            else:
                high = middle
        return offset + low


def _units(text: str) -> int:
    return len(text) + sum(ord(char) > 0xFFFF for char in text)
