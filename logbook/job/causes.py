"""What it was: the cause as the writer names it, put to a part or a place."""

from __future__ import annotations

from logbook.job.model import FoundCause, Place
from logbook.job.privacy import is_private
from logbook.job.resolving import Resolver
from logbook.text.entries import Entry, Written
from logbook.text.vocabulary import MOVING_PARTS

_WIRING = frozenset({"connector", "harness", "feed", "ground", "driver"})


def found_causes(entry: Entry, names: Resolver) -> tuple[FoundCause, ...]:
    """One cause for each part named, else one for the places named together."""
    found: list[FoundCause] = []
    for written in entry.readings or (Written(entry.span),):
        found.extend(_causes(entry, written, names))
    return tuple(found)


def _causes(entry: Entry, written: Written, names: Resolver) -> list[FoundCause]:
    kind = written.part or entry.part
    words = [*entry.qualifiers, *(s.name for s in written.subjects if s.kind == "word")]
    what = " ".join(words) or kind
    remark = written.remark or (written.value.remark if written.value else "")
    engine = names.engine.name if names.engine else ""
    parts: list[tuple[str, tuple[Place, ...]]] = []
    places: list[Place] = []
    for target in names.targets(written, ()):
        if target.part and target.label.isdigit() and kind in MOVING_PARTS and not words and target.place:
            sole = _sole_part(names, kind, target.place, written)
            parts.append((sole, (target.place,))) if sole else places.append(target.place)
        elif target.part and not target.label.isdigit():
            home = names.shop.parts[target.part].home
            at = target.place or (home if home and home.engine == engine else None)
            parts.append((target.part, (at,) if at else ()))
        elif target.place is not None:
            places.append(target.place)
    base = FoundCause(entry.index, entry.text.strip(), what, "", (), engine, remark, kind, is_private(entry))
    causes = [
        FoundCause(base.entry, base.text, what, part, where, engine, remark, kind, base.private)
        for part, where in parts
    ]
    if kind in MOVING_PARTS and not (causes or places or words):
        return [base._replace(part=_sole_of_kind(names, kind, written))]
    if places or not causes:
        causes.append(FoundCause(base.entry, base.text, what, "", tuple(places), engine, remark, kind, base.private))
    return causes


def _sole_of_kind(names: Resolver, kind: str, written: Written) -> str:
    """The only part of a kind that the engine ever had, as one coil for all; "" and a doubt where it had several."""
    engine = names.engine.name if names.engine else ""
    stood = names.shop.standing.ever.items()
    ever = {part for (of, at), parts in stood if of == kind and at.engine == engine for part in parts}
    if len(ever) == 1:
        return ever.pop()
    names.shop.complain("which of all", written.span, kind=kind)
    return ""


def _sole_part(names: Resolver, kind: str, place: Place, written: Written) -> str:
    """The only part of a kind that ever stood in a place; "" and a doubt where there were several."""
    shop = names.shop
    seat = names.engine.seat(kind, place.cylinder) if names.engine else place
    ever = list(shop.standing.ever.get((kind, seat), ()))
    if len(ever) == 1:
        return ever[0]
    mends = "' or '".join(f"cause {kind}: {shop.parts[part].name}" for part in ever[:3])
    shop.complain("which one", written.span, kind=kind, place=place.cylinder, mends=mends)
    return ""
