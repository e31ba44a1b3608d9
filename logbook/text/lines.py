"""How the lines of a file were read. They always add up: blank, day, entry, note and problem."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence

from logbook.problems import Problem, Weight
from logbook.text.entries import LineCount, Log
from logbook.text.source import LineIndex, Source


def count_lines(
    source: Source, problems: Iterable[Problem], sorts: Sequence[str], everything_is_problem: bool = False
) -> LineCount:
    """Counts by sort; a line with an error counts as a problem."""
    if everything_is_problem:
        return LineCount(problem=source.line_count)
    wrong = {bisect_right(source.starts, p.span.start) for p in problems if p.weight is Weight.ERROR}
    counted = Counter("problem" if line in wrong else sort for line, sort in enumerate(sorts, start=1))
    return LineCount(**counted)


def recount(log: Log, more: Iterable[Problem]) -> LineCount:
    """The count of a log when a later stage found more errors: the lines they stand on become problem lines."""
    index = LineIndex(log.text)
    before = {index.place(p.span.start)[0] for p in log.problems if p.weight is Weight.ERROR}
    now = {index.place(p.span.start)[0] for p in more if p.weight is Weight.ERROR} - before - set(log.error_lines)
    entries = {e.line for e in log.entries}
    days = {d.line for d in log.days}
    counted = Counter("entry" if line in entries else "day" if line in days else "" for line in now)
    moved = counted["entry"] + counted["day"]
    lines = log.lines
    return lines._replace(
        entry=lines.entry - counted["entry"], day=lines.day - counted["day"], problem=lines.problem + moved
    )
