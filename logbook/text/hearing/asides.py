"""Clauses of a line that only tell a story, kept as a remark."""

from __future__ import annotations

import re
from collections.abc import Callable

from logbook.text.hearing.laws import is_aside
from logbook.text.hearing.model import Candidate

READS = Callable[[tuple[str, ...]], int]
_CLAUSE_END = re.compile(r"((?:[,;]|(?<=[a-z])\.|!|(?<=\s)-)\s+(?:and\s+|but\s+)?|\s+(?:and|but)\s+)", re.IGNORECASE)


def without_asides(line: str) -> tuple[str, str]:
    """The line without the clauses that tell nothing but a story ('like my dad taught me'), and those clauses."""
    pieces = _CLAUSE_END.split(line)
    clauses, ends = pieces[0::2], ["", *pieces[1::2]]
    asides = [n for n, c in enumerate(clauses) if is_aside(c)]
    if not asides or len(asides) == len(clauses):
        return line, ""
    told = "".join(f"{ends[n]}{c}" for n, c in enumerate(clauses) if n not in asides)
    return re.sub(r"^[\s,;.-]+(?:and |but )?", "", told), ", ".join(clauses[n].strip(" .!,;") for n in asides)


def with_aside(candidate: Candidate, aside: str, reads: READS) -> Candidate:
    """The candidate with an aside in a bracket at its end, or before what was seen."""
    last = candidate.lines[-1]
    body, at, how = last.partition(" @ ")
    done, now, seen = body.partition(", now ")
    joined = f"{body[:-1]}, {aside})" if body.endswith(")") else f"{body} ({aside})"
    ways = [f"{joined}{at}{how}", f"{done} ({aside}){now}{seen}{at}{how}"]
    for way in ways:
        lines = (*candidate.lines[:-1], way)
        if reads(lines):
            return candidate._replace(lines=lines)
    return candidate._replace(sure=False)
