"""What one log knows of its parts: tests, places, what was done to each. Records from several logs are joined later."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import inf
from operator import itemgetter
from sys import intern  # what thousands of parts are called alike is one string

from logbook.job.model import Donor, Event, FoundCause, Job, Part, Place, Reading, Stay, Trade
from logbook.pages.causes import cause_words
from logbook.pages.engine import engine_words
from logbook.pages.places import is_hidden
from logbook.pages.values import conditions_words, is_absent, si, value_words

PartKey = tuple[str, str, str]  # address of the log that declares it, kind, tag or name

_DONE_WORDS = {
    "clean": "cleaned",
    "repair": "repaired",
    "adjust": "adjusted",
    "scrap": "scrapped",
    "sent": "sold",
    "returned": "came back",
    "picked": "set aside",
}
# What is measured at a plug or a place says nothing of the part that hangs on it.
_OF_THE_PLACE = frozenset({"feed", "ground", "pulse", "wiggle", "water spray"})
_OF_THE_WIRING = frozenset({"connector", "harness"})
_RUNNING = ("firing", "cut-out")  # what tells how a cylinder ran with the part in it


@dataclass(frozen=True, slots=True)
class PartTest:
    """One reading of a part, or of a cylinder with the part in it, as written.

    ``number`` is in SI, None for words. ``sisters`` are the others of its kind in the same entry: how many, and what
    they gave. ``word`` is the value's word, "" for numbers.
    """

    step: int
    day: date | None
    test: str
    value: str
    word: str
    number: float | None
    unit: str
    conditions: str
    anchor: str
    sisters: int = 0
    sisters_value: str = ""
    sisters_middle: float | None = None


@dataclass(frozen=True, slots=True)
class PartStay:
    """A part in a cylinder: ``seen`` is how that cylinder ran last while it stood there."""

    since: date | None
    until: date | None
    from_start: bool
    still: bool
    engine: str
    cylinder: int
    seen: str
    step: int


@dataclass(frozen=True, slots=True)
class PartAct:
    step: int
    day: date | None
    action: str  # clean, repair, scrap, sent, returned, picked
    words: str
    anchor: str
    order: str = ""
    note: str = ""  # what the writer noted under it


@dataclass(frozen=True, slots=True)
class PartRecord:
    """A part as one log knows it."""

    key: PartKey
    id: str
    address: str  # of this log
    job: str
    kind: str
    name: str
    called: str
    origin: str
    donor: str
    donor_text: str
    donor_facts: tuple[tuple[str, str], ...]
    engine_text: str
    home: int  # cylinder it stood in at first, 0 where not known
    tests: tuple[PartTest, ...]
    stays: tuple[PartStay, ...]
    acts: tuple[PartAct, ...]
    cause: str = ""  # where it was found to be the cause: in whose words
    cause_step: int = -1
    asked: str = ""
    first: date | None = None
    last: date | None = None
    public: bool = False  # orders and sales are private: nobody is told more than that it is not for sale
    gone: bool = False  # sold or scrapped, told or not
    us: bool = False


def slug(record_id: str) -> str:
    """'injector/old-4' -> 'injector-old-4'."""
    return re.sub(r"[^a-z0-9]+", "-", record_id.casefold()).strip("-") or "part"


def part_path(key: PartKey) -> str:
    """Site path of a part's page: it lies with the log that declares it."""
    return f"{key[0]}/parts/{slug(f'{key[1]}-{key[2]}')}.html"


def part_key(job: Job, part: Part) -> PartKey:
    return (part.address or job.address, part.kind, part.tag or part.id.split("/", 1)[-1])


def part_records(job: Job, gone: Collection[str] | None = None) -> tuple[PartRecord, ...]:
    """The parts of a job that have a story: named in the log, moved, worked on, or found to be a cause.

    ``gone`` are the ids of parts that left the shop, where the job is a copy that does not tell of sales.
    """
    told, found = _told(job), _found(job)
    left = gone_parts(job) if gone is None else gone
    return tuple(replace(_record(job, p, found), gone=p.id in left) for p in job.parts if p.id in told)


def gone_parts(job: Job) -> frozenset[str]:
    """The ids of the parts that were sold or scrapped and have not come back."""
    gone: dict[str, bool] = {}
    for trade in sorted((t for t in job.trades if t.counts), key=lambda t: t.step):
        if trade.kind in ("sent", "scrap", "returned"):
            gone |= dict.fromkeys(trade.parts, trade.kind != "returned")
    return frozenset(part for part, left in gone.items() if left)


