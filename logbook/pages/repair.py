"""What was done about a fault: one account a round, from the first sight of trouble to the proof, made from the ledger.

A round ends where the job came back. What goes in are the events, stays, readings and trades of one copy of a job; what
comes out are the acts that bear on its engine, and the places that hold another part at the end than at the beginning.
A part that was tried and taken out again is no change; parts that never stood in the engine are stock, and what is done
to stock is none of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise
from typing import Literal

from logbook.job.model import Event, Job, Place, Reading
from logbook.pages.places import is_hidden
from logbook.pages.values import quantity_words
from logbook.text.vocabulary import MOVING_PARTS

Verb = Literal[
    "tried", "removed", "out and back", "stayed out", "sent out", "fitted", "put back",
    "cleaned", "repaired", "set", "filled", "torqued", "measured", "scrapped",
]  # fmt: skip
_BAD = ("dead", "weak", "intermittent")
_VERBS: Mapping[str, Verb] = {
    "fit": "fitted",
    "remove": "removed",
    "put back": "put back",
    "clean": "cleaned",
    "repair": "repaired",
    "adjust": "set",
    "fill": "filled",
    "scrap": "scrapped",
}
_TIGHTENED = ("torque", "angle", "stretch")
_CLEARANCE = ("lash", "plug gap", "point gap")
_AWAY = re.compile(r"(?:the )?(?P<thing>[\w ]+?),? (?P<where>(?:at|with|out|gone|away)\b.*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Vain:
    """Why an act did not help by itself: a state seen after it, or a reading that hardly moved."""

    place: Place
    after: Reading
    before: Reading | None = None  # None where ``after`` is a state


@dataclass(frozen=True, slots=True)
class Act:
    """One thing done: to ``parts``, with where each ``stood`` at that moment, else to ``thing``."""

    step: int
    entry: int
    verb: Verb
    thing: str = ""
    parts: tuple[str, ...] = ()
    stood: tuple[Place | None, ...] = ()
    places: tuple[Place, ...] = ()
    value: str = ""  # as written: what it was set to, where it went
    remark: str = ""
    vain: Vain | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """A place that holds another part at the end of a round than at its beginning; ``step`` is when that one came."""

    step: int
    kind: str
    place: Place
    was: str  # part ids; "" for none
    now: str
    vain: Vain | None = None


@dataclass(frozen=True, slots=True)
class Repair:
    """One round of work on one fault, or on several found together. ``end`` is the step of the last proof, else of the
    last entry; ``swapped`` are changes among places that only exchanged their parts.
    """

    start: int
    end: int
    acts: tuple[Act, ...]
    changes: tuple[Change, ...]
    swapped: tuple[tuple[Change, ...], ...]
    proofs: tuple[int, ...]  # entries
    came_back: int = -1  # the entry that says so; -1: it has not

    @property
    def is_work(self) -> bool:
        return bool(self.acts or self.changes)


def repairs(job: Job) -> tuple[Repair, ...]:
    """Every round of ``job``, the shop's or the public copy, in time order; a build without a fault has none."""
    bounds = [0, *job.came_back, len(job.entries)]
    found = []
    for number, (low, high) in enumerate(pairwise(bounds)):
        start = low if number else trouble_from(job, high)
        if start is not None:
            found.append(_repair(job, start, high, high if number < len(job.came_back) else -1))
    return tuple(found)


def last_repair(job: Job) -> Repair | None:
    """The round that the job is in now."""
    found = repairs(job)
    return found[-1] if found else None


def had_fault(job: Job) -> bool:
    """Whether anything was ever wrong: a symptom, a cylinder in trouble, a cause, or that it came back."""
    return bool(job.came_back) or trouble_from(job, len(job.entries)) is not None


def trouble_from(job: Job, high: int) -> int | None:
    """The step from which there is a fault to repair; None where there is none."""
    if any(kind == "symptom" for kind, _ in job.card):
        return 0
    seen = [r.step for r in job.readings if r.counts and r.value.word in _BAD and r.place is not None]
    named = [c.entry for c in job.causes]
    return min((step for step in (*seen, *named) if step < high), default=None)


def _repair(job: Job, start: int, high: int, came_back: int) -> Repair:
    proofs = sorted({r.step for r in job.readings if r.proved and r.counts and start <= r.step < high})
    end = proofs[-1] if proofs else high - 1
    scene = _Scene(job, start, end)
    changes, swapped = scene.changes()
    acts = sorted(scene.acts(changes), key=lambda a: a.step)
    steps = sorted({*(a.step for a in acts if a.verb != "scrapped"), *(c.step for c in changes)})

    def until(step: int) -> int:
        return min((s for s in steps if s > step), default=end + 1)

    return Repair(
        start,
        end,
        tuple(_judged(scene, a, until(a.step)) for a in acts),
        tuple(_judged_change(scene, c, until(c.step)) for c in changes),
        swapped,
        tuple(e for e in dict.fromkeys(proofs) if not is_hidden(job, e)),
        came_back,
    )


