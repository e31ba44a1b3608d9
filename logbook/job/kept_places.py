"""Parts that a private entry put somewhere: where they stand is as private as that entry.

The place keeps a part, so that what is measured there has something to be about; which part it is, is not said.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from logbook.job.model import Event, Job, Move, Part, Place, Reading, Stay

UNNAMED = "kept private"  # the name of a part of which a public copy does not say which it is


class _Veil(NamedTuple):
    """A part that stands unnamed from a step to another one."""

    part: str
    since: int
    until: int | None
    unnamed: Part

    def covers(self, part: str, step: int) -> bool:
        return part == self.part and self.since <= step and (self.until is None or step < self.until)


def without_private_places(job: Job) -> Job:
    """The same job, with the parts that private entries placed unnamed from then on."""
    veils = _veils(job)
    if not veils:
        return job
    used = {veil.unnamed.id: veil.unnamed for veil in veils}
    return job._replace(
        parts=(*job.parts, *used.values()),
        stays=tuple(_stay(veils, stay) for stay in job.stays),
        events=tuple(_event(veils, event) for event in job.events),
        readings=tuple(_reading(veils, reading) for reading in job.readings),
    )


def unnamed(job: Job) -> Callable[[str], str]:
    """Changes a sentence of the report so that it names no part that a private entry has put where it is now."""
    words: dict[str, str] = {}
    for veil in _veils(job):
        if veil.until is None:
            part = job.part(veil.part)
            words |= {part.id: veil.unnamed.id, part.called(): veil.unnamed.called()}
    if not words:
        return lambda text: text
    import re

    pattern = re.compile("|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in sorted(words, key=len, reverse=True)))
    return lambda text: pattern.sub(lambda found: words[found.group()], text)


def _veils(job: Job) -> list[_Veil]:
    """From each private placing of a part to the next event that names it in public."""
    veils: list[_Veil] = []
    open_: dict[str, tuple[int, Part]] = {}
    for event in sorted(job.events, key=lambda e: e.step):
        marked = job.entries[event.entry].entry.private
        for move in event.moves:
            if marked and move.into is not None and move.part not in open_:
                part = job.part(move.part)
                number = (
                    1
                    + sum(veil.unnamed.kind == part.kind for veil in veils)
                    + sum(p.kind == part.kind for _, p in open_.values())
                )
                open_[part.id] = event.step, _unnamed_part(part, number)
            elif not marked and move.part in open_ and _names(job, event, move.part):
                since, hidden = open_.pop(move.part)
                veils.append(_Veil(move.part, since, event.step, hidden))
    return veils + [_Veil(part, since, None, hidden) for part, (since, hidden) in open_.items()]


def _unnamed_part(part: Part, number: int) -> Part:
    return Part(f"{part.kind}/private-{number}", part.kind, UNNAMED, "unknown")


def _names(job: Job, event: Event, part: str) -> bool:
    """Whether the line itself says which part it is: 'fit coil: C1 in 4', or by the place that it began in."""
    entry = job.entries[event.entry].entry
    name = job.part(part).tag or job.part(part).name
    return any(subject.name == name for w in entry.readings for subject in (*w.subjects, *w.to))


def _id(veils: list[_Veil], part: str, step: int) -> str:
    return next((veil.unnamed.id for veil in veils if veil.covers(part, step)), part)


def _stay(veils: list[_Veil], stay: Stay) -> Stay:
    return stay._replace(part=_id(veils, stay.part, stay.since))


def _event(veils: list[_Veil], event: Event) -> Event:
    moves = tuple(_move(veils, move, event.step) for move in event.moves)
    return event._replace(moves=moves)


def _move(veils: list[_Veil], move: Move, step: int) -> Move:
    return move._replace(part=_id(veils, move.part, step))


def _reading(veils: list[_Veil], reading: Reading) -> Reading:
    """What was measured in the place is of the unnamed part; what names the part says no place."""
    hidden = _id(veils, reading.part, reading.step)
    if hidden == reading.part:
        return reading
    if _is_of_the_place(reading):
        return reading._replace(part=hidden)
    return reading._replace(place=None)


def _is_of_the_place(reading: Reading) -> bool:
    place: Place | None = reading.place
    return place is not None and reading.subject == str(place.cylinder)
