"""Where a case turned: the entry that spoke most for the cause, and the photo that shows it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from logbook.diagnosis.answers import Diagnosis, EntryWeight
from logbook.job.model import Job, Photo, Place
from logbook.pages.causes import shown_causes
from logbook.pages.day_by_day import ShownPhoto
from logbook.pages.evidence import LIGHT, entry_words
from logbook.pages.phrases import Voice
from logbook.pages.places import is_hidden
from logbook.pages.retold import retold
from logbook.pages.words import sentence

_MOST = 110  # characters; a longer entry is told of its cylinder alone


class Telling(NamedTuple):
    """An entry that spoke for the leading cause of one cylinder."""

    weight: EntryWeight
    place: Place
    part: str  # id, "" where the cause is no part


def telling_entries(job: Job, diagnosis: Diagnosis) -> list[Telling]:
    """The entries that spoke for what leads, the strongest first, each once; not the one that names the cause."""
    named = {c.entry for c in shown_causes(job)}
    cylinders = {p.cylinder for c in shown_causes(job) for p in c.places}
    found = [
        Telling(w, answer.place, answer.causes[0].part)
        for answer in diagnosis.cylinders
        if answer.causes and (not cylinders or answer.place.cylinder in cylinders)
        for w in answer.causes[0].for_
        if w.entry >= 0 and w.entry not in named and w.decibans >= LIGHT and not is_hidden(job, w.entry)
    ]
    found.sort(key=lambda t: (-t.weight.decibans, t.weight.entry))
    return list({t.weight.entry: t for t in reversed(found)}.values())[::-1]


def turning_words(voice: Voice, job: Job, diagnosis: Diagnosis) -> str:
    """One sentence: what the entry showed that spoke most for the cause; "" where none did."""
    found = [t for t in telling_entries(job, diagnosis) if not _shows_all_well(job, t.weight.entry)]
    return _shown(voice, job, found[0]) if found else ""


def chosen_photo(job: Job, photos: Mapping[str, ShownPhoto]) -> Photo | None:
    """The photo nearest before the cause was named, a public one first; else the last one."""
    shown = [p for p in job.photos if p.kind == "photo" and p.file in photos and not is_hidden(job, p.entry)]
    found = max((c.entry for c in job.causes), default=len(job.entries))
    return min(shown, key=lambda p: (p.private, p.entry > found, -p.entry), default=None)


def _shows_all_well(job: Job, entry: int) -> bool:
    """Whether an entry saw every cylinder fire: the repair had been made by then."""
    words = [r.value.word for r in job.readings if r.entry == entry and r.counts]
    return len(words) > 1 and all(word == "fires" for word in words)


def _shown(voice: Voice, job: Job, telling: Telling) -> str:
    index = telling.weight.entry
    readings = [r for r in job.readings if r.entry == index]
    event = next((e for e in job.events if e.entry == index), None)
    words = retold(voice, job, index, readings, event)
    if not words or len(words) > _MOST:
        words = sentence(entry_words(voice, job, telling.weight, telling.place, telling.part))
    return words
