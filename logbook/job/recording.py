"""Readings as they are played: values put to places and parts, 'same' filled in, corrections at the old moment."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from logbook.job.model import Event, Limit, Place, Reading
from logbook.job.privacy import is_private
from logbook.job.resolving import Resolver, Target
from logbook.job.workshop import Workshop
from logbook.text.entries import Condition, Entry, Subject, Value, Written
from logbook.text.numbers import middle_of
from logbook.text.vocabulary import KINDS, MOVING_PARTS, STATES

# Corrections of one reading, by (entry, ordinal): each the correcting entry and its value, None where withdrawn.
Corrections = Mapping[tuple[int, int], Sequence[tuple[Entry, Value | None]]]
SAME_IS_AN_ANSWER = frozenset({"wiggle", "water spray"})  # 'same' there means: nothing changed
UNLIKELY = frozenset({311, 312, 313, 316})  # problems of a value that is hard to believe
_DEAD_SHARE, _WEAK_SHARE = 0.2, 0.6  # of the usual drop of the set; only used to repeat a state for 'now same'


class Recorder:
    """Takes down readings while the log is played."""

    def __init__(self, shop: Workshop, corrections: Corrections, limits: Sequence[Limit] = ()) -> None:
        self.shop = shop
        self.corrections = corrections
        self.limits = limits
        self.readings: list[Reading] = []
        self.origins: list[tuple[int, int]] = []  # of each reading: (entry, ordinal)
        self.seen: dict[Place, str] = {}  # the state that a cylinder was last seen in
        self.last: dict[tuple[object, ...], Value] = {}
        self.usual_drop: dict[str, float] = {}  # engine -> the drop of a cylinder that works
        self._limits: dict[str, list[Limit]] | None = None  # by test, the latest first
        self._unlikely: set[int] | None = None  # where values stand that the reader found hard to believe
        self._ordinal: int = 0
        self._entry: int = -1

    def record(self, entry: Entry, step: int, names: Resolver) -> None:
        """Every value of an entry, put to what it is about."""
        first = len(self.readings)
        written = tuple(w for w in entry.readings if w.value is not None)
        for reading, target in self.rows(entry, written, names):
            if reading.value is not None:
                self._emit(
                    entry, entry.kind, self._believed(reading.value), target, step, names, names.part_kind(reading),
                    conditions=reading.conditions,
                )  # fmt: skip
        if entry.kind == "cut-out":
            self._note_drops(names, self.readings[first:])

    def _believed(self, value: Value) -> Value:
        """The value, doubted where the reader found it hard to believe: it is shown, and weighs as with a '?'."""
        if self._unlikely is None:
            self._unlikely = {p.span.start for p in self.shop.log.problems if p.number in UNLIKELY}
        return value._replace(doubted=True) if value.span.start in self._unlikely else value

    def record_now(self, entry: Entry, step: int, names: Resolver, event: Event | None) -> None:
        """What was seen right after an action."""
        if entry.now_word == "same" and (cut := _cut_out(entry, event)):
            for place in cut:  # the engine ran no worse without it
                target = Target(str(place.cylinder), entry.span, place)
                self._emit(entry, "cut-out", Value(entry.span, word="none"), target, step, names, "", True)
                self.seen[place] = "dead"
        elif entry.now_word:
            for place, word in self._stated(entry, names, event):
                target = Target(str(place.cylinder), entry.span, place)
                self._emit(entry, "firing", Value(entry.span, word=word), target, step, names, "", True)
        for written in entry.now:
            if written.value is None:
                continue
            others = [w for w in entry.now if w is not written]
            plain = written._replace(part="")
            for target in _cylinders_of(names, plain, others, event):
                if written.value.word == "same" and not written.subjects and target.place not in self.seen:
                    continue
                state = self._state(written.value, target)
                if state is not None and not self._made_to_miss(entry, event, state, target):
                    self._emit(entry, "firing", state, target, step, names, "", True)

    def _made_to_miss(self, entry: Entry, event: Event | None, state: Value, target: Target) -> bool:
        """'unplug coil: 4, now 4 dead' says nothing of 4, said as a hint."""
        if state.word != "dead" or target.place not in _cut_out(entry, event):
            return False
        self.shop.complain("dead of itself", state.span, place=target.label)
        return True

    def rows(self, entry: Entry, written: Sequence[Written], names: Resolver) -> list[tuple[Written, Target]]:
        """Each reading with its target: by name, or a row of values by order."""
        unnamed = [w for w in written if not w.subjects]
        if len(unnamed) > 1 and len(unnamed) == len(written) and not any(w.conditions for w in written):
            return self._row(entry, written, names)
        found: list[tuple[Written, Target]] = []
        taken: set[tuple[object, ...]] = set()
        for reading in written:
            others = [w for w in written if w is not reading]
            targets = names.targets(reading, others) if reading.subjects else (Target("", reading.span),)
            for target in targets:
                key = (*target.key, *(c.text for c in reading.conditions))
                if key in taken and reading.subjects:
                    self.shop.complain("named twice", target.span, subject=target.label)
                    continue
                taken.add(key)
                found.append((reading, target))
        return found

    def _row(self, entry: Entry, written: Sequence[Written], names: Resolver) -> list[tuple[Written, Target]]:
        row = KINDS.get(entry.kind)
        if row is None or row.subjects not in ("cyl", "part") or names.engine is None:
            return [(w, Target(str(i), w.span)) for i, w in enumerate(written, start=1)]
        kind = names.part_kind()
        seats = sorted({names.engine.seat(kind, c).cylinder for c in names.engine.cylinders}) if kind else []
        places: Sequence[int] = seats if kind and len(seats) == len(written) else names.engine.cylinders
        if len(places) != len(written):
            self.shop.complain("row uneven", entry.span, values=len(written), places=len(places))
            return []
        subjects = [Subject("place", w.span, number=n) for w, n in zip(written, places, strict=True)]
        found = [(w, names.one(s, kind)) for w, s in zip(written, subjects, strict=True)]
        return [(w, target) for w, target in found if target is not None]

    def _emit(
        self, entry: Entry, test: str, value: Value, target: Target, step: int, names: Resolver, part_kind: str,
        after_action: bool = False, conditions: tuple[Condition, ...] = (),
    ) -> None:  # fmt: skip
        self._ordinal = self._ordinal + 1 if entry.index == self._entry else 0
        self._entry = entry.index
        origin = (entry.index, self._ordinal)
        qualifiers = () if after_action else entry.qualifiers
        if target.slot and not after_action and target.slot in KINDS[entry.kind].qualifiers:
            qualifiers = (*qualifiers, target.slot)  # 'battery: rest 12.6, cranking 10.2'
        engine = names.engine.name if names.engine else entry.engine
        part_kind = self.shop.parts[target.part].kind if target.part else part_kind
        key = (test, qualifiers, part_kind, engine, entry.name, target.key)
        whole = self._repeated(value, key, test, target)
        if whole is None:
            return
        reading = Reading(
            step, entry.index, test, target.label, whole, qualifiers, part_kind, engine, target.place, target.part,
            target.bank, target.slot, target.letter, target.speed, entry.name, conditions or entry.conditions,
            proved=entry.proved, private=is_private(entry), after_action=after_action,
        )  # fmt: skip
        limit = self._limit(entry, reading)
        counts = self._append(reading._replace(limit=limit) if limit else reading, origin)
        if counts is not None:
            self.last[key] = counts
            if test == "firing" and target.place is not None and counts.word in STATES:
                self.seen[target.place] = counts.word

    def _append(self, reading: Reading, origin: tuple[int, int]) -> Value | None:
        """The reading and what corrects it; the value that counts in the end, None where it was withdrawn."""
        current: Value | None = reading.value
        for entry, value in self.corrections.get(origin, ()):
            self._keep(reading._replace(corrected_by=entry.index), origin)
            current = value
            if value is None:
                return None
            reading = reading._replace(
                entry=entry.index, value=value, corrects=reading.entry, private=is_private(entry),
                conditions=entry.conditions or reading.conditions, proved=reading.proved or entry.proved,
            )  # fmt: skip
        self._keep(reading, origin)
        return current

    def _keep(self, reading: Reading, origin: tuple[int, int]) -> None:
        self.readings.append(reading)
        self.origins.append(origin)

    def _repeated(self, value: Value, key: tuple[object, ...], test: str, target: Target) -> Value | None:
        """The value itself, or for 'same' the one last read there."""
        if value.word != "same" or test in SAME_IS_AN_ANSWER:
            return value
        state = self.seen.get(target.place) if target.place is not None and test == "firing" else None
        earlier = Value(value.span, word=state) if state else self.last.get(key)
        if earlier is None:
            self.shop.complain(
                "same as what", value.span, subject=target.label or test, mend=f"{target.label} dead".strip()
            )
            return None
        return value._replace(word=earlier.word, quantity=earlier.quantity)

    def _state(self, value: Value, target: Target) -> Value | None:
        if value.word != "same":
            return value
        state = self.seen.get(target.place) if target.place is not None else None
        if state is None:
            self.shop.complain("same as what", value.span, subject=target.label, mend=f"now {target.label} dead")
            return None
        return value._replace(word=state)

    def _stated(self, entry: Entry, names: Resolver, event: Event | None) -> list[tuple[Place, str]]:
        """The states that 'now same' and 'now moved' stand for."""
        engine = names.engine
        if engine is None:
            return []
        if entry.now_word == "same":
            seats = event.places if event and event.places else [Place(engine.name, c) for c in engine.cylinders]
            kind = entry.part if entry.part in MOVING_PARTS else ""
            places = [Place(engine.name, c) for seat in seats for c in engine.served(kind, seat.cylinder)]
            found = [(place, self.seen[place]) for place in dict.fromkeys(places) if place in self.seen]
            if not found:
                subject = " and ".join(str(place.cylinder) for place in places[:4]) or "it"
                first = places[0].cylinder if places else 3
                self.shop.complain("same as what", entry.span, subject=subject, mend=f"now {first} dead")
            return found
        moved = [(m.out_of, m.into) for m in event.moves if m.out_of and m.into] if event else []
        if not moved:
            self.shop.complain("moved without a move", entry.span)
        before = dict(self.seen)
        found = []
        for source, into in moved:
            pairs = zip(
                engine.served(entry.part, source.cylinder), engine.served(entry.part, into.cylinder), strict=False
            )
            for one, other in pairs:
                if (state := before.get(Place(engine.name, one))) is not None:
                    found.append((Place(engine.name, other), state))
        if moved and not found:
            first = moved[0][1].cylinder
            self.shop.complain("same as what", entry.span, subject=str(first), mend=f"now {first} dead")
        return sorted(found)

    def _note_drops(self, names: Resolver, readings: Iterable[Reading]) -> None:
        """Remember states from a cut-out, so that a later 'now same' can repeat them."""
        counting = [r for r in readings if r.counts and r.place is not None and not r.value.doubted]
        drops = {r.place: float(r.value.quantity.middle) for r in counting if r.place and r.value.quantity}
        engine = names.engine.name if names.engine else ""
        working = [drop for drop in drops.values() if drop > 0]
        usual = middle_of(working) if len(working) >= 3 else max([*working, self.usual_drop.get(engine, 0.0)])
        if usual > 0:
            self.usual_drop[engine] = usual
        for reading in counting:
            if reading.place is None:
                continue
            word = "dead" if reading.value.word == "none" else reading.value.word
            if reading.place in drops:
                share = drops[reading.place] / usual if usual > 0 else 0.0
                word = "dead" if share < _DEAD_SHARE else "weak" if share < _WEAK_SHARE else "fires"
            if word in STATES:
                self.seen[reading.place] = word

    def _limit(self, entry: Entry, reading: Reading) -> Value | None:
        if entry.spec is not None:
            return entry.spec
        if self._limits is None:
            self._limits = _latest_limits(self.limits)
        limits = self._limits.get(reading.test)
        return next((limit.value for limit in limits if _holds(limit, reading)), None) if limits else None


def _cut_out(entry: Entry, event: Event | None) -> tuple[Place, ...]:
    """The cylinders that unplugging made miss: those whose coil, lead, plug or injector it names, or no part at all."""
    if entry.kind != "unplug" or event is None or entry.part not in ("", *MOVING_PARTS) or "sensor" in event.what:
        return ()
    return event.places


def _worked_on(names: Resolver, event: Event | None) -> tuple[int, ...]:
    """The cylinders that an action was done at, and all that their part serves."""
    engine = names.engine
    if event is None or engine is None:
        return ()
    moved = [place for m in event.moves for place in (m.out_of, m.into) if place is not None]
    seats = [p.cylinder for p in (*event.places, *moved) if p.engine == engine.name]
    kind = event.part_kind if event.part_kind in MOVING_PARTS else ""
    return tuple(dict.fromkeys(c for seat in seats for c in engine.served(kind, seat)))


def _cylinders_of(
    names: Resolver, written: Written, others: Sequence[Written], event: Event | None
) -> tuple[Target, ...]:
    """Targets of a 'now' clause: always cylinders, whatever part was acted on.

    Without a subject those worked on and not named beside it, all where the action had no place.
    """
    named = {s.number for w in others for s in w.subjects if s.kind == "place"}
    worked = [Subject("place", written.span, number=c) for c in _worked_on(names, event) if c not in named]
    subjects = written.subjects or tuple(worked) or (Subject("all", written.span),)
    plain = Resolver(names.shop, names.entry._replace(kind="firing", part=""), names.engine)
    return tuple(
        target._replace(part="")
        for target in plain.targets(written._replace(subjects=subjects), others)
        if target.place is not None or target.word
    )


def _latest_limits(limits: Sequence[Limit]) -> dict[str, list[Limit]]:
    found: dict[tuple[object, ...], Limit] = {}
    for limit in reversed(limits):
        about = (limit.test, limit.qualifiers, limit.part_kind, limit.slot, limit.subject)
        found.setdefault(about, limit)  # a later line outranks an earlier one, and the log the shop
    by_test: dict[str, list[Limit]] = {}
    for limit in found.values():
        by_test.setdefault(limit.test, []).append(limit)
    return by_test


def _holds(limit: Limit, reading: Reading) -> bool:
    """A limit without words or subject holds for all readings of its test."""
    return (
        limit.test == reading.test
        and (not limit.qualifiers or set(limit.qualifiers) <= set(reading.qualifiers))
        and limit.part_kind in ("", reading.part_kind)
        and limit.slot == reading.slot
        and limit.subject in ("", reading.subject)
    )