def donor_path(address: str, tag: str) -> str:
    """Site path of a donor's page."""
    return f"{address}/donors/{slug(tag)}.html"


def part_pages(job: Job) -> dict[str, str]:
    """Site path of the page of each part that has one, by its id in the job."""
    told = _told(job)
    return {part.id: part_path(part_key(job, part)) for part in job.parts if part.id in told}


def _told(job: Job) -> set[str]:
    moved = {m.part for e in job.events for m in e.moves}
    worked = {p for e in job.events for p in e.parts if e.action in _DONE_WORDS}
    causes = {c.part for c in job.causes if not is_hidden(job, c.entry)}
    declared = {p.id for p in job.parts if p.tag}
    return (moved | worked | causes | declared) - {""}


@dataclass(frozen=True, slots=True)
class _Found:
    """What the log says of each part, each entry and each place, gathered in one pass over the log."""

    of_part: Mapping[str, Sequence[Reading]]
    of_entry: Mapping[int, Sequence[Reading]]
    ran: Mapping[Place, Sequence[tuple[float, Reading]]]  # moments at which it was seen how a cylinder runs, rising
    stays: Mapping[str, Sequence[Stay]]
    done: Mapping[str, Sequence[Event | Trade]]
    asked: Mapping[str, Sequence[Trade]]
    causes: Mapping[str, FoundCause]


def _found(job: Job) -> _Found:
    of_part: dict[str, list[Reading]] = {}
    of_entry: dict[int, list[Reading]] = {}
    ran: dict[Place, list[tuple[float, Reading]]] = {}
    for reading in _shown(job, job.readings):
        of_entry.setdefault(reading.entry, []).append(reading)
        if reading.part:
            of_part.setdefault(reading.part, []).append(reading)
        if reading.test in _RUNNING and reading.place is not None:
            ran.setdefault(reading.place, []).append((_moment(reading), reading))
    stays: dict[str, list[Stay]] = {}
    for stay in sorted(job.stays, key=lambda s: s.since):
        stays.setdefault(stay.part, []).append(stay)
    done: dict[str, list[Event | Trade]] = {}
    for event in job.events:
        for part in event.parts if event.action in _DONE_WORDS else ():
            done.setdefault(part, []).append(event)
    asked: dict[str, list[Trade]] = {}
    for trade in (t for t in job.trades if t.counts):
        for part in trade.parts:
            if trade.kind in _DONE_WORDS:
                done.setdefault(part, []).append(trade)
            if trade.kind == "asked" and trade.amount is not None:
                asked.setdefault(part, []).append(trade)
    causes: dict[str, FoundCause] = {}
    for cause in job.causes:
        if not is_hidden(job, cause.entry):
            causes.setdefault(cause.part, cause)
    rising = {place: sorted(seen, key=itemgetter(0)) for place, seen in ran.items()}
    return _Found(of_part, of_entry, rising, stays, done, asked, causes)


def _record(job: Job, part: Part, found: _Found) -> PartRecord:
    donor = next((d for d in job.donors if d.tag == part.donor), None)
    engine = job.engine(part.home.engine if part.home else "") or (job.engines[0] if job.engines else None)
    cause = found.causes.get(part.id)
    tests = tuple(_tests(job, part, found))
    days = [d for d in (t.day for t in tests) if d]
    return PartRecord(
        part_key(job, part),
        intern(part.id),
        job.address,
        job.title,
        part.kind,
        intern(part.name),
        intern(part.called()),
        part.origin,
        part.donor,
        description(donor) if donor else "",
        donor.facts if donor else (),
        intern(engine_words(engine)) if engine and not part.address else "",
        part.home.cylinder if part.home else 0,
        tests,
        tuple(_stay(job, s, found) for s in found.stays.get(part.id, ())),
        tuple(_acts(job, found.done.get(part.id, ()))),
        (cause.remark or cause_words(job, cause)) if cause else "",
        cause.entry if cause else -1,
        _asked(job, found.asked.get(part.id, ())),
        min(days, default=job.first_day),
        max(days, default=job.last_day),
        job.copy == "public",
        us=job.units == "us",
    )


def description(donor: Donor) -> str:
    """What the donor is, without the facts that follow: what was paid for it is nobody's business."""
    text = donor.text
    for slot, _ in donor.facts:
        at = re.search(rf"(^|,)\s*{re.escape(slot)}\b", text, re.IGNORECASE)
        text = text[: at.start()] if at else text
    return text.strip(" ,") or donor.tag


