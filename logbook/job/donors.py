"""What logs may know of one another: donors and their tagged parts, named ``donor/tag`` and nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from logbook.job.model import Place
from logbook.text.entries import Entry, Log


class StockPart(NamedTuple):
    """A tagged part as the log that owns it declares it."""

    kind: str
    tag: str
    home: Place | None = None
    donor: str = ""


class DonorStock(NamedTuple):
    """A donor, or a log that declares tags, as other logs see it."""

    name: str  # the donor's tag, or the address of the log
    address: str  # of the log that declares it
    text: str
    parts: tuple[StockPart, ...]

    @property
    def content_hash(self) -> str:
        """Of these facts alone, so that other lines of that log change nothing elsewhere."""
        facts = [self.name, self.address, self.text, *(f"{p.kind}/{p.tag}/{p.home}" for p in self.parts)]
        import hashlib

        return hashlib.sha256("\n".join(facts).encode()).hexdigest()


def stocks_of(log: Log, address: str) -> tuple[DonorStock, ...]:
    """The stock that a log declares: one for each donor, and one under the log's own name."""
    texts: dict[str, str] = {}
    parts: dict[str, list[StockPart]] = {}
    everything: list[StockPart] = []
    for entry in log.entries:
        if entry.kind == "donor" and (entry.name or entry.engine):
            texts.setdefault(entry.name or entry.engine, entry.text.strip())
        elif entry.kind == "parts":
            declared = _declared(entry)
            everything.extend(declared)
            if entry.source:
                parts.setdefault(entry.source, []).extend(declared)
    stocks = [DonorStock(name, address, text, tuple(parts.get(name, ()))) for name, text in texts.items()]
    if everything:
        stocks.append(DonorStock(address.rpartition("/")[2], address, "", tuple(everything)))
    return tuple(stocks)


def _declared(entry: Entry) -> list[StockPart]:
    tags = [(w.part or entry.part, s.name) for w in entry.readings for s in w.subjects if s.kind == "tag"]
    homes = [s.number for s in entry.at if s.kind == "place"]
    places = homes if len(homes) == len(tags) else [0] * len(tags)
    return [
        StockPart(kind, tag, Place(entry.source, place) if place else None, entry.source)
        for (kind, tag), place in zip(tags, places, strict=True)
        if kind
    ]


def by_name(stocks: Iterable[DonorStock]) -> dict[str, DonorStock]:
    """Stocks by name; a name that several logs declare leads nowhere, for it could mean either."""
    found: dict[str, list[DonorStock]] = {}
    for stock in stocks:
        found.setdefault(stock.name, []).append(stock)
    return {name: same[0] for name, same in sorted(found.items()) if len({s.address for s in same}) == 1}


def dependency(name: str, donors: Mapping[str, DonorStock]) -> str:
    """The hash behind a name of ``Job.depends`` that begins with 'donor:' or 'tag:'; '' where nothing is there now.

    A job that looked for a tag in vain depends on it too: it must be built again when a log declares it.
    """
    word, _, rest = name.partition(":")
    if word == "donor":
        stock = donors.get(rest)
        return stock.content_hash if stock else ""
    owners = sorted({s.content_hash for s in donors.values() if any(p.tag == rest for p in s.parts)})
    import hashlib

    return hashlib.sha256("\n".join(owners).encode()).hexdigest() if owners else ""
