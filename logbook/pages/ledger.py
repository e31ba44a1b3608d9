"""Hours and money, for the shop's own copy: exact sums of what the log says, and the lines they come from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from logbook.job.model import Job, Trade
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.places import entry_link
from logbook.pages.words import capital

_OUT, _IN = ("bought", "spent"), ("got",)
_SAID = ("quote", "agreed")  # prices that were named: no money moved


@dataclass(frozen=True, slots=True)
class Ledger:
    hours: Table | None
    agreed: Table | None
    money: Table | None


def ledger(job: Job) -> Ledger | None:
    """The tables; None in a public copy and where nothing was written."""
    if job.copy == "public":
        return None
    counted = [t for t in job.trades if t.counts and t.amount is not None]
    hours = _hours([t for t in counted if t.kind == "hours"])
    money = _money(job, [t for t in counted if t.kind in (*_OUT, *_IN)])
    agreed = _agreed(job, [t for t in counted if t.kind in _SAID])
    return Ledger(hours, agreed, money) if hours or agreed or money else None


def _hours(trades: list[Trade]) -> Table | None:
    if not trades:
        return None
    sums: dict[str, Decimal] = {}
    for trade in trades:
        sums[trade.label] = sums.get(trade.label, Decimal(0)) + (trade.total or Decimal(0))
    rows = [(Cell(capital(label) or "Work"), Cell(f"{_plain(total)} h")) for label, total in sums.items()]
    if len(rows) > 1:
        rows.append((Cell("Together", strong=True), Cell(f"{_plain(_sum(sums.values()))} h", strong=True)))
    return Table("Hours", (Column("For"), Column("Hours", number=True)), tuple(rows))


def _agreed(job: Job, trades: list[Trade]) -> Table | None:
    """What was quoted and what was agreed, in the order of the log; a later line outranks an earlier one."""
    rows = []
    for trade in trades:
        link = entry_link(job, trade.entry)
        amount = Cell(money_words(trade.total or Decimal(0), trade.currency))
        rows.append((Cell(capital(trade.kind)), Cell(link.text), Cell(trade.label), amount))
    columns = (Column("What"), Column("Day"), Column("For"), Column("Amount", number=True))
    return Table("Quoted and agreed", columns, tuple(rows), fold=True) if rows else None


def _money(job: Job, trades: list[Trade]) -> Table | None:
    if not trades:
        return None
    rows = [_line(job, t) for t in trades]
    for currency in sorted({t.currency for t in trades}):
        same = [t for t in trades if t.currency == currency]
        spent = _sum(t.total or Decimal(0) for t in same if t.kind in _OUT)
        got = _sum(t.total or Decimal(0) for t in same if t.kind in _IN)
        rows.append((Cell("Left over" if got >= spent else "Spent so far", strong=True), Cell(""), Cell(""),
                     Cell(money_words(abs(got - spent), currency), strong=True)))  # fmt: skip
    columns = (Column("What"), Column("Day"), Column("For"), Column("Amount", number=True))
    return Table("Money in and out", columns, tuple(rows), fold=True)


def _line(job: Job, trade: Trade) -> tuple[Cell, ...]:
    link = entry_link(job, trade.entry)
    names = {p.id: f"{p.kind} {p.name}" for p in job.parts}
    what = trade.label or trade.order or ", ".join(names.get(p, p) for p in trade.parts) or trade.text
    sign = "−" if trade.kind in _OUT else "+"
    amount = money_words(trade.total or Decimal(0), trade.currency)
    return (Cell(capital(trade.kind)), Cell(link.text), Cell(what), Cell(f"{sign}{amount}"))


def money_words(amount: Decimal, currency: str) -> str:
    """'41.90 eur': two places, as money is written."""
    return f"{amount:.2f} {currency}".strip()


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, Decimal(0))
