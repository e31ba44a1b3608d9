"""The log played in time order: each entry to engines begun, parts moved, readings taken and things traded."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from logbook.job.actions import ACTION_KINDS, play_action
from logbook.job.causes import found_causes
from logbook.job.correcting import Matcher, Schedule, complain_of_whole, is_reading, schedule
from logbook.job.donors import DonorStock
from logbook.job.model import Donor, Engine, Event, FoundCause, Group, Limit
from logbook.job.privacy import is_private
from logbook.job.recording import Corrections, Recorder
from logbook.job.resolving import Resolver
from logbook.job.trading import TRADE_KINDS, Trading, money_in
from logbook.job.workshop import Workshop
from logbook.problems import Weight
from logbook.text.entries import Entry, Log, Written


def play(log: Log, elsewhere: Mapping[str, DonorStock], limits: Sequence[Limit], money: str) -> Player:
    """Play a log. Twice where it corrects readings, so that what was repeated from them is right as well.

    And once more where a line says only after parts were moved or looked at that a coil serves several cylinders: that
    held from the beginning.
    """
    plan = schedule(log.entries)
    corrections = [e for e in log.entries if e.correct and is_reading(e)]
    first = _run(log, elsewhere, limits, money, plan, {}, {})
    shared = {name: first.shop.engines[name] for name in first.shop.shared_late}
    if shared:
        first = _run(log, elsewhere, limits, money, plan, {}, shared)
    if not corrections:
        return first
    matcher = Matcher(first.shop, first.recorder.readings, first.recorder.origins)
    for correction in corrections:
        names = Resolver(first.shop, correction, first.shop.engine_of(correction))
        matcher.match(correction, first.recorder.rows(correction, _valued(correction), names), names)
    unmatched = [p for p in first.shop.problems if p.number == _UNMATCHED]
    second = _run(log, elsewhere, limits, money, plan, matcher.found, shared)
    second.shop.problems.update(dict.fromkeys(unmatched))
    return second


_FROM_DONOR = r"\bfrom ([a-z]\d+)\b"
_UNMATCHED = 540  # the one complaint that only the first run can make


def _valued(entry: Entry) -> tuple[Written, ...]:
    return tuple(w for w in entry.readings if w.value is not None)


def _run(
    log: Log, elsewhere: Mapping[str, DonorStock], limits: Sequence[Limit], money: str, plan: Schedule,
    corrections: Corrections, shared: Mapping[str, Engine],
) -> Player:  # fmt: skip
    faulty = tuple(p.span for p in log.problems if p.weight is Weight.ERROR)
    shop = Workshop(log, elsewhere, faulty, shared)
    player = Player(shop, Recorder(shop, corrections, limits), Trading(shop, money), plan)
    player.run()
    return player


class Player:
    """What came of playing a log."""

    def __init__(self, shop: Workshop, recorder: Recorder, trading: Trading, schedule: Schedule) -> None:
        self.shop = shop
        self.recorder = recorder
        self.trading = trading
        self.schedule = schedule
        self.events: list[Event] = []
        self.causes: list[FoundCause] = []

    def run(self) -> None:
        for step, entry in self.schedule.plays:
            self._play(entry, step)
        complain_of_whole(self.shop, self.schedule.unmatched)

    def _play(self, entry: Entry, step: int) -> None:
        if entry.spec_mark:
            return  # a limit, no reading
        if entry.kind == "engine":
            self._begin_engine(entry, step)
        elif entry.kind == "donor":
            self._donor(entry)
        elif entry.kind == "parts":
            self._declare(entry)
        elif entry.kind == "shared":
            self._share(entry)
        elif entry.kind in TRADE_KINDS:
            self.trading.play(entry, step, self._names(entry))
        elif entry.kind == "cause":
            self.causes.extend(found_causes(entry, self._names(entry)))
        elif entry.kind in ACTION_KINDS:
            self._act(entry, step)
        elif is_reading(entry):
            self.recorder.record(entry, step, self._names(entry))

    def _names(self, entry: Entry) -> Resolver:
        engine = self.shop.engine_of(entry)
        about_leads = entry.part == "lead" and (entry.kind in ACTION_KINDS or is_reading(entry))
        if engine is not None and about_leads and engine.ignition != "none" and not engine.leads:
            self.shop.complain("leads taken", entry.span)
            engine = self.shop.with_leads(engine)
        return Resolver(self.shop, entry, engine)

    def _act(self, entry: Entry, step: int) -> None:
        names = self._names(entry)
        event = play_action(self.shop, entry, step, names)
        if event is not None:
            self.events.append(event._replace(private=is_private(entry)))
        if _valued(entry):
            self.recorder.record(entry, step, names)
        self.recorder.record_now(entry, step, names, event)

    def _begin_engine(self, entry: Entry, step: int) -> None:
        begun = bool(self.shop.engines)
        text = body_of(entry, self.shop.log)
        said = re.search(_FROM_DONOR, text, re.IGNORECASE)
        donor = entry.source or (said[1].upper() if said else "")
        self.shop.begin_engine(entry, text, entry.engine or entry.name, donor)
        if begun:
            self.events.append(Event(step, entry.index, "engine", engine=self.shop.current))

    def _donor(self, entry: Entry) -> None:
        shop = self.shop
        tag = entry.name or entry.engine
        if not tag:
            return
        facts = tuple((s.name, w.text.strip()) for w in entry.readings for s in w.subjects if s.kind == "slot")
        if tag in shop.donors:
            first = shop.span_of(shop.donors[tag].entry)
            shop.complain("declared twice", entry.span, first, tag=tag, kind="a donor")
            return
        shop.donors[tag] = Donor(tag, entry.text.strip(), entry.index, facts)
        paid = [text for slot, text in facts if slot == "bought"] or money_in(entry.text)[:1]
        for text in paid:
            self.trading.donor_price(tag, text, entry)

    def _declare(self, entry: Entry) -> None:
        names = self._names(entry)
        for written in entry.readings:
            kind = written.part or entry.part
            tags = [s for s in written.subjects if s.kind == "tag"]
            if not kind:
                if tags:
                    label = tags[0].name
                    self.shop.complain("swap of what", written.span, done="meant", action="parts", places=label)
                continue
            cylinders = [s.number for s in entry.at if s.kind == "place"]
            if entry.at and len(cylinders) != len(tags):
                self.shop.complain("homes uneven", entry.span, parts=len(tags), places=len(cylinders))
                cylinders = []
            for i, tag in enumerate(tags):
                home = None
                if cylinders and (place := names.cylinder(cylinders[i], entry.at[i].span)):
                    home = place
                self.shop.declare(kind, tag.name, entry.source, home, entry, tag.span)

    def _share(self, entry: Entry) -> None:
        names = self._names(entry)
        if names.engine is None:
            names.no_engine(entry.span)
            return
        kind = " ".join(word for word in (entry.part, *entry.qualifiers) if word) or "feed"
        groups = []
        for written in entry.readings:
            places = names.places(written.subjects, "")
            if places:
                groups.append(Group(kind, tuple(sorted(p.cylinder for p in places)), label_of_group(written)))
        engine = names.engine
        kept = tuple(g for g in engine.groups if g.kind != kind) if kind == "coil" else engine.groups
        late = bool(self.events or self.recorder.readings)
        self.shop.share(engine.name, (*kept, *groups), kind, late)


def label_of_group(written: Written) -> str:
    """The bank's name where a group is one."""
    return next((s.name for s in written.subjects if s.kind == "bank"), "")


def body_of(entry: Entry, log: Log) -> str:
    """An entry's body as written: its text, else what stands after the colon of its line."""
    if entry.text.strip():
        return entry.text.strip()
    line = log.text[entry.span.start : entry.span.end].split("\n", 1)[0]
    head, colon, body = line.partition(":")
    return body.strip() if colon else head.strip().partition(" ")[2].strip()
