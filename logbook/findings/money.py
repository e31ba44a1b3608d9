"""Hours and money: exact decimals, rounded half up once a line. All of it is private."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.making import Did, Fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.model import Number
from logbook.findings.saying import listed, plain
from logbook.formulas.money import cents
from logbook.job.model import Donor, Job, Trade

GROUP = "money"
_MARK_UP = Decimal(30)  # percent on parts: common practice, no source


def _counted(job: Job, *kinds: str) -> list[Trade]:
    return [t for t in job.trades if t.counts and t.kind in kinds]


def _entries(trades: Iterable[Trade]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(t.entry for t in trades))


def _total(trades: Iterable[Trade]) -> Decimal:
    return sum((t.total for t in trades if t.total is not None), Decimal(0))


def _money(job: Job, amount: Decimal) -> str:
    text = f"{abs(cents(amount)):,.2f}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    sign = "−" if cents(amount) < 0 else ""
    return f"{sign}{text} {job.money}".rstrip()


def hours(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Hours by kind of work, and what they cost at the shop's rate."""
    worked = [t for t in _counted(job, "hours") if t.amount is not None]
    if not worked:
        return
    by_kind: dict[str, Decimal] = {}
    for trade in worked:
        by_kind[trade.label or "work"] = by_kind.get(trade.label or "work", Decimal(0)) + (trade.amount or Decimal(0))
    total = sum(by_kind.values(), Decimal(0))
    ranked = sorted(by_kind.items(), key=lambda pair: (-pair[1], pair[0]))
    words = ", ".join(f"{kind} {_plain(value)}" for kind, value in ranked)
    if job.hour_rate is None:
        why = f"{_plain(total)} h ({words}); add 'hour rate: 60.00' to shop.txt to price them"
        yield missing("labour_cost", GROUP, "Labour", why, private=True)
        return
    rate = job.hour_rate
    yield number(
        job, "labour_cost", GROUP, "Labour",
        [Fed("hours", total, f"{_plain(total)} h", _entries(worked)),
         Fed("rate_per_hour", rate, f"{_plain(rate)} {job.money}", (), 0.0, "the shop's file")],
        lambda did: _money(job, Decimal(did.result["cost"])), f"By kind of work, in hours: {words}.", private=True,
    )  # fmt: skip


def _plain(value: Decimal) -> str:
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True, slots=True)
class Stock:
    """What a donor's parts stand for: price asked of each, and what became of it."""

    donor: Donor
    cost: Decimal
    cost_entries: tuple[int, ...]
    parts: tuple[str, ...]
    asked: tuple[Decimal, ...]
    asked_entries: tuple[int, ...]
    unpriced: tuple[str, ...] = ()


def stocks(job: Job) -> list[Stock]:
    """Every donor that was paid for. A price written in the card and again as 'bought' is the same price."""
    prices: dict[str, tuple[Decimal, list[int]]] = {}
    for trade in _counted(job, "asked"):
        for part in trade.parts:
            amount = trade.amount or Decimal(0)
            each = amount if trade.each or len(trade.parts) == 1 else amount / len(trade.parts)
            prices[part] = (each, [trade.entry])
    found = []
    scrapped = {p for t in _counted(job, "scrap") for p in t.parts}
    for donor in job.donors:
        paid = [t for t in _counted(job, "bought") if t.label == donor.tag and t.total is not None]
        if not paid:
            continue
        parts = tuple(p.id for p in job.parts if p.donor == donor.tag)
        asked = tuple(prices[p][0] if p in prices else Decimal(0) for p in parts)
        entries = tuple(dict.fromkeys(e for p in parts if p in prices for e in prices[p][1]))
        bare = tuple(p for p in parts if p not in prices and p not in scrapped)
        found.append(Stock(donor, paid[-1].total or Decimal(0), _entries(paid), parts, asked, entries, bare))
    return found


