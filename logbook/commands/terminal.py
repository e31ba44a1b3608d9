"""Problems as the terminal shows them: headline, the line with the place marked, the mend."""

from __future__ import annotations

from collections.abc import Iterable

import click

from logbook.commands.screen import visible
from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text.source import line_and_column

_COLOURS = {Weight.ERROR: "red", Weight.DOUBT: "yellow", Weight.HINT: "cyan"}
_LONGEST_SHOWN = 160  # characters of a line that are shown around a problem


def problem_lines(path: str, text: str, problem: Problem) -> Iterable[str]:
    """One problem as the terminal shows it: headline, the line with the place marked, the mend."""
    line, column = line_and_column(text, problem.span.start)
    weight = click.style(f"{problem.weight} {problem.number}", fg=_COLOURS[problem.weight], bold=True)
    yield f"{visible(path)}:{line}:{column}: {weight}: {visible(problem.message)}"
    yield from _marked(text, problem.span)
    if problem.mend:
        yield f"    mend: {visible(problem.mend)}"
    for span in problem.related:
        other, _ = line_and_column(text, span.start)
        if other != line:
            yield f"    see also line {other}: {visible(_line_of(text, span.start)).strip()[:_LONGEST_SHOWN]}"


def _line_of(text: str, offset: int) -> str:
    start = text.rfind("\n", 0, offset) + 1
    end = text.find("\n", offset)
    return text[start : end if end >= 0 else len(text)]


def _marked(text: str, span: Span) -> Iterable[str]:
    if span.end <= span.start:
        return
    line = _line_of(text, span.start)
    at = span.start - (text.rfind("\n", 0, span.start) + 1)
    until = min(at + span.end - span.start, len(line))
    first = max(0, at - _LONGEST_SHOWN // 2)
    last = min(len(line), first + _LONGEST_SHOWN)
    before, marked, after = visible(line[first:at]), visible(line[at : min(until, last)]), visible(line[until:last])
    yield f"    {before}{marked}{after}"
    yield f"    {' ' * len(before)}{'^' * max(1, len(marked))}"
