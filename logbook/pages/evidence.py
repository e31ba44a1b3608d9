"""What an entry says about a cause, in five plain strengths; the odds themselves stay in the data."""

from __future__ import annotations

import math

from logbook.diagnosis.answers import Cause, EntryWeight
from logbook.job.model import Job, Place
from logbook.pages.phrases import Voice
from logbook.pages.places import KEPT_PRIVATE, is_hidden
from logbook.pages.values import value_words
from logbook.pages.words import shortened

LIGHT = 10 * math.log10(1.2)  # decibans; an entry under it changes nothing
CLEARED = -7.0  # of one entry alone: five times less likely by it
_BREATH = 40  # characters of what an entry showed
_STRENGTHS = ((20.0, "settles"), (13.0, "nearly"), (7.0, "strongly"), (3.0, "points"), (LIGHT, "leans"))


def strength(voice: Voice, decibans: float) -> str:
    """'points strongly to it', 'leans away from it'; "" where it changes nothing."""
    way = "for" if decibans > 0 else "against"
    name = next((name for least, name in _STRENGTHS if abs(decibans) >= least), "")
    return voice.say(f"evidence.{name}_{way}") if name else ""


def entry_words(voice: Voice, job: Job, weight: EntryWeight, at: Place | None = None, part: str = "") -> str:
    """'cut-out, July 6: 5 rpm on 3': the entry by its kind and day, and what it showed, first of all of ``at``."""
    if weight.entry >= 0 and is_hidden(job, weight.entry):
        return KEPT_PRIVATE
    if weight.entry < 0:
        return weight.words
    entry = job.entries[weight.entry].entry
    kind = " ".join(w for w in (entry.kind, *entry.qualifiers, entry.part) if w)
    name = f"{kind}, {voice.day(entry.day)}" if entry.day else kind
    showed = _showed(voice, job, weight, at, part)
    return f"{name}: {showed}" if showed else name


def _showed(voice: Voice, job: Job, weight: EntryWeight, at: Place | None, part: str) -> str:
    """What was read of the part or at the cylinder that is asked about, else all that was read, shortened."""
    here = [r for r in job.readings if r.entry == weight.entry and r.counts]
    own = [r for r in here if part and r.part == part] or [r for r in here if at is not None and r.place == at]
    if own:
        words = value_words(own[-1].value)
        heard = f" ({', '.join(own[-1].value.remark_words)})" if own[-1].value.remark_words else ""
        return voice.say("retold.on", value=f"{words}{heard}", place=own[-1].subject)
    return shortened(weight.words.partition(": ")[2], _BREATH)


def reason(voice: Voice, job: Job, weight: EntryWeight, at: Place | None = None, part: str = "") -> str:
    """The entry with how strongly it speaks."""
    return f"{entry_words(voice, job, weight, at, part)} ({strength(voice, weight.decibans)})"


def is_cleared(cause: Cause) -> bool:
    """Was it ruled out by an entry, or only unlikely from the start?"""
    return bool(cause.against) and cause.against[0].decibans <= CLEARED
