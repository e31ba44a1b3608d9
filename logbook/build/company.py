"""What the logs of a folder say to one another: whose page goes where, whose parts they name, what they teach."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache, partial

from logbook.build.discovery import LogFile
from logbook.build.stages import Card, Context, Failure, Made, attempt, read_card
from logbook.diagnosis.learning import Lesson
from logbook.job.addresses import addresses
from logbook.job.donors import DonorStock, by_name, dependency
from logbook.output.record import digest

RESERVED = ("static", "parts", "donors")  # folders that the site needs for itself


class Taught:
    """What the proved jobs of one folder teach, by the day of their proof, and what all before a day come to."""

    def __init__(self, cards: Sequence[Card]) -> None:
        found = sorted(
            (c.lesson.proved, c.lesson.address, c.lesson_key, c.lesson) for c in cards if c.lesson is not None
        )
        self.lessons: tuple[Lesson, ...] = tuple(lesson for _, _, _, lesson in found)
        self._days = [proved for proved, _, _, _ in found]
        self._hashes = [""]
        for _, _, key, _ in found:
            self._hashes.append(digest(f"{self._hashes[-1]} {key}".encode()))

    def before(self, day: date | None) -> str:
        """Lessons proved before ``day``, the first of a job: later ones do not change its page."""
        return self._hashes[bisect_left(self._days, day)] if day is not None else ""


@dataclass(frozen=True, slots=True)
class Company:
    """``addresses`` are by the file of a log, ``taught`` by the folder."""

    addresses: Mapping[str, str]
    donors: Mapping[str, DonorStock]
    taught: Mapping[str, Taught]

    @property
    def lessons(self) -> dict[str, tuple[Lesson, ...]]:
        return {folder: taught.lessons for folder, taught in self.taught.items()}

    def holds(self, made: Made) -> bool:
        """Do the other logs still say what a job took from them?"""
        return all(
            dependency(name, self.donors) == content
            for name, content in made.depends
            if name.startswith(("donor:", "tag:"))
        )


def company_of(jobs: Sequence[LogFile], cards: dict[str, Card], context: Context) -> Company:
    """Settle it for all jobs. A card that was read under another address than its job gets is read again."""
    settled = _addresses(jobs, cards, context.copy == "public")
    of_folder: dict[str, list[Card]] = {log.folder: [] for log in jobs}
    stocks: list[DonorStock] = []
    for log in jobs:
        card = cards[log.file]
        if card.address != settled[log.file] and card.failure is None:
            again = attempt(partial(read_card, log, context.shops[log.folder], settled[log.file]))
            card = cards[log.file] = replace(card, failure=again) if isinstance(again, Failure) else again
        stocks += card.stocks
        of_folder[log.folder].append(card)
    return Company(settled, by_name(stocks), {folder: Taught(found) for folder, found in of_folder.items()})


def _addresses(jobs: Sequence[LogFile], cards: Mapping[str, Card], public: bool) -> dict[str, str]:
    paths = Counter(log.path for log in jobs)  # two folders of logs may hold the same names
    named = {(log.path if paths[log.path] == 1 else log.file): cards[log.file] for log in jobs}
    given = _given(tuple((name, (public and card.masked) or card.declared) for name, card in named.items()))
    return {log.file: given[log.path if paths[log.path] == 1 else log.file] for log in jobs}


@lru_cache(maxsize=2)
def _given(asked: tuple[tuple[str, str], ...]) -> dict[str, str]:
    """The address of each log; while one log is saved again and again, all ask for what they asked for before."""
    return addresses(asked, RESERVED)
