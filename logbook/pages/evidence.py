"""What each entry did to each cause: one table a cylinder, its bars on one scale."""

from __future__ import annotations

import math
import string
from dataclasses import dataclass

from logbook.diagnosis.answers import Cause, CylinderAnswer, EntryWeight
from logbook.job.model import Job
from logbook.pages.frame import Link
from logbook.pages.places import KEPT_PRIVATE, entry_link, is_hidden
from logbook.pages.words import capital, in_hundred_short, pairs_bound, shortened, spelled, times_words

MOST_CAUSES = 5  # columns; a phone folds them to five equal cells
FULL_BAR = 27.0  # drawing units from the middle, reached at ten times
LIGHT = 10 * math.log10(1.2)  # decibans; an entry under it in every column has no row
_MIDDLE = 30.0


@dataclass(frozen=True, slots=True)
class Weight:
    """One cell: '× 4.8' with a solid bar to the right, '÷ 9.2' with an open one to the left, or nothing."""

    letter: str
    words: str = ""
    left: float = 0.0
    length: float = 0.0
    raises: bool = False


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    day: Link
    kind: str  # 'injector feed'
    words: str
    cells: tuple[Weight, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    heads: tuple[tuple[str, str], ...]  # letter, short name
    rows: tuple[EvidenceRow, ...]
    stands: tuple[tuple[str, str], ...]  # letter, in 100
    light: str = ""  # how many entries moved nothing worth a row


def letter(rank: int) -> str:
    """A to Z by present rank."""
    return string.ascii_uppercase[rank % 26]


def evidence(job: Job, answer: CylinderAnswer) -> Evidence | None:
    """The table of one cylinder; None where no entry has a weight."""
    causes = answer.causes[:MOST_CAUSES]
    strongest: dict[int, float] = {}
    for weight in (w for c in causes for w in c.weights if times_words(w.decibans)):
        strongest[weight.entry] = max(strongest.get(weight.entry, 0.0), abs(weight.decibans))
    entries = sorted(e for e, decibans in strongest.items() if decibans >= LIGHT)
    if not entries:
        return None
    light = len(strongest) - len(entries)
    rows = tuple(_row(job, entry, causes) for entry in entries)
    return Evidence(
        tuple((letter(n), shortened(c.label, 38)) for n, c in enumerate(causes)),
        rows,
        tuple((letter(n), in_hundred_short(c.probability)) for n, c in enumerate(causes)),
        f"{capital(spelled(light))} more moved none of these by as much as 1.2 times." if light else "",
    )


def _row(job: Job, entry: int, causes: tuple[Cause, ...]) -> EvidenceRow:
    found = [next((w for w in c.weights if w.entry == entry), None) for c in causes]
    if is_hidden(job, entry):
        return EvidenceRow(Link(""), "", capital(KEPT_PRIVATE), _cells(found))
    link = entry_link(job, entry)
    kind, words = told(max((w for w in found if w), key=lambda w: abs(w.decibans)).words, link.text)
    return EvidenceRow(link, kind, words, _cells(found))


def told(words: str, day: str) -> tuple[str, str]:
    """'the coil swap of 4 May: 3 is still dead' as ('coil swap', '3 is still dead'); the day stands in its link."""
    head, colon, rest = words.partition(": ")
    if not colon:
        return "", words
    return head.removeprefix("the ").removesuffix(f" of {day}"), pairs_bound(rest)


def _cells(found: list[EntryWeight | None]) -> tuple[Weight, ...]:
    return tuple(_cell(letter(n), w.decibans if w else 0.0) for n, w in enumerate(found))


def _cell(name: str, decibans: float) -> Weight:
    words = times_words(decibans)
    if not words:
        return Weight(name)
    length = round(FULL_BAR * min(1.0, abs(decibans) / 10), 1)
    return Weight(name, words, _MIDDLE if decibans > 0 else round(_MIDDLE - length, 1), length, decibans > 0)
