"""Parts that go in and come out: fit, remove."""

from __future__ import annotations

from logbook.job.doing import Doing, named_parts, named_places, named_targets
from logbook.job.model import Place
from logbook.job.resolving import label_of
from logbook.text.entries import Subject, Written
from logbook.text.vocabulary import MOVING_PARTS


def fit(doing: Doing) -> bool:
    if not doing.entry.part:
        doing.what.extend(s.name for w in doing.entry.readings for s in w.subjects if s.kind == "word")
        if doing.what or not doing.entry.readings:
            return True
        return not doing.asks_part("fitted")
    if doing.kind not in MOVING_PARTS and not any(w.to for w in doing.entry.readings):
        doing.parts.extend(p for w in doing.entry.readings for p in named_parts(doing, w))
        return True  # a pump, a head: things with no place at a cylinder
    used = False
    filled: set[Place] = set()
    for written in doing.entry.readings:
        used |= _fit_one(doing, written, filled)
    return used


def _fit_one(doing: Doing, written: Written, filled: set[Place]) -> bool:
    shop = doing.shop
    subjects, to = written.subjects, written.to or doing.entry.at
    if not to:
        slug = "fit what" if any(s.kind in ("place", "all", "rest", "bank") for s in subjects) else "fit where"
        label = " ".join(label_of(s) for s in subjects) or "it"
        shop.complain(slug, written.span, kind=doing.kind, place=label, part=label, tag=label)
        return False
    if not doing.has_parts(written):
        return False
    places = named_places(doing, to)
    if not places:
        return False
    if len(subjects) == 1 and subjects[0].kind == "spare":
        subjects = subjects * len(places)  # one new part for each place
    if len(subjects) != len(places):
        shop.complain("fit uneven", written.span, parts=len(subjects), places=len(places))
        return False
    wanted: dict[Place, str | None] = {}
    for subject, place in zip(subjects, places, strict=True):
        part = None if place in filled else _to_fit(doing, subject, place)
        if part is None and place not in filled:
            continue
        if part is None or part in wanted.values():
            shop.complain("two into one", written.span, place=place.cylinder)
            continue
        wanted[place] = part
        filled.add(place)
        _doubt_fit(doing, part, place, subject, places)
    doing.arrange(wanted)
    return bool(wanted)


def _to_fit(doing: Doing, subject: Subject, into: Place) -> str | None:
    if subject.kind == "place":
        place = doing.names.cylinder(subject.number, subject.span, doing.kind)
        if place is None:
            return None
        return doing.shop.standing_at(doing.kind, place) or doing.shop.standing.last_at.get((doing.kind, place))
    return doing.names.part(subject, doing.kind, into)


def _doubt_fit(doing: Doing, part: str, into: Place, subject: Subject, places: list[Place]) -> None:
    shop = doing.shop
    called, tag = shop.called(part), label_of(subject)
    where = shop.standing.where.get(part)
    if where == into:
        shop.complain("already there", subject.span, part=called, place=into.cylinder, kind=doing.kind)
    elif where is not None and where not in places and where.engine == into.engine:
        shop.complain("stood elsewhere", subject.span, part=called, place=where.cylinder, kind=doing.kind)
    if part in shop.gone:
        word, entry = shop.gone.pop(part)
        shop.complain("sent away", subject.span, shop.span_of(entry), part=called, gone=word, tag=tag)


def remove(doing: Doing) -> bool:
    if not doing.kind:
        doing.what.extend(s.name for w in doing.entry.readings for s in w.subjects if s.kind == "word")
        if doing.what or not doing.entry.readings:
            return True
        return not doing.asks_part("removed")
    if doing.kind not in MOVING_PARTS:
        doing.parts.extend(p for w in doing.entry.readings for p in named_parts(doing, w))
        return True
    engine = doing.names.engine
    if engine is None:
        doing.names.no_engine(doing.entry.span)
        return False
    wanted: dict[Place, str | None] = {}
    if not doing.entry.readings:
        wanted = {engine.seat(doing.kind, c): None for c in engine.cylinders}
    for target in named_targets(doing):
        place = target.place and engine.seat(doing.kind, target.place.cylinder)
        if place is None and target.part:
            called = doing.shop.called(target.part)
            doing.shop.complain(
                "not standing", target.span, part=called, done="removed", kind=doing.kind, tag=target.label
            )
        if place is not None:
            if (doing.kind, place) not in doing.shop.standing.at:
                doing.shop.complain("empty place", target.span, kind=doing.kind, place=place.cylinder)
            wanted[place] = None
    doing.arrange(wanted)
    return bool(wanted)
