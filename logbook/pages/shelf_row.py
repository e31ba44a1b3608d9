"""One job on the shelf: where it turned, how far it is, its next test; made once a job, and small."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.pages import frame
from logbook.pages.day_by_day import ShownPhoto
from logbook.pages.engine import states_of
from logbook.pages.heads import card, promised_words, proved_day, short_cause, state_line, title_of
from logbook.pages.next_step import next_steps
from logbook.pages.phrases import Voice
from logbook.pages.plan import SmallPlan, engine_name, small_plan
from logbook.pages.status import OPEN, Status, status_of, status_words
from logbook.pages.story import nothing_to_test
from logbook.pages.turning import chosen_photo, turning_words
from logbook.pages.words import capital, sentence

Group = Literal["failed", "open", "fixed", "other"]
GROUP_OF: Mapping[Status, Group] = {
    "open": "open",
    "found": "open",
    "repaired": "open",
    "fixed": "fixed",
    "back": "fixed",
    "running": "other",
    "work": "other",
    "parts": "other",
}


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """All that the shelf says of a job. ``last`` is its last day; ``small`` the line in small letters."""

    address: str
    title: str
    group: Group
    turning: str
    small: str
    urgent: str
    test: str  # with its minutes; "" where none is asked for
    photo: ShownPhoto | None
    plan: SmallPlan | None
    last: date | None
    label: str = ""  # before the test
    parting_out: bool = False
    unread: int = 0

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
    group: Group
    parting_out: bool
    unread: int
    made: bytes


def shelved(row: ShelfRow, made: bytes) -> Shelved:
    """``row`` in its group; ``made`` is its HTML."""
    return Shelved(row.address, row.sort_key, row.group, row.parting_out, row.unread, made)


def shelf_row(job: Job, diagnosis: Diagnosis, photos: Mapping[str, ShownPhoto], voice: Voice) -> ShelfRow:
    """The row of one job, in its copy; ``voice`` is that of the shelf."""
    status = status_of(job, diagnosis)
    engine = job.engine() or (job.engines[0] if job.engines else None)
    photo = chosen_photo(job, photos)
    is_open = status in OPEN
    return ShelfRow(
        address=job.address,
        title=title_of(job),
        group=GROUP_OF[status],
        turning=_turning(voice, job, diagnosis, status),
        small=_small(voice, job, diagnosis, status),
        urgent=promised_words(voice, job) if is_open else "",
        test=_next_test(job, diagnosis) if is_open else "",
        photo=photos[photo.file] if photo else None,
        plan=small_plan(engine, states_of(diagnosis.states, engine), lying=True) if engine else None,
        last=job.last_day,
        label=voice.say("shelf.next"),
        parting_out=status == "parts",
        unread=job.lines.problem,
    )


def _turning(voice: Voice, job: Job, diagnosis: Diagnosis, status: Status) -> str:
    """Where the case turned and what it was; how a build stands; else what can be said of it."""
    if status in ("running", "work"):
        return state_line(voice, job, diagnosis, status) or nothing_to_test(job, diagnosis)
    turned = turning_words(voice, job, diagnosis)
    cause = short_cause(job)
    if turned and cause and status not in OPEN:
        return f"{turned} {voice.say('job.cause', cause=cause)}"
    said = turned or state_line(voice, job, diagnosis, status)
    return said or sentence(capital(card(job, "symptom"))) or nothing_to_test(job, diagnosis)


def _small(voice: Voice, job: Job, diagnosis: Diagnosis, status: Status) -> str:
    """'Open. Cylinder 6 is dead. V8. For D. Meadow.', 'Fixed 18 July 2026. Inline four.'"""
    words = status_words(status)
    if status == "fixed":
        words = f"{words} {voice.date(proved_day(job) or job.last_day)}"
    elif status == "back":
        words = f"{words} {voice.date(job.handed_over or job.last_day)}"
    engine = job.engine() or (job.engines[0] if job.engines else None)
    said = [words]
    if status in OPEN:
        said.append(state_line(voice, job, diagnosis, status).rstrip("."))
    if engine:
        said.append(engine_name(engine))
    owner = card(job, "owner")
    if owner and status in OPEN and job.copy == "shop":
        said.append(voice.say("shelf.owner", owner=owner))
    return " ".join(sentence(capital(s)) for s in said if s)


def _next_test(job: Job, diagnosis: Diagnosis) -> str:
    """'Put the spark tester on 6. 5 minutes.'"""
    test = next_steps(job, diagnosis).test
    if test is None:
        return nothing_to_test(job, diagnosis)
    return " ".join(sentence(capital(t)) for t in (test.title, test.minutes, test.blocked) if t)
