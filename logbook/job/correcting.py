"""Corrections: which earlier entry or reading each one replaces."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from itertools import takewhile
from typing import NamedTuple

from logbook.job.model import Reading
from logbook.job.resolving import Resolver, Target
from logbook.job.workshop import Workshop
from logbook.text.entries import Entry, Value, Written
from logbook.text.vocabulary import KINDS

_MOST_CANDIDATES = 4
_READ = frozenset({"cyl", "part", "one", "bank", "any", "bolt", "bearing", "slots", "pull", "row", "codes"})


def is_reading(entry: Entry) -> bool:
    """Whether the entry's kind records values that are corrected one by one, not as a whole."""
    row = KINDS.get(entry.kind)
    return row is not None and row.subjects in _READ and not row.action and row.word != "cause"


def withdraws(entry: Entry) -> bool:
    """Whether a correction says '-': the earlier one never was."""
    words = [w.value.word if w.value else "" for w in entry.readings]
    return (words == ["not done"] and not entry.readings[0].subjects) or entry.text.strip() in ("-", "–", "—")


class Schedule(NamedTuple):
    """The entries in the order in which they are played, each with its step, corrections of whole entries in place."""

    plays: tuple[tuple[int, Entry], ...]
    replaced: tuple[tuple[int, int], ...]  # (replaced entry, by which)
    unmatched: tuple[Entry, ...]


def schedule(entries: Iterable[Entry]) -> Schedule:
    """Put corrections of whole entries (actions, texts, orders) in the place of what they correct."""
    plays: dict[int, Entry] = {}
    steps: dict[tuple[str, str], list[int]] = {}  # (kind, part), and (kind, '*') for any part
    replaced: list[tuple[int, int]] = []
    unmatched: list[Entry] = []
    for entry in entries:
        if not entry.correct:
            plays[entry.index] = entry
            for part in (entry.part, "*"):
                steps.setdefault((entry.kind, part), []).append(entry.index)
        elif not is_reading(entry):
            same = steps.get((entry.kind, entry.part or "*"), [])
            step = next((s for s in reversed(same) if s in plays and _is_meant(plays[s], entry)), None)
            if step is None:
                unmatched.append(entry)
                continue
            earlier = plays[step]
            replaced.append((earlier.index, entry.index))
            if withdraws(entry):
                del plays[step]
            else:
                kept = entry.readings or earlier.readings
                plays[step] = entry._replace(day=earlier.day, time=earlier.time, part_of=earlier.part_of, readings=kept)
    return Schedule(tuple(sorted(plays.items())), tuple(replaced), tuple(unmatched))


def _is_meant(earlier: Entry, correction: Entry) -> bool:
    return (
        earlier.kind == correction.kind
        and correction.part in ("", earlier.part)
        and correction.name in ("", earlier.name)
        and correction.engine == earlier.engine
        and (not correction.qualifiers or correction.qualifiers == earlier.qualifiers)
        and _same_time(earlier, correction)
    )


def _same_time(earlier: Entry, correction: Entry) -> bool:
    return (correction.correct_day is None or earlier.day == correction.correct_day) and (
        not correction.correct_time or earlier.time == correction.correct_time
    )


