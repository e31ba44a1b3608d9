"""The days of all jobs as an Atom feed (RFC 4287), where the shop has a public address."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from logbook.job.model import Job
from logbook.pages import frame
from logbook.pages.account import done_words, proof_words
from logbook.pages.day_by_day import DaySection, days
from logbook.pages.frame import Copy, Sheet
from logbook.pages.repair import repairs
from logbook.pages.words import short_date

MOST = 50  # days in the feed, the latest first
_DAY = re.compile(r"day-(\d{4}-\d\d-\d\d)(?:-\d+)?$", re.ASCII)
# What XML 1.0 cannot hold (its Char production, W3C Recommendation, section 2.2).
_UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class FeedDay:
    """One day of one job. ``path`` and ``anchor`` say where it stands in the site."""

    day: date
    job: str
    path: str
    anchor: str
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FeedEntry:
    link: str  # whole address; it is the entry's identity too
    title: str
    updated: str  # RFC 3339
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Feed:
    sheet: Sheet
    home: str
    link: str
    title: str
    author: str
    updated: str
    entries: tuple[FeedEntry, ...]


def feed_days(job: Job) -> tuple[FeedDay, ...]:
    """The latest days of one job that have a date and something to show, as its page tells them."""
    sections = ((_DAY.match(section.id), section) for section in days(job, {}) if section.entries)
    found = [_feed_day(job, date.fromisoformat(named[1]), section) for named, section in sections if named]
    return tuple(sorted(found, key=lambda d: (d.day, d.anchor), reverse=True)[:MOST])


def _feed_day(job: Job, day: date, section: DaySection) -> FeedDay:
    lines = []
    for entry in section.entries:
        if not entry.private:
            rest = "".join(piece.text for piece in entry.rest if not piece.struck)
            lines.append(f"{entry.word}: {rest}".rstrip(": "))
            lines += [note.text for note in entry.notes if not note.private]
    for repair in repairs(job):
        if repair.proofs and job.entries[repair.proofs[-1]].entry.day == day:
            lines.insert(0, " ".join(filter(None, (done_words(job, repair), proof_words(job, repair)))))
    title = section.title or short_date(day)
    return FeedDay(day, job.title, frame.story_path(job.address), section.id, title, tuple(lines))


def feed(found: Iterable[FeedDay], address: str, shop: str, copy: Copy) -> Feed | None:
    """The feed of the latest days of all jobs; None without a public address or without a day."""
    latest = sorted(found, key=lambda d: (-d.day.toordinal(), d.path, d.anchor))[:MOST]
    if not address or not latest:
        return None
    home = address if address.endswith("/") else address + "/"
    entries = tuple(_entry(day, home) for day in latest)
    title = f"{shop}: days of the jobs" if shop else "Days of the jobs"
    sheet = Sheet(frame.FEED, title, title, shop=shop, copy=copy)
    return Feed(sheet, home, home + frame.FEED, _writable(title), _writable(shop or home), entries[0].updated, entries)


def _entry(day: FeedDay, home: str) -> FeedEntry:
    link = f"{home}{day.path.removesuffix('index.html')}#{day.anchor}"
    lines = tuple(_writable(line) for line in day.lines)
    return FeedEntry(link, _writable(f"{day.job}: {day.title}"), f"{day.day.isoformat()}T00:00:00Z", lines)


def _writable(text: str) -> str:
    return _UNWRITABLE.sub("\ufffd", text)
