"""What is private: by the writer's mark, or by the table of kinds."""

from __future__ import annotations

from logbook.text.entries import Entry
from logbook.text.vocabulary import KINDS


def is_private(entry: Entry) -> bool:
    """By mark or by the table."""
    row = KINDS.get(entry.kind)
    return entry.private or (row is not None and row.private)
