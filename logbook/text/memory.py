"""Lines read before, in this log or another: the same line under the same card is read once.

A log that is read again after each save costs what changed in it.
"""

from __future__ import annotations

from itertools import count

from logbook.problems import Problem
from logbook.text.entries import Entry

# The entry, where its line began, what was told of it, and how many members of runs it opened.
Known = tuple[Entry | None, int, tuple[Problem, ...], int]
_MOST = 576  # lines, and contexts, that are remembered


class Memory:
    """Bounded: when it is full, only lines that came again stay, and where those are many it begins anew."""

    def __init__(self) -> None:
        self.lines: dict[tuple[str, int], Known] = {}
        self.again: set[tuple[str, int]] = set()
        self.contexts: dict[object, int] = {}
        self.numbers: count[int] = count()

    def context(self, said: object) -> int:
        """A number for what lines are read by; never the same for two that differ."""
        number = self.contexts.pop(said, None)
        if number is None:
            number = next(self.numbers)
            if len(self.contexts) >= _MOST:
                del self.contexts[next(iter(self.contexts))]  # the one that was asked for longest ago
        self.contexts[said] = number
        return number

    def new_context(self) -> int:
        """A number that no other log has."""
        return next(self.numbers)

    def known(self, line: tuple[str, int]) -> Known | None:
        found = self.lines.get(line)
        if found is not None:
            self.again.add(line)
        return found

    def keep(self, line: tuple[str, int], known: Known) -> None:
        if len(self.lines) >= _MOST:
            few = len(self.again) <= 3 * _MOST // 4
            self.lines = {kept: self.lines[kept] for kept in self.again} if few else {}
            self.again.clear()
        self.lines[line] = known

    def forget(self) -> None:
        self.lines.clear()
        self.again.clear()


MEMORY = Memory()
