"""The stages over one log: what it says to the others, and its part of the site. The one module that knows them all.

A worker process gets a ``Context`` once and then one small ``Order`` after another. Nothing here decides what is made.
"""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date
from pathlib import Path
from typing import TypeVar

from logbook.build.discovery import CannotRead, LogFile
from logbook.build.reading import Shop, address_by_itself, is_log, read_log, read_recordings
from logbook.diagnosis.answers import Diagnosis
from logbook.diagnosis.diagnose import diagnose
from logbook.diagnosis.knowledge import load
from logbook.diagnosis.learning import Lesson, lesson
from logbook.findings.model import Number
from logbook.findings.recordings import Heard, listen, ran, with_heard
from logbook.findings.work import work_out
from logbook.job import ledger
from logbook.job.donors import DonorStock, stocks_of
from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.job.masking import Masker
from logbook.job.model import Job
from logbook.job.private_values import PrivateValue, values_of
from logbook.output.record import Copy, digest
from logbook.output.site import Refused, Stage, Stamp
from logbook.output.writing import CannotWrite
from logbook.pages.closed_jobs import ClosedJob
from logbook.pages.feed import FeedDay
from logbook.pages.orders import JobOrders
from logbook.pages.parts_record import PartRecord
from logbook.pages.problems import ProblemFile
from logbook.pages.shelf_row import Shelved
from logbook.problems import Problem, Weight
from logbook.spans import NOWHERE, Span
from logbook.text.entries import LineCount, Log

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Failure:
    """Why nothing came of one log. ``lasting``: it would fail again, so it is not tried until something changes."""

    message: str
    lasting: bool = True

    @property
    def problem(self) -> Problem:
        """The same as a problem of the log."""
        mend = f"report it with this line; logbook check --explain {NOT_WORKED_OUT} says how"
        return Problem(NOT_WORKED_OUT, Weight.ERROR, NOWHERE, self.message, mend)


def attempt(work: Callable[[], T]) -> T | Failure:
    """The wall round each log: whatever one of them makes go wrong ends here, and the others go on.

    What is no fault of one log passes: a full disk, a site that must not be touched, the reader's own templates.
    The message names the place in the program and nothing of the log, so that it can be passed on.
    """
    try:
        return work()
    except (CannotWrite, Refused):
        raise
    except CannotRead as error:
        return Failure(f"{error}.", lasting=False)
    except Exception as error:
        return Failure(f"logbook failed: {place_of(error)}.", lasting=not isinstance(error, (MemoryError, OSError)))


