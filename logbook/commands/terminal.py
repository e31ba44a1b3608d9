"""What the commands print: problems with their place marked, a bar for what takes long, odd characters made visible."""

from __future__ import annotations

import os
import sys
import time
import unicodedata
from collections.abc import Iterable

import click

from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text.source import line_and_column

_COLOURS = {Weight.ERROR: "red", Weight.DOUBT: "yellow", Weight.HINT: "cyan"}
_LONGEST_SHOWN = 160  # characters of a line that are shown around a problem
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def visible(text: str) -> str:
    """``text`` with every character that could hide, move or reorder others written as its number: '<U+202E>'."""
    return "".join(_shown(c) for c in text)


def _shown(character: str) -> str:
    if character == "\t":
        return " "
    return f"<U+{ord(character):04X}>" if unicodedata.category(character) in _HIDDEN else character


def settle_output() -> bool | None:
    """Never fail on a character that the terminal lacks. The answer is click's ``color``: False where unwanted."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    return False if os.environ.get("NO_COLOR") else None


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


class Bar:
    """A bar on the terminal for what takes longer than a second; nothing anywhere else."""

    def __init__(self) -> None:
        self._wanted = sys.stderr.isatty()
        self._start = time.monotonic()
        self._drawn = False

    def __call__(self, done: int, total: int) -> None:
        if not self._wanted or total < 1 or time.monotonic() - self._start < 1:
            return
        filled = 30 * done // total
        click.echo(f"\r  [{'=' * filled}{' ' * (30 - filled)}] {done} of {total} jobs", nl=False, err=True)
        self._drawn = True

    def done(self) -> None:
        if self._drawn:
            click.echo("\r" + " " * 60 + "\r", nl=False, err=True)
