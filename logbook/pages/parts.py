"""Part pages with their condition sheet: view models from the records of all logs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from logbook.pages import frame
from logbook.pages.frame import Cell, Column, Copy, Link, Sheet, Table
from logbook.pages.parts_record import PartKey, PartRecord, PartStay, PartTest, donor_path, part_path
from logbook.pages.parts_words import State, Status, not_known, state, status, status_words, where_now
from logbook.pages.phrases import Voice
from logbook.pages.words import capital, shortened
from logbook.text.vocabulary import KINDS

MOST_TESTS = 6  # rows on a sheet, so that it stays one page of A5
MOST_STAYS = 4
FOR_SALE: tuple[Status, ...] = ("stock", "ask", "aside", "back")


@dataclass(frozen=True, slots=True)
class PartPage:
    """A part as a buyer asks about it: status first, condition, where it is from, its tests; one sheet of paper.

    ``to_pack`` is whether it can be sold: there is no sheet to sign for scrap.
    """

    sheet: Sheet
    kind: str
    status: Status
    state: State
    facts: tuple[tuple[str, str, Link | None], ...]
    tests: Table | None
    dangers: tuple[str, ...]
    jobs: tuple[Link, ...]
    to_pack: bool


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
    voice = Voice(first.us)
    tests = [t for r in records for t in r.tests]
    now, where = state(records), status(records)
    return PartPage(
        _part_sheet(voice, records, now, where, shop),
        first.kind,
        where,
        now,
        tuple(_facts(voice, records, where)),
        _tests_table(voice, tests),
        _cautions(voice, first.kind, tests) if where != "scrap" else (),
        tuple(dict.fromkeys(Link(r.job, frame.job_path(r.address)) for r in records)),
        where in FOR_SALE,
    )


def asked(records: Sequence[PartRecord]) -> str:
    return next((r.asked for r in reversed(records) if r.asked), "")


def _part_sheet(voice: Voice, records: Sequence[PartRecord], now: State, where: Status, shop: Shop) -> Sheet:
    first = records[0]
    title = capital(part_title(first))
    last = max((r.last for r in records if r.last), default=None)
    price = (asked(records) or voice.say("part.ask")) if where in ("stock", "ask", "aside") else voice.say("part.ask")
    return Sheet(
        part_path(first.key),
        title,
        f"{title}: {where_now(records)} {capital(now.word)}. {' '.join(now.sentences)}".strip(),
        page_title=f"{title}, {first.donor_text or first.job}",
        shop=shop.name,
        copy=shop.copy,
        us=voice.us,
        kicker=voice.say("part.for_part") if where in FOR_SALE else "",
        stamp=status_words(records),
        care=now.care,
        state=_state_line(voice, records, now, where),
        aside=price if where in FOR_SALE else "",
        foot=voice.say("part.written", day=voice.date(last)),
        foot_links=(Link("All parts", frame.PARTS),),
        look="narrow",
        scripts=("reload.js",),
    )


def _state_line(voice: Voice, records: Sequence[PartRecord], now: State, where: Status) -> str:
    """Behind the stamp: what it does not say already."""
    if where == "back":
        days = [a.day for r in records for a in r.acts if a.action == "returned"]
        return f"{voice.date(days[-1])}."
    if where == "stock":
        return f"{capital(now.word)}."
    if where == "scrap":
        return where_now(records)
    return f"{where_now(records)} {capital(now.word)}."


def part_title(record: PartRecord) -> str:
    """'injector A2', 'coil 3' for the one that was found in 3."""
    return f"{record.kind} {record.name.removeprefix('old ')}"


def _facts(voice: Voice, records: Sequence[PartRecord], where: Status) -> Iterable[tuple[str, str, Link | None]]:
    first = records[0]
    link = Link(first.donor, donor_path(first.key[0], first.donor)) if first.donor else None
    yield voice.say("part.out_of"), _source(voice, first), link
    back = [a for r in records for a in r.acts if a.action == "returned"]
    if back:
        told = " ".join(f"{voice.say('part.returned', day=voice.date(a.day))} {a.note}".strip() for a in back)
        yield voice.say("part.returns"), shortened(told, 240), None
    if where == "back" and asked(records):
        yield voice.say("part.price"), voice.say("part.before_back", price=asked(records)), None
    yield voice.say("part.not_tested"), " ".join(not_known(records)), None
    if stays := [(r, s) for r in records for s in r.stays][-MOST_STAYS:]:
        several = len(records) > 1
        said = "; ".join(_stood(voice, r, s, several) for r, s in stays)
        yield voice.say("part.ran_in"), f"{capital(said)}.", None


def _source(voice: Voice, record: PartRecord) -> str:
    """'Delivery van, cylinder 3, ran 178000 km, rolled into a ditch, stood 3 months.'"""
    facts = dict(record.donor_facts)
    told = [
        record.donor_text or shortened(record.engine_text, 60) or record.job,
        voice.say("part.cylinder", n=record.home) if record.home else "",
        voice.say("part.ran", distance=facts["odometer"]) if "odometer" in facts else "",
        facts.get("why", ""),
        voice.say("part.sat", sat=facts["sat"]) if "sat" in facts else "",
    ]
    return f"{capital(', '.join(w for w in told if w))}."


def _stood(voice: Voice, record: PartRecord, stay: PartStay, several: bool) -> str:
    where = f"{record.job}, cylinder {stay.cylinder}" if several else f"cylinder {stay.cylinder}"
    seen = f": {stay.seen}" if stay.seen else ""
    if stay.still:
        return f"{where}{'' if stay.from_start else f' from {voice.day(stay.since)}'}{seen}"
    until = f"to {voice.day(stay.until)}"
    return f"{where} {until if stay.from_start else f'{voice.day(stay.since)} {until}'}{seen}"


def _tests_table(voice: Voice, tests: Sequence[PartTest]) -> Table | None:
    """Every test with its day, the last ones where there are many, beside what the others of its kind gave."""
    if not tests:
        return None
    columns = (
        Column(voice.say("part.test")),
        Column(voice.say("part.day")),
        Column(voice.say("part.this"), number=True),
        Column(voice.say("part.rest"), number=True),
    )
    shown = tests[-MOST_TESTS:]
    named = {(t.test, t.conditions): n for n, t in reversed(list(enumerate(shown)))}  # where each first stands
    rows = tuple(
        (
            Cell(capital(f"{t.test}, {t.conditions}" if t.conditions and named[t.test, t.conditions] == n else t.test)),
            Cell(voice.day(t.day)),
            Cell(t.value),
            Cell(f"{t.sisters}: {t.sisters_value}" if t.sisters else ""),
        )
        for n, t in enumerate(shown)
    )
    return Table(voice.say("part.tests"), columns, rows)


def _cautions(voice: Voice, kind: str, tests: Sequence[PartTest]) -> tuple[str, ...]:
    """Those of the tests it had; for what carries fuel, the fuel's own in any case."""
    asked = dict.fromkeys(t.test.split(" ")[0] for t in tests)
    found = [
        KINDS[t].caution
        for t in (*asked, *(("flow",) if kind == "injector" else ("spark",) if kind == "coil" else ()))
        if t in KINDS
    ]
    return tuple(voice.retell(c) for c in dict.fromkeys(found) if c)[:2]
