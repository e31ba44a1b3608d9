"""What pages call parts and places: 'coil 4' at home, 'the coil from 4' once it has moved, 'coil C3' by its tag."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.job.model import Job, Part, Place
from logbook.pages.phrases import Voice
from logbook.pages.words import listed

_BY_ORIGIN = ("new", "used", "rebuilt", "unknown")


def part_name(voice: Voice, part: Part, stands: Place | None = None) -> str:
    """A part by name. ``stands`` is where it is at the moment that is told; it is at home where that is its home."""
    found = part.origin == "found" and part.home is not None and part.name.startswith("old ")
    if found and part.home is not None:
        if stands == part.home:
            return f"{part.kind} {part.home.cylinder}"
        return voice.say("part.moved", kind=part.kind, home=part.home.cylinder)
    if part.name in _BY_ORIGIN:
        return voice.say(f"part.{part.name}", kind=part.kind)
    return f"{part.kind} {part.name}"


def parts_names(voice: Voice, found: Sequence[tuple[Part, Place | None]]) -> str:
    """Several parts in a sentence: 'injectors A1, A2 and A3' where they are of one kind and have short names."""
    names = [part_name(voice, part, stands) for part, stands in found]
    kinds = {part.kind for part, _ in found}
    if len(names) > 1 and len(kinds) == 1:
        kind = kinds.pop()
        if all(name.startswith(f"{kind} ") for name in names):
            return f"{kind}s {listed(name.removeprefix(f'{kind} ') for name in names)}"
    return listed(dict.fromkeys(names))


def place_name(job: Job, place: Place) -> str:
    """'cylinder 3'; with a second engine 'cylinder 3 of E2'."""
    return places_name(job, (place,))


def places_name(job: Job, places: Iterable[Place]) -> str:
    """'cylinders 1, 3 and 5'."""
    found = sorted(dict.fromkeys(places))
    engines = {p.engine for p in found}
    many = "s" if len(found) > 1 else ""
    if len(engines) == 1:
        engine = engines.pop()
        of = f" of {engine}" if engine and len(job.engines) > 1 else ""
        return f"cylinder{many} {listed(str(p.cylinder) for p in found)}{of}"
    return listed(place_name(job, p) for p in found)
