"""The stages over one log: what it says to the others, and its part of the site. The one module that knows them all.

A worker process gets a ``Context`` once and then one small ``Order`` after another. Nothing here decides what is made.
"""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from logbook.build.discovery import CannotRead, LogFile
from logbook.build.reading import Shop, address_by_itself, is_log, read_log
from logbook.job.copy import public_address
from logbook.job.donors import DonorStock, stocks_of
from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.problems import Problem, Weight
from logbook.spans import NOWHERE
from logbook.text.entries import Log

if TYPE_CHECKING:
    from logbook.build.concluded import Place
    from logbook.diagnosis.answers import Diagnosis
    from logbook.diagnosis.learning import Lesson
    from logbook.findings.model import Number
    from logbook.findings.recordings import Heard, Recordings
    from logbook.job.model import Job
    from logbook.output.record import Copy
    from logbook.output.site import Stamp
    from logbook.pages.closed_jobs import ClosedJob
    from logbook.pages.feed import FeedDay
    from logbook.pages.orders import JobOrders
    from logbook.pages.parts_record import PartRecord
    from logbook.pages.problems import ProblemFile
    from logbook.pages.shelf import Shelved


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
    from logbook.output.site import Refused
    from logbook.output.writing import CannotWrite

    try:
        return work()
    except (CannotWrite, Refused):
        raise
    except CannotRead as error:
        return Failure(f"{error}.", lasting=False)
    except Exception as error:
        return Failure(f"logbook failed: {_place_of(error)}.", lasting=not isinstance(error, (MemoryError, OSError)))


def _place_of(error: Exception) -> str:
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
    cache: Path | None = None  # where what was concluded is kept
    code: str = ""  # the program's identity

    @property
    def may_have_feed(self) -> bool:
        """Whether the site's shop may have a public address: with several folders another one's file may give it."""
        return len(self.shops) > 1 or any(shop.public_address for shop in self.shops.values())

    @property
    def site(self) -> Path:
        from logbook.output.site import site_of

        return site_of(self.staging)


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
    masked: str = ""  # the address to ask for in a public copy, where its own would tell something private


@dataclass(frozen=True, slots=True)
class Order:
    """One job to make. ``trusted``, ``figures`` and ``sections`` are of last time: whole files, and what was shown."""

    log: LogFile
    address: str
    taught: str = ""  # hash of the lessons that it learns from
    trusted: Mapping[str, str] = field(default_factory=dict)
    figures: Mapping[str, str] = field(default_factory=dict)
    sections: str = ""


@dataclass(frozen=True, slots=True)
class Tells:
    """What pages over several jobs say of one."""

    row: Shelved
    found: bytes  # as it stands in the data of the search
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
    listed: bytes  # the same as the record of the site has it
    figures: Mapping[str, str]  # figures and photos: name to what they were made from
    depends: tuple[tuple[str, str], ...]
    weights: Mapping[str, int]  # problems by weight
    tells: Tells
    told: Mapping[str, str]  # the hashes of ``tells``
    owners: tuple[str, ...]  # addresses of the logs that declare the parts it tells of
    sections: str  # of the page: each 'name=key', the key of what it was made from


def read_card(file: LogFile, shop: Shop, address: str = "") -> Card:
    """Read one log for what it says to others. ``address`` is where its page goes, once that is settled."""
    log = read_log(file, shop)
    if not is_log(log):
        return Card(False)
    declared = next((e.text for e in log.entries if e.kind == "address"), "")
    own = address_by_itself(log)
    place = address or own
    folder = os.path.dirname(file.file)
    named = sorted({os.path.normpath(os.path.join(folder, e.file)) for e in log.entries if e.file})
    first = min((day.day for day in log.days if day.day), default=None)
    taught = _lesson(log, shop, place)
    masked = public_address(log, own)
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
        masked=masked if masked != own else "",
    )


def _hash_of(value: object) -> str:
    from logbook.output.record import digest

    return digest(repr(value).encode("utf-8", "surrogatepass"))


