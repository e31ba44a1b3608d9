"""What the search on the shelf looks through: one file that assigns one name, as pages from disk may fetch nothing."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.pages import frame
from logbook.pages.account import done_words
from logbook.pages.places import is_hidden
from logbook.pages.repair import repairs
from logbook.pages.status import status_of, status_words
from logbook.pages.words import date_span

DATA = "search-data.js"
NAME = "logbookSearch"
MOST_WORDS = 400  # of one job

_WORD = re.compile(r"[^\W_][\w.+-]*[^\W_]|[^\W_]")
_SHOWN_CARD = ("symptom", "vehicle", "engine", "clue", "fuel", "place")


@dataclass(frozen=True, slots=True)
class SearchEntry:
    """One thing that can be found: a job, a part, a kind of entry. ``words`` are folded and told once."""

    title: str
    path: str
    line: str
    words: str
    day: str = ""  # ISO 8601, the last one; for sorting
    anchor: str = ""


def job_entry(job: Job, diagnosis: Diagnosis) -> SearchEntry:
    """A job as it is found: by title, card, parts, causes, and every word of its days that its copy shows."""
    card = [text for kind, text in job.card if kind in _SHOWN_CARD]
    own = job.copy == "shop"
    days = [d.title for d in job.days] + [n.text for d in job.days for n in d.notes if own or not n.private]
    shown = [e for e in job.entries if not is_hidden(job, e.entry.index)]
    lines = [e.line_text for e in shown] + [n.text for e in shown for n in e.entry.notes if own or not n.private]
    causes = [c.label for answer in diagnosis.cylinders for c in answer.causes[:1]]
    done = [done_words(job, repair) for repair in repairs(job)]
    status = status_words(status_of(job, diagnosis))
    text = " ".join([job.title, *card, *causes, status, *done, *(p.called() for p in job.parts), *days, *lines])
    last = job.last_day.isoformat() if job.last_day else ""
    about = " · ".join(filter(None, (diagnosis.one_line, date_span(job.first_day, job.last_day))))
    return SearchEntry(job.title, frame.job_path(job.address), about, folded_words(text), last)


def folded_words(text: str) -> str:
    """Each word once, without case and accents, in order of first use: 'Zündkerze' is found by 'zundkerze'."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    return " ".join(list(dict.fromkeys(_WORD.findall(plain)))[:MOST_WORDS])


def search_row(e: SearchEntry) -> bytes:
    """One entry as it is written, a line made with its job: data alone, in ASCII, which can close no script element."""
    row = json.dumps([e.title, e.path, e.anchor, e.line, e.words, e.day], separators=(",", ":"))
    return row.replace("<", "\\u003c").encode("ascii") + b",\n"


def search_data(rows: Iterable[bytes]) -> Iterable[bytes]:
    """The file, in pieces."""
    return chain((f"var {NAME} = [\n".encode(),), rows, (b"];\n",))
