"""Where in a file a thing stands. Offsets are carried; line and column are worked out only when speaking."""

from __future__ import annotations

from typing import NamedTuple


class Span(NamedTuple):
    """Half-open range of character offsets in the decoded text of one file."""

    start: int
    end: int


NOWHERE = Span(0, 0)
