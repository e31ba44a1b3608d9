"""An action as it is played: who is meant, and what moved so far."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from logbook.job.model import Move, Place
from logbook.job.resolving import Resolver, Target, label_of
from logbook.job.workshop import Workshop
from logbook.text.entries import Entry, Subject, Written
from logbook.text.vocabulary import MOVING_PARTS


class Doing(NamedTuple):
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


def named_parts(doing: Doing, written: Written) -> list[str]:
    return [p for s in written.subjects if s.kind == "tag" and (p := doing.names.part(s, doing.kind)) is not None]


def named_places(doing: Doing, subjects: tuple[Subject, ...]) -> list[Place]:
    """The places of a fit or removal; a place may be named twice, so that it can be complained of."""
    found: list[Place] = []
    for subject in subjects:
        if subject.kind == "place":
            place = doing.names.cylinder(subject.number, subject.span, doing.kind)
            found.extend([place] if place else [])
        else:
            found.extend(doing.names.places((subject,), doing.kind))
    return found


def named_targets(doing: Doing) -> list[Target]:
    readings = doing.entry.readings
    return [t for w in readings for t in doing.names.targets(w, [o for o in readings if o is not w])]