def donors(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Each donor's cost spread over its parts by what is asked for them."""
    for stock in stocks(job):
        title = f"Cost of {stock.donor.tag} over its parts"
        priced = [(p, a) for p, a in zip(stock.parts, stock.asked, strict=True) if a > 0]
        if not priced:
            why = f"add what is asked for its parts ('asked: {_example(job, stock)} 20.00')"
            yield missing("donor_cost_allocation", GROUP, title, why, private=True)
            continue
        if stock.unpriced:
            count = len(stock.unpriced)
            why = (
                f"{count} part{'' if count == 1 else 's'} of it ({listed(_name(job, p) for p in stock.unpriced[:4])}"
                f"{' ...' if count > 4 else ''}) {'has' if count == 1 else 'have'} no price, so the others would carry "
                f"too much: ask something for each, 0.00 for what is worthless"
            )
            yield missing("donor_cost_allocation", GROUP, title, why, private=True)
            continue
        names = [_name(job, p) for p, _ in priced]

        def sentence(did: Did, names: list[str] = names) -> str:
            shares = ", ".join(f"{n} {share}" for n, share in zip(names, did.result["allocated"], strict=True))
            return f"{shares}: the shares add up to the cent."

        yield number(
            job, "donor_cost_allocation", GROUP, title,
            [Fed("donor_cost", stock.cost, _money(job, stock.cost), stock.cost_entries),
             Fed("expected_values", tuple(a for _, a in priced),
                 ", ".join(f"{n} {a}" for n, (_, a) in zip(names, priced, strict=True)), stock.asked_entries)],
            lambda did: f"{_money(job, Decimal(did.result['sum']))} over {len(did.result['allocated'])} parts",
            sentence, private=True,
        )  # fmt: skip


def _example(job: Job, stock: Stock) -> str:
    return _name(job, stock.parts[0]) if stock.parts else f"{stock.donor.tag}"


def _name(job: Job, part_id: str) -> str:
    part = next((p for p in job.parts if p.id == part_id), None)
    return (part.tag or part.name) if part is not None else part_id


def unsold(job: Job) -> list[str]:
    """Parts of donors that are still here: not scrapped, not sent, or sent and come back; not in the engine."""
    gone: set[str] = set()
    for trade in job.trades:
        if not trade.counts:
            continue
        if trade.kind in ("sent", "scrap"):
            gone |= set(trade.parts)
        elif trade.kind == "returned":
            gone -= set(trade.parts)
    mounted = set(job.mounted().values())
    # what was in the donor's own engine is for sale all the same
    own = {p.id for p in job.parts if p.donor and p.home is not None}
    return [p.id for p in job.parts if p.donor and p.id not in gone and (p.id not in mounted or p.id in own)]


def price(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """What the job costs with its hours at the shop's rate, and what a mark-up on parts would make of it."""
    worked = [t for t in _counted(job, "hours") if t.amount is not None]
    paid = [t for t in _counted(job, "spent") if t.total is not None]
    if not worked or job.hour_rate is None or not paid:
        return
    total = sum((t.amount or Decimal(0) for t in worked), Decimal(0))
    parts = _total(paid)
    yield number(
        job, "job_price", GROUP, "What the job costs, and what to ask",
        [Fed("hours", total, f"{_plain(total)} h", _entries(worked)),
         Fed("rate_per_hour", job.hour_rate, f"{_plain(job.hour_rate)} {job.money}", (), 0.0, "the shop's file"),
         Fed("parts_cost", parts, _money(job, parts), _entries(paid)),
         assumed("parts_markup_percent", _MARK_UP, f"{_MARK_UP} %")],
        lambda did: f"{_money(job, Decimal(did.result['cost']))} to cover it, "
        f"{_money(job, Decimal(did.result['price']))} to ask",
        f"Labour and what was spent; to ask with {_MARK_UP} % on parts, without tax.", private=True,
    )  # fmt: skip


def balance(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """What the job has cost, what came in, what is left unsold, and margin and mark-up by name."""
    bought = [s.cost for s in stocks(job)]
    donor_tags = {s.donor.tag for s in stocks(job)}
    others = [t for t in _counted(job, "bought") if t.label not in donor_tags]
    spent, got = _counted(job, "spent"), _counted(job, "got")
    out = _total(spent) + _total(others) + sum(bought, Decimal(0))
    came = _total(got)
    entries = (*_entries([*spent, *others]), *(e for s in stocks(job) for e in s.cost_entries))
    if out > 0:
        yield number(
            job, "money_round", GROUP, "Spent", [Fed("amount", out, _money(job, out), entries)],
            lambda did: _money(job, Decimal(did.result["half_up"])), _spent_words(job, spent, others, bought),
            private=True,
        )  # fmt: skip
    left = unsold(job)
    asked = {p: a for s in stocks(job) for p, a in zip(s.parts, s.asked, strict=True)}
    worth = sum((asked.get(p, Decimal(0)) for p in left), Decimal(0))
    if left and worth > 0:
        priced = [_name(job, p) for p in left if asked.get(p)]
        yield number(
            job, "money_round", GROUP, "Asking price of what’s left",
            [Fed("amount", worth, _money(job, worth), tuple(e for s in stocks(job) for e in s.asked_entries))],
            lambda did: _money(job, Decimal(did.result["half_up"])),
            f"{listed(priced)} with a price; {len(left) - len(priced)} more without one.", private=True,
        )  # fmt: skip
    yield from _margin(job, out, came, entries, _entries(got))


def _spent_words(job: Job, spent: list[Trade], others: list[Trade], bought: list[Decimal]) -> str:
    lines = [f"{t.label or 'unnamed'} {cents(t.total)}" for t in spent if t.total is not None]
    lines += [f"{t.label or 'parts'} {cents(t.total)}" for t in others if t.total is not None]
    if bought:
        lines.append(f"{len(bought)} donor{'s' if len(bought) > 1 else ''} {cents(sum(bought, Decimal(0)))}")
    return f"For {'; '.join(lines)}."


def _margin(
    job: Job, out: Decimal, came: Decimal, out_entries: tuple[int, ...], in_entries: tuple[int, ...]
) -> Iterator[Number]:
    if came <= 0 or out <= 0:
        return
    trades = [t for t in _counted(job, "hours") if t.amount is not None]
    hours_worked = sum((t.amount or Decimal(0) for t in trades), Decimal(0))
    rate = job.hour_rate
    if hours_worked > 0 and rate is None:
        why = (
            f"{_money(job, came)} came in and {_money(job, out)} went out, but {_plain(hours_worked)} h are in it "
            "without a rate: add 'hour rate: 60.00' to shop.txt"
        )
        yield missing("margin", GROUP, "Margin and mark-up", why, private=True)
        return
    labour = cents(hours_worked * rate) if rate is not None else Decimal(0)
    spent = _money(job, out)
    out += labour
    out_entries = (*out_entries, *_entries(trades)) if labour else out_entries

    def sentence(did: Did) -> str:
        words = f"Came in {_money(job, came)}, went out {spent}"
        if labour:
            return f"{words} and {_plain(hours_worked)} h at {_plain(rate or Decimal(0))}, {_money(job, labour)}."
        return f"{words}; no hours are written."

    yield number(
        job, "margin", GROUP, "Margin and mark-up",
        [Fed("price", came, _money(job, came), in_entries), Fed("cost", out, _money(job, out), out_entries)],
        lambda did: f"{_money(job, Decimal(did.result['profit']))}: margin "
        f"{plain(100 * did.result['margin_of_price'], 0)} %, mark-up {plain(100 * did.result['markup_on_cost'], 0)} %",
        sentence, private=True,
    )  # fmt: skip
