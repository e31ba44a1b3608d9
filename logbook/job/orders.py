"""What is still open in a job: orders of buyers to pull, and what the shop itself waits for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from logbook.job.model import Job, Trade
from logbook.text.vocabulary import fold, part_named


class OpenOrder(NamedTuple):
    """A buyer's order of which something is still to do: nothing sent yet, parts set aside, or all of it came back."""

    order: Trade
    picked: tuple[str, ...] = ()  # part ids
    returned: tuple[str, ...] = ()


def open_orders(job: Job, trades: Sequence[Trade]) -> tuple[OpenOrder, ...]:
    """In the order of the log. The same name written again begins another order."""
    running: dict[str, list[Trade]] = {}  # by the order's name: all that followed on it so far
    begun: list[tuple[Trade, list[Trade]]] = []
    for trade in sorted(trades, key=lambda t: t.step):
        if trade.kind == "order":
            running[trade.order.casefold()] = []
            if not _own_order(trade):
                begun.append((trade, running[trade.order.casefold()]))
        elif trade.order.casefold() in running:
            running[trade.order.casefold()].append(trade)
    found = (_open(order, mine) for order, mine in begun)
    return tuple(order for order in found if order is not None)


def _open(order: Trade, mine: Sequence[Trade]) -> OpenOrder | None:
    """``mine`` is what followed on this order."""
    last: dict[str, str] = {}  # part -> what was last done with it
    for trade in mine:
        last.update(dict.fromkeys(trade.parts, trade.kind))
    picked = tuple(p for p, word in last.items() if word == "picked")
    returned = tuple(p for p, word in last.items() if word == "returned")
    if "sent" in last.values() and not picked:
        return None
    return OpenOrder(order, picked, returned)


def awaited(job: Job, trades: Sequence[Trade]) -> tuple[Trade, ...]:
    """What the job waits for, in the order of the log; nothing once it is handed over.

    An arrival takes off what was awaited under its order's name, and of several what its words fit best.
    """
    if job.handed_over is not None:
        return ()
    waiting: list[Trade] = []
    for trade in trades:
        if trade.kind == "waiting" or (_own_order(trade) and not _fitted_since(job, trade)):
            waiting.append(trade)
        elif trade.kind == "arrived":
            for came in _arrived(trade, waiting):
                waiting.remove(came)
    return tuple(waiting)


def _own_order(trade: Trade) -> bool:
    """'order coil: ...': what the shop ordered for itself, known by the kind of part and not by a buyer's name."""
    return trade.kind == "order" and (not trade.order or bool(part_named(trade.order)))


def _fitted_since(job: Job, order: Trade) -> bool:
    kind = part_named(order.order)
    return bool(kind) and any(e.action == "fit" and e.part_kind == kind and e.step > order.step for e in job.events)


def _arrived(arrival: Trade, waiting: Sequence[Trade]) -> Iterable[Trade]:
    same = [w for w in waiting if w.order.casefold() == arrival.order.casefold()]
    if not arrival.text:
        return same
    best = max(same, key=lambda w: (_alike(w.text, arrival.text), -w.step), default=None)
    return [best] if best is not None and (arrival.order or _alike(best.text, arrival.text)) else []


def _alike(one: str, other: str) -> int:
    """How many words two texts share."""
    return len({fold(w) for w in one.split()} & {fold(w) for w in other.split()})
