"""Orders, money, hours and stock as exact records; and what leaves with a part that is sent or scrapped."""

from __future__ import annotations

import re
from decimal import Decimal

from logbook.job.model import Event, Move, Trade
from logbook.job.privacy import is_private
from logbook.job.resolving import Resolver
from logbook.job.workshop import Workshop
from logbook.text.entries import Entry, Written
from logbook.text.numbers import MONEY_WORDS
from logbook.text.vocabulary import KINDS, MOVING_PARTS

TRADE_KINDS = frozenset(
    (
        *("bought", "asked", "order", "picked", "sent", "returned", "waiting", "arrived", "promised", "scrap"),
        *("spent", "got", "quote", "agreed", "hours"),
    )
)
_LEAVES = {"sent": "sent", "scrap": "scrapped"}
_NEEDS_ORDER = frozenset({"picked", "sent", "got"})
MONEY = r"[$€£]\s?\d+(?:\.\d+)?|\b\d+(?:\.\d+)?\s?(?:usd|eur|gbp|cad|aud|chf|nzd|sek|dollars|bucks|euros)\b"
_SIGNS = {"$": "usd", "€": "eur", "£": "gbp"}
_AMOUNT = r"(?P<number>\d+(?:\.\d+)?)\s*(?P<currency>[a-z]{3})?"


def money_in(text: str) -> list[str]:
    """What is money in a free text, by its sign or its name: '$500', '600 eur'."""
    return re.findall(MONEY, text, re.IGNORECASE)


class Trading:
    """The trades of a job as they are played."""

    def __init__(self, shop: Workshop, money: str) -> None:
        self.shop = shop
        self.money = money
        self.trades: list[Trade] = []
        self.events: list[Event] = []
        self.orders: dict[str, int] = {}
        self.picked: dict[str, tuple[str, int]] = {}  # part -> order, entry

    def play(self, entry: Entry, step: int, names: Resolver) -> None:
        """Record an entry of trade; parts that leave are taken from their place."""
        self._order(entry)
        readings: tuple[Written | None, ...] = entry.readings or (None,)
        for written in readings:
            trade = self._trade(entry, step, names, written)
            if trade.kind == "bought" and trade.label in self.shop.donors:
                self._outrank_card(trade)
            self.trades.append(trade)
            self._stock(entry, step, trade, names)

    def donor_price(self, donor: str, text: str, entry: Entry) -> None:
        """What a donor cost, where its card says so."""
        if found := re.search(_AMOUNT, text.casefold()):
            sign = _SIGNS.get(text.strip()[:1], "")
            named = found["currency"] if found["currency"] in MONEY_WORDS else ""
            currency, amount = sign or named or self.money, Decimal(found["number"])
            step = entry.index
            self.trades.append(
                Trade(step, step, "bought", "", (), donor, amount, currency, day=entry.day, text=text, private=True)
            )

    def _outrank_card(self, trade: Trade) -> None:
        """'bought: D1 350.00' says exactly what the donor's card said in passing: it counts once."""
        for i, earlier in enumerate(self.trades):
            on_card = earlier.kind == "bought" and earlier.entry == self.shop.donors[trade.label].entry
            if on_card and earlier.label == trade.label:
                self.trades[i] = earlier._replace(corrected_by=trade.entry)

    def _trade(self, entry: Entry, step: int, names: Resolver, written: Written | None) -> Trade:
        parts, label = self._about(entry, names, written)
        amount, currency = self._amount(entry, written)
        each = written is not None and "each" in _words(written)
        order = entry.name or (entry.engine if entry.kind == "hours" else "")
        return Trade(
            step, entry.index, entry.kind, order, parts, label, amount, currency, each, entry.day,
            entry.text.strip(), is_private(entry), pieces=written.pieces if written else 0,
        )  # fmt: skip

    def _about(self, entry: Entry, names: Resolver, written: Written | None) -> tuple[tuple[str, ...], str]:
        if written is None:
            return (), entry.text.strip()
        row = KINDS[entry.kind]
        parts: list[str] = []
        labels: list[str] = []
        for subject in written.subjects:
            if subject.kind == "tag" and subject.name in self.shop.donors:
                labels.append(subject.name)
            elif subject.kind in ("tag", "old", "spare") and row.subjects == "stock":
                part = names.part(subject, names.part_kind(written))
                parts.extend([part] if part else [])
            elif subject.kind == "place" and row.subjects == "stock" and names.part_kind(written) in MOVING_PARTS:
                target = names.one(subject, names.part_kind(written))
                parts.extend([target.part] if target and target.part else [])
            elif subject.kind in ("slot", "word"):
                labels.append(subject.name)
        said = [written.text, written.remark, written.value.remark if written.value else ""]
        if not parts and not labels:
            labels = [names.part_kind(written), *said]
        return tuple(dict.fromkeys(parts)), " ".join(word.strip() for word in labels if word.strip())

    def _amount(self, entry: Entry, written: Written | None) -> tuple[Decimal | None, str]:
        quantity = written.value.quantity if written is not None and written.value is not None else None
        if quantity is None:
            return None, ""
        if entry.kind == "hours":
            return (quantity.middle / 60 if quantity.unit == "min" else quantity.middle), "h"
        return quantity.middle, quantity.unit or self.money

    def _order(self, entry: Entry) -> None:
        name = entry.name.casefold()
        if not name or entry.kind == "hours":
            return
        if entry.kind in ("order", "waiting"):
            if entry.kind == "order" and name in self.orders:
                related = self.shop.span_of(self.orders[name])
                self.shop.complain("order twice", entry.span, related, order=entry.name)
            self.orders.setdefault(name, entry.index)
        elif entry.kind in _NEEDS_ORDER and name not in self.orders:
            import difflib

            close = difflib.get_close_matches(name, sorted(self.orders), n=1, cutoff=0.6)
            self.shop.complain("no order", entry.span, order=entry.name, near=f"; there is {close[0]}" if close else "")
            self.orders.setdefault(name, entry.index)

    def _stock(self, entry: Entry, step: int, trade: Trade, names: Resolver) -> None:
        shop = self.shop
        for part in trade.parts:
            if entry.kind in ("picked", "sent", "scrap") and part in shop.gone:
                word, earlier = shop.gone[part]
                tag = shop.parts[part].tag
                shop.complain(
                    "sent away", entry.span, shop.span_of(earlier), part=shop.called(part), gone=word, tag=tag
                )
            if entry.kind == "picked":
                order, earlier = self.picked.setdefault(part, (entry.name, entry.index))
                if order != entry.name:
                    called = shop.called(part)
                    shop.complain("picked twice", entry.span, shop.span_of(earlier), part=called, order=order)
            if entry.kind == "returned":
                shop.gone.pop(part, None)
                self.picked.pop(part, None)
            if entry.kind in _LEAVES:
                shop.gone[part] = (_LEAVES[entry.kind], entry.index)
        if trade.parts and entry.kind in (*_LEAVES, "returned"):
            moves: list[Move] = []
            for part in trade.parts:
                place = shop.standing.where.get(part)
                if place is not None and entry.kind in _LEAVES:
                    moves.extend(shop.standing.arrange(step, shop.parts[part].kind, {place: None}))
            kind = shop.parts[trade.parts[0]].kind
            engine = names.engine.name if names.engine else ""
            self.events.append(
                Event(
                    step, entry.index, entry.kind, kind, tuple(moves), trade.parts, engine=engine, private=trade.private
                )
            )


def _words(written: Written) -> tuple[str, ...]:
    value = written.value
    return (*written.remark_words, *(value.remark_words if value else ()), *written.text.split())
