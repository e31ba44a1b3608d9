"""Problems of the job, numbers 500 to 599: the rows of ``fault_rows`` filled in for the person who wrote the log."""

from __future__ import annotations

from types import MappingProxyType

from logbook.job.fault_rows import ROWS, Fault
from logbook.problems import Problem
from logbook.spans import Span

FAULTS: MappingProxyType[int, Fault] = MappingProxyType({row.number: row for row in ROWS})
_BY_SLUG = MappingProxyType({row.slug: row for row in ROWS})


class _Words(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return ""


def complain(slug: str, span: Span, related: tuple[Span, ...] = (), /, **words: object) -> Problem:
    """The problem of a row, its words filled in; a word that is not given is left out."""
    row = _BY_SLUG[slug]
    filled = _Words({name: str(word) for name, word in words.items()})
    message, mend = row.message.format_map(filled), row.mend.format_map(filled)
    return Problem(row.number, row.weight, span, message[:1].upper() + message[1:], mend, related)


def explain(number: int) -> str:
    """What a number means, why it is a problem, and an example with its mend; '' for a number of another block."""
    row = FAULTS.get(number)
    if row is None:
        return ""
    bad, good = (text.rstrip("\n").replace("\n", "\n    ") for text in (row.bad, row.good))
    head = f"{row.number} ({row.weight.value}): {row.title}\n\n{row.why}\n\n"
    return f"{head}For example\n    {bad}\nbecomes\n    {good}\n"


__all__ = ["FAULTS", "Fault", "complain", "explain"]
