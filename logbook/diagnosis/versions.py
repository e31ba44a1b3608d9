"""The faults that each part, place and shared thing can have, and what actions do to them.

A fault of a subject is a variable with versions: an action that may end or begin it starts a new version, tied to the
last by P(still there) and P(newly there).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from logbook.diagnosis.elimination import Array
from logbook.diagnosis.knowledge import Change, Fault, Knowledge
from logbook.diagnosis.subjects import PART_SCOPES, Subject, features, shared_subjects
from logbook.job.model import Engine, Event, FoundCause, Job, Part, Place

NOW = 1 << 60  # a step after all others
MENDED = 0.3  # an action that leaves a fault less often than this was its repair


class Variable(NamedTuple):
    """One version of one fault of one subject, from ``since`` (step) on."""

    number: int
    fault: str  # '' for a hub and its helper
    subject: Subject
    since: int
    before: int = -1  # the version before


@dataclass
class Versions:
    """Every fault of every subject of a job, in versions: the variables, their priors and what ties them."""

    job: Job
    knowledge: Knowledge
    base: Mapping[str, float]  # learned base rates by fault; others stand in the knowledge
    seen: Mapping[Place, frozenset[str]] = field(default_factory=dict)  # cylinder -> 'weak', 'dead' as ever seen
    variables: list[Variable] = field(default_factory=list)
    priors: list[tuple[float, ...]] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    ties: dict[tuple[int, int], Array] = field(default_factory=dict)
    versions: dict[tuple[str, Subject], list[int]] = field(default_factory=dict)
    mended: dict[int, bool] = field(default_factory=dict)  # version -> whether a repair began it

    def __post_init__(self) -> None:
        self._features = {e.name: features(e) for e in self.job.engines}
        self._read = sorted({r.step for r in self.job.readings})
        self._odds = self._clue_odds()
        self._raisers: dict[tuple[str, str], int | None] = {}
        self._home = self._homes()
        self._faults_of: dict[tuple[str, str], list[Fault]] = {}
        for engine in self.job.engines:
            self._add_engine(engine)
        for part in self._relevant_parts():
            self._add_part(part)
        for event in sorted(self.job.events, key=lambda e: e.step):
            self._apply(event)
        self._apply_found_causes()

    # --- causes ---

    def _clue_odds(self) -> dict[str, float]:
        odds: dict[str, float] = {}
        for word in sorted({word for word, _ in clues(self.job)}):
            for fault, factor in self.knowledge.clues.get(word, {}).items():
                odds[fault] = odds.get(fault, 1.0) * factor
        return odds

    def _homes(self) -> dict[str, str]:
        """The engine that each part first stood in."""
        home: dict[str, str] = {}
        for stay in sorted(self.job.stays, key=lambda s: s.since):
            home.setdefault(stay.part, stay.place.engine)
        return home

    def prior(self, fault: Fault) -> float:
        """Base rate with what was learned and the clues of the log."""
        p = self.base.get(fault.name, fault.base)
        odds = p / (1 - p) * self._odds.get(fault.name, 1.0)
        return odds / (1 + odds)

    def _possible(self, fault: Fault, engine: str) -> bool:
        return set(fault.needs) <= self._features.get(engine, frozenset())

    def _add(self, fault: str, subject: Subject, since: int, prior: tuple[float, float], before: int = -1) -> int:
        index = len(self.variables)
        self.variables.append(Variable(index, fault, subject, since, before))
        self.priors.append(prior)
        self.sizes.append(2)
        self.versions.setdefault((fault, subject), []).append(index)
        return index

    def _add_engine(self, engine: Engine) -> None:
        later = []
        for fault in self.knowledge.faults.values():
            if fault.scope in PART_SCOPES or not self._possible(fault, engine.name):
                continue
            if fault.raised_by:
                later.append(fault)
                continue
            p = self.prior(fault)
            for subject in shared_subjects(engine, fault.scope):
                self._add(fault.name, subject, -1, (1 - p, p))
        for fault in later:
            for subject in shared_subjects(engine, fault.scope):
                self._add_raised(fault, subject, engine.name)

    def _add_raised(self, fault: Fault, subject: Subject, engine: str) -> None:
        """A fault that another one makes likelier: a 2x2 table instead of a plain prior."""
        p = self.prior(fault)
        key = fault.raised_by, engine
        if key not in self._raisers:
            found = (v[0] for (name, s), v in self.versions.items() if (name, s.engine) == key)
            self._raisers[key] = next(found, None)
        cause = self._raisers[key]
        if cause is None:
            self._add(fault.name, subject, -1, (1 - p, p))
            return
        raised = 1 - (1 - p) * (1 - fault.rise)
        index = self._add(fault.name, subject, -1, (1.0, 1.0))
        self.ties[cause, index] = np.array([[1 - p, p], [1 - raised, raised]])

    def _relevant_parts(self) -> list[Part]:
        stood = {s.part for s in self.job.stays}
        read = {r.part for r in self.job.readings if r.part}
        return [p for p in self.job.parts if p.kind in PART_SCOPES and (p.id in stood or p.id in read)]

    def _add_part(self, part: Part) -> None:
        engine = self._home.get(part.id) or (self.job.engines[0].name if self.job.engines else "")
        rows = self._faults_of.get((part.kind, engine))
        if rows is None:
            rows = [f for f in self.knowledge.faults.values() if f.scope == part.kind and self._possible(f, engine)]
            self._faults_of[part.kind, engine] = rows
        subject = Subject(part.kind, part=part.id)
        found = part.origin == "found"
        for fault in rows:
            if found and fault.raised_by:
                self._add_raised(fault, subject, engine)
                continue
            p = self.prior(fault) if found else self.spare(fault, rows, part.origin)
            self._add(fault.name, subject, -1, (1 - p, p))

    def spare(self, fault: Fault, rows: Iterable[Fault], origin: str) -> float:
        """P(this fault in a part that comes from outside): its share of the spares' own base rate."""
        bad = self.knowledge.spares.get(origin, self.knowledge.spares["unknown"])
        return min(bad * fault.base / sum(f.base for f in rows), 0.5)

    # --- what actions do ---

    def _apply(self, event: Event) -> None:
        for change in self.knowledge.changes:
            if _applies(change, event):
                for subject in self._subjects_changed(change, event):
                    for fault in change.faults:
                        self._new_version(fault, subject, event.step, change)

    def _subjects_changed(self, change: Change, event: Event) -> list[Subject]:
        wanted = set(change.faults)
        known = [s for name, s in self.versions if name in wanted]
        if change.of == "parts":
            parts = set(event.parts)
            return [s for s in dict.fromkeys(known) if s.part and s.part in parts]
        known = [s for s in known if s.part or self._in_trouble(s)]
        places = {(p.engine, p.cylinder) for p in event.places}
        engine = event.engine or next((p.engine for p in event.places), "")
        reached = all if change.of == "within" else any
        touched = [
            s for s in dict.fromkeys(known) if not s.part and reached((s.engine, c) in places for c in s.cylinders)
        ]
        if touched or change.of != "engine":
            return touched
        return [s for s in dict.fromkeys(known) if not s.part and s.engine == engine]

    def _in_trouble(self, subject: Subject) -> bool:
        """Whether a cylinder that it reaches was ever in trouble: elsewhere, what handling does shows nowhere."""
        return any(Place(subject.engine, c) in self.seen for c in subject.cylinders)

    def _new_version(self, fault: str, subject: Subject, step: int, change: Change) -> None:
        chain = self.versions.get((fault, subject))
        if not chain:
            return
        before = chain[-1]
        table = np.array([[1 - change.new, change.new], [1 - change.stays, change.stays]])
        last = self.variables[before]
        if last.before >= 0 and not any(last.since <= read < step for read in self._read):
            self.ties[last.before, before] = self.ties[last.before, before] @ table  # nobody looked in between
            self.mended[before] = self.mended.get(before, False) or change.stays <= MENDED
            return
        index = self._add(fault, subject, step, (1.0, 1.0), before)
        self.ties[before, index] = table
        self.mended[index] = change.stays <= MENDED

    def _apply_found_causes(self) -> None:
        """A cause that was found and later proved right was mended in between, whether the log says how or not.

        Where neither a cause nor a repair tells the tables what it was, it may have been anything.
        """
        row = next((c for c in self.knowledge.changes if c.of == "cause"), None)
        proofs = [r.step for r in self.job.readings if r.proved and r.counts]
        if row is None or not proofs:
            return
        named = [cause for cause in self.job.causes if (cause.what or cause.part) and cause.entry <= max(proofs)]
        for cause in named:
            if not cause.part:  # a part is exchanged in the log itself
                self._apply_found_cause(cause, row)
        if self.seen and not named and not any(self.mended.values()):
            for name, subject in list(self.versions):
                if subject.part or self._in_trouble(subject):
                    self._new_version(name, subject, min(proofs), row)

    def _apply_found_cause(self, cause: FoundCause, row: Change) -> None:
        places = {(p.engine, p.cylinder) for p in cause.places}
        for (name, subject), chain in list(self.versions.items()):
            here = any((subject.engine, c) in places for c in subject.cylinders) if places else not subject.part
            mine = cause.what in " ".join((*self.knowledge.faults[name].words, name))
            if here and mine and not any(self.mended.get(v) for v in chain):
                self._new_version(name, subject, cause.entry, row)

    # --- looking things up ---

    def version(self, fault: str, subject: Subject, step: int) -> int:
        """The version of a fault that held after a step, or -1 where the subject cannot have it."""
        found = -1
        for index in self.versions.get((fault, subject), ()):
            if self.variables[index].since <= step:
                found = index
        return found


def clues(job: Job) -> tuple[tuple[str, int], ...]:
    """Words that change base rates, each with its entry: clues, and the words of the complaint."""
    said = [(word, e.entry.index) for e in job.entries if e.entry.kind == "symptom" for word in e.entry.words]
    return (*job.clues, *said)


def _applies(change: Change, event: Event) -> bool:
    if event.action not in change.action or not change.faults:
        return False
    if set(change.without) & set(event.what):
        return False
    by_part = event.part_kind in change.part if change.part else not change.what
    by_what = bool(set(change.what) & set(event.what))
    if change.part and change.what:
        return by_what and event.part_kind in change.part
    if change.part:
        return by_part or bool(set(change.part) & set(event.what))
    return by_what or not change.what
