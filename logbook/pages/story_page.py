"""The story: the log day by day, each day with its plan and what was believed that evening."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.pages.causes import cause_label
from logbook.pages.day_by_day import DayEntry, DaySection, ShownPhoto, days
from logbook.pages.engine import small_plans
from logbook.pages.frame import Sheet, Table
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.plan import SMALL_RADIUS, Mark, SmallPlan, marks
from logbook.pages.trail import trail_table
from logbook.pages.words import percent

_TRADES = ("hours", "spent", "got", "bought", "asked")
_TOLD_FROM = 0.2  # a belief below this is none


@dataclass(frozen=True, slots=True)
class StoryDay:
    day: DaySection
    entries: tuple[DayEntry, ...]
    aside: tuple[DayEntry, ...]  # hours and money, and all of the card: folded
    aside_heading: str
    plans: tuple[SmallPlan, ...]
    evening: str


@dataclass(frozen=True, slots=True)
class StoryPage:
    sheet: Sheet
    days: tuple[StoryDay, ...]
    marks: tuple[Mark, ...]
    hint: str
    evening: str
    parts: Table | None


def story_page(job: Job, diagnosis: Diagnosis, sheet: Sheet, photos: Mapping[str, ShownPhoto]) -> StoryPage:
    """Every day that has something to show, then the card; at the end where each part is now."""
    voice = voice_of(job.units)
    plans = small_plans(job, diagnosis)
    told = [_day(voice, job, diagnosis, d, plans) for d in days(job, photos)]
    told.sort(key=lambda d: d.day.id == "the-card")  # what the card says comes last
    return StoryPage(
        sheet, tuple(told), marks(SMALL_RADIUS), voice.say("story.hint"), voice.say("story.evening"), trail_table(job)
    )


def _day(
    voice: Voice, job: Job, diagnosis: Diagnosis, day: DaySection, plans: Mapping[int, tuple[SmallPlan, ...]]
) -> StoryDay:
    card = day.id == "the-card"
    aside = tuple(e for e in day.entries if card or e.kind in _TRADES)
    evening = _evening(voice, job, diagnosis, day.last) if day.last in plans else ""
    heading = day.heading if card else voice.say("story.money")
    return StoryDay(
        day, tuple(e for e in day.entries if e not in aside), aside, heading, plans.get(day.last, ()), evening
    )


def _evening(voice: Voice, job: Job, diagnosis: Diagnosis, last: int) -> str:
    """What led at the end of a day; that it was found, or proved, where it was by then."""
    proofs = [r.step for r in job.readings if r.proved and r.counts and not is_hidden(job, r.entry)]
    if any(step <= last for step in proofs) and not any(max(proofs) < c <= last for c in job.came_back):
        return voice.say("story.proved")
    if any(c.entry <= last and not is_hidden(job, c.entry) for c in job.causes):
        return voice.say("story.found")
    for answer in diagnosis.cylinders:
        points = [p for p in answer.history if p.entry <= last]
        if not points or not answer.causes:
            continue
        chances = points[-1].probabilities
        best = max(range(len(chances)), key=lambda n: (chances[n], -n))
        if chances[best] >= _TOLD_FROM and best < len(answer.causes):
            return f"{cause_label(voice, job, answer.causes[best])}, {percent(chances[best])}."
    return ""