class _Scene:
    """One round: what was mounted at its two ends, and which parts were in the engine within it."""

    def __init__(self, job: Job, start: int, end: int) -> None:
        self.job, self.start, self.end = job, start, end
        self.first = job.mounted(start - 1)
        self.last = job.mounted(end)
        self.in_engine = {s.part for s in job.stays if s.since <= end and (s.until is None or s.until >= start)}
        self.ends_at = {part: place for (_, place), part in self.last.items()}
        self.readings = [r for r in job.readings if r.counts and not is_hidden(job, r.entry) and r.step < end + 1]

    def changes(self) -> tuple[tuple[Change, ...], tuple[tuple[Change, ...], ...]]:
        """Places with another part, and apart from them sets of places that only exchanged theirs."""
        kinds: dict[str, list[Change]] = {}
        for kind, place in sorted({*self.first, *self.last}):
            was, now = (m.get((kind, place), "") for m in (self.first, self.last))
            step = max((s.since for s in self.job.stays if s.part == now and s.place == place and s.since <= self.end),
                       default=-1)  # fmt: skip
            if now and was != now and step >= self.start and not is_hidden(self.job, step):
                kinds.setdefault(kind, []).append(Change(step, kind, place, was, now))
        swapped = [group for found in kinds.values() for group in _exchanged(found)]
        aside = {id(c) for group in swapped for c in group}
        changed = [c for found in kinds.values() for c in found if id(c) not in aside]
        return tuple(sorted(changed, key=lambda c: (c.step, c.place))), tuple(swapped)

    def acts(self, changes: Sequence[Change]) -> Iterable[Act]:
        arrived = {c.now for c in changes}
        for event in self.job.events:
            if self.start <= event.step <= self.end and not event.private and not is_hidden(self.job, event.entry):
                yield from self._of_event(event, arrived)
        yield from self._sent_out()
        yield from self._tightened()

    def _of_event(self, event: Event, arrived: set[str]) -> Iterable[Act]:
        verb = _VERBS.get(event.action)
        if verb is None:
            return  # swaps and moves show in what has changed; wiggling and unplugging is looking, not repairing
        if event.moves:
            if event.action == "fit":
                yield from self._tried(event, arrived)
            elif event.action == "remove":
                yield from self._taken_out(event)
            if verb not in ("cleaned", "repaired", "scrapped"):
                return
        elif event.action in ("fit", "remove") and event.part_kind in MOVING_PARTS:
            return  # it was there, or gone, already
        parts = tuple(p for p in event.parts if p in self.in_engine)
        if event.parts and not parts:
            return  # stock
        mounted = {part: place for (_, place), part in self.job.mounted(event.step).items()}
        entry = self.job.entries[event.entry].entry
        thing = " ".join(dict.fromkeys(w for w in (event.part_kind, *reversed(event.what)) if w)) if not parts else ""
        written = [w for w in entry.readings if w.value or w.remark]
        value = next((w.value.quantity.text for w in written if w.value and w.value.quantity), "")
        remark = next((w.remark or (w.value.remark if w.value else "") for w in written), "")
        new = any(s.kind == "spare" and s.name == "new" for w in entry.readings for s in w.subjects)
        if verb == "fitted" and new:
            value = "new"
        if not parts and not thing:
            return
        stood = tuple(mounted.get(p) for p in parts)
        yield Act(event.step, event.entry, verb, thing, parts, stood, event.places, value, remark)

    def _tried(self, event: Event, arrived: set[str]) -> Iterable[Act]:
        """Parts that came from outside, went in and came out again before the end of the round."""
        for move in event.moves:
            began = move.part in self.first.values()
            if move.into and not move.out_of and not began and move.part not in self.ends_at:
                yield Act(event.step, event.entry, "tried", "", (move.part,), (None,), (move.into,))

    def _taken_out(self, event: Event) -> Iterable[Act]:
        """Parts taken out: those that went back to where they were, and those that went in nowhere again."""
        home = {part: place for (_, place), part in self.first.items()}
        groups: dict[Verb, list[tuple[str, Place]]] = {}
        for move in event.moves:
            if move.out_of is None or move.part not in home:
                continue
            if self.ends_at.get(move.part) == move.out_of == home[move.part]:
                groups.setdefault("out and back", []).append((move.part, move.out_of))
            elif move.part not in self.ends_at and (self._kind(move.part), move.out_of) not in self.last:
                groups.setdefault("stayed out", []).append((move.part, move.out_of))
        for verb, found in groups.items():
            parts, places = zip(*found, strict=True)
            yield Act(event.step, event.entry, verb, "", parts, places, places)

    def _kind(self, part: str) -> str:
        return self.job.part(part).kind

    def _sent_out(self) -> Iterable[Act]:
        """'waiting: the head, at the machine shop': a thing that was taken off, and where it went."""
        off = {w for e in self.job.events if e.action == "remove" and self.start <= e.step <= self.end for w in e.what}
        for trade in self.job.trades:
            found = _AWAY.fullmatch(trade.text) if trade.kind == "waiting" and trade.counts else None
            here = self.start <= trade.step <= self.end and not trade.private and not is_hidden(self.job, trade.entry)
            if found and here and found["thing"] in off:
                yield Act(trade.step, trade.entry, "sent out", found["thing"], value=found["where"])

    def _tightened(self) -> Iterable[Act]:
        """Bolts turned, and clearances measured once something was off: a test for some, the work itself for others."""
        opened = min((e.step for e in self.job.events if e.action == "remove" and e.what and e.step >= self.start),
                     default=self.end + 1)  # fmt: skip
        entries: dict[int, list[Reading]] = {}
        for reading in self.readings:
            tight = reading.test in _TIGHTENED and reading.step >= self.start
            if tight or (reading.test in _CLEARANCE and reading.step > opened):
                entries.setdefault(reading.entry, []).append(reading)
        for entry, found in entries.items():
            first = found[0]
            if not all(r.value.quantity for r in found):
                continue
            tight = first.test in _TIGHTENED
            thing = (
                first.part_kind or " ".join(first.qualifiers) if tight else " ".join((*first.qualifiers, first.test))
            )
            yield Act(first.step, entry, "torqued" if tight else "measured", thing, value=_range(found))

    def seen(self, step: int, until: int, place: Place) -> list[Reading]:
        return [r for r in self.readings if step <= r.step < until and r.place == place]


