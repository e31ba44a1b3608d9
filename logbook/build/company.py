"""What the logs of a folder say to one another: whose page goes where, whose parts they name, what they teach."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache, partial

from logbook.build.discovery import LogFile
from logbook.build.reading import Shop
from logbook.build.stages import Card, Context, Failure, Made, attempt, read_card, said_by
from logbook.diagnosis.learning import Lesson
from logbook.job.addresses import address_of, addresses, declared_address
from logbook.job.copy import public_address, public_stock
from logbook.job.donors import DonorStock, by_name, dependency
from logbook.job.masking import Masker
from logbook.job.private_values import PrivateValue, pooled, values_of
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
    """``addresses`` are by the file of a log, ``taught`` by the folder; ``masks`` mask the values ``private``."""

    addresses: Mapping[str, str]
    donors: Mapping[str, DonorStock]
    taught: Mapping[str, Taught]
    masks: Masker = field(default_factory=lambda: Masker(()))

    @property
    def private(self) -> tuple[PrivateValue, ...]:
        return self.masks.values

    @property
    def private_key(self) -> str:
        """Of all private values: where it is the same, so is what each log repeats of them."""
        return digest(repr(self.private).encode("utf-8", "surrogatepass")) if self.private else ""

    def private_in(self, text: str) -> str:
        """Of the private values that stand in a text: the public page of a log changes with these alone."""
        said = sorted({(hit.value.sort, hit.value.text) for hit in self.masks.hits(text, strict=True)})
        return digest(repr(said).encode("utf-8", "surrogatepass")) if said else ""

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
    masks = _masks(jobs, cards, context.shops) if context.copy == "public" else Masker(())
    settled = _addresses(jobs, cards, masks)
    of_folder: dict[str, list[Card]] = {log.folder: [] for log in jobs}
    stocks: list[DonorStock] = []
    for log in jobs:
        card = cards[log.file]
        if card.address != settled[log.file] and card.failure is None:
            again = attempt(partial(read_card, log, context.shops[log.folder], settled[log.file]))
            card = cards[log.file] = replace(card, failure=again) if isinstance(again, Failure) else again
        stocks += card.stocks
        of_folder[log.folder].append(card)
    if masks.values:
        stocks = [public_stock(stock, masks) for stock in stocks]
    return Company(settled, by_name(stocks), {folder: Taught(found) for folder, found in of_folder.items()}, masks)


def _masks(jobs: Sequence[LogFile], cards: Mapping[str, Card], shops: Mapping[str, Shop]) -> Masker:
    """Of the private values of all logs and shop files together: a name in one log may be anybody's in another."""
    said = [value for log in jobs for value in cards[log.file].private]
    for shop in shops.values():
        if shop.log is not None:
            said += values_of(shop.log.entries, shop.log.days, shop.log.path)
    return Masker(pooled(said), said_by(shops))


def _addresses(jobs: Sequence[LogFile], cards: Mapping[str, Card], masks: Masker) -> dict[str, str]:
    """Of each log. In a public copy, where there are ``masks``, one that tells something private is changed."""
    paths = Counter(log.path for log in jobs)  # two folders of logs may hold the same names
    named = {(log.path if paths[log.path] == 1 else log.file): cards[log.file] for log in jobs}
    given = _given(tuple(_asked(named, masks)))
    return {log.file: given[log.path if paths[log.path] == 1 else log.file] for log in jobs}


def _asked(named: Mapping[str, Card], masks: Masker) -> Iterator[tuple[str, str]]:
    """The name of each log and the address that it asks for.

    One that would tell something private loses it and gets a number: a hash of it could be guessed at.
    """
    taken: Counter[str] = Counter()
    for path, card in sorted(named.items()):
        own = declared_address(card.declared) or address_of(path)
        shown = public_address(own, masks) if masks.values else own
        if shown == own:
            yield path, card.declared
        else:
            taken[shown] += 1
            yield path, f"{shown}-{taken[shown]}"


@lru_cache(maxsize=2)
def _given(asked: tuple[tuple[str, str], ...]) -> dict[str, str]:
    """The address of each log; while one log is saved again and again, all ask for what they asked for before."""
    return addresses(asked, RESERVED)