def place_of(error: Exception) -> str:
    """'KeyError in diagnosis/standing.py, line 12', the innermost place of our own."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__))) + os.sep
    frames = [f for f in traceback.extract_tb(error.__traceback__) if f.filename.startswith(package)]
    if not frames:
        return type(error).__name__
    place = frames[-1].filename.removeprefix(package).replace(os.sep, "/")
    return f"{type(error).__name__} in {place}, line {frames[-1].lineno}"


@dataclass(frozen=True, slots=True)
class Context:
    """What all jobs of one run share."""

    copy: Copy
    staging: Path
    templates: Path | None
    shops: Mapping[str, Shop]  # by folder
    static: Mapping[str, str] = field(default_factory=dict)  # site paths of the static files by their plain names
    donors: Mapping[str, DonorStock] = field(default_factory=dict)
    lessons: Mapping[str, tuple[Lesson, ...]] = field(default_factory=dict)  # by folder, those of proved jobs
    private: tuple[PrivateValue, ...] = ()  # of all logs and shop files; none in the shop's own copy

    @property
    def may_have_feed(self) -> bool:
        """Whether the site's shop may have a public address: with several folders another one's file may give it."""
        return len(self.shops) > 1 or any(shop.public_address for shop in self.shops.values())

    @property
    def masks(self) -> Masker:
        """What masks the private values of all logs; made once in each process."""
        if not _masks or _masks[0][0] is not self.private:
            _masks[:] = [(self.private, Masker(self.private, said_by(self.shops)))]
        return _masks[0][1]


_masks: list[tuple[tuple[PrivateValue, ...], Masker]] = []


def said_by(shops: Mapping[str, Shop]) -> tuple[str, ...]:
    """What shops say of themselves on every page."""
    return tuple(text for shop in shops.values() for text in (shop.name, shop.public_address) if text)


@dataclass(frozen=True, slots=True)
class Card:
    """What a log says to the rest of its folder, before anything is concluded from it."""

    is_log: bool
    declared: str = ""  # the address that it asks for
    address: str = ""  # that it was read with
    stocks: tuple[DonorStock, ...] = ()
    files: tuple[str, ...] = ()  # photos and traces that it names, as absolute paths
    first_day: date | None = None
    lesson: Lesson | None = None
    lesson_key: str = ""  # hash of the lesson
    failure: Failure | None = None
    private: tuple[PrivateValue, ...] = ()  # what it says that no public page may show


@dataclass(frozen=True, slots=True)
class Order:
    """One job to make. ``trusted`` and ``figures`` are of last time: whole files, and what figures showed."""

    log: LogFile
    address: str
    taught: str = ""  # hash of the lessons that it learns from
    trusted: Mapping[str, str] = field(default_factory=dict)
    figures: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Tells:
    """What pages over several jobs say of one."""

    row: Shelved
    found: bytes  # as it stands in the data of the search
    listed: bytes  # as it stands in the list of all jobs; empty where it is in none
    problems: ProblemFile | None
    parts: tuple[PartRecord, ...]
    orders: JobOrders
    closed: ClosedJob | None
    feed: tuple[FeedDay, ...]

    def hashes(self) -> dict[str, str]:
        """Of each field, so that pages over several jobs see what has changed."""
        return {f.name: _hash_of(getattr(self, f.name)) for f in fields(self)}


@dataclass(frozen=True, slots=True)
class Made:
    """What was made of one log."""

    address: str
    files: Mapping[str, str]  # name to hash
    figures: Mapping[str, str]  # figures and photos: name to what they were made from
    depends: tuple[tuple[str, str], ...]
    weights: Mapping[str, int]  # problems by weight
    tells: Tells
    told: Mapping[str, str]  # the hashes of ``tells``
    owners: tuple[str, ...]  # addresses of the logs that declare the parts it tells of


def read_card(file: LogFile, shop: Shop, address: str = "") -> Card:
    """Read one log for what it says to others. ``address`` is where its page goes, once that is settled."""
    log = read_log(file, shop)
    if not is_log(log):
        return Card(False)
    declared = next((e.text for e in log.entries if e.kind == "address"), "")
    place = address or address_by_itself(log)
    folder = os.path.dirname(file.file)
    named = sorted({os.path.normpath(os.path.join(folder, e.file)) for e in log.entries if e.file})
    first = min((day.day for day in log.days if day.day), default=None)
    taught = _lesson(log, shop, place)
    said = stocks_of(log, place)
    return Card(
        is_log=True,
        declared=declared,
        address=place,
        stocks=said,
        files=tuple(named),
        first_day=first,
        lesson=taught,
        lesson_key=_hash_of(taught) if taught else "",
        private=values_of(log.entries, log.days, file.path),
    )


def _hash_of(value: object) -> str:

    return digest(repr(value).encode("utf-8", "surrogatepass"))


def _lesson(log: Log, shop: Shop, address: str) -> Lesson | None:
    if not any(e.kind == "cause" for e in log.entries) or not any(e.proved for e in log.entries):
        return None

    return lesson(ledger.build(log, shop.log, {}, address), load(shop.knowledge))


@dataclass(frozen=True, slots=True)
class Conclusion:
    """The job with what its recordings measured, and all that follows from it."""

    job: Job
    diagnosis: Diagnosis
    numbers: tuple[Number, ...]
    heard: tuple[Heard, ...]


def conclude(
    job: Job, shop: Shop, lessons: Sequence[Lesson], folder: str, beside: Path, taught: str | None = None
) -> Conclusion:
    """The whole job diagnosed and worked out, in both copies alike.

    ``folder`` is named as where lessons came from; ``beside`` is the folder of the log, where its recordings lie;
    ``taught`` is the hash of those lessons that the job learns from: with it, a job that is concluded again after a
    note alone has changed costs no diagnosis.
    """
    recordings = read_recordings(job, beside)
    heard, problems = listen(job, recordings)
    job = _heard(job, heard, problems)
    diagnosis, numbers = _answers(job, shop.knowledge, lessons, folder, taught)
    running, problems = ran(job, recordings, diagnosis.tuning_blocked)
    return Conclusion(_heard(job, (), problems), diagnosis, numbers, (*heard, *running))


_Answers = tuple[Diagnosis, tuple[Number, ...]]
_MOST_RECENT = 8
_recent: dict[str, tuple[tuple[object, ...], _Answers]] = {}  # the last jobs of this process and what they came to


def _answers(job: Job, knowledge: str, lessons: Sequence[Lesson], folder: str, taught: str | None) -> _Answers:
    """The diagnosis and the worked numbers: those of last time where the job says the same but for its notes."""
    job = _without_notes(job)
    asked = (job, knowledge, folder, taught)
    known = _recent.pop(job.path, None) if taught is not None else None
    if known is None or not alike(known[0], asked):
        diagnosis = diagnose(job, load(knowledge), lessons, folder)
        known = asked, (diagnosis, work_out(job, diagnosis))
    if taught is not None:
        _recent[job.path] = known
        while len(_recent) > _MOST_RECENT:
            del _recent[next(iter(_recent))]
    return known[1]


def _without_notes(job: Job) -> Job:
    entries = tuple(e._replace(entry=e.entry._replace(notes=(), line=0)) for e in job.entries)
    days = tuple(day._replace(notes=(), line=0) for day in job.days)
    return job._replace(entries=entries, days=days, problems=(), lines=LineCount())


def alike(one: object, other: object) -> bool:
    """Are two frozen values equal, wherever in their logs they stand? A line more above changes every ``Span``."""
    if type(one) is not type(other):
        return False
    if isinstance(one, Span):
        return True
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    if is_dataclass(one):
        return all(alike(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return list(one) == list(other) and all(map(alike, one.values(), other.values()))
    return one == other


def _heard(job: Job, heard: tuple[Heard, ...], problems: tuple[Problem, ...]) -> Job:
    if not heard and not problems:
        return job

    job = with_heard(job, heard)
    return job._replace(problems=tuple(sorted((*job.problems, *problems), key=lambda p: (p.span, p.number))))


def make_job(order: Order, context: Context) -> tuple[Made, dict[str, Stamp]]:
    """One job, from its log to its files in staging."""
    from logbook.build.job_files import write_job_files

    shop = context.shops[order.log.folder]
    log = read_log(order.log, shop)
    job = ledger.build(log, shop.log, context.donors, order.address)
    stage = Stage(context.staging, order.trusted)
    made = write_job_files(job, log.text, order, context, shop, stage)
    return made, stage.staged


def make_failed(log: LogFile, address: str, failure: Failure, context: Context) -> tuple[Made, dict[str, Stamp]]:
    """The page of a log that could not be worked out, where no page of it stands from before."""
    from logbook.build.job_files import write_failed_files

    stage = Stage(context.staging, {})
    made = write_failed_files(log, address, failure, context, stage)
    return made, stage.staged
