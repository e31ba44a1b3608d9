"""What is known before a line: who is dead, what was worked on last, what stands where. Kept up entry by entry."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date

from logbook.text.card_words import count_and_layout, written_banks
from logbook.text.entries import Entry, Subject, Written
from logbook.text.forms import entry_line
from logbook.text.hearing.model import Context, Last
from logbook.text.state import State
from logbook.text.vocabulary import KINDS

_KEPT = 24  # entries that a correction may mean
_MEASURED = frozenset({"cyl", "part", "one", "bank", "any", "bolt", "bearing", "slots", "pull"})
_TRUSTED_DROP = 25  # rpm: below it a cylinder may be weak, so nothing is said of it


class Tracker:
    """Follows the entries of a log as far as they were read; costs nothing until a line has to be heard."""

    def __init__(self, state: State) -> None:
        self.state = state
        self.seen = 0
        self.places = 0
        self.banks: dict[str, tuple[int, ...]] = {}
        self.ignition = ""
        self.leads = False
        self.mains = 0
        self.restored: tuple[int, ...] = ()
        self.before_exchange: dict[int, str] = {}
        self.tags: dict[str, str] = {}
        self.states: dict[int, str] = {}
        self.last = Last()
        self.exchanged = Last()
        self.unplugged = Last()
        self.delivered = False
        self.recent: list[Entry] = []

    def before(self, entries: Sequence[Entry], day: date | None) -> Context:
        """The context of the line behind these entries."""
        for entry in entries[self.seen :]:
            self._see(entry)
        self.seen = len(entries)
        lines = tuple((e.kind, entry_line(e), e.day) for e in reversed(self.recent))
        return Context(
            self.places, self.banks, (), self.state.units, self.state.money, dict(self.tags),
            frozenset(self.state.donors),
            self.ignition, self.leads, dict(self.states), self.last, self.exchanged, self.unplugged, (), lines, day,
            self.delivered, self.restored, self.mains,
        )  # fmt: skip

    def _see(self, entry: Entry) -> None:
        kind = KINDS[entry.kind]
        if entry.kind == "engine" and not entry.engine:
            self._card(entry.text)
        elif entry.kind == "parts":
            for written in entry.readings:
                for s in written.subjects:
                    self.tags[s.name.upper()] = entry.part or written.part
        elif entry.kind in ("handed over", "came back"):
            self.delivered = entry.kind == "handed over"
        if entry.kind in ("swap", "move"):
            self.before_exchange = dict(self.states)
        self._follow(entry)
        if entry.kind == "put back" and not entry.now and not entry.now_word:
            old = self.before_exchange
            self.restored = tuple(n for n in old if self.states.get(n) != old[n])
            self.states = dict(self.before_exchange) or self.states
        if entry.kind == "put back":
            self.exchanged = Last()
        elif entry.kind in ("cut-out", "firing") or entry.now:
            self.restored = ()
        worked = _names(entry.readings)
        last = Last(entry.kind, entry.part, entry.qualifiers, worked, tuple(c.text for c in entry.conditions))
        if entry.kind in ("swap", "move"):
            self.exchanged = last
        elif entry.kind == "unplug":
            self.unplugged = last
        elif entry.kind == "reconnect":
            self.unplugged = Last()
        if kind.action or kind.subjects in _MEASURED or entry.kind == "hours":
            self.last = last
            self.recent = [*self.recent[-_KEPT:], entry]

    def _card(self, text: str) -> None:
        said = " ".join(text.casefold().split())[:600].rstrip(".")
        count, _layout = count_and_layout(said)
        banks = written_banks(said, min(count, 16))
        self.places = count or sum(len(c) for c in banks.values())
        self.banks = {name: tuple(cylinders) for name, cylinders in banks.items()}
        self.ignition = (
            "on plug"
            if "on plug" in said
            else "near plug"
            if "near plug" in said
            else "one"
            if "coil one" in said or "distributor" in said
            else ""
        )
        mains = re.search(r"\bmains? (\d{1,2})\b|\b(\d{1,2}) mains?\b", said)
        self.mains = int(mains[1] or mains[2]) if mains else 0
        self.leads = "lead" in said or "near plug" in said or "distributor" in said

    def _follow(self, entry: Entry) -> None:
        told = entry.readings if entry.kind in ("firing", "cut-out") else entry.now
        named: set[int] = set()
        for written in told:
            state = _state(written)
            for subject in written.subjects:
                for place in self._opened(subject, named):
                    if state:
                        self.states[place] = state
                    named.add(place)
        if entry.kind == "swap" and len(entry.readings) == 1 and entry.now_word == "moved":
            a, b = (*_names(entry.readings), "", "")[:2]
            if a.isdigit() and b.isdigit():
                first, second = self.states.get(int(a), ""), self.states.get(int(b), "")
                self.states |= {n: s for n, s in ((int(a), second), (int(b), first)) if s}

    def _opened(self, subject: Subject, named: Iterable[int]) -> Iterable[int]:
        everyone = range(1, self.places + 1)
        if subject.kind == "place":
            return (subject.number,)
        if subject.kind == "all":
            return everyone
        if subject.kind == "rest":
            return [n for n in everyone if n not in named]
        if subject.kind in ("odd", "even"):
            return [n for n in everyone if n % 2 == (subject.kind == "odd")]
        return self.banks.get(subject.name, ())


def _state(written: Written) -> str:
    value = written.value
    if value is None:
        return ""
    if value.quantity is not None:
        return "dead" if value.quantity.high == 0 else "fires" if value.quantity.low >= _TRUSTED_DROP else ""
    return {"none": "dead", "misses": "dead", "ok": "fires"}.get(
        value.word, value.word if value.word in ("dead", "fires", "weak") else ""
    )


def _names(readings: Iterable[Written]) -> tuple[str, ...]:
    """The places and parts of readings, or where parts went: of a swap both sides, of a fit the places."""
    found: list[str] = []
    for written in readings:
        spare = bool(written.to) and any(s.kind in ("spare", "tag", "old") for s in written.subjects)
        for s in (*(() if spare else written.subjects), *written.to):
            name = str(s.number) if s.kind == "place" else "all" if s.kind == "all" else s.name or s.kind
            if name not in found:
                found.append(name)
    return tuple(found)