def _lesson(log: Log, shop: Shop, address: str) -> Lesson | None:
    if not any(e.kind == "cause" for e in log.entries) or not any(e.proved for e in log.entries):
        return None
    from logbook.diagnosis.knowledge import load
    from logbook.diagnosis.learning import lesson
    from logbook.job import ledger

    job = ledger.build(log, shop.log, {}, address)
    _taught[:] = [(log, shop, job)] if not job.depends else []
    return lesson(job, load(shop.knowledge))


_taught: list[tuple[Log, Shop, Job]] = []  # the last job that was built for its lesson and asked nothing of other logs


def _built(log: Log, shop: Shop, donors: Mapping[str, DonorStock], address: str) -> Job:
    """The job of a log; where its lesson was just read from it, the same."""
    from logbook.job import ledger

    for known, its_shop, job in _taught:
        if known is log and its_shop is shop and job.address == address:
            return job
    return ledger.build(log, shop.log, donors, address)


@dataclass(frozen=True, slots=True)
class Conclusion:
    """The job with what its recordings measured, and all that follows from it."""

    job: Job
    diagnosis: Diagnosis
    numbers: tuple[Number, ...]
    heard: tuple[Heard, ...]
    key: str = ""  # of all that was said, but for notes; "" where it is not known


def conclude(
    job: Job, shop: Shop, lessons: Sequence[Lesson], folder: str, beside: Path, place: Place | None = None
) -> Conclusion:
    """The whole job diagnosed and worked out, in both copies alike.

    ``folder`` is named as where lessons came from; ``beside`` is the folder of the log, where its recordings lie;
    ``place`` is where conclusions are kept.
    """
    from logbook.build.concluded import concluded
    from logbook.build.recordings import read_recordings

    recordings = read_recordings(job, beside)
    heard, problems = _listen(job, recordings)
    job = _heard(job, heard, problems)
    (diagnosis, numbers), key = concluded(job, shop.knowledge, lessons, folder, place)
    ran, problems = _ran(job, recordings, diagnosis)
    return Conclusion(_heard(job, (), problems), diagnosis, numbers, (*heard, *ran), key)


def _listen(job: Job, recordings: Recordings) -> tuple[tuple[Heard, ...], tuple[Problem, ...]]:
    if not recordings:
        return (), ()
    from logbook.findings.recordings import listen

    return listen(job, recordings)


def _ran(job: Job, recordings: Recordings, diagnosis: Diagnosis) -> tuple[tuple[Heard, ...], tuple[Problem, ...]]:
    if not recordings:
        return (), ()
    from logbook.findings.recordings import ran

    return ran(job, recordings, diagnosis.tuning_blocked)


def _heard(job: Job, heard: tuple[Heard, ...], problems: tuple[Problem, ...]) -> Job:
    if not heard and not problems:
        return job
    from logbook.findings.recordings import with_heard

    job = with_heard(job, heard)
    return job._replace(problems=tuple(sorted((*job.problems, *problems), key=lambda p: (p.span, p.number))))


def make_job(order: Order, context: Context) -> tuple[Made, dict[str, Stamp]]:
    """One job, from its log to its files in staging."""
    from logbook.build.job_files import write_job_files
    from logbook.output.site import Stage

    shop = context.shops[order.log.folder]
    log = read_log(order.log, shop)
    job = _built(log, shop, context.donors, order.address)
    stage = Stage(context.staging, order.trusted)
    made = write_job_files(job, log.text, order, context, shop, stage)
    return made, stage.staged


def make_failed(log: LogFile, address: str, failure: Failure, context: Context) -> tuple[Made, dict[str, Stamp]]:
    """The page of a log that could not be worked out, where no page of it stands from before."""
    from logbook.build.job_files import write_failed_files
    from logbook.output.site import Stage

    stage = Stage(context.staging, {})
    made = write_failed_files(log, address, failure, context, stage)
    return made, stage.staged
