"""Causes in words: the one that the writer named, and those that the diagnosis ranks."""

from __future__ import annotations

import re

from logbook.diagnosis.answers import Cause
from logbook.job.model import FoundCause, Job
from logbook.pages.naming import part_name, parts_names
from logbook.pages.phrases import Voice, catalogue, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.words import listed

_FOUND_IN = re.compile(r"the (\w+) found in (\d+)")


def cause_label(voice: Voice, job: Job, cause: Cause) -> str:
    """'coil 6: broken wire or connector' where the catalogue has words for the fault, else the table's own."""
    part = next((p for p in job.parts if p.id == cause.part), None)
    name = part_name(voice, part, part.home) if part else ""
    numbers = cause.cylinders or ((cause.place.cylinder,) if cause.place else ())
    phrase = catalogue().get(f"fault.{cause.fault}", "")
    if not phrase or ("{part}" in phrase and not name) or ("{n}" in phrase and not numbers):
        return _FOUND_IN.sub(r"\1 \2", cause.label)
    engine = job.engine(cause.place.engine if cause.place else "")
    every = engine is not None and len(numbers) > 2 and tuple(sorted(numbers)) == engine.cylinders
    places = f"1 to {len(numbers)}" if every else listed(map(str, numbers))
    return voice.say(f"fault.{cause.fault}", part=name, n=places)


def cause_words(job: Job, cause: FoundCause) -> str:
    """'the coil from 4 (boot split)', 'injector feed to 1, 3 and 5', or the writer's own words."""
    remark = f" ({cause.remark})" if cause.remark else ""
    if cause.part:
        part = job.part(cause.part)
        at_home = any(s.part == part.id and s.until is None and s.place == part.home for s in job.stays)
        return f"{part_name(voice_of(job.units), part, part.home if at_home else None)}{remark}"
    numbers = listed(str(p.cylinder) for p in cause.places)
    what = " ".join(w for w in (cause.part_kind if cause.part_kind != cause.what else "", cause.what) if w)
    if not what:
        return cause.text or f"something at {numbers}{remark}" if numbers else cause.text or cause.remark
    joined = f"{what} to {numbers}" if what.endswith(("feed", "ground")) else f"{what} {numbers}"
    return f"{joined if numbers else what}{remark}"


def causes_words(job: Job) -> tuple[str, ...]:
    """Every cause that the copy shows, in the order of the log, each once."""
    return tuple(dict.fromkeys(cause_words(job, c) for c in shown_causes(job)))


def causes_in_sentence(job: Job) -> tuple[str, ...]:
    """The same behind 'the cause': several parts of one kind with one remark together, the log's words in quotes."""
    groups: dict[tuple[str, str], list[FoundCause]] = {}
    for cause in shown_causes(job):
        part = job.part(cause.part) if cause.part else None
        alike = (part.kind, cause.remark) if part and part.tag else ("", str(cause.entry))
        groups.setdefault(alike, []).append(cause)
    told = (_together(job, found) if len(found) > 1 else _in_sentence(job, found[0]) for found in groups.values())
    return tuple(dict.fromkeys(told))


def _together(job: Job, found: list[FoundCause]) -> str:
    """'injectors A2 and A4 (full of sealant)'."""
    voice = voice_of(job.units)
    names = parts_names(voice, [(job.part(c.part), job.part(c.part).home) for c in found])
    return f"{names} ({found[0].remark})" if found[0].remark else names


def _in_sentence(job: Job, cause: FoundCause) -> str:
    words = cause_words(job, cause)
    return words if cause.part or cause.what else f"“{words}”"


def shown_causes(job: Job) -> list[FoundCause]:
    """Those named since it last came back; all of them where none was named since."""
    shown = [cause for cause in job.causes if not is_hidden(job, cause.entry)]
    since = job.came_back[-1] if job.came_back else -1
    return [c for c in shown if c.entry > since] or shown
