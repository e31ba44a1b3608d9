"""What ``check`` says of private values: where they are repeated, what is close to one, what is too short."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from logbook.job.faults import complain
from logbook.job.masking import MASK, SHORTEST, Masker, canonical
from logbook.job.model import Job
from logbook.job.ordinary import is_ordinary
from logbook.job.private_values import NAMING, PrivateValue
from logbook.problems import Problem
from logbook.spans import Span

# A word, a number in groups, letters and figures in two or three pieces.
_SAID = re.compile(r"\d[\d ./()-]{4,}\d|\b[A-Za-z]{1,3}[ -]?\d+(?:[ -]?[A-Za-z]{1,2})?\b|[^\W_]+")
_NEAR = 5  # letters of a name, or figures, from which one slip still tells whose it is


class Doubts:
    """Made once of the private values of all logs; ``of`` looks through one job."""

    def __init__(self, values: Iterable[PrivateValue]) -> None:
        self._masks = Masker(values)
        self._near = _slips(self._masks.values)

    def of(self, job: Job) -> tuple[Problem, ...]:
        found: dict[Problem, None] = {}
        for text, span in _texts(job):
            for hit in self._masks.hits(text):
                if hit.value.sort != "amount":
                    found.setdefault(complain("private again", span, kind=hit.value.kind))
            for word, value in self._nearly(self._masks.mask(text)):
                found.setdefault(complain("private near", span, word=word, kind=value.kind))
        for item in job.entries:
            if item.private and item.entry.kind in NAMING and 0 < len(item.entry.text.strip()) < SHORTEST:
                found.setdefault(complain("private short", item.entry.span, kind=item.entry.kind))
        return tuple(found)

    def _nearly(self, masked: str) -> Iterator[tuple[str, PrivateValue]]:
        if not self._near:
            return
        for said in _SAID.findall(masked.replace(MASK, ",")):
            bare = canonical("".join(char for char in said if char.isalnum()))
            value = next((self._near[slip] for slip in _slips_of(bare) if slip in self._near), None)
            if value is not None and _may_be_meant(said, bare):
                yield said, value


def _may_be_meant(said: str, bare: str) -> bool:
    """A name has a capital and is no ordinary word; what holds figures is long enough to be no reading."""
    if bare.isalpha():
        return len(bare) >= _NEAR and said != said.lower() and not is_ordinary(said)
    return len(bare) > _NEAR


def _texts(job: Job) -> Iterator[tuple[str, Span]]:
    """What is written in the open, with its place."""
    for item in job.entries:
        if not item.private:
            yield item.entry.text, item.entry.span
            yield from ((note.text, note.span) for note in item.entry.notes if not note.private)
    for day in job.days:
        yield day.title, day.span
        yield from ((note.text, note.span) for note in day.notes if not note.private)


def _slips(values: Sequence[PrivateValue]) -> dict[str, PrivateValue]:
    """Each name and number with one character left out, and as it is: two that share one of these are a slip apart."""
    found: dict[str, PrivateValue] = {}
    for value in values:
        bare = canonical("".join(c for c in value.text if c.isalnum()))
        if (
            value.sort in ("name", "code", "phone")
            and len(bare) >= _NEAR
            and not (value.sort == "name" and " " in value.text)
        ):
            for slip in _slips_of(bare):
                found.setdefault(slip, value)
    return found


def _slips_of(word: str) -> Iterator[str]:
    yield word
    for i in range(len(word)):
        yield word[:i] + word[i + 1 :]
