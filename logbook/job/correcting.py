"""Corrections: which earlier entry or reading each one replaces."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from logbook.job.model import Reading
from logbook.job.recording import is_private
from logbook.job.resolving import Resolver, Target
from logbook.job.workshop import Workshop
from logbook.text.entries import Entry, Value, Written
from logbook.text.vocabulary import KINDS

_READ = frozenset({"cyl", "part", "one", "bank", "any", "bolt", "bearing", "slots", "pull", "row", "codes"})


def is_reading(entry: Entry) -> bool:
    """Whether the entry's kind records values that are corrected one by one, not as a whole."""
    row = KINDS.get(entry.kind)
    return row is not None and row.subjects in _READ and not row.action and row.word != "cause"


def withdraws(entry: Entry) -> bool:
    """Whether a correction says '-': the earlier one never was."""
    words = [w.value.word if w.value else "" for w in entry.readings]
    return (words == ["not done"] and not entry.readings[0].subjects) or entry.text.strip() in ("-", "–", "—")


@dataclass(frozen=True, slots=True)
class Schedule:
    """The entries in the order in which they are played, each with its step, corrections of whole entries in place."""

    plays: tuple[tuple[int, Entry], ...]
    replaced: tuple[tuple[int, int], ...]  # (replaced entry, by which)
    unmatched: tuple[Entry, ...]


def schedule(entries: Iterable[Entry]) -> Schedule:
    """Put corrections of whole entries (actions, texts, orders) in the place of what they correct."""
    plays: dict[int, Entry] = {}
    origin: list[int] = []  # steps in order
    replaced: list[tuple[int, int]] = []
    unmatched: list[Entry] = []
    for entry in entries:
        if not entry.correct:
            plays[entry.index] = entry
            origin.append(entry.index)
        elif not is_reading(entry):
            step = next((s for s in reversed(origin) if s in plays and _is_meant(plays[s], entry)), None)
            if step is None:
                unmatched.append(entry)
                continue
            earlier = plays[step]
            replaced.append((earlier.index, entry.index))
            if withdraws(entry):
                del plays[step]
            else:
                kept = entry.readings or earlier.readings
                plays[step] = replace(entry, day=earlier.day, time=earlier.time, part_of=earlier.part_of, readings=kept)
    return Schedule(tuple((step, plays[step]) for step in origin if step in plays), tuple(replaced), tuple(unmatched))


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


@dataclass(slots=True)
class Matcher:
    """Finds the reading that each value of a correction replaces: the latest earlier one, or that of its day."""

    shop: Workshop
    readings: Sequence[Reading]
    origins: Sequence[tuple[int, int]]
    found: dict[tuple[int, int], list[tuple[Entry, Value | None]]]

    def match(self, correction: Entry, rows: Iterable[tuple[Written, Target]], names: Resolver) -> None:
        """Note what the correction replaces; complain with the candidates where there is nothing."""
        for written, target in rows:
            if written.value is None:
                continue
            where = self._latest(correction, target, names.part_kind(written))
            if where is None:
                self._complain(correction, target, written)
                continue
            value = None if written.value.word == "not done" else written.value
            self.found.setdefault(where, []).append((correction, value))

    def _latest(self, correction: Entry, target: Target, part_kind: str) -> tuple[int, int] | None:
        for i in reversed(range(len(self.readings))):
            reading = self.readings[i]
            if (
                self._of_kind(reading, correction)
                and self._withdrawn(i) is False
                and _is_of(reading, target, part_kind)
            ):
                return self.origins[i]
        return None

    def _of_kind(self, reading: Reading, correction: Entry) -> bool:
        earlier = self.shop.log.entries[reading.entry]
        return (
            reading.test == correction.kind
            and reading.entry < correction.index
            and (reading.after_action or reading.qualifiers == correction.qualifiers)
            and reading.name == correction.name
            and _same_time(earlier, correction)
        )

    def _withdrawn(self, i: int) -> bool:
        earlier = self.found.get(self.origins[i], [])
        return bool(earlier) and earlier[-1][1] is None

    def _complain(self, correction: Entry, target: Target, written: Written) -> None:
        entries = self.shop.log.entries
        same = [r for r in self.readings if r.test == correction.kind and r.entry < correction.index]
        said: dict[str, None] = {}
        for reading in reversed(same):
            day = entries[reading.entry].day
            words = " ".join([str(day) if day else "the card", reading.test, *reading.qualifiers, reading.subject])
            said.setdefault(words.strip())
        choices = "; ".join(list(said)[:4])
        related = tuple(entries[r.entry].span for r in same[-4:])
        mend = f"there is: {choices}" if choices else "leave 'correct' out to write a first reading"
        kind = " ".join([correction.kind, *correction.qualifiers, *(["of", target.label] if target.label else [])])
        self.shop.complain("correction without match", written.span, related, kind=kind, candidates=mend)


def _is_of(reading: Reading, target: Target, part_kind: str) -> bool:
    """The same subject at the old moment: by place or number as written, or the same part wherever it stood."""
    if part_kind and reading.part_kind and part_kind != reading.part_kind:
        return False
    if target.label.startswith("old ") or (target.part and not target.label.isdigit()):
        return reading.part == target.part
    if target.label.casefold() == reading.subject.casefold():
        return True
    return target.place is not None and reading.place == target.place and reading.letter == target.letter


def complain_of_whole(shop: Workshop, correction: Entry) -> None:
    """A correction of a whole entry that corrects nothing: name the entries of its kind."""
    same = [e for e in shop.log.entries if e.kind == correction.kind and not e.correct and e.index < correction.index]
    days = [f"{e.day or 'the card'} {e.kind} {e.part}".strip() for e in reversed(same)][:4]
    mend = "there is: " + "; ".join(days) if days else "leave 'correct' out to write a first entry"
    kind = " ".join(word for word in (correction.kind, correction.part) if word)
    related = tuple(e.span for e in same[-4:])
    shop.complain("correction without match", correction.span, related, kind=kind, candidates=mend)


__all__ = ["Matcher", "Schedule", "complain_of_whole", "is_private", "is_reading", "schedule", "withdraws"]
