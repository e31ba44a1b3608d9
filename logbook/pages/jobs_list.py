"""``jobs.json``: every job of the site in a few keys, for programs; ``jobs.schema.json`` documents them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.job.orders import awaited
from logbook.pages.causes import causes_words
from logbook.pages.data import FILE
from logbook.pages.frame import job_path
from logbook.pages.heads import card, promised_words, proved_day, title_of
from logbook.pages.next_step import first_free
from logbook.pages.phrases import Voice
from logbook.pages.places import is_hidden
from logbook.pages.status import OPEN, status_of

FILE_OF_ALL = "jobs.json"
SCHEMA = "jobs.schema.json"


def jobs_row(job: Job, diagnosis: Diagnosis) -> bytes:
    """One job as it is written, made with the job. ``job`` is the shop's or the public copy."""
    status = status_of(job, diagnosis)
    trades = [t for t in job.trades if t.counts and not is_hidden(job, t.entry)]
    step = first_free(job, diagnosis) if status in OPEN else None
    proved = proved_day(job)
    told = {
        "job": job.address,
        "title": title_of(job),
        "status": status,
        "standing": diagnosis.standing,
        "symptom": card(job, "symptom") or None,
        "engine": card(job, "engine") or None,
        "first_day": job.first_day.isoformat() if job.first_day else None,
        "last_day": job.last_day.isoformat() if job.last_day else None,
        "proved": proved.isoformat() if proved else None,
        "handed_over": job.handed_over.isoformat() if job.handed_over else None,
        "wanted": promised_words(Voice(), job) or None,
        "causes": list(causes_words(job)),
        "next": {"title": step.title, "minutes": step.minutes, "write": step.to_write or None} if step else None,
        "waiting": [t.text or t.order for t in awaited(job, trades)],
        "unread_lines": job.lines.problem,
        "page": job_path(job.address),
        "data": f"{job.address}/{FILE}",
    }
    return json.dumps(told, allow_nan=False).encode("ascii")


def jobs_json(rows: Sequence[bytes]) -> Iterable[bytes]:
    """The file, in pieces: jobs by their address."""
    return chain((b'{"jobs": [\n',), _joined(rows), (b"\n]}\n",))


def _joined(rows: Sequence[bytes]) -> Iterator[bytes]:
    for number, row in enumerate(rows):
        yield b",\n" + row if number else row
