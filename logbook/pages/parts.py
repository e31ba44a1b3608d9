"""Part pages with their condition sheet: view models from the records of all logs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from logbook.pages import frame
from logbook.pages.frame import Cell, Column, Copy, Field, Link, Sheet, Table
from logbook.pages.parts_record import PartKey, PartRecord, PartStay, PartTest, part_path
from logbook.pages.parts_words import State, alike, not_known, state
from logbook.pages.words import capital, counted, date_span, date_words, listed, shortened, spelled
from logbook.text.vocabulary import KINDS

MOST_TESTS = 10  # rows on a condition sheet, so that it stays one page
MOST_STAYS = 6


@dataclass(frozen=True, slots=True)
class PartPage:
    """A part: condition sheet to print and pack, and its trail through places and jobs."""

    sheet: Sheet
    kind: str
    from_tests: str
    state: State
    tests: Table | None
    stays: Table | None
    not_known: tuple[str, ...]
    cautions: tuple[str, ...]
    jobs: tuple[Link, ...]
    asked: str


@dataclass(frozen=True, slots=True)
class Shop:
    """What all pages share: the shop's name and which copy this is."""

    name: str
    copy: Copy


def joined(records: Iterable[PartRecord]) -> dict[PartKey, tuple[PartRecord, ...]]:
    """The records of each part from all logs, in time order; steps of later logs count on from those of earlier."""
    by_key: dict[PartKey, list[PartRecord]] = {}
    for record in records:
        by_key.setdefault(record.key, []).append(record)
    return {key: _in_order(found) for key, found in sorted(by_key.items())}


def _in_order(found: list[PartRecord]) -> tuple[PartRecord, ...]:
    own_first = sorted(found, key=lambda r: (r.first or date.max, r.address != r.key[0], r.address))
    return tuple(_shifted(record, 1_000_000 * n) for n, record in enumerate(own_first))


def _shifted(record: PartRecord, by: int) -> PartRecord:
    return replace(
        record,
        tests=tuple(replace(t, step=t.step + by) for t in record.tests),
        acts=tuple(replace(a, step=a.step + by) for a in record.acts),
    )


def part_page(records: Sequence[PartRecord], shop: Shop) -> PartPage:
    """The page of one part. ``records``: all that the logs know of it, in time order, at least one."""
    first = records[0]
    tests = [t for r in records for t in r.tests]
    now = state(records)
    days = [t.day for t in tests if t.day]
    return PartPage(
        _part_sheet(records, now, shop),
        first.kind,
        f"From {counted(len(tests), 'reading')}, {date_span(min(days), max(days))}." if days else "No test yet.",
        now,
        _tests_table(records, tests),
        _stays_table(records),
        not_known(records),
        _cautions(first.kind, tests),
        tuple(dict.fromkeys(Link(r.job, frame.job_path(r.address)) for r in records)),
        next((r.asked for r in reversed(records) if r.asked), ""),
    )


def _part_sheet(records: Sequence[PartRecord], now: State, shop: Shop) -> Sheet:
    first = records[0]
    title = capital(first.called)
    source = first.donor_text or first.job
    out_of = listed(filter(None, (_source_words(first), f"place {first.home}" if first.home else "")), ",").replace(
        " ,", ","
    )
    last = max((r.last for r in records if r.last), default=None)
    return Sheet(
        part_path(first.key),
        f"{title}, from {source}",
        f"{title}: {now.word}. {' '.join(now.sentences)}",
        f"Condition sheet: {first.called}",
        shop.name,
        shop.copy,
        "Condition sheet, to pack with the part",
        (
            Field("Part", first.kind),
            Field("Marked", first.name if first.name not in ("new", "used", "rebuilt", "unknown") else "not marked"),
            Field("Out of", out_of or "not written down"),
            Field("Condition", now.word, strong=True),
        ),
        (Link("Its job", frame.job_path(first.address)), Link("Parts shelf", frame.PARTS)),
        "Elsewhere",
        f"Written {date_words(last)}",
        (Link("Each number’s working is on the job’s own sheet", frame.job_path(first.address)),),
        ("reload.js",),
    )


def _source_words(record: PartRecord) -> str:
    return record.donor_text or shortened(record.engine_text, 60)


def _tests_table(records: Sequence[PartRecord], tests: Sequence[PartTest]) -> Table | None:
    groups = list(alike(tests).items())[:MOST_TESTS]
    if not groups:
        return None
    cleaned = next((a for r in records for a in r.acts if a.action in ("clean", "repair")), None)
    heads = (f"Before it was {cleaned.words}", "After") if cleaned else ("First", "Last")
    rows = []
    for (kind, conditions), of_kind in groups:
        early = [t for t in of_kind if cleaned and t.step < cleaned.step]
        late = [t for t in of_kind if not cleaned or t.step > cleaned.step]
        one = early[-1] if early else None if cleaned else late[0]
        two = late[-1] if late and (cleaned or len(late) > 1) else None
        name = capital(f"{kind}, {conditions}" if conditions else kind)
        rows.append((Cell(name), _cell(one), _cell(two, "" if cleaned else "same"), _sisters(two or one)))
    columns = (Column("Test"), *(Column(h, number=True) for h in heads), Column("Its sisters", number=True))
    return Table("Its sisters: the others of its kind in the same test", columns, tuple(rows), fold=True)


def _cell(test: PartTest | None, absent: str = "") -> Cell:
    return Cell(test.value) if test else Cell(absent if absent else "not tested", soft=True)


def _sisters(test: PartTest | None) -> Cell:
    if test is None or not test.sisters:
        return Cell("no sister tested", soft=True)
    return Cell(f"{spelled(test.sisters)}: {test.sisters_value}")


def _stays_table(records: Sequence[PartRecord]) -> Table | None:
    several = len(records) > 1
    rows = [(r, s) for r in records for s in r.stays]
    if not rows:
        return None
    shown = rows[-MOST_STAYS:]
    cells = [
        (Cell(_days(stay)), Cell(_stood(record, stay, several)), Cell(stay.seen or "nothing seen", soft=not stay.seen))
        for record, stay in shown
    ]
    left = len(rows) - len(shown)
    caption = "Trail" if not left else f"Trail, the last {len(shown)} of {len(rows)} places"
    return Table(caption, (Column("Days"), Column("Place"), Column("Seen there last")), tuple(cells))


def _days(stay: PartStay) -> str:
    if stay.still:
        return "all the time" if stay.from_start else f"from {date_words(stay.since)}"
    if stay.from_start:
        return f"to {date_words(stay.until)}"
    return date_span(stay.since, stay.until)


def _stood(record: PartRecord, stay: PartStay, several: bool) -> str:
    return f"{record.job}, cylinder {stay.cylinder}" if several else f"cylinder {stay.cylinder}"


def _cautions(kind: str, tests: Sequence[PartTest]) -> tuple[str, ...]:
    """Those of the tests it had; for what carries fuel, the fuel's own in any case."""
    asked = dict.fromkeys(t.test.split(" ")[0] for t in tests)
    found = [
        KINDS[t].caution
        for t in (*asked, *(("flow",) if kind == "injector" else ("spark",) if kind == "coil" else ()))
        if t in KINDS
    ]
    seals = ("New seals each time it is fitted.",) if kind == "injector" else ()
    return (*(c for c in dict.fromkeys(found) if c), *seals)[:3]
