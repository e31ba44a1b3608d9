"""Lines read before, in this log or another: the same line under the same card is read once.

A log that is read again after each save costs what changed in it.
"""

from __future__ import annotations

from itertools import count

from logbook.problems import Problem
from logbook.text.entries import Entry

# The entry, where its line began, what was told of it, and how many members of runs it opened.
Known = tuple[Entry | None, int, tuple[Problem, ...], int]
_MOST = 512  # lines, and contexts, that are remembered


class Memory:
    """Bounded: when it is full it begins anew."""

    def __init__(self) -> None:
        self.lines: dict[tuple[str, int], Known] = {}
        self.contexts: dict[object, int] = {}
        self.numbers: count[int] = count()

    def context(self, said: object) -> int:
        """A number for what lines are read by; never the same for two that differ."""
        if len(self.contexts) >= _MOST:
            self.contexts.clear()
        return self.contexts.setdefault(said, next(self.numbers))

    def new_context(self) -> int:
        """A number that no other log has."""
        return next(self.numbers)

    def keep(self, line: tuple[str, int], known: Known) -> None:
        if len(self.lines) >= _MOST:
            self.lines.clear()
        self.lines[line] = known


MEMORY = Memory()
