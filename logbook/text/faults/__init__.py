"""The catalogue of what can be wrong in the text of a log. Numbers are stable for ever.

Blocks: 1xx lines and days, 2xx kinds and grammar, 3xx numbers and units, 4xx subjects, 7xx limits. The job's own
(5xx) and the files' (6xx) stand with their stages.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType

from logbook.problems import Problem
from logbook.spans import Span
from logbook.text.faults.row import Fault


@cache
def faults() -> MappingProxyType[int, Fault]:
    """All rows by number, loaded when the first problem is told."""
    from logbook.text.faults.grammar import GRAMMAR
    from logbook.text.faults.limits import LIMITS
    from logbook.text.faults.lines import LINES
    from logbook.text.faults.subjects import SUBJECTS
    from logbook.text.faults.values import VALUES

    return MappingProxyType({row.number: row for row in (*LINES, *GRAMMAR, *VALUES, *SUBJECTS, *LIMITS)})


def problem(number: int, span: Span, message: str, mend: str, related: tuple[Span, ...] = ()) -> Problem:
    """A problem of this number, with the weight of its row."""
    return Problem(number, faults()[number].weight, span, message, mend, related)


def explain(number: int) -> str:
    """What a number means, why it is a problem, and an example with its mend; '' for a number of another block."""
    row = faults().get(number)
    if row is None:
        return ""
    return (
        f"{row.number} ({row.weight.value}): {row.title}\n\n{row.why}\n\n"
        f"For example\n    {row.bad.replace(chr(10), chr(10) + '    ')}\n"
        f"becomes\n    {row.good.replace(chr(10), chr(10) + '    ')}\n"
    )


__all__ = ["Fault", "explain", "faults", "problem"]
