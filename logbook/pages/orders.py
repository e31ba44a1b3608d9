"""Open orders to pull and parts awaited, over all jobs, the oldest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from logbook.job.model import Job, Trade
from logbook.job.orders import awaited, open_orders
from logbook.pages import frame
from logbook.pages.frame import Cell, Column, Field, Link, Sheet, Table
from logbook.pages.parts import Shop
from logbook.pages.places import is_hidden
from logbook.pages.words import counted, date_words, listed


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """A buyer's order of which something is still to do. ``picked`` are set aside for it, ``returned`` came back."""

    day: date | None
    name: str
    text: str
    picked: tuple[str, ...]
    returned: tuple[str, ...]
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
    return JobOrders(
        tuple(
            OpenOrder(*_where(job, o.order), _called(job, o.picked), _called(job, o.returned), *_link(job, o.order))
            for o in open_orders(job, trades)
        ),
        tuple(Awaited(*_where(job, trade), *_link(job, trade)) for trade in awaited(job, trades)),
    )


def _called(job: Job, parts: Iterable[str]) -> tuple[str, ...]:
    return tuple(job.part(p).called() for p in parts)


def _where(job: Job, trade: Trade) -> tuple[date | None, str, str]:
    return trade.day or job.entries[trade.entry].entry.day, trade.order, trade.text


def _link(job: Job, trade: Trade) -> tuple[str, str, str]:
    return job.title, frame.story_path(job.address), job.entries[trade.entry].anchor


def orders_page(found: Iterable[JobOrders], shop: Shop) -> OrdersPage:
    """One page over all jobs."""
    jobs = list(found)
    orders = sorted((o for j in jobs for o in j.orders), key=lambda o: (o.day or date.max, o.path, o.anchor))
    waits = sorted((a for j in jobs for a in j.awaited), key=lambda a: (a.day or date.max, a.path, a.anchor))
    sheet = Sheet(
        frame.ORDERS,
        "Orders and deliveries",
        f"{counted(len(orders), 'order')} to pull and {counted(len(waits), 'part')} awaited, the oldest first.",
        shop=shop.name,
        copy=shop.copy,
        fields=(Field("To pack", str(len(orders))), Field("Waiting for", str(len(waits)))),
        ways=(Link("Jobs", frame.SHELF), Link("Parts", frame.PARTS)),
        ways_label="Elsewhere",
        scripts=("reload.js",),
        foot="Written from all logs",
    )
    nothing = "" if orders or waits else "No order is open and nothing is awaited."
    return OrdersPage(sheet, _orders_table(orders), _awaited_table(waits), nothing)


def _orders_table(orders: list[OpenOrder]) -> Table | None:
    rows = tuple(
        (
            Cell(o.name or "no name", link=Link(o.name or "no name", o.path, o.anchor)),
            Cell(date_words(o.day)),
            Cell(o.text or "not written down", soft=not o.text),
            _set_aside(o),
            Cell(o.job, link=Link(o.job, o.path)),
        )
        for o in orders
    )
    heads = ("Order", "Since", "Wanted", "Set aside", "Job")
    return Table("Orders to pack, the oldest first", tuple(map(Column, heads)), rows, fold=True) if rows else None


def _set_aside(order: OpenOrder) -> Cell:
    back = f"came back: {listed(order.returned)}" if order.returned else ""
    words = "; ".join(w for w in (listed(order.picked), back) if w)
    return Cell(words or "nothing yet", soft=not words)


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
    heads = ("Waiting for", "Since", "For", "Job")
    return Table("Waiting for, longest first", tuple(map(Column, heads)), rows, fold=True) if rows else None