def _exchanged(found: Sequence[Change]) -> list[tuple[Change, ...]]:
    """The sets of places whose parts went round among themselves."""
    by_part = {c.was: c for c in found if c.was}
    left, groups = list(found), []
    while left:
        ring = [left.pop(0)]
        while (before := by_part.get(ring[-1].now)) in left and before is not None:
            left.remove(before)
            ring.append(before)
        if by_part.get(ring[-1].now) is ring[0] and len(ring) > 1:
            groups.append(tuple(sorted(ring, key=lambda c: c.place)))
    return groups


def _judged(scene: _Scene, act: Act, until: int) -> Act:
    places = [p for p in (*act.places, *act.stood) if p is not None]
    return replace(act, vain=_in_vain(scene, act.step, until, places)) if act.verb in _CAN_FAIL else act


def _judged_change(scene: _Scene, change: Change, until: int) -> Change:
    return replace(change, vain=_in_vain(scene, change.step, until, [change.place]))


_CAN_FAIL = ("tried", "set", "cleaned", "repaired", "fitted")


def _in_vain(scene: _Scene, step: int, until: int, places: Iterable[Place]) -> Vain | None:
    """What shows that the trouble was still there between this act and the next one."""
    for place in dict.fromkeys(places):
        for reading in reversed(scene.seen(step, until, place)):
            if reading.value.word in _BAD:
                return Vain(place, reading)
            if reading.value.quantity and (before := _hardly_moved(scene, reading, step)):
                return Vain(place, reading, before)
    return None


def _hardly_moved(scene: _Scene, reading: Reading, step: int) -> Reading | None:
    """The reading before, where this one is nearer to it by far than to the last one of the round."""
    same = [r for r in scene.readings if _key(r) == _key(reading) and r.value.quantity]
    before = [r for r in same if r.step < step]
    after = [r for r in same if r.step > reading.step]
    if not before or not after:
        return None
    first, now, last = (_middle(r) for r in (before[-1], reading, after[-1]))
    return before[-1] if abs(last - first) > 3 * abs(now - first) else None


def _range(found: Sequence[Reading]) -> str:
    """'65 lb-ft', '61 to 65 Nm'."""
    numbers = sorted((r.value.quantity for r in found if r.value.quantity), key=lambda q: q.middle)
    least, most = quantity_words(numbers[0], unit=False), quantity_words(numbers[-1])
    return most if numbers[0].middle == numbers[-1].middle else f"{least} to {most}"


def _middle(reading: Reading) -> Decimal:
    return reading.value.quantity.middle if reading.value.quantity else Decimal(0)


def _key(reading: Reading) -> tuple[object, ...]:
    how = tuple(q for q in reading.qualifiers if q != "dry")  # dry is what a compression test is without a word
    return reading.test, how, reading.place, reading.slot, reading.part_kind
