"""The shelf: every job by its standing, a row each, made from one summary a job."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain, islice
from operator import attrgetter
from typing import NamedTuple

from logbook.diagnosis.answers import Diagnosis, Standing
from logbook.job.model import Job
from logbook.pages import frame
from logbook.pages.causes import causes_words
from logbook.pages.engine import short_engine_words
from logbook.pages.frame import Copy, Field, Link, Sheet
from logbook.pages.heads import title_of
from logbook.pages.places import is_hidden
from logbook.pages.plan import SMALL_RADIUS, Mark, SmallPlan, marks, small_plan, states_summed
from logbook.pages.story import is_stock, no_test_yet
from logbook.pages.words import (
    capital,
    counted,
    date_span,
    date_words,
    duration_words,
    in_hundred,
    sentence,
    short_date,
    spelled,
)

_SETTLED: tuple[Standing, ...] = ("proved", "handed over")
_WORTH_NAMING = 1 / 3
MOST_ON_ONE_SHELF = 1000  # above it the shelf has a page a year


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """All that the shelf says of a job. Made once a job, and small: an archive holds thousands."""

    address: str
    title: str
    standing: Standing
    sentence: str
    cause: str
    cause_label: str  # 'cause' where the log names it, 'likeliest' where it is the tool's ranking
    engine: str
    first: date | None
    last: date | None
    entries: int
    plan: SmallPlan | None
    waits: bool = False
    unread: int = 0
    search: str = ""
    is_stock: bool = False  # parts alone, for other jobs: nothing to test, nothing to put right

    @property
    def days(self) -> str:
        return date_span(self.first, self.last) if self.first else "no day yet"

    @property
    def count(self) -> str:
        return counted(self.entries, "entry", "entries")

    @property
    def path(self) -> str:
        return frame.job_path(self.address)

    @property
    def sort_key(self) -> str:
        return self.last.isoformat() if self.last else ""


class Shelved(NamedTuple):
    """A row as it was made, and what finds its place on the shelf. An archive holds thousands, so it is small."""

    address: str
    last: str  # the day, ISO 8601; "" where there is none
    group: str
    unread: int
    made: bytes


ByGroup = Mapping[str, Sequence[Shelved]]


class _Totals(NamedTuple):
    """What a page of the shelf counts."""

    jobs: Counter[str]  # in each group
    unread: int  # lines


@dataclass(frozen=True, slots=True)
class ShelfGroup:
    id: str
    heading: str
    aside: str
    rows: Sequence[Shelved]


@dataclass(frozen=True, slots=True)
class ShelfPage:
    sheet: Sheet
    groups: tuple[ShelfGroup, ...]
    marks: tuple[Mark, ...]
    years: tuple[Link, ...] = ()
    notes: tuple[str, ...] = ()
    empty: str = "No job yet. Put a log beside shop.txt."


@dataclass(frozen=True, slots=True)
class ShelfSite:
    """What the shelf must know of the site around it."""

    shop: str = ""
    copy: Copy = "shop"
    ways: tuple[Link, ...] = ()
    data: tuple[str, ...] = ()  # site paths of the files for search
    foot_links: tuple[Link, ...] = ()
    notes: tuple[str, ...] = ()  # 'No feed: ...'
    feed: str = ""
    picture: str = ""
    public_address: str = ""


_STOCK = "parts-alone"
FAILED = "not-worked-out"
_GROUPS: tuple[tuple[str, str, tuple[Standing, ...], str], ...] = (
    ("on-the-bench", "On the bench", ("looking",), "still asks|still ask"),
    ("found", "Cause found, waiting", ("found",), "waits|wait"),
    ("repaired", "Put right, not proved yet", ("repaired",), "asks|ask"),
    ("put-right", "Put right", ("proved", "handed over"), "has|have"),
    (_STOCK, "Parts for other jobs", (), "names|name"),
    (FAILED, "Not worked out", (), "is|are"),
)
_ASIDES = {
    "on-the-bench": "that {verb} for a test.",
    "found": "that {verb} for a part or for the repair.",
    "repaired": "that {verb} for a test like the one that failed.",
    "put-right": "with a proof after the repair.",
    _STOCK: "that {verb} parts of a donor and no engine to test.",
    FAILED: "that {verb} without a page, because logbook failed on it; its own page says what to do.",
}
_GROUP_OF = {standing: name for name, _, standings, _ in _GROUPS for standing in standings}
_OPEN, _CLOSED = (FAILED, "on-the-bench", "found", "repaired"), ("put-right", _STOCK)


def shelf_row(job: Job, diagnosis: Diagnosis) -> ShelfRow:
    """The summary of one job, in its copy."""
    engine = job.engine() or (job.engines[0] if job.engines else None)
    states = {p.cylinder: s for p, s in diagnosis.states if engine and p.engine == engine.name}
    label, cause = _cause(job, diagnosis)
    shown = [e for e in job.entries if job.copy == "shop" or not e.private]
    waiting = {t.order for t in job.trades if t.kind == "waiting"} - {
        t.order for t in job.trades if t.kind == "arrived"
    }
    return ShelfRow(
        job.address,
        title_of(job),
        diagnosis.standing,
        _sentence(job, diagnosis, states_summed(engine, states) if engine and states else ""),
        cause,
        label,
        short_engine_words(engine) if engine else "",
        job.first_day,
        job.last_day,
        len(shown),
        small_plan(engine, states, lying=True) if engine else None,
        bool(waiting),
        job.lines.problem,
        is_stock=is_stock(job),
    )


def _cause(job: Job, diagnosis: Diagnosis) -> tuple[str, str]:
    """What the log says it was, else what stands first with at least one chance in three."""
    written = "; ".join(causes_words(job))
    if written:
        return "cause", written
    first = [c for a in diagnosis.cylinders for c in a.causes[:1] if c.probability >= _WORTH_NAMING]
    told = dict.fromkeys(f"{c.label}, {in_hundred(c.probability)}" for c in first)
    return "likeliest", "; ".join(told)


def _sentence(job: Job, diagnosis: Diagnosis, states: str) -> str:
    """How the cylinders stand, then what comes next or what proved the repair."""
    told = [capital(states)] if states else []
    proofs = [r for r in job.readings if r.proved and r.counts and not is_hidden(job, r.entry)]
    if diagnosis.standing in _SETTLED and all(state == "not known" for _, state in diagnosis.states):
        told = []  # taken apart since: how it stood at the proof is what counts
    if diagnosis.next and diagnosis.standing not in _SETTLED:
        step = diagnosis.next[0]
        told.append(f"next: {step.title[:1].lower()}{step.title[1:]}, {duration_words(step.minutes).lower()}")
    elif proofs:
        day = short_date(job.entries[proofs[0].entry].entry.day)
        told.append(f"{'proved' if told else 'Proved'} by {proofs[0].test} on {day}")
    elif not told:
        symptom = next((text for kind, text in job.card if kind == "symptom"), "")
        told.append(diagnosis.one_line or symptom or no_test_yet(job))
    return sentence("; ".join(told))


def shelved(row: ShelfRow, made: bytes) -> Shelved:
    """``row`` in its group; ``made`` is its HTML."""
    return Shelved(row.address, row.sort_key, _STOCK if row.is_stock else _GROUP_OF[row.standing], row.unread, made)


def shelf_pages(rows: Iterable[Shelved], site: ShelfSite) -> tuple[ShelfPage, ...]:
    """The shelf; above ``MOST_ON_ONE_SHELF`` jobs the open ones and the newest year, and a page for each year.

    ``rows`` come by address; on one day they stay so.
    """
    ordered = sorted(rows, key=attrgetter("last"), reverse=True)
    if len(ordered) <= MOST_ON_ONE_SHELF:
        shown = _by_group(ordered)
        return (_page(frame.SHELF, "Shelf of jobs", shown, _totals(shown), site, ()),)
    by_year = {year: _by_group(found) for year, found in _years(ordered)}
    links = tuple(Link(year or "Without a day", _year_path(year)) for year in by_year)
    open_ = chain.from_iterable(_of(found, _OPEN) for found in by_year.values())
    shown = _by_group(islice(chain(open_, _of(next(iter(by_year.values())), _CLOSED)), MOST_ON_ONE_SHELF))
    totals = {year: _totals(found) for year, found in by_year.items()}
    first = _page(frame.SHELF, "Shelf of jobs", shown, _added(totals.values()), site, links)
    rest = [_page(_year_path(y), _year_title(y), found, totals[y], site, links) for y, found in by_year.items()]
    return (first, *rest)


def _years(ordered: Sequence[Shelved]) -> Iterator[tuple[str, Sequence[Shelved]]]:
    """Each year and its rows, of rows that stand the newest first; "" for those without a day."""
    start = 0
    while start < len(ordered):
        year = ordered[start].last[:4]
        end = bisect_left(ordered, True, start, key=lambda row: row.last < year)
        yield year, ordered[start:end]
        start = end


def _by_group(rows: Iterable[Shelved]) -> ByGroup:
    found: dict[str, list[Shelved]] = {name: [] for name, _, _, _ in _GROUPS}
    for row in rows:
        found[row.group].append(row)
    return found


def _of(by_group: ByGroup, groups: Collection[str]) -> list[Shelved]:
    """The rows of some groups, the newest first."""
    return sorted(chain.from_iterable(by_group[name] for name in groups), key=attrgetter("last"), reverse=True)


def _totals(by_group: ByGroup) -> _Totals:
    unread = sum(sum(map(attrgetter("unread"), rows)) for rows in by_group.values())
    return _Totals(Counter({name: len(rows) for name, rows in by_group.items()}), unread)


def _added(totals: Collection[_Totals]) -> _Totals:
    return _Totals(sum((t.jobs for t in totals), Counter[str]()), sum(t.unread for t in totals))


def _year_path(year: str) -> str:
    return f"jobs-of-{int(year)}.html" if year else "jobs-without-a-day.html"


def _year_title(year: str) -> str:
    return f"Jobs of {int(year)}" if year else "Jobs without a day"


def _page(
    path: str,
    title: str,
    shown: ByGroup,
    totals: _Totals,
    site: ShelfSite,
    years: tuple[Link, ...],
) -> ShelfPage:
    last = max((rows[0].last for rows in shown.values() if rows), default="")  # the newest stands first
    jobs = counted(totals.jobs.total(), "job")
    written = f"Written {date_words(date.fromisoformat(last))} " if last else "Written "
    sheet = Sheet(
        path=path,
        title=title,
        page_title=f"{title}, {site.shop}" if site.shop else title,
        description=f"{capital(jobs)}: what each engine did, what it was, what comes next.",
        shop=site.shop,
        copy=site.copy,
        fields=_fields(totals.jobs),
        ways=site.ways,
        ways_label="Elsewhere",
        foot=f"{written}from {counted(totals.jobs.total(), 'log')}, {counted(totals.unread, 'line')} unread",
        foot_links=site.foot_links,
        scripts=("search.js", "reload.js"),
        data=site.data,
        feed=site.feed,
        picture=site.picture,
        public_address=site.public_address,
    )
    return ShelfPage(sheet, tuple(_groups(shown)), marks(SMALL_RADIUS), years, site.notes)


def _fields(jobs: Counter[str]) -> tuple[Field, ...]:
    stock = jobs[_STOCK]
    return (
        Field("Jobs", str(jobs.total())),
        Field("Still asking for a test", str(jobs["on-the-bench"] + jobs["repaired"])),
        Field("Cause found, waiting", str(jobs["found"])),
        Field("Put right", str(jobs["put-right"])),
        *([Field("Parts for other jobs", str(stock))] if stock else []),
    )


def _groups(rows: ByGroup) -> Iterator[ShelfGroup]:
    for name, heading, _, verbs in _GROUPS:
        if found := rows[name]:
            verb = verbs.split("|")[len(found) > 1]
            what = "log" if name in (_STOCK, FAILED) else "job"
            jobs = f"{capital(spelled(len(found)))} {what}{'s' if len(found) > 1 else ''}"
            yield ShelfGroup(name, heading, f"{jobs} {_ASIDES[name].format(verb=verb)}", found)
