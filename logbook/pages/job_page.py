"""The page of one job: every section that has something to say, in the order in which it is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.model import Number
from logbook.findings.recordings import Heard
from logbook.job.model import Engine, Job
from logbook.job.orders import awaited
from logbook.pages import frame
from logbook.pages.build_sheet import BuildSheet, build_sheet
from logbook.pages.day_by_day import DaySection, ShownPhoto, days
from logbook.pages.engine import EngineView, banks_words, engine_views, engine_words
from logbook.pages.frame import Field, Link, Sheet, ShownFigure
from logbook.pages.ledger import Ledger, ledger
from logbook.pages.next_step import Next, next_steps
from logbook.pages.places import is_hidden
from logbook.pages.plan import SMALL_RADIUS, Mark, marks, marks_of
from logbook.pages.problems import ProblemLine
from logbook.pages.proof import BeforeAfter, Proof, before_after, proof
from logbook.pages.recordings import RecordingView, recording_views
from logbook.pages.remains import Remains, remains
from logbook.pages.ruled_out import RuledOut, ruled_out
from logbook.pages.status import status_of, status_words
from logbook.pages.story import no_test_yet
from logbook.pages.trail import Trail, trail
from logbook.pages.words import capital, counted, date_words, listed, shortened
from logbook.pages.worked import WorkedGroup, worked_groups

_HEADINGS = {
    "stands": "Where it stands",
    "next": "Do next",
    "engine": "The engine",
    "remains": "What remains",
    "ruled-out": "Ruled out",
    "readings": "Readings",
    "recordings": "Recordings",
    "before-after": "Before and after",
    "days": "Day by day",
    "worked": "Worked numbers",
    "build": "Build sheet",
    "trail": "Parts trail",
    "proof": "Proof",
    "money": "Hours and money",
    "unread": "Lines with a problem",
}


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the build knows and a job does not: where other files of the site are, how the lines of the log read.

    ``figures`` are by the place where they belong: 'readings', 'before-after', 'worked-injectors', 'remains-2'.
    ``photos`` are by the name in the log, ``part_pages`` by the part's id. ``files`` are links for the foot.
    """

    shop: str = ""
    figures: Mapping[str, tuple[ShownFigure, ...]] = field(default_factory=dict)
    photos: Mapping[str, ShownPhoto] = field(default_factory=dict)
    part_pages: Mapping[str, str] = field(default_factory=dict)
    problem_lines: tuple[ProblemLine, ...] = ()
    files: tuple[Link, ...] = ()
    feed: str = ""
    picture: str = ""
    public_address: str = ""


@dataclass(frozen=True, slots=True)
class Stand:
    lead: str
    more: tuple[str, ...]
    aside: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobPage:
    """Every section is None or empty where the job has nothing for it; the templates leave it out then."""

    sheet: Sheet
    headings: Mapping[str, str]
    marks: tuple[Mark, ...]
    stand: Stand
    next: Next | None
    engines: tuple[EngineView, ...]
    remains: Remains | None
    ruled_out: tuple[RuledOut, ...]
    readings: tuple[ShownFigure, ...]
    recordings: tuple[RecordingView, ...]
    before_after: BeforeAfter | None
    before_after_figures: tuple[ShownFigure, ...]
    days: tuple[DaySection, ...]
    worked: tuple[WorkedGroup, ...]
    build: BuildSheet | None
    trail: Trail | None
    proof: Proof | None
    money: Ledger | None
    unread: tuple[ProblemLine, ...]
    unread_count: str  # in a public copy, in place of the lines


def job_page(
    job: Job,
    diagnosis: Diagnosis,
    numbers: Sequence[Number],
    around: Surroundings,
    heard: Sequence[Heard] = (),
) -> JobPage:
    """The page of ``job``, which already is the shop's or the public copy."""
    figures = dict(around.figures)
    page = JobPage(
        _sheet(job, diagnosis, around),
        _HEADINGS,
        _marks(job.engines),
        _stand(job, diagnosis),
        next_steps(diagnosis),
        engine_views(job, diagnosis),
        remains(job, diagnosis, figures),
        ruled_out(job, diagnosis),
        figures.get("readings", ()),
        recording_views(job, heard, figures),
        before_after(job, diagnosis),
        figures.get("before-after", ()),
        days(job, around.photos),
        worked_groups(job, numbers, figures),
        build_sheet(job),
        trail(job, around.part_pages),
        proof(job),
        ledger(job, worked_groups(job, numbers, figures, money=True)),
        around.problem_lines if job.copy == "shop" else (),
        _unread_count(job),
    )
    return replace(page, sheet=replace(page.sheet, ways=_ways(page)))


def _marks(engines: Iterable[Engine]) -> tuple[Mark, ...]:
    """The marks of every size that the page draws, each once."""
    sets = {SMALL_RADIUS: marks(SMALL_RADIUS)}
    for engine in engines:
        if own := marks_of(engine):
            sets[own[0].radius] = own
    return tuple(mark for found in sets.values() for mark in found)


def _ways(page: JobPage) -> tuple[Link, ...]:
    """One link a section that the page has, in its order."""
    shown = {
        "stands": page.stand,
        "next": page.next,
        "engine": page.engines,
        "remains": page.remains,
        "ruled-out": page.ruled_out,
        "readings": page.readings,
        "recordings": page.recordings,
        "before-after": page.before_after,
        "days": page.days,
        "worked": page.worked,
        "build": page.build,
        "trail": page.trail,
        "proof": page.proof,
        "money": page.money,
        "unread": page.unread or page.unread_count,
    }
    return tuple(Link(_HEADINGS[name], anchor=name) for name, view in shown.items() if view)