def _shown(job: Job, readings: Iterable[Reading]) -> list[Reading]:
    return [
        r for r in readings if r.counts and not is_hidden(job, r.entry) and not (job.copy == "public" and r.private)
    ]


def _tests(job: Job, part: Part, found: _Found) -> Iterable[PartTest]:
    for reading in found.of_part.get(part.id, ()):
        if _of_a_part(reading) and not is_absent(reading.value):
            yield _test(job, reading, found.of_entry[reading.entry])


def _of_a_part(reading: Reading) -> bool:
    return reading.test not in (*_RUNNING, *_OF_THE_PLACE) and not _OF_THE_WIRING & set(reading.qualifiers)


def _test(job: Job, reading: Reading, beside: Iterable[Reading]) -> PartTest:
    others = [r for r in beside if r.part and r.part != reading.part and r.part_kind == reading.part_kind]
    others = [r for r in others if not is_absent(r.value)]
    quantity = reading.value.quantity
    numbers = sorted(si(r.value.quantity) for r in others if r.value.quantity)
    entry = job.entries[reading.entry]
    return PartTest(
        reading.step,
        entry.entry.day,
        " ".join([reading.test, *reading.qualifiers]),
        value_words(reading.value) + (f" ({reading.value.remark})" if reading.value.remark else ""),
        reading.value.word,
        si(quantity) if quantity else None,
        quantity.unit if quantity else "",
        conditions_words(reading.conditions),
        entry.anchor,
        len(others),
        _together(others),
        numbers[len(numbers) // 2] if len(numbers) % 2 else (_mean_of_middle(numbers) if numbers else None),
    )


def _mean_of_middle(numbers: list[float]) -> float:
    return (numbers[len(numbers) // 2 - 1] + numbers[len(numbers) // 2]) / 2


def _together(readings: list[Reading]) -> str:
    """What several gave: 'cone', '76 to 81 ml', 'cone or jet'."""
    measured = sorted((r for r in readings if r.value.quantity), key=lambda r: si(r.value.quantity))  # type: ignore[arg-type]
    words = sorted({value_words(r.value) for r in readings if not r.value.quantity})
    if not measured:
        return " or ".join(words)
    low, high = (value_words(r.value, unit=False) for r in (measured[0], measured[-1]))
    whole = value_words(measured[-1].value)
    span = whole if low == high else f"{low} to {whole}"
    return " or ".join([span, *words])


def _stay(job: Job, stay: Stay, found: _Found) -> PartStay:
    seen = found.ran.get(stay.place, ())
    last = bisect_right(seen, inf if stay.until is None else stay.until, key=itemgetter(0)) - 1
    during = last >= 0 and seen[last][0] >= stay.since
    engine = job.engine(stay.place.engine)
    return PartStay(
        _day(job, stay.since),
        _day(job, stay.until) if stay.until is not None else None,
        stay.since < 0,
        stay.until is None,
        intern(engine.text) if engine else "",
        stay.place.cylinder,
        _ran(seen[last][1]) if during else "",
        stay.since,
    )


def _moment(reading: Reading) -> float:
    """What was seen right after a swap belongs to the part that came, what was seen before it to the one that left."""
    return reading.step + (0.5 if reading.after_action else 0.0)


def _ran(reading: Reading) -> str:
    """'fires', '4 dead', 'lost 68 rpm when cut'."""
    if reading.value.quantity:
        return intern(f"lost {value_words(reading.value)} when cut")
    return intern(value_words(reading.value))


def _day(job: Job, step: int) -> date | None:
    return job.entries[step].entry.day if step >= 0 else job.first_day


def _acts(job: Job, found: Iterable[Event | Trade]) -> Iterable[PartAct]:
    done: dict[tuple[int, str], PartAct] = {}
    for one in sorted(found, key=lambda f: f.step):
        if is_hidden(job, one.entry) or (job.copy == "public" and one.private):
            continue
        action = one.action if isinstance(one, Event) else one.kind
        order = one.order if isinstance(one, Trade) else ""
        entry = job.entries[one.entry]
        noted = next((" ".join(n.text.split()) for n in entry.entry.notes if not n.private), "")
        act = PartAct(one.step, entry.entry.day, action, _DONE_WORDS[action], entry.anchor, order, noted)
        done.setdefault((one.step, action), act)
    return done.values()


def _asked(job: Job, asked: Sequence[Trade]) -> str:
    if job.copy == "public":
        return ""
    return (
        f"{asked[-1].amount:f} {asked[-1].currency}".strip()
        if asked and (asked[-1].each or len(asked[-1].parts) == 1)
        else ""
    )
