"""Several jobs together: open orders, parts awaited, what was spent and earned, a part's way from log to log."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from logbook.job.model import Event, Job, Part, Reading, Stay, Trade
from logbook.text.vocabulary import part_named


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """An order of which something is still to do: nothing sent yet, or all that was sent came back."""

    address: str  # of the job
    order: str
    wants: str
    since: date | None
    entry: int
    picked: tuple[Part, ...] = ()
    returned: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class Awaited:
    """Something that a job waits for and that has not arrived."""

    address: str
    order: str
    what: str
    since: date | None
    entry: int


@dataclass(frozen=True, slots=True)
class Totals:
    """Money of one currency, exact; and hours by sort of work."""

    currency: str
    bought: Decimal = Decimal(0)
    spent: Decimal = Decimal(0)
    got: Decimal = Decimal(0)

    @property
    def balance(self) -> Decimal:
        """What came in less what went out."""
        return self.got - self.spent - self.bought


@dataclass(frozen=True, slots=True)
class Stage:
    """A part's time in one job: where it stood, what was measured on it, what was done with it."""

    address: str
    title: str
    part: Part
    stays: tuple[Stay, ...]
    readings: tuple[Reading, ...]
    events: tuple[Event, ...]
    trades: tuple[Trade, ...]


@dataclass(frozen=True, slots=True)
class Trail:
    """A tagged part through all jobs that name it; ``owner`` is the address of the log that declares it."""

    owner: str
    kind: str
    tag: str
    stages: tuple[Stage, ...]


def open_orders(jobs: Iterable[Job]) -> tuple[OpenOrder, ...]:
    """Orders to pull over all jobs, oldest first."""
    found = [order for job in jobs for order in _orders(job)]
    return tuple(sorted(found, key=lambda o: (o.since or date.max, o.address, o.entry)))


def _orders(job: Job) -> list[OpenOrder]:
    found = []
    trades = [t for t in job.trades if t.counts]
    for name in dict.fromkeys(t.order for t in trades if t.kind == "order" and not _own_order(t)):
        mine = [t for t in trades if t.order.casefold() == name.casefold()]
        first = next(t for t in mine if t.kind == "order")
        here: dict[str, str] = {}
        for trade in mine:
            here.update(dict.fromkeys(trade.parts, trade.kind))
        sent = [t for t in mine if t.kind == "sent"]
        if sent and (not here or any(word == "sent" for word in here.values())) and "picked" not in here.values():
            continue
        wants = "; ".join(dict.fromkeys(t.text for t in mine if t.kind == "order" and t.text))
        picked = tuple(job.part(p) for p, word in here.items() if word == "picked")
        returned = tuple(job.part(p) for p, word in here.items() if word == "returned")
        found.append(OpenOrder(job.address, name, wants, first.day, first.entry, picked, returned))
    return found


def awaited(jobs: Iterable[Job]) -> tuple[Awaited, ...]:
    """What jobs wait for, oldest first: an arrival of the same order, or of the same words, ends the waiting."""
    found: list[Awaited] = []
    for job in jobs:
        if job.handed_over is not None:
            continue
        waiting: list[Trade] = []
        for trade in job.trades:
            if trade.counts and (trade.kind == "waiting" or _own_order(trade)) and not _fitted_since(job, trade):
                waiting.append(trade)
            elif trade.counts and trade.kind == "arrived":
                waiting = [w for w in waiting if not _arrives(trade, w)]
        found += [Awaited(job.address, w.order, w.text or w.label, w.day, w.entry) for w in waiting]
    return tuple(sorted(found, key=lambda a: (a.since or date.max, a.address, a.entry)))


def _own_order(trade: Trade) -> bool:
    """'order coil: ...': what the shop ordered for itself, known by the kind of part and not by a buyer's name."""
    return trade.kind == "order" and (not trade.order or bool(part_named(trade.order)))


def _fitted_since(job: Job, order: Trade) -> bool:
    kind = part_named(order.order)
    return bool(kind) and any(e.action == "fit" and e.part_kind == kind and e.step > order.step for e in job.events)


def _arrives(arrival: Trade, waiting: Trade) -> bool:
    if arrival.order or waiting.order:
        return arrival.order.casefold() == waiting.order.casefold()
    words = set(arrival.text.casefold().split()) & set(waiting.text.casefold().split())
    return bool(words) or not arrival.text


def totals(trades: Iterable[Trade]) -> tuple[Totals, ...]:
    """Money by currency, in the order of first use; amounts are exact and never converted."""
    sums: dict[str, dict[str, Decimal]] = {}
    for trade in trades:
        if trade.counts and trade.kind in ("bought", "spent", "got") and trade.total is not None:
            row = sums.setdefault(trade.currency, {})
            row[trade.kind] = row.get(trade.kind, Decimal(0)) + trade.total
    return tuple(Totals(currency, **row) for currency, row in sums.items())


def hours(trades: Iterable[Trade]) -> tuple[tuple[str, Decimal], ...]:
    """Hours by sort of work, in the order of first use."""
    sums: dict[str, Decimal] = {}
    for trade in trades:
        if trade.counts and trade.kind == "hours" and trade.amount is not None:
            label = trade.label or "other"
            sums[label] = sums.get(label, Decimal(0)) + trade.amount
    return tuple(sums.items())


def trails(jobs: Sequence[Job]) -> tuple[Trail, ...]:
    """Each tagged part through all the jobs that name it, its own log first, then by day; sorted by owner and tag."""
    owned = Counter((job.address, p.kind, p.tag) for job in jobs for p in job.parts if p.tag and not p.address)
    found: dict[tuple[str, str, str, str], list[Stage]] = {}
    for job in sorted(jobs, key=lambda job: (job.first_day or date.max, job.address)):
        stages = _Stages(job)
        for part in job.parts:
            if part.tag:
                owner = part.address or job.address
                donor = part.donor if owned[owner, part.kind, part.tag] > 1 else ""
                found.setdefault((owner, part.kind, part.tag, donor), []).append(stages.of(part))
    return tuple(
        Trail(owner, kind, tag, tuple(sorted(stages, key=lambda s: s.address != owner)))
        for (owner, kind, tag, _), stages in sorted(found.items(), key=lambda row: row[0])
    )


class _Stages:
    """The records of one job by part, sorted once."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.stays: dict[str, list[Stay]] = defaultdict(list)
        self.readings: dict[str, list[Reading]] = defaultdict(list)
        self.events: dict[str, list[Event]] = defaultdict(list)
        self.trades: dict[str, list[Trade]] = defaultdict(list)
        for stay in job.stays:
            self.stays[stay.part].append(stay)
        for reading in job.readings:
            self.readings[reading.part].append(reading)
        for event in job.events:
            for part in dict.fromkeys([*event.parts, *(move.part for move in event.moves)]):
                self.events[part].append(event)
        for trade in job.trades:
            for part in trade.parts:
                self.trades[part].append(trade)

    def of(self, part: Part) -> Stage:
        return Stage(
            self.job.address,
            self.job.title,
            part,
            tuple(self.stays[part.id]),
            tuple(self.readings[part.id]),
            tuple(self.events[part.id]),
            tuple(self.trades[part.id]),
        )