def title_of(job: Job) -> str:
    """What the job is called: its title, else its symptom, else its address."""
    return job.title or capital(_card(job, "symptom")) or job.address


def _card(job: Job, kind: str) -> str:
    return next((text for word, text in job.card if word == kind), "")


def _sheet(job: Job, diagnosis: Diagnosis, around: Surroundings) -> Sheet:
    title = title_of(job)
    symptom = _card(job, "symptom")
    description = diagnosis.one_line or symptom or f"{title}: a job of {counted(len(job.days), 'day')}"
    return Sheet(
        path=frame.job_path(job.address),
        title=title,
        page_title=f"{title}, {around.shop}" if around.shop else title,
        description=shortened(description, 200),
        shop=around.shop,
        copy=job.copy,
        fields=_fields(job, diagnosis),
        foot=_foot(job),
        foot_links=around.files,
        scripts=("days.js", "reload.js"),
        feed=around.feed,
        picture=around.picture,
        public_address=around.public_address,
    )


def _fields(job: Job, diagnosis: Diagnosis) -> tuple[Field, ...]:
    """Eight ruled fields, two rows of four on a desk; what the card does not say is left out."""
    engine: Engine | None = job.engine() or (job.engines[0] if job.engines else None)
    banks = banks_words(engine) if engine and len(engine.banks) > 1 else ""
    vehicle = _card(job, "vehicle")
    what = engine_words(engine) if engine else ""
    named = [
        ("Symptom", _card(job, "symptom")),
        ("Vehicle", vehicle) if vehicle else ("Banks", banks),
        ("First day", date_words(job.first_day) if job.first_day else ""),
        ("Last day", date_words(job.last_day) if job.last_day else ""),
        ("Standing", status_words(status_of(job, diagnosis))),
        ("Engine", "; ".join(w for w in (what, banks if vehicle else "") if w)),
        ("Fires", " ".join(map(str, engine.firing_order)) if engine else ""),
        ("Still open", _open(diagnosis)),
    ]
    return tuple(Field(label, value, strong=label == "Standing") for label, value in named if value)


def _open(diagnosis: Diagnosis) -> str:
    """Cylinders that do not fire as they should, by number."""
    trouble = [p.cylinder for p, state in diagnosis.states if state in ("dead", "weak")]
    unknown = [p.cylinder for p, state in diagnosis.states if state == "not known"]
    parts = []
    if trouble:
        parts.append(listed(str(c) for c in trouble))
    if unknown and len(unknown) < len(diagnosis.states):
        parts.append(f"not known: {listed(str(c) for c in unknown)}")
    return "; ".join(parts) or ("nothing" if diagnosis.states and not unknown else "")


def _stand(job: Job, diagnosis: Diagnosis) -> Stand:
    paragraphs = diagnosis.stand or (no_test_yet(job),)
    shown = [e for e in job.entries if job.copy == "shop" or not e.private]
    count = counted(len({d.day for d in job.days if d.day}), "day")
    aside = [f"Written from {counted(len(shown), 'entry', 'entries')} over {count}."]
    if diagnosis.standing_why:
        aside.append(diagnosis.standing_why)
    if diagnosis.approximate and not diagnosis.cylinders:  # else it stands beside their causes
        aside.append(diagnosis.approximate)
    return Stand(paragraphs[0], paragraphs[1:], (*aside, *_promises(job)))


def _promises(job: Job) -> list[str]:
    """What the job waits for, the day it is promised for, and the builder's own guess; nothing once it has gone home.

    The guess is the last one written. It is said as a guess, since the reasoning never looks at it.
    """
    if job.handed_over is not None:
        return []
    trades = [t for t in job.trades if t.counts and not is_hidden(job, t.entry)]
    waits = [t.text or t.order for t in awaited(job, trades)]
    promised = [t.text for t in trades if t.kind == "promised" and t.text]
    guesses = [
        e.entry.text.strip() for e in job.entries if e.entry.kind == "guess" and not is_hidden(job, e.entry.index)
    ]
    said = [f"Waits for: {'; '.join(waits)}."] if waits else []
    said += [f"Promised for {_day_or_words(promised[-1])}."] if promised else []
    said += [f"Your guess: {guesses[-1].rstrip('.')}. It counts for nothing here."] if guesses else []
    return said


def _day_or_words(text: str) -> str:
    """'2026-05-22' as the pages write days; any other words as they are."""
    try:
        return date_words(date.fromisoformat(text))
    except ValueError:
        return text.rstrip(".")


def _foot(job: Job) -> str:
    last = f" {date_words(job.last_day)}" if job.last_day else ""
    lines = counted(job.lines.total, "line")
    unread = "none unread" if not job.lines.problem else f"{job.lines.problem} unread"
    source = f" from {job.path}" if job.copy == "shop" and job.path else ""
    return f"Written{last}{source}, {lines}, {unread}"


def _unread_count(job: Job) -> str:
    if job.copy == "shop" or not job.lines.problem:
        return ""
    return f"{counted(job.lines.problem, 'line')} of this log could not be read."
