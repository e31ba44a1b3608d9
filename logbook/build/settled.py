"""What logs say to one another, kept by a process that builds again and again: most saves change nothing of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from logbook.build.company import Company
from logbook.build.discovery import LogFile
from logbook.build.reading import Shop
from logbook.build.stages import Card, Failure, attempt, read_card

FEW = 8  # logs read again here; more are the workers' to read


@dataclass(frozen=True, slots=True)
class Settled:
    """``shops`` and ``shop_keys`` are by folder, ``cards`` by the file of a log."""

    shops: Mapping[str, Shop]
    shop_keys: Mapping[str, str]
    cards: Mapping[str, Card]
    company: Company

    def after(self, logs: Sequence[LogFile], changed: set[str]) -> tuple[Settled, list[LogFile]] | None:
        """The same after some files changed, and the logs whose jobs that concerns.

        None where it must be settled anew: other logs, another shop file, or a log that says something new to others.
        """
        if self.cards.keys() != {log.file for log in logs}:
            return None
        concerned = [log for log in logs if not changed.isdisjoint((log.file, *self.cards[log.file].files))]
        again = [log for log in concerned if log.file in changed]
        beside = {file for log in concerned for file in self.cards[log.file].files}
        if len(again) > FEW or not beside.issuperset(changed.difference(self.cards)):
            return None
        cards = dict(self.cards)
        for log in again:
            card = attempt(partial(read_card, log, self.shops[log.folder]))
            if isinstance(card, Failure):
                return None
            cards[log.file] = card
            if _said(cards[log.file]) != _said(self.cards[log.file]):
                return None
        return replace(self, cards=cards), concerned


def _said(card: Card) -> tuple[object, ...]:
    """What a card tells the other logs."""
    return card.failure, card.is_log, card.declared, card.address, card.masked, card.stocks, card.lesson_key
