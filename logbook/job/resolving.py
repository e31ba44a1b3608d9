"""Subjects as written ('old 4', 'rest', 'left', 'A3') to the places and parts that they name at that moment."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from logbook.job.model import Engine, Place
from logbook.job.workshop import Workshop
from logbook.spans import Span
from logbook.text.entries import Entry, Subject, Written
from logbook.text.vocabulary import KINDS, MOVING_PARTS

# Tests that are made on a part of one kind although the entry seldom says so.
USUAL_PART = {
    "flow": "injector",
    "spray": "injector",
    "drip": "injector",
    "spark": "coil",
    "plug look": "plug",
    "pulse": "injector",
    "click": "injector",
}
# Tests of a part that is out of the engine: 'all' and 'rest' mean the set that the named ones belong to.
BENCH_TESTS = frozenset({"flow", "spray", "drip"})
_NUMBERED = frozenset({"bolt", "bearing", "row"})
_BANK_SUBJECTS = frozenset({"bank", "any"})


class Target(NamedTuple):
    """One subject made definite: a place, a part, a bank, a slot, a speed or a word; ``label`` is how pages name it."""

    label: str
    span: Span
    place: Place | None = None
    part: str = ""
    bank: str = ""
    slot: str = ""
    letter: str = ""
    speed: int = 0
    word: str = ""

    @property
    def key(self) -> tuple[object, ...]:
        """Equal where two readings are of the same thing; a part keeps its key wherever it stands."""
        if self.part and self.place is None:
            return "part", self.part
        if self.place is not None:
            return "place", self.place, self.letter
        return "label", self.label.casefold(), self.speed


def label_of(subject: Subject) -> str:
    """'3', '1a', 'old 4', 'A3', 'left', 'oil', '2500 rpm'."""
    if subject.kind == "place":
        return f"{subject.number}{subject.letter}"
    if subject.kind == "old":
        return f"old {subject.number}"
    if subject.kind == "speed":
        return f"{subject.number} rpm"
    return subject.name or subject.kind


class Resolver(NamedTuple):
    """Resolves the subjects of one entry at the moment it is played."""

    shop: Workshop
    entry: Entry
    engine: Engine | None

    def part_kind(self, written: Written | None = None) -> str:
        """The kind of part that a reading is about, as written or as usual for the test; "" where it is none."""
        named = written.part if written else ""
        return named or self.entry.part or USUAL_PART.get(self.entry.kind, "")

    def targets(self, written: Written, others: Iterable[Written]) -> tuple[Target, ...]:
        """All targets of a reading; 'rest' is what no reading of ``others`` names."""
        found: list[Target] = []
        for subject in written.subjects:
            if subject.kind in ("all", "rest", "odd", "even", "bank"):
                found.extend(self._group(subject, written, others))
            elif (target := self.one(subject, self.part_kind(written))) is not None:
                found.append(target)
        return tuple(found)

    def one(self, subject: Subject, kind: str) -> Target | None:
        """The target of a subject that names one thing."""
        if subject.kind == "place":
            return self._place(subject, kind)
        if subject.kind in ("tag", "old", "spare"):
            part = self.part(subject, kind)
            return self._of_part(part, subject) if part else None
        label = label_of(subject)
        if subject.kind == "speed":
            return Target(label, subject.span, speed=subject.number)
        if subject.kind == "slot":
            return Target(label, subject.span, slot=subject.name)
        return Target(label, subject.span, word=subject.name)

    def part(self, subject: Subject, kind: str, into: Place | None = None) -> str | None:
        """The part that a tag, 'old 3' or a spare's word names; None after a complaint."""
        if subject.kind == "tag":
            return self.shop.tagged(kind, subject.name, subject.span)
        if not kind:
            self._of_what(subject)
            return None
        if subject.kind == "spare":
            return self.shop.spare(kind, subject.name, into, self.entry)
        if subject.kind == "old":
            return self._old(subject, kind)
        return None

    def places(self, subjects: Sequence[Subject], kind: str) -> tuple[Place, ...]:
        """The places that subjects name: cylinders, runs, banks, all; a part stands for the place it stands in."""
        found: list[Place] = []
        for target in self.targets(Written(self.entry.span, tuple(subjects), part=kind), ()):
            place = target.place or self.shop.standing.where.get(target.part)
            if place is not None and place not in found:
                found.append(place)
        return tuple(found)

    def cylinder(self, number: int, span: Span, kind: str = "") -> Place | None:
        """A cylinder of the entry's engine, at the seat of the part that serves it."""
        if self.engine is None:
            self.no_engine(span)
            return None
        if not self.engine.has(number):
            self.shop.complain("no such cylinder", span, number=number, count=len(self.engine.cylinders))
            return None
        return self.engine.seat(kind, number) if kind else Place(self.engine.name, number)

    def no_engine(self, span: Span) -> None:
        if not self.shop.engines:
            source = self.entry.source.upper()
            donor = f" {source}" if source in self.shop.donors else ""
            self.shop.complain("no engine", span, what=f"'{self.entry.kind}'", donor=donor)

    def _place(self, subject: Subject, kind: str) -> Target | None:
        row = KINDS.get(self.entry.kind)
        label = label_of(subject)
        if row is not None and row.subjects in _NUMBERED:
            return Target(label, subject.span, letter=subject.letter)
        cylinder = self.cylinder(subject.number, subject.span)
        if cylinder is None:
            return None
        part, seat = "", cylinder
        if kind in MOVING_PARTS and self.engine is not None:
            seat = self.engine.seat(kind, subject.number)
            standing = self.shop.standing
            part = standing.at.get((kind, seat)) or standing.last_at.get((kind, seat)) or ""
        if part and part not in self.shop.standing.where and self.entry.kind in BENCH_TESTS:
            return Target(label, subject.span, part=part)  # on the bench: the part that last stood there
        return Target(label, subject.span, cylinder, self.shop.standing.at.get((kind, seat), ""), letter=subject.letter)

    def _of_part(self, part: str, subject: Subject) -> Target:
        return Target(label_of(subject), subject.span, self.shop.standing.where.get(part), part)

    def _old(self, subject: Subject, kind: str) -> str | None:
        place = self.cylinder(subject.number, subject.span, kind)
        if place is None or self.engine is None:
            return None
        if kind in MOVING_PARTS and kind not in self.engine.part_kinds:
            self.shop.complain("no such parts", subject.span, kind=kind)
            return None
        return self.shop.found_in(kind, place)

    def _of_what(self, subject: Subject) -> None:
        label = label_of(subject)
        self.shop.complain("swap of what", subject.span, done="meant", action=self.entry.kind, places=label)

    def _group(self, subject: Subject, written: Written, others: Iterable[Written]) -> list[Target]:
        row = KINDS.get(self.entry.kind)
        kind = self.part_kind(written)
        if subject.kind == "bank" and row is not None and row.subjects == "bank":
            return [Target(subject.name, subject.span, bank=subject.name)] if self._bank(subject) else []
        if row is not None and row.subjects in _NUMBERED | {"bank"} and subject.kind == "all":
            return [Target("all", subject.span)]
        if self.engine is None:
            self.no_engine(subject.span)
            return []
        named = self._named(others) if subject.kind == "rest" else set()
        if kind and subject.kind in ("all", "rest") and self.entry.kind in BENCH_TESTS:
            return self._bench_set(subject, kind, others, named)
        found = []
        seats: set[Place] = set()
        for cylinder in self._cylinders(subject):
            place = Place(self.engine.name, cylinder)
            seat = self.engine.seat(kind, cylinder) if kind in MOVING_PARTS else place
            if ("place", place, "") in named or (seat in seats and self.entry.part == kind):
                continue  # one coil that serves several cylinders is one reading; a spark is one at each cylinder
            seats.add(seat)
            part = self.shop.standing.at.get((kind, seat), "")
            found.append(Target(str(cylinder), subject.span, place, part))
        if not found and subject.kind == "rest":
            self.shop.complain("rest of none", subject.span)
        return found

    def _cylinders(self, subject: Subject) -> tuple[int, ...]:
        assert self.engine is not None
        cylinders = self.engine.cylinders
        if subject.kind in ("odd", "even"):
            return tuple(c for c in cylinders if c % 2 == (subject.kind == "odd"))
        if subject.kind == "bank":
            bank = self._bank(subject)
            return tuple(sorted(bank)) if bank else ()
        return cylinders

    def _bank(self, subject: Subject) -> tuple[int, ...]:
        banks = self.engine.banks if self.engine else ()
        found = next((bank.cylinders for bank in banks if bank.name == subject.name), ())
        if not found:
            said = " and ".join(bank.name or "one row" for bank in banks) or "none"
            self.shop.complain("bank unknown", subject.span, bank=subject.name, banks=said)
        return found

    def _named(self, others: Iterable[Written]) -> set[tuple[object, ...]]:
        """Keys of all that other readings name, by place and by part."""
        keys: set[tuple[object, ...]] = set()
        for other in others:
            for subject in other.subjects:
                if subject.kind == "rest":
                    continue
                for target in self.targets(Written(other.span, (subject,), part=other.part), ()):
                    keys.add(target.key)
                    if target.part:
                        keys.add(("part", target.part))
        return keys

    def _bench_set(
        self, subject: Subject, kind: str, others: Iterable[Written], named: set[tuple[object, ...]]
    ) -> list[Target]:
        """The set that the named parts belong to: those of one donor, else those found in the engine."""
        shop = self.shop
        named_parts = {str(key[1]) for key in named | self._named(others) if key[0] == "part"}
        donors = {shop.parts[part].donor for part in named_parts if shop.parts[part].origin == "donor"}
        engine = self.engine.name if self.engine else ""
        found = []
        for part in shop.parts.values():
            if part.kind != kind or part.id in shop.gone or ("part", part.id) in named:
                continue
            ours = part.origin == "found" and part.home is not None and part.home.engine == engine
            if (part.origin == "donor" and part.donor in donors) if donors else ours:
                found.append(Target(part.name, subject.span, shop.standing.where.get(part.id), part.id))
        if not found and subject.kind == "rest":
            shop.complain("rest of none", subject.span)
        return found
