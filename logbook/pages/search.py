"""What the search on the shelf looks through: one file that assigns one name, as pages from disk may fetch nothing.

A job is told with its places: its page, the pages of its parts, its days and entries. The script cuts the words.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job, JobEntry
from logbook.pages import frame
from logbook.pages.account import done_words
from logbook.pages.day_by_day import days
from logbook.pages.heads import title_of
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.repair import repairs
from logbook.pages.status import status_of, status_words
from logbook.pages.words import capital, date_span

DATA = "search-data.js"
NAME = "logbookSearch"
MOST_TEXT = 12_000  # characters of one job's places; what comes later in a longer log is not found

_SHOWN_CARD = ("symptom", "vehicle", "engine", "clue", "fuel", "place")
_OWN_CARD = ("owner", "registration")


class Found(NamedTuple):
    """A place to be led to: ``to`` is a site path, or '#' and an anchor of the job's story."""

    label: str
    to: str
    text: str


@dataclass(frozen=True, slots=True)
class SearchEntry:
    """One job as it can be found. ``line`` says what it is about, ``words`` lead to its own page."""

    title: str
    path: str
    line: str
    words: str
    day: str = ""  # ISO 8601, the last one; for sorting
    story: str = ""  # site path, where the anchors of ``places`` are
    places: tuple[Found, ...] = ()


def job_entry(job: Job, diagnosis: Diagnosis, part_pages: Mapping[str, str]) -> SearchEntry:
    """A job as its copy shows it; ``part_pages`` gives the site path of each part that has a page."""
    kinds = _SHOWN_CARD if job.copy == "public" else (*_SHOWN_CARD, *_OWN_CARD)
    card = [text for kind, text in job.card if kind in kinds]
    causes = [c.label for answer in diagnosis.cylinders for c in answer.causes[:1]]
    status = status_words(status_of(job, diagnosis))
    done = [done_words(job, repair) for repair in repairs(job)]
    span = date_span(job.first_day, job.last_day, us=job.units == "us") if job.first_day else ""
    return SearchEntry(
        title_of(job),
        frame.job_path(job.address),
        ", ".join(filter(None, (status, span))),
        " ".join([*card, *causes, *done]),
        job.last_day.isoformat() if job.last_day else "",
        frame.story_path(job.address),
        tuple(_within(chain(_parts(job, part_pages), _days(job), _entries(job)))),
    )


def _within(found: Iterable[Found]) -> Iterator[Found]:
    left = MOST_TEXT
    for place in found:
        left -= len(place.text)
        if left < 0:
            return
        yield place


def _parts(job: Job, part_pages: Mapping[str, str]) -> Iterator[Found]:
    for part in job.parts:
        if path := part_pages.get(part.id):
            yield Found(capital(f"{part.kind} {part.name}"), path, f"{part.called()} {part.donor}".strip())


def _days(job: Job) -> Iterator[Found]:
    """Days with a title or a note of their own."""
    own = job.copy == "shop"
    for section in days(job, {}):
        text = " ".join([section.title, *(n.text for n in section.notes if own or not n.private)]).strip()
        if text:
            yield Found(section.heading, f"#{section.id}", _plain(text))


def _entries(job: Job) -> Iterator[Found]:
    voice = voice_of(job.units)
    for entry in job.entries:
        if not is_hidden(job, entry.entry.index):
            yield Found(_label(voice, entry), f"#{entry.anchor}", _text(job, entry))


def _label(voice: Voice, entry: JobEntry) -> str:
    if entry.entry.day:
        return voice.day(entry.entry.day)
    return voice.say("story.card") if entry.entry.part_of == "card" else ""


def _text(job: Job, entry: JobEntry) -> str:
    notes = (n.text for n in entry.entry.notes if job.copy == "shop" or not n.private)
    return _plain(". ".join([entry.line_text, *notes]))


def _plain(text: str) -> str:
    """On one line, without Markdown's marks of emphasis."""
    return " ".join(text.replace("*", "").split())


def search_row(e: SearchEntry) -> bytes:
    """One job as it is written, a line made with its job: data alone, in ASCII, which can close no script element."""
    told = [e.title, e.path, e.line, e.day, e.words, e.story, [list(place) for place in e.places]]
    row = json.dumps(told, separators=(",", ":"))
    return row.replace("<", "\\u003c").encode("ascii") + b",\n"


def search_data(rows: Iterable[bytes]) -> Iterable[bytes]:
    """The file, in pieces."""
    return chain((f"var {NAME} = [\n".encode(),), rows, (b"];\n",))
