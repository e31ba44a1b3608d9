"""What was done: each kind of action as a small function from an entry to moves and an event."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from logbook.job.model import Event, Move, Place
from logbook.job.resolving import Resolver, Target, label_of
from logbook.job.standing import net_moves
from logbook.job.workshop import Workshop
from logbook.text.entries import Entry, Subject, Written
from logbook.text.vocabulary import MOVING_PARTS


@dataclass(slots=True)
class Doing:
    """An action as it is played: the moves so far, and what it was done to."""

    shop: Workshop
    entry: Entry
    step: int
    names: Resolver
    moves: list[Move]
    parts: list[str]
    places: list[Place]
    what: list[str]

    @property
    def kind(self) -> str:
        return self.entry.part

    def asks_part(self, done: str) -> bool:
        """Whether the entry fails to say which part it means, said as a problem."""
        if self.entry.part:
            return False
        subjects = [label_of(s) for w in self.entry.readings for s in (*w.subjects, *w.to)]
        words = " ".join(subjects) or "3 4"
        self.shop.complain("swap of what", self.entry.span, done=done, action=self.entry.kind, places=words)
        return True

    def has_parts(self, written: Written) -> bool:
        """Whether the engine has parts of this kind at its cylinders, said as a problem where not."""
        engine = self.names.engine
        if engine is None:
            self.names.no_engine(written.span)
            return False
        if self.kind in MOVING_PARTS and self.kind not in engine.part_kinds:
            self.shop.complain("no such parts", written.span, kind=self.kind)
            return False
        return True

    def place(self, subject: Subject) -> Place | None:
        """The place that one side of a swap or move names, as a number or as a part that stands in it."""
        if subject.kind == "place":
            return self.names.cylinder(subject.number, subject.span, self.kind)
        part = self.names.part(subject, self.kind)
        if part is None:
            return None
        place = self.shop.standing.where.get(part)
        if place is None:
            self.shop.complain(
                "not standing", subject.span, part=self.shop.called(part), done="swapped",
                kind=self.kind, tag=label_of(subject),
            )  # fmt: skip
        return place

    def arrange(self, wanted: Mapping[Place, str | None]) -> None:
        for place in wanted:
            self.shop.standing_at(self.kind, place)  # of kinds that the card doesn't list, the found part is made now
        self.moves.extend(self.shop.standing.arrange(self.step, self.kind, wanted))
        self.places.extend(place for place in wanted if place not in self.places)


def play_action(shop: Workshop, entry: Entry, step: int, names: Resolver) -> Event | None:
    """Play an entry of an action; None where it is no action, or nothing of it could be used."""
    act = _ACTIONS.get(entry.kind)
    if act is None:
        return None
    doing = Doing(shop, entry, step, names, [], [], [], [])
    if entry.part and entry.part not in MOVING_PARTS:
        doing.what.append(entry.part)
    doing.what.extend(entry.qualifiers)
    used = act(doing)
    if not used:
        return None
    moves = net_moves(doing.moves)
    parts = tuple(dict.fromkeys([*doing.parts, *(m.part for m in moves)]))
    engine = names.engine.name if names.engine else ""
    what = tuple(dict.fromkeys(doing.what))
    places = tuple(dict.fromkeys(doing.places))
    return Event(step, entry.index, entry.kind, entry.part, moves, parts, places, engine, what, entry.proved)


def _swap(doing: Doing) -> bool:
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


def _move(doing: Doing) -> bool:
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


def _fit(doing: Doing) -> bool:
    if not doing.entry.part:
        doing.what.extend(s.name for w in doing.entry.readings for s in w.subjects if s.kind == "word")
        if doing.what or not doing.entry.readings:
            return True
        return not doing.asks_part("fitted")
    if doing.kind not in MOVING_PARTS and not any(w.to for w in doing.entry.readings):
        doing.parts.extend(p for w in doing.entry.readings for p in _named_parts(doing, w))
        return True  # a pump, a head: things with no place at a cylinder
    used = False
    filled: set[Place] = set()
    for written in doing.entry.readings:
        used |= _fit_one(doing, written, filled)
    return used


def _named_parts(doing: Doing, written: Written) -> list[str]:
    return [p for s in written.subjects if s.kind == "tag" and (p := doing.names.part(s, doing.kind)) is not None]


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
    places = _places(doing, to)
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


def _places(doing: Doing, subjects: tuple[Subject, ...]) -> list[Place]:
    """The places of a fit or removal; a place may be named twice, so that it can be complained of."""
    found: list[Place] = []
    for subject in subjects:
        if subject.kind == "place":
            place = doing.names.cylinder(subject.number, subject.span, doing.kind)
            found.extend([place] if place else [])
        else:
            found.extend(doing.names.places((subject,), doing.kind))
    return found


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


def _put_back(doing: Doing) -> bool:
    places: list[Place] = []
    for written in doing.entry.readings:
        for subject in (*written.subjects, *written.to):
            if subject.kind in ("tag", "old", "spare"):
                part = doing.names.part(subject, doing.kind)
                left = doing.shop.standing.left.get(part or "") or _came_from(doing.shop, part)
                places.extend([left] if left else [])
            else:
                places.extend(_places(doing, (subject,)))
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


def _remove(doing: Doing) -> bool:
    if not doing.kind:
        doing.what.extend(s.name for w in doing.entry.readings for s in w.subjects if s.kind == "word")
        if doing.what or not doing.entry.readings:
            return True
        return not doing.asks_part("removed")
    if doing.kind not in MOVING_PARTS:
        doing.parts.extend(p for w in doing.entry.readings for p in _named_parts(doing, w))
        return True
    engine = doing.names.engine
    if engine is None:
        doing.names.no_engine(doing.entry.span)
        return False
    wanted: dict[Place, str | None] = {}
    if not doing.entry.readings:
        wanted = {engine.seat(doing.kind, c): None for c in engine.cylinders}
    for target in _targets(doing):
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


def _targets(doing: Doing) -> list[Target]:
    readings = doing.entry.readings
    return [t for w in readings for t in doing.names.targets(w, [o for o in readings if o is not w])]


def _treat(doing: Doing) -> bool:
    """Clean, repair, adjust: a part begins a state of its own, or a place's connector was handled."""
    on_wiring = any(word in ("connector", "harness", "feed", "ground") for word in doing.what)
    for target in _targets(doing):
        if target.word:
            doing.what.append(target.word)
        if target.part and not on_wiring:
            doing.parts.append(target.part)
            doing.shop.versions[target.part] = doing.shop.versions.get(target.part, 0) + 1
        if target.place is not None:
            doing.places.append(target.place)
            if on_wiring or not target.part:
                key = f"{target.place.engine}/{target.place.cylinder}"
                doing.shop.versions[key] = doing.shop.versions.get(key, 0) + 1
    return True


def _handle(doing: Doing) -> bool:
    """Unplug and reconnect: the part stays where it is, its connector is handled."""
    for target in _targets(doing):
        if target.word:
            doing.what.append(target.word)
        if target.part:
            doing.parts.append(target.part)
        if target.place is not None:
            doing.places.append(target.place)
    return True


def _plain(doing: Doing) -> bool:
    return True


_ACTIONS: Mapping[str, Callable[[Doing], bool]] = {
    "swap": _swap,
    "move": _move,
    "fit": _fit,
    "put back": _put_back,
    "remove": _remove,
    "clean": _treat,
    "repair": _treat,
    "adjust": _treat,
    "unplug": _handle,
    "reconnect": _handle,
    "wiggle": _handle,
    "water spray": _handle,
    "fill": _plain,
}
ACTION_KINDS = frozenset(_ACTIONS)
