"""Parts that change places among themselves: swap, move, put back."""

from __future__ import annotations

from logbook.job.doing import Doing, named_places
from logbook.job.model import Place
from logbook.job.resolving import label_of
from logbook.job.workshop import Workshop
from logbook.text.entries import Subject, Written
from logbook.text.vocabulary import MOVING_PARTS


def swap(doing: Doing) -> bool:
    if doing.asks_part("swapped"):
        return False
    used = False
    for written in doing.entry.readings:
        pairs = _pairs(doing, written)
        if pairs is None or not doing.has_parts(written):
            continue
        for one, other in pairs:
            used |= _swap_pair(doing, one, other, written)
    return used


def _pairs(doing: Doing, written: Written) -> list[tuple[Subject, Subject]] | None:
    """The two sides of each swap; three or more on one side are no swap."""
    ones, others = written.subjects, written.to
    if not others and len(ones) == 2:
        ones, others = ones[:1], ones[1:]
    if len(ones) == len(others) and ones:
        return list(zip(ones, others, strict=True))
    if len(ones) + len(others) == 1:
        subject = (*ones, *others)[0]
        place = label_of(subject)
        other = next((c for c in (doing.names.engine.cylinders if doing.names.engine else ()) if str(c) != place), 4)
        doing.shop.complain("one-place swap", written.span, place=place, kind=doing.kind, other=other)
    else:
        doing.shop.complain("fit uneven", written.span, parts=len(ones), places=len(others))
    return None


def _swap_pair(doing: Doing, one: Subject, other: Subject, written: Written) -> bool:
    shop = doing.shop
    spare = next((s for s in (one, other) if s.kind == "spare"), None)
    tag, place = (one, other) if other.kind == "place" else (other, one)
    if spare is not None or (tag.kind != "place" and place.kind == "place"):
        part, where = (spare, one if spare is other else other) if spare else (tag, place)
        shop.complain("tag and place", written.span, tag=label_of(part), place=label_of(where), kind=doing.kind)
        return False
    first, second = doing.place(one), doing.place(other)
    if first is None or second is None:
        return False
    if first == second:
        free = next(
            (c for c in _cylinders(doing) if doing.names.engine and doing.names.engine.seat(doing.kind, c) != first), ""
        )
        shop.complain("swap with itself", written.span, kind=doing.kind, place=label_of(one), other=free)
        return False
    standing = {first: shop.standing_at(doing.kind, first), second: shop.standing_at(doing.kind, second)}
    for place_, part_ in standing.items():
        if part_ is None:
            shop.complain("empty place", written.span, kind=doing.kind, place=place_.cylinder)
    doing.arrange({first: standing[second], second: standing[first]})
    return True


def _cylinders(doing: Doing) -> tuple[int, ...]:
    return doing.names.engine.cylinders if doing.names.engine else ()


def move(doing: Doing) -> bool:
    if doing.asks_part("moved"):
        return False
    wanted: dict[Place, str | None] = {}
    sources: list[Place] = []
    spoken: dict[Place, Written] = {}
    for written in doing.entry.readings:
        pairs = _pairs(doing, written)
        for one, other in pairs or ():
            if not doing.has_parts(written):
                continue
            source, into = doing.place(one), doing.place(other)
            if source is None or into is None:
                continue
            if into in wanted:
                doing.shop.complain("two into one", written.span, place=into.cylinder)
            elif source == into:
                doing.shop.complain("swap with itself", written.span, kind=doing.kind, place=into.cylinder, other="")
            else:
                wanted[into] = doing.shop.standing_at(doing.kind, source)
                sources.append(source)
                spoken[source] = written
    for source in sources:
        if source not in wanted:
            into = next(place for place in wanted if wanted[place] == doing.shop.standing_at(doing.kind, source))
            if doing.shop.standing_at(doing.kind, into) is not None:
                doing.shop.complain(
                    "left empty", spoken[source].span, place=source.cylinder, into=into.cylinder, kind=doing.kind
                )
            wanted[source] = None
    doing.arrange(wanted)
    return bool(wanted)


def put_back(doing: Doing) -> bool:
    places: list[Place] = []
    for written in doing.entry.readings:
        for subject in (*written.subjects, *written.to):
            if subject.kind in ("tag", "old", "spare"):
                part = doing.names.part(subject, doing.kind)
                left = doing.shop.standing.left.get(part or "") or _came_from(doing.shop, part)
                places.extend([left] if left else [])
            else:
                places.extend(named_places(doing, (subject,)))
    kind = doing.kind or next(iter(doing.shop.standing.changed_kinds(places)), "")
    engine = doing.names.engine.name if doing.names.engine else ""
    if not doing.entry.readings and kind:
        places = list(doing.shop.standing.changed_places(kind, engine))
    if not kind:
        if not doing.entry.readings and doing.what:
            return True  # 'put back head'
        return not doing.asks_part("put back")
    if kind not in MOVING_PARTS and not places:
        return True
    moves, unmoved = doing.shop.standing.put_back(doing.step, kind, places)
    if unmoved or not places:
        named = " ".join(str(place.cylinder) for place in (unmoved or places)) or "any place"
        first = named.split()[0]
        doing.shop.complain("nothing moved", doing.entry.span, places=named, kind=kind, first=first)
    doing.moves.extend(moves)
    doing.places.extend(
        dict.fromkeys([*places, *(m.into for m in moves if m.into), *(m.out_of for m in moves if m.out_of)])
    )
    return bool(moves)


def _came_from(shop: Workshop, part: str | None) -> Place | None:
    """The place that a part stood in before its latest change."""
    for change in reversed(shop.standing.changes):
        for place, before in change.before:
            if before == part and part is not None:
                return place
    return None
