"""How a page refers to an entry of its log: the day as words, the anchor as link, nothing of a private one."""

from __future__ import annotations

from logbook.job.model import Job
from logbook.pages.frame import Link, story_path
from logbook.pages.words import short_date

KEPT_PRIVATE = "an entry kept private"


def is_hidden(job: Job, entry: int) -> bool:
    """Is this an entry that the public copy does not show?"""
    return job.copy == "public" and (entry >= len(job.entries) or job.entries[entry].private)


def entry_link(job: Job, entry: int) -> Link:
    """'4 May' leading to the entry in the job's story; words without a link where it is kept private."""
    if entry < 0 or is_hidden(job, entry):
        return Link(KEPT_PRIVATE if entry >= 0 else "the card")
    found = job.entries[entry]
    day = short_date(found.entry.day, us=job.units == "us") if found.entry.day else _undated(job, entry)
    return Link(day, story_path(job.address), found.anchor)


def entry_links(job: Job, entries: tuple[int, ...]) -> tuple[Link, ...]:
    """One link a day, to the first of its entries, in time order."""
    links: dict[str, Link] = {}
    for entry in entries:
        link = entry_link(job, entry)
        links.setdefault(link.text, link)
    return tuple(links.values())


def _undated(job: Job, entry: int) -> str:
    return "the card" if job.entries[entry].entry.part_of == "card" else "day unknown"
