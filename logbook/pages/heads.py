"""The head of every page of a job: title, stamp, one line of state, and the row of pages beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.pages.causes import causes_in_sentence, shown_causes
from logbook.pages.day_by_day import ShownPhoto
from logbook.pages.frame import Link, Sheet, ShownFigure
from logbook.pages.naming import parts_names
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.problems import ProblemLine
from logbook.pages.status import OPEN, Status, status_of, status_words
from logbook.pages.story import trouble_words
from logbook.pages.words import capital, counted, date_span, listed, sentence, shortened

TABS = ("index", "story", "why", "readings", "numbers")  # the row of words in the head
MORE = ("next", "build", "money")  # reached from the job's own page


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the build knows and a job does not: where other files of the site are, how the lines of the log read.

    ``figures`` are by the place where they belong: 'readings', 'limits', 'cylinder-2'. ``photos`` are by the name in
    the log, ``part_pages`` by the part's id. ``files`` are links for the foot.
    """

    shop: str = ""
    figures: dict[str, tuple[ShownFigure, ...]] = field(default_factory=dict)
    photos: dict[str, ShownPhoto] = field(default_factory=dict)
    part_pages: dict[str, str] = field(default_factory=dict)
    problem_lines: tuple[ProblemLine, ...] = ()
    files: tuple[Link, ...] = ()
    feed: str = ""
    picture: str = ""
    public_address: str = ""


def page_path(address: str, name: str) -> str:
    """'van/index.html', 'van/why.html'."""
    return f"{address}/{name}.html"


def title_of(job: Job) -> str:
    """What the job is called: its title, else its symptom, else its address."""
    return job.title or capital(card(job, "symptom")) or job.address


def card(job: Job, kind: str) -> str:
    return next((text for word, text in job.card if word == kind), "")


def head(job: Job, diagnosis: Diagnosis, around: Surroundings) -> Sheet:
    """The head of the job's own page."""
    title = title_of(job)
    status = status_of(job, diagnosis)
    voice = voice_of(job.units)
    about = state_line(voice, job, diagnosis, status)
    description = about or card(job, "symptom") or voice.say("job.of_days", count=counted(len(job.days), "day"))
    return Sheet(
        path=page_path(job.address, "index"),
        title=title,
        page_title=f"{title}, {around.shop}" if around.shop else title,
        description=shortened(description, 200),
        us=voice.us,
        shop=around.shop,
        copy=job.copy,
        stamp=status_words(status),
        care=status in OPEN,
        state=about,
        urgent=promised_words(voice, job) if status in OPEN else "",
        foot=_foot(voice, job),
        foot_links=around.files,
        scripts=("anchors.js", "reload.js"),
        feed=around.feed,
        picture=around.picture,
        public_address=around.public_address,
    )


def beside(sheet: Sheet, job: Job, name: str, others: Sequence[str]) -> Sheet:
    """The head of another page of the job; ``others`` are all pages that it has."""
    voice = voice_of(job.units)
    tabs = tuple(Link(voice.say(f"tab.{n}"), page_path(job.address, n)) for n in TABS if n in others)
    title = voice.say(f"title.{name}", title=_short(sheet.title)) if name != "index" else sheet.title
    return replace(
        sheet,
        path=page_path(job.address, name),
        title=title,
        page_title=f"{title}, {sheet.shop}" if sheet.shop else title,
        stamp="",
        state="",
        urgent="",
        tabs=tabs,
        scripts=("reload.js",),
        picture="",
        look="narrow" if name in ("story", "money") else "",
    )


def _short(title: str) -> str:
    """A title as deeper pages say it: up to its first comma."""
    return title.partition(",")[0]


def state_line(voice: Voice, job: Job, diagnosis: Diagnosis, status: Status) -> str:
    """What is to be said first: what is wrong, else what was, and since when it is back."""
    causes = [c for c in shown_causes(job) if not is_hidden(job, c.entry)]
    said: list[str] = []
    if status in OPEN:
        said += trouble_words(job, diagnosis)
        came = job.came_back[-1] if job.came_back and not is_hidden(job, job.came_back[-1]) else None
        if came is not None:
            said.insert(0, voice.say("proof.came_back", day=voice.day(job.entries[came].entry.day)))
    elif status in ("fixed", "back") and causes:
        said.append(capital(short_cause(job)))
    if status == "back" and job.handed_over:
        said.append(voice.say("state.back", day=voice.day(job.handed_over)))
    elif status == "fixed" and (day := proved_day(job)):
        said.append(voice.say("state.proved", day=voice.day(day)))
    elif status in ("running", "work", "parts") and job.last_day:
        said.append(voice.say("state.last", day=voice.day(job.last_day)))
    if knock := knock_words(voice, job):
        said.insert(0, knock)
    return " ".join(sentence(s) for s in said if s)


def short_cause(job: Job) -> str:
    """The causes without what was remarked of them, parts by the places that they came from."""
    voice = voice_of(job.units)
    found = shown_causes(job)
    if all(c.part for c in found) and found:
        return parts_names(voice, [(job.part(c.part), job.part(c.part).home) for c in found])
    return listed(dict.fromkeys(w.partition(" (")[0] for w in causes_in_sentence(job)))


def proved_day(job: Job) -> date | None:
    """The day of the last proof."""
    proofs = [r.entry for r in job.readings if r.proved and r.counts and not is_hidden(job, r.entry)]
    return job.entries[proofs[-1]].entry.day if proofs else None


def knock_words(voice: Voice, job: Job) -> str:
    """'Knock heard in pull 3 at 6000 rpm.' of the last pull in which it was."""
    heard = [
        r
        for r in job.readings
        if r.test == "pull" and r.counts and r.value.word == "heard" and not is_hidden(job, r.entry)
    ]
    if not heard:
        return ""
    last = heard[-1]
    speed = str(last.speed) if last.speed else next((c.text for c in last.conditions if "rpm" in c.text), "")
    speed = speed if not speed or speed.endswith("rpm") else f"{speed} rpm"
    return voice.say("job.knock_at" if speed else "job.knock", run=last.name, speed=speed)


def promised_words(voice: Voice, job: Job) -> str:
    """The day that the job is promised for, the last one written; any other words as they are."""
    found = [e.entry.text for e in job.entries if e.entry.kind == "promised" and not is_hidden(job, e.entry.index)]
    if not found or not found[-1] or job.handed_over is not None:
        return ""
    try:
        return voice.say("state.promised", day=voice.day(date.fromisoformat(found[-1])))
    except ValueError:
        return voice.say("state.promised_by", words=found[-1].rstrip("."))


def _foot(voice: Voice, job: Job) -> str:
    shown = [e for e in job.entries if job.copy == "shop" or not e.private]
    count = counted(len(shown), "entry", "entries")
    span = date_span(job.first_day, job.last_day, us=voice.us) if job.first_day else ""
    return voice.say("job.from" if span else "job.from_undated", entries=count, span=span)
