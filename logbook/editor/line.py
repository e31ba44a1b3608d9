"""What stands on one line up to the cursor: its head, the kind that it names, and its body."""

from __future__ import annotations

import re
from typing import NamedTuple

from logbook.text.kinds import Kind
from logbook.text.vocabulary import LONGEST_KIND, kind_named

_BEFORE = re.compile(r"\s*(?:\d{1,2}:\d{2}\s+)?(?:(?:proved|correct|private)\s+)*", re.IGNORECASE)


class Line(NamedTuple):
    """``head`` and ``body`` are what was typed of them; ``body`` is None before the colon."""

    kind: Kind | None
    head: str
    body: str | None


def line_of(typed: str) -> Line:
    """The line as far as it is typed. A note, which is indented, has no kind."""
    if typed[:1].isspace():
        return Line(None, "", None)
    start = _BEFORE.match(typed)
    said = typed[start.end() if start else 0 :]
    head, colon, body = said.partition(":")
    return Line(_kind(head, bool(colon)), head, body if colon else None)


def _kind(head: str, before_colon: bool) -> Kind | None:
    """The kind that opens a head, whatever qualifiers stand behind it."""
    words = head.split()
    for length in range(min(LONGEST_KIND, len(words)), 0, -1):
        if row := kind_named(" ".join(words[:length]), before_colon and length == len(words)):
            return row
    return None
