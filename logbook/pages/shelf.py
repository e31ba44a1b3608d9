"""The shelf: open jobs first, what was fixed lately, builds and parts; older ones folded by year."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

from logbook.pages import frame
from logbook.pages.frame import Copy, Link, Sheet
from logbook.pages.phrases import Voice
from logbook.pages.plan import SMALL_RADIUS, Mark, marks
from logbook.pages.shelf_row import Group, Shelved
from logbook.pages.words import counted

MOST_ON_ONE_SHELF = 1000  # above it each year has a page of its own
MOST_UNFOLDED = 12  # closed jobs that all stand open
MOST_OPEN = 8  # open jobs that stand open beside closed ones that are folded
LATELY = 4  # closed jobs that stand open then
_CLOSED: tuple[Group, ...] = ("fixed", "other")
_GROUPS: tuple[Group, ...] = ("failed", "open", *_CLOSED)


@dataclass(frozen=True, slots=True)
class ShelfGroup:
    """``folded`` is the heading of rows that open by a press, "" where all stand open."""

    id: str
    heading: str
    rows: Sequence[Shelved]
    folded: str = ""
    more: Sequence[Shelved] = ()  # behind ``folded``


@dataclass(frozen=True, slots=True)
class FoldedYear:
    """``link`` leads to a page of its own where the shelf is too long for its rows."""

    heading: str
    rows: Sequence[Shelved] = ()
    link: Link | None = None


@dataclass(frozen=True, slots=True)
class ShelfPage:
    sheet: Sheet
    groups: tuple[ShelfGroup, ...]
    years: tuple[FoldedYear, ...]
    doors: tuple[tuple[Link, str], ...]
    marks: tuple[Mark, ...]
    notes: tuple[str, ...]
    words: Voice


@dataclass(frozen=True, slots=True)
class ShelfSite:
    """What the shelf must know of the site around it."""

    shop: str = ""
    copy: Copy = "shop"
    voice: Voice = field(default_factory=Voice)
    doors: tuple[tuple[Link, str], ...] = ()
    data: tuple[str, ...] = ()  # site paths of the files for search
    notes: tuple[str, ...] = ()  # 'No feed: ...'
    feed: str = ""
    picture: str = ""
    public_address: str = ""


class _Totals(NamedTuple):
    """What the head and foot of a page of the shelf count."""

    jobs: Counter[Group]
    parting_out: int
    unread: int  # lines
    last: str


def shelf_pages(rows: Iterable[Shelved], site: ShelfSite) -> tuple[ShelfPage, ...]:
    """The shelf; above ``MOST_ON_ONE_SHELF`` jobs a page for each year beside it.

    ``rows`` come by address; on one day they stay so.
    """
    ordered = sorted(rows, key=attrgetter("last"), reverse=True)
    by_group = {name: [row for row in ordered if row.group == name] for name in _GROUPS}
    closed = [row for row in ordered if row.group in _CLOSED]
    folds = len(closed) > MOST_UNFOLDED
    own_pages = len(ordered) > MOST_ON_ONE_SHELF
    years = [(year, list(found)) for year, found in groupby(closed, key=lambda row: row.last[:4])] if folds else []
    if folds:
        groups = [*_open_groups(site.voice, by_group, MOST_OPEN), _group(site.voice, "lately", closed[:LATELY])]
    else:
        groups = [*_open_groups(site.voice, by_group, len(ordered)), *_closed_groups(site.voice, by_group)]
    folded = [_folded(site.voice, year, found, own_pages) for year, found in years]
    title = site.voice.say("shelf.title")
    first = _page(frame.SHELF, title, tuple(g for g in groups if g.rows), folded, _totals(ordered), site)
    rest = [_year_page(year, found, site) for year, found in years] if own_pages else []
    return (first, *rest)


def _group(voice: Voice, name: str, rows: Sequence[Shelved]) -> ShelfGroup:
    return ShelfGroup(name, voice.say(f"shelf.{name}"), rows)


def _open_groups(voice: Voice, by_group: dict[Group, list[Shelved]], most: int) -> Iterator[ShelfGroup]:
    yield _group(voice, "failed", by_group["failed"])
    rows, more = by_group["open"][:most], by_group["open"][most:]
    folded = voice.say("shelf.more", jobs=counted(len(more), "job")) if more else ""
    yield ShelfGroup("open", voice.say("shelf.open"), rows, folded, more)


def _closed_groups(voice: Voice, by_group: dict[Group, list[Shelved]]) -> Iterator[ShelfGroup]:
    return (_group(voice, name, by_group[name]) for name in _CLOSED)


def _folded(voice: Voice, year: str, rows: Sequence[Shelved], own_page: bool) -> FoldedYear:
    heading = voice.say("shelf.year", year=_year_words(voice, year), jobs=counted(len(rows), "job"))
    if own_page:
        return FoldedYear(heading, link=Link(heading, _year_path(year)))
    return FoldedYear(heading, rows)


def _year_words(voice: Voice, year: str) -> str:
    return str(int(year)) if year else voice.say("shelf.undated")


def _year_path(year: str) -> str:
    return f"jobs-of-{int(year)}.html" if year else "jobs-without-a-day.html"


def _year_page(year: str, rows: Sequence[Shelved], site: ShelfSite) -> ShelfPage:
    title = site.voice.say("shelf.title_of", year=_year_words(site.voice, year))
    by_group = {name: [row for row in rows if row.group == name] for name in _CLOSED}
    groups = tuple(g for g in _closed_groups(site.voice, by_group) if g.rows)
    return _page(_year_path(year), title, groups, (), _totals(rows), site)


def _totals(rows: Sequence[Shelved]) -> _Totals:
    return _Totals(
        Counter(row.group for row in rows),
        sum(row.parting_out for row in rows),
        sum(row.unread for row in rows),
        rows[0].last if rows else "",  # the newest stands first
    )


def _page(
    path: str,
    title: str,
    groups: tuple[ShelfGroup, ...],
    years: Sequence[FoldedYear],
    totals: _Totals,
    site: ShelfSite,
) -> ShelfPage:
    voice = site.voice
    state = voice.say("shelf.state", counts=", ".join(_counts(voice, totals))) if totals.jobs else ""
    sheet = Sheet(
        path=path,
        title=title,
        page_title=f"{title}, {site.shop}" if site.shop else title,
        description=state or voice.say("shelf.none"),
        us=voice.us,
        shop=site.shop,
        copy=site.copy,
        state=state,
        foot=_foot(voice, totals),
        scripts=("search.js", "reload.js"),
        data=site.data,
        feed=site.feed,
        picture=site.picture,
        public_address=site.public_address,
    )
    return ShelfPage(sheet, groups, tuple(years), site.doors, marks(SMALL_RADIUS), site.notes, voice)


def _counts(voice: Voice, totals: _Totals) -> Iterator[str]:
    """'1 open', '5 fixed', '1 build', '1 parting out': what there is of each."""
    builds = totals.jobs["other"] - totals.parting_out
    numbers = (totals.jobs["open"], totals.jobs["fixed"], builds, totals.parting_out, totals.jobs["failed"])
    for name, number in zip(("open", "fixed", "builds", "parting", "failed"), numbers, strict=True):
        if number:
            yield voice.say(f"shelf.count_{name}{'_one' if number == 1 else ''}", count=number)


def _foot(voice: Voice, totals: _Totals) -> str:
    logs = counted(totals.jobs.total(), "log")
    if not totals.last:
        return voice.say("shelf.from_undated", logs=logs)
    unread = voice.say("shelf.unread", lines=counted(totals.unread, "line")) if totals.unread else ""
    return voice.say("shelf.from", logs=logs, day=voice.date(date.fromisoformat(totals.last))) + unread
