"""The shelf: every job by its standing, a row each, made from one summary a job."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from operator import attrgetter

from logbook.diagnosis.answers import Diagnosis, Standing
from logbook.job.model import Job
from logbook.pages import frame
from logbook.pages.causes import causes_words
from logbook.pages.engine import short_engine_words
from logbook.pages.frame import Copy, Field, Link, Sheet
from logbook.pages.job_page import title_of
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
    def is_open(self) -> bool:
        return self.standing not in _SETTLED and not self.is_stock

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


@dataclass(frozen=True, slots=True)
class ShelfGroup:
    id: str
    heading: str
    aside: str
    rows: tuple[ShelfRow, ...]


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
_GROUPS: tuple[tuple[str, str, tuple[Standing, ...], str], ...] = (
    ("on-the-bench", "On the bench", ("looking",), "still asks|still ask"),
    ("found", "Cause found, waiting", ("found",), "waits|wait"),
    ("repaired", "Put right, not proved yet", ("repaired",), "asks|ask"),
    ("put-right", "Put right", ("proved", "handed over"), "has|have"),
    (_STOCK, "Parts for other jobs", (), "names|name"),
)
_ASIDES = {
    "on-the-bench": "that {verb} for a test.",
    "found": "that {verb} for a part or for the repair.",
    "repaired": "that {verb} for a test like the one that failed.",
    "put-right": "with a proof after the repair.",
    _STOCK: "that {verb} parts of a donor and no engine to test.",
}


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


def shelf_pages(rows: Sequence[ShelfRow], site: ShelfSite) -> tuple[ShelfPage, ...]:
    """The shelf; above ``MOST_ON_ONE_SHELF`` jobs the open ones and the newest year, and a page for each year."""
    by_address = sorted(rows, key=attrgetter("address"))
    ordered = sorted(by_address, key=lambda r: r.last.toordinal() if r.last else 0, reverse=True)
    if len(ordered) <= MOST_ON_ONE_SHELF:
        return (_page(frame.SHELF, "Shelf of jobs", ordered, ordered, site, ()),)
    by_year: dict[int, list[ShelfRow]] = {}  # the newest first; 0: those without a day
    for row in ordered:
        by_year.setdefault(row.last.year if row.last else 0, []).append(row)
    links = tuple(Link(str(year) if year else "Without a day", year_path(year)) for year in by_year)
    open_ = [r for r in ordered if r.is_open]
    newest = [r for r in next(iter(by_year.values())) if not r.is_open]
    first = _page(frame.SHELF, "Shelf of jobs", [*open_, *newest][:MOST_ON_ONE_SHELF], ordered, site, links)
    rest = [_page(year_path(y), _year_title(y), found, found, site, links) for y, found in by_year.items()]
    return (first, *rest)


def year_path(year: int) -> str:
    return f"jobs-of-{year}.html" if year else "jobs-without-a-day.html"


def _year_title(year: int) -> str:
    return f"Jobs of {year}" if year else "Jobs without a day"


def _page(
    path: str,
    title: str,
    rows: Sequence[ShelfRow],
    all_rows: Sequence[ShelfRow],
    site: ShelfSite,
    years: tuple[Link, ...],
) -> ShelfPage:
    last = max((r.last for r in rows if r.last), default=None)
    unread = sum(r.unread for r in all_rows)
    jobs = counted(len(all_rows), "job")
    written = f"Written {date_words(last)} " if last else "Written "
    sheet = Sheet(
        path=path,
        title=title,
        page_title=f"{title}, {site.shop}" if site.shop else title,
        description=f"{capital(jobs)}: what each engine did, what it was, what comes next.",
        shop=site.shop,
        copy=site.copy,
        fields=_fields(all_rows),
        ways=site.ways,
        ways_label="Elsewhere",
        foot=f"{written}from {counted(len(all_rows), 'log')}, {counted(unread, 'line')} unread",
        foot_links=site.foot_links,
        scripts=("search.js", "reload.js"),
        data=site.data,
        feed=site.feed,
        picture=site.picture,
        public_address=site.public_address,
    )
    return ShelfPage(sheet, tuple(_groups(rows)), marks(SMALL_RADIUS), years, site.notes)


def _fields(rows: Sequence[ShelfRow]) -> tuple[Field, ...]:
    counts = Counter(r.standing for r in rows if not r.is_stock)
    stock = len(rows) - counts.total()

    def count(*standings: Standing) -> str:
        return str(sum(counts[standing] for standing in standings))

    return (
        Field("Jobs", str(len(rows))),
        Field("Still asking for a test", count("looking", "repaired")),
        Field("Cause found, waiting", count("found")),
        Field("Put right", count("proved", "handed over")),
        *([Field("Parts for other jobs", str(stock))] if stock else []),
    )


def _groups(rows: Sequence[ShelfRow]) -> list[ShelfGroup]:
    groups = []
    group_of = {standing: name for name, _, standings, _ in _GROUPS for standing in standings}
    sorted_in: dict[str, list[ShelfRow]] = {name: [] for name, _, _, _ in _GROUPS}
    for row in rows:
        sorted_in[_STOCK if row.is_stock else group_of[row.standing]].append(row)
    for name, heading, _, verbs in _GROUPS:
        found = tuple(sorted_in[name])
        if found:
            verb = verbs.split("|")[len(found) > 1]
            what = "log" if name == _STOCK else "job"
            jobs = f"{capital(spelled(len(found)))} {what}{'s' if len(found) > 1 else ''}"
            groups.append(ShelfGroup(name, heading, f"{jobs} {_ASIDES[name].format(verb=verb)}", found))
    return groups