class Matcher:
    """Finds the reading that each value of a correction replaces: the latest earlier one, or that of its day."""

    def __init__(self, shop: Workshop, readings: Sequence[Reading], origins: Sequence[tuple[int, int]]) -> None:
        self.shop = shop
        self.readings = readings
        self.origins = origins
        self.found: dict[tuple[int, int], list[tuple[Entry, Value | None]]] = {}
        self._by_test: dict[str, list[int]] = {}
        self._by_subject: dict[tuple[object, ...], list[int]] = {}
        for i, reading in enumerate(readings):
            self._by_test.setdefault(reading.test, []).append(i)
            for key in {
                ("label", reading.subject.casefold()),
                ("place", reading.place, reading.letter),
                ("part", reading.part),
            }:
                self._by_subject.setdefault((reading.test, reading.qualifiers, reading.name, *key), []).append(i)

    def match(self, correction: Entry, rows: Iterable[tuple[Written, Target]], names: Resolver) -> None:
        """Note what the correction replaces; complain with the candidates where there is nothing."""
        for written, target in rows:
            if written.value is None or (withdraws(correction) and self._withdraw_entry(correction)):
                continue
            where = self._latest(correction, target, names.part_kind(written))
            if where is None:
                self._complain(correction, target, written)
                continue
            value = None if written.value.word == "not done" else written.value
            self.found.setdefault(where, []).append((correction, value))

    def _withdraw_entry(self, correction: Entry) -> bool:
        """'correct cut-out: -' takes back every reading of the latest such entry."""
        same = self._by_test.get(correction.kind, [])
        for at in reversed(range(self._before(same, correction))):
            reading = self.readings[same[at]]
            alike = reading.qualifiers == correction.qualifiers and reading.name == correction.name
            if alike and not reading.after_action and self._is_meant(same[at], correction, correction.part):
                for i in takewhile(self._in_entry(reading.entry), (same[k] for k in range(at, -1, -1))):
                    self.found.setdefault(self.origins[i], []).append((correction, None))
                return True
        return False

    def _in_entry(self, entry: int) -> Callable[[int], bool]:
        return lambda i: self.readings[i].entry == entry

    def _latest(self, correction: Entry, target: Target, part_kind: str) -> tuple[int, int] | None:
        best = -1
        for key in _keys(target):
            same = self._by_subject.get((correction.kind, correction.qualifiers, correction.name, *key), [])
            for at in reversed(range(self._before(same, correction))):
                if same[at] <= best:
                    break
                if self._is_meant(same[at], correction, part_kind):
                    best = same[at]
                    break
        return self.origins[best] if best >= 0 else None

    def _before(self, same: Sequence[int], correction: Entry) -> int:
        """How many of these readings stand above the correction."""
        return bisect_left(same, correction.index, key=lambda i: self.readings[i].entry)

    def _is_meant(self, i: int, correction: Entry, part_kind: str) -> bool:
        reading = self.readings[i]
        kinds = {part_kind, reading.part_kind} - {""}
        withdrawn = self.found.get(self.origins[i], [(correction, reading.value)])[-1][1] is None
        return len(kinds) < 2 and not withdrawn and _same_time(self.shop.log.entries[reading.entry], correction)

    def _complain(self, correction: Entry, target: Target, written: Written) -> None:
        entries = self.shop.log.entries
        same = self._by_test.get(correction.kind, [])
        near = [self.readings[i] for i in same[: self._before(same, correction)][-_MOST_CANDIDATES:]]
        said: dict[str, None] = {}
        for reading in reversed(near):
            day = entries[reading.entry].day
            words = " ".join([str(day) if day else "the card", reading.test, *reading.qualifiers, reading.subject])
            said.setdefault(words.strip())
        choices = "; ".join(said)
        related = tuple(dict.fromkeys(entries[r.entry].span for r in near))
        mend = f"there is: {choices}" if choices else "leave 'correct' out to write a first reading"
        kind = " ".join([correction.kind, *correction.qualifiers, *(["of", target.label] if target.label else [])])
        self.shop.complain("correction without match", written.span, related, kind=kind, candidates=mend)


def _keys(target: Target) -> list[tuple[object, ...]]:
    """The same subject at the old moment: by number or word as written, or the same part wherever it stood."""
    if target.label.startswith("old ") or (target.part and not target.label.isdigit()):
        return [("part", target.part)]
    keys: list[tuple[object, ...]] = [("label", target.label.casefold())]
    return [*keys, ("place", target.place, target.letter)] if target.place is not None else keys


def complain_of_whole(shop: Workshop, corrections: Sequence[Entry]) -> None:
    """Corrections of whole entries that correct nothing: name the entries of their kind."""
    by_kind: dict[str, list[Entry]] = {}
    for entry in shop.log.entries if corrections else ():
        if not entry.correct:
            by_kind.setdefault(entry.kind, []).append(entry)
    for correction in corrections:
        same = by_kind.get(correction.kind, [])
        near = same[: bisect_left(same, correction.index, key=lambda e: e.index)][-_MOST_CANDIDATES:]
        days = [f"{e.day or 'the card'} {e.kind} {e.part}".strip() for e in reversed(near)]
        mend = f"there is: {'; '.join(dict.fromkeys(days))}" if days else "leave 'correct' out to write a first entry"
        kind = " ".join(word for word in (correction.kind, correction.part) if word)
        related = tuple(e.span for e in near)
        shop.complain("correction without match", correction.span, related, kind=kind, candidates=mend)
