"""Open orders to pull and parts awaited, over all jobs, the oldest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from logbook.job.model import Job, Trade
from logbook.pages import frame
from logbook.pages.frame import Cell, Column, Field, Link, Sheet, Table
from logbook.pages.parts import Shop
from logbook.pages.places import is_hidden
from logbook.pages.words import counted, date_words, listed
from logbook.text.vocabulary import fold


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """An order that was written down and not sent. ``picked`` are the parts set aside for it."""

    day: date | None
    name: str
    text: str
    picked: tuple[str, ...]
    job: str
    path: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Awaited:
    """What a job waits for."""

    day: date | None
    name: str
    text: str
    job: str
    path: str
    anchor: str


@dataclass(frozen=True, slots=True)
class JobOrders:
    orders: tuple[OpenOrder, ...] = ()
    awaited: tuple[Awaited, ...] = ()


@dataclass(frozen=True, slots=True)
class OrdersPage:
    sheet: Sheet
    orders: Table | None
    awaited: Table | None
    nothing: str = ""


def job_orders(job: Job) -> JobOrders:
    """What is open in one job. In a public copy the orders are private, what is awaited is not."""
    trades = [
        t for t in job.trades if t.counts and not is_hidden(job, t.entry) and not (job.copy == "public" and t.private)
    ]
    return JobOrders(tuple(_open_orders(job, trades)), tuple(_awaited(job, trades)))


def _open_orders(job: Job, trades: list[Trade]) -> Iterable[OpenOrder]:
    """An order is open while nothing was sent for it since it was written, or since parts were last set aside."""
    for order in (t for t in trades if t.kind == "order"):
        later = [t for t in trades if t.order == order.order and t.step > order.step]
        nxt = min((t.step for t in later if t.kind == "order"), default=len(job.entries))
        later = [t for t in later if t.step < nxt]
        sent = max((t.step for t in later if t.kind == "sent"), default=-1)
        picked = [t for t in later if t.kind == "picked" and t.step > sent]
        if sent >= 0 and not picked:
            continue
        names = tuple(job.part(p).called() for t in picked for p in t.parts)
        yield OpenOrder(*_where(job, order), names, *_link(job, order))


def _awaited(job: Job, trades: list[Trade]) -> Iterable[Awaited]:
    """What was awaited and has not arrived: of one order name the arrival whose words fit best takes it off."""
    waiting = [t for t in trades if t.kind == "waiting"]
    for came in (t for t in trades if t.kind == "arrived"):
        before = [w for w in waiting if w.order == came.order and w.step < came.step]
        best = max(before, key=lambda w: (_alike(w.text, came.text), -w.step), default=None)
        if best is not None and (came.order or _alike(best.text, came.text)):
            waiting.remove(best)
    for trade in waiting:
        yield Awaited(*_where(job, trade), *_link(job, trade))


def _alike(one: str, other: str) -> int:
    """How many words two texts share."""
    return len({fold(w) for w in one.split()} & {fold(w) for w in other.split()})


def _where(job: Job, trade: Trade) -> tuple[date | None, str, str]:
    return trade.day or job.entries[trade.entry].entry.day, trade.order, trade.text


def _link(job: Job, trade: Trade) -> tuple[str, str, str]:
    return job.title, frame.job_path(job.address), job.entries[trade.entry].anchor


def orders_page(found: Iterable[JobOrders], shop: Shop) -> OrdersPage:
    """One page over all jobs."""
    jobs = list(found)
    orders = sorted((o for j in jobs for o in j.orders), key=lambda o: (o.day or date.max, o.path, o.anchor))
    awaited = sorted((a for j in jobs for a in j.awaited), key=lambda a: (a.day or date.max, a.path, a.anchor))
    sheet = Sheet(
        frame.ORDERS,
        "Orders to pull, parts awaited",
        f"{counted(len(orders), 'order')} to pull and {counted(len(awaited), 'part')} awaited, the oldest first.",
        shop=shop.name,
        copy=shop.copy,
        fields=(Field("To pull", str(len(orders))), Field("Awaited", str(len(awaited)))),
        ways=(Link("Shelf of jobs", frame.SHELF), Link("Parts shelf", frame.PARTS)),
        ways_label="Elsewhere",
        scripts=("reload.js",),
        foot="Written from all logs",
    )
    nothing = "" if orders or awaited else "No order is open and nothing is awaited."
    return OrdersPage(sheet, _orders_table(orders), _awaited_table(awaited), nothing)


def _orders_table(orders: list[OpenOrder]) -> Table | None:
    rows = tuple(
        (
            Cell(o.name or "no name", link=Link(o.name or "no name", o.path, o.anchor)),
            Cell(date_words(o.day)),
            Cell(o.text or "not written down", soft=not o.text),
            Cell(listed(o.picked) if o.picked else "nothing yet", soft=not o.picked),
            Cell(o.job, link=Link(o.job, o.path)),
        )
        for o in orders
    )
    heads = ("Order", "Since", "Wanted", "Set aside", "Job")
    return Table("Orders to pull, the oldest first", tuple(map(Column, heads)), rows, fold=True) if rows else None


def _awaited_table(awaited: list[Awaited]) -> Table | None:
    rows = tuple(
        (
            Cell(a.text or a.name, link=Link(a.text or a.name, a.path, a.anchor)),
            Cell(date_words(a.day)),
            Cell(a.name or "no order", soft=not a.name),
            Cell(a.job, link=Link(a.job, a.path)),
        )
        for a in awaited
    )
    heads = ("Awaited", "Since", "For", "Job")
    return Table("Parts awaited, the oldest first", tuple(map(Column, heads)), rows, fold=True) if rows else None
