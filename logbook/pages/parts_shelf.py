"""Donors and the parts shelf: every part that has a page, by where it is now, and which of them match best."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.pages import frame
from logbook.pages.frame import Cell, Column, Field, Link, Sheet, Table
from logbook.pages.parts import Shop, part_title
from logbook.pages.parts_match import MatchedSet, matched_sets
from logbook.pages.parts_record import PartKey, PartRecord, donor_path, part_path
from logbook.pages.parts_words import Status, state, status, status_words
from logbook.pages.words import capital, counted, date_words, spelled

Family = list[tuple[PartRecord, ...]]

_FREE: tuple[Status, ...] = ("stock", "ask", "aside", "back")
_GONE: tuple[Status, ...] = ("sold", "scrap", "gone")
_FACTS = {"bought": "Bought for", "sat": "Stood", "why": "Why it was scrapped", "odometer": "Distance run"}


@dataclass(frozen=True, slots=True)
class DonorPage:
    sheet: Sheet
    facts: tuple[Field, ...]
    parts: Table | None


@dataclass(frozen=True, slots=True)
class PartsShelf:
    """All parts of all logs that have a page: what is there first, then what stands in an engine, then what is gone."""

    sheet: Sheet
    groups: tuple[tuple[str, Table], ...]
    sets: tuple[tuple[str, Table], ...]
    donors: tuple[tuple[Link, str], ...]
    nothing: str = ""


def donor_pages(parts: dict[PartKey, tuple[PartRecord, ...]], shop: Shop) -> tuple[DonorPage, ...]:
    """A page for each donor that gave a part with a page."""
    return tuple(_donor(address, tag, found, shop) for (address, tag), found in sorted(_by_donor(parts).items()))


def _by_donor(parts: dict[PartKey, tuple[PartRecord, ...]]) -> dict[tuple[str, str], Family]:
    """Parts by the donor's log and name. Names that come to one path ('D 1', 'd-1') are one donor, by the first."""
    found: dict[tuple[str, str], Family] = {}
    names: dict[str, str] = {}
    for records in parts.values():
        own = next((r for r in records if r.address == r.key[0]), records[0])
        if own.donor:
            name = names.setdefault(donor_path(own.key[0], own.donor), own.donor)
            found.setdefault((own.key[0], name), []).append(records)
    return found


def _donor(address: str, tag: str, family: Family, shop: Shop) -> DonorPage:
    first = family[0][0]
    text = first.donor_text or "donor"
    private = ("bought",) if shop.copy == "public" else ()
    facts = tuple(Field(_FACTS.get(k, capital(k)), v) for k, v in first.donor_facts if k not in private)
    own = shop.copy == "shop"  # what is sold is nobody else's business
    left = f"{sum(status(f) not in _GONE for f in family)}"
    here = (Field("In stock", left, strong=True),) if own else ()
    sheet = Sheet(
        donor_path(address, tag),
        f"{tag}, {text}",
        f"Donor {tag}: {text}. {counted(len(family), 'part')} named.{f' {left} in stock.' if own else ''}",
        f"Donor {tag}: {text}",
        shop.name,
        shop.copy,
        fields=(*facts, Field("Parts named", str(len(family))), *here),
        ways=(Link("Its job", frame.job_path(address)), Link("Parts", frame.PARTS)),
        ways_label="Elsewhere",
        scripts=("reload.js",),
        foot=f"Written {date_words(max((r.last for f in family for r in f if r.last), default=None))}",
    )
    return DonorPage(sheet, facts, _shelf_table(family, shop))


def parts_shelf(parts: dict[PartKey, tuple[PartRecord, ...]], shop: Shop) -> PartsShelf:
    """The page of all parts, by where they are now."""
    families = list(parts.values())
    states = [status(f) for f in families]
    free = "In stock" if shop.copy == "shop" else "To ask for"
    named = {
        free: [f for f, s in zip(families, states, strict=True) if s in _FREE],
        "Fitted": [f for f, s in zip(families, states, strict=True) if s == "fitted"],
        "Sold or scrapped": [f for f, s in zip(families, states, strict=True) if s in _GONE],
    }
    if shop.copy == "public":  # what is sold is nobody else's business
        del named["Sold or scrapped"]
    groups = tuple((name, _shelf_table(found, shop)) for name, found in named.items() if found)
    sets = tuple((name, _sets_table(name, found)) for name, found in matched_sets(f[-1] for f in named[free]))
    donors = tuple(
        (_donor_link(address, tag, found[0][0]), counted(len(found), "part"))
        for (address, tag), found in sorted(_by_donor(parts).items())
    )
    count = counted(len(families), "part")
    sheet = Sheet(
        frame.PARTS,
        "Parts",
        f"{capital(count)} with a story: where each came from, where it ran, how it tested.",
        shop=shop.name,
        copy=shop.copy,
        fields=tuple(Field(name, str(len(found))) for name, found in named.items()),
        ways=(Link("Jobs", frame.SHELF),),
        ways_label="Elsewhere",
        scripts=("sort.js", "reload.js"),
        foot="Written from all logs",
    )
    nothing = "" if families else "No part has a name yet. Write 'parts coil: A1-A4' into a log."
    return PartsShelf(sheet, groups, sets, donors, nothing)


def _donor_link(address: str, tag: str, first: PartRecord) -> Link:
    return Link(f"{tag}, {first.donor_text} ({first.job})", donor_path(address, tag))


def _shelf_table(families: Family, shop: Shop) -> Table:
    asked = shop.copy == "shop" and any(r.asked for f in families for r in f)
    tags = {(r.donor, r.key[0]) for f in families for r in f if r.donor}
    twice = {tag for tag, count in Counter(tag for tag, _ in tags).items() if count > 1}  # told apart by their jobs
    rows = []
    for family in sorted(families, key=lambda f: (f[0].kind, f[0].key)):
        first, now = family[0], state(family)
        link = Link(capital(part_title(first)), part_path(first.key))
        donor = f"{first.donor}, {first.donor_text}" if first.donor_text else first.job
        cells = [
            Cell(link.text, link=link),
            Cell(f"{donor} ({first.job})" if first.donor in twice else donor),
            Cell(capital(now.word), out=now.care),
            Cell(status_words(family)),
        ]
        price = next((r.asked for r in reversed(family) if r.asked), "")
        rows.append((*cells, *((Cell(price or "Ask", soft=not price),) if asked else ())))
    heads = ("Part", "From", "Condition", "Status", *(("Price",) if asked else ()))
    caption = capital(counted(len(families), "part"))
    return Table(caption, tuple(Column(h) for h in heads), tuple(rows), fold=True)


def _sets_table(name: str, sets: Sequence[MatchedSet]) -> Table:
    rows = tuple(
        (
            Cell(f"best {spelled(s.size)}"),
            Cell(", ".join(f.record.name for f in s.parts)),
            Cell(f"{100 * s.apart:.1f} % apart"),
        )
        for s in sets
    )
    columns = (Column("Set"), Column("Parts"), Column("Spread", number=True))
    return Table(capital(name), columns, rows)
