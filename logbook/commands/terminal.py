"""Problems as the terminal shows them: two lines each, choices as whole lines to copy, heard lines quietly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import click

from logbook.commands.screen import visible
from logbook.problems import Problem, Weight
from logbook.text.source import line_and_column

HEARD = 250  # the hint that says what a line was heard as
_COLOURS = {Weight.ERROR: "red", Weight.DOUBT: "yellow", Weight.HINT: "cyan"}
_LONGEST_SHOWN = 120  # characters of a line
_WORST = 10  # problems of a file that are shown
_ORDER = {Weight.ERROR: 0, Weight.DOUBT: 1, Weight.HINT: 2}


def file_lines(path: str, text: str, problems: Sequence[Problem]) -> Iterator[str]:
    """The problems of one file, the ten worst first and the count of the rest; then what was heard, a line each."""
    heard = [p for p in problems if p.number == HEARD]
    worst = sorted((p for p in problems if p.number != HEARD), key=lambda p: (_ORDER[p.weight], p.span))
    for problem in worst[:_WORST]:
        yield from problem_lines(path, text, problem)
    if rest := worst[_WORST:]:
        counts = [f"{n} {w}{'s' * (n != 1)}" for w in Weight if (n := sum(p.weight is w for p in rest))]
        yield f"{visible(path)}: and {', '.join(counts)} more; '--as json' has them all"
    for problem in heard:
        line, _ = line_and_column(text, problem.span.start)
        yield click.style(f"{visible(path)}:{line}: {visible(_small(problem.message))}", dim=True)


def _small(message: str) -> str:
    return message[:1].lower() + message[1:]


def problem_lines(path: str, text: str, problem: Problem) -> Iterable[str]:
    """One problem: what is wrong, then how to fix it; of several whole lines that may be meant each by itself."""
    line, column = line_and_column(text, problem.span.start)
    weight = click.style(f"{problem.weight} {problem.number}", fg=_COLOURS[problem.weight], bold=True)
    yield f"{visible(path)}:{line}:{column}: {weight}: {visible(problem.message)}"
    if not problem.choices:
        said = visible(_line_of(text, problem.span.start).strip()[:_LONGEST_SHOWN])
        yield f"    {said}" + (f"   -> {visible(problem.mend)}" if problem.mend else "")
        return
    for number, choice in enumerate(problem.choices, start=1):
        first, *more = choice.split("\n")
        yield f"    {number}. {visible(first)}"
        for said in more:
            yield f"       {visible(said)}"


def _line_of(text: str, offset: int) -> str:
    start = text.rfind("\n", 0, offset) + 1
    end = text.find("\n", offset)
    return text[start : end if end >= 0 else len(text)]
