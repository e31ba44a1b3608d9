"""A job as a graph of yes-or-no causes and what they bring about. What moves and what stays is all in who stood where.

Each fault of each part, place or shared thing is a variable with versions: an action that may end or begin the fault
starts a new version, tied to the last by P(still there) and P(newly there). Each effect that was looked at is a
*latent*: the same effect of the same causes in the same condition is the same latent, so a repeat is no fresh
evidence beyond its reading, and a swap back finds its old latent again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from logbook.diagnosis.elimination import STATES, Array, Graph
from logbook.diagnosis.knowledge import ANY, STATE_EFFECT, Change, Effect, Fault, Knowledge
from logbook.diagnosis.subjects import (
    PART_SCOPES,
    Mounted,
    Subject,
    bank_of,
    features,
    part_at,
    shared_subjects,
)
from logbook.job.model import Engine, Event, Job, Part, Place

Parents = tuple[tuple[int, tuple[float, ...]], ...]  # (variable, q: (q,) or (weak or worse, dead))


@dataclass(frozen=True, slots=True)
class Variable:
    """One version of one fault of one subject, from ``since`` (step) on."""

    index: int
    fault: str  # '' for a hub and its helper
    subject: Subject
    since: int
    before: int = -1  # the version before


@dataclass(frozen=True, slots=True)
class Anchor:
    """Where an effect is looked at: a cylinder, a part on its own, a bank or the engine."""

    engine: str
    cylinder: int = 0
    part: str = ""
    bank: str = ""


@dataclass(frozen=True, slots=True)
class Latent:
    """An effect in one arrangement and condition. ``parents`` may be empty (nothing but the leak)."""

    effect: Effect
    condition: str
    parents: Parents
    anchor: Anchor

    @property
    def key(self) -> tuple[str, str, Parents]:
        return self.effect.name, self.condition, self.parents


def noisy_or_weights(likelihood: tuple[float, ...], leak: tuple[float, ...]) -> tuple[float, ...]:
    """Weights of a latent's helper for P(reading | absent), P(reading | present), or for fires, weak, dead.

    The finding is ``l1 + (l0 - l1)(1 - leak) prod(1 - q)``, and for the nested states
    ``ld + (lw - ld) Nd + (lf - lw) Nw`` with ``Nd``, ``Nw`` the chances of 'not dead' and 'neither'.
    """
    if len(likelihood) == 2:
        absent, present = likelihood
        return present, (absent - present) * (1 - leak[0])
    fires, weak, dead = likelihood
    return dead, (weak - dead) * (1 - leak[1]), (fires - weak) * (1 - leak[0])


def survivals(q: tuple[float, ...]) -> tuple[float, ...]:
    """The helper's factor beside a fault that is present, state by state: (1, 1-q) or (1, 1-q dead, 1-q weak)."""
    return (1.0, *(1 - x for x in reversed(q)))


@dataclass
class Network:
    """The graph of one job. Fault variables come first, latents behind them."""

    job: Job
    knowledge: Knowledge
    base: Mapping[str, float]  # learned base rates by fault; others stand in the knowledge
    variables: list[Variable] = field(default_factory=list)
    priors: list[tuple[float, float]] = field(default_factory=list)
    ties: dict[tuple[int, int], Array] = field(default_factory=dict)
    latents: list[Latent] = field(default_factory=list)
    versions: dict[tuple[str, Subject], list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._features = {e.name: features(e) for e in self.job.engines}
        self._parts = {p.id: p for p in self.job.parts}
        self._hubs: dict[tuple[str, Subject, Parents], int] = {}
        self.behind: dict[int, tuple[int, ...]] = {}  # hub -> the faults behind it
        self._by_key: dict[tuple[str, str, Parents], int] = {}
        self._mounted: dict[int, Mounted] = {}
        self._moved = sorted({e.step for e in self.job.events if e.moves})
        self._odds = self._clue_odds()
        self._home = self._homes()
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
        for word in sorted({word for word, _ in self.job.clues}):
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
        cause = next((v[0] for (name, s), v in self.versions.items() if name == fault.raised_by and s.engine == engine), None)
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
        rows = [f for f in self.knowledge.faults.values() if f.scope == part.kind and self._possible(f, engine)]
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
        places = {(p.engine, p.cylinder) for p in event.places}
        engine = event.engine or next((p.engine for p in event.places), "")
        touched = [s for s in dict.fromkeys(known) if not s.part and any((s.engine, c) in places for c in s.cylinders)]
        if touched or change.of == "places":
            return touched
        return [s for s in dict.fromkeys(known) if not s.part and s.engine == engine]

    def _new_version(self, fault: str, subject: Subject, step: int, change: Change) -> None:
        chain = self.versions.get((fault, subject))
        if not chain:
            return
        before = chain[-1]
        index = self._add(fault, subject, step, (1.0, 1.0), before)
        self.ties[before, index] = np.array([[1 - change.new, change.new], [1 - change.stays, change.stays]])

    def _apply_found_causes(self) -> None:
        """A cause that was found and later proved right was mended in between, whether the log says how or not."""
        row = next((c for c in self.knowledge.changes if c.of == "cause"), None)
        proofs = [r.step for r in self.job.readings if r.proved and r.counts]
        if row is None or not proofs:
            return
        for cause in self.job.causes:
            if cause.entry > max(proofs) or cause.part:
                continue  # a part is exchanged in the log itself
            places = {(p.engine, p.cylinder) for p in cause.places}
            for (name, subject), chain in list(self.versions.items()):
                here = any((subject.engine, c) in places for c in subject.cylinders) if places else not subject.part
                mine = cause.what and cause.what in " ".join((*self.knowledge.faults[name].words, name))
                if here and mine and self.variables[chain[-1]].since <= cause.entry:
                    self._new_version(name, subject, cause.entry, row)

    # --- looking things up ---

    def mounted(self, step: int) -> Mounted:
        """Which part stood where after a step."""
        at = max((s for s in self._moved if s <= step), default=-1)
        if at not in self._mounted:
            self._mounted[at] = self.job.mounted(at)
        return self._mounted[at]

    def version(self, fault: str, subject: Subject, step: int) -> int:
        """The version of a fault that held after a step, or -1 where the subject cannot have it."""
        found = -1
        for index in self.versions.get((fault, subject), ()):
            if self.variables[index].since <= step:
                found = index
        return found

    def engine(self, name: str) -> Engine | None:
        return self.job.engine(name)

    def parents(self, effect: Effect, anchor: Anchor, step: int, condition: str, mounted: Mounted | None = None) -> Parents:
        """The causes that can bring the effect about there and then, each with its q."""
        stood = self.mounted(step) if mounted is None else mounted
        found: dict[int, tuple[float, ...]] = {}
        for name, by_condition in effect.q.items():
            hub = self.knowledge.effects.get(name)
            scope = hub.hub if hub else self.knowledge.faults[name].scope
            q = by_condition.get(condition) or by_condition[ANY]
            for subject in self._subjects(scope, effect, anchor, stood):
                index = self.hub(hub, subject, step) if hub else self.version(name, subject, step)
                if index >= 0:
                    found[index] = q
        return tuple(sorted(found.items()))

    def hub(self, effect: Effect, subject: Subject, step: int) -> int:
        """The variable of a hub there and then: a noisy-OR of shared faults, with a helper of its own; -1 without them.

        P(hub | faults) is a sum over the helper: 'absent' is the product of what each fault leaves, 'present' the rest.
        """
        engine = self.engine(subject.engine)
        found: dict[int, tuple[float, ...]] = {}
        for name, by_condition in effect.q.items():
            scope = self.knowledge.faults[name].scope
            for other in shared_subjects(engine, scope) if engine else ():
                index = self.version(name, other, step) if set(other.cylinders) & set(subject.cylinders) else -1
                if index >= 0:
                    found[index] = by_condition[ANY]
        key = (effect.name, subject, tuple(sorted(found.items())))
        if not found:
            return -1
        if key not in self._hubs:
            self._hubs[key] = self._add_hub(effect, subject, key[2])
        return self._hubs[key]

    def _add_hub(self, effect: Effect, subject: Subject, parents: Parents) -> int:
        hub = len(self.variables)
        self.variables.append(Variable(hub, "", subject, -1))
        self.variables.append(Variable(hub + 1, "", subject, -1))
        self.priors += [(1.0, 1.0), (1.0, 1.0)]
        keep = 1 - effect.leak[0]
        self.ties[hub, hub + 1] = np.array([[0.0, keep], [1.0, -keep]])
        for index, q in parents:
            self.ties[index, hub + 1] = np.array([[1.0, 1.0], survivals(q)])
        self.behind[hub] = tuple(v for v, _ in parents)
        return hub

    def causes(self, parents: Parents) -> tuple[int, ...]:
        """The fault variables among and behind the parents of an effect."""
        found: list[int] = []
        for index, _ in parents:
            found.extend(self.behind.get(index, (index,)))
        return tuple(sorted(set(found)))

    def _subjects(self, scope: str, effect: Effect, anchor: Anchor, mounted: Mounted) -> list[Subject]:
        engine = self.engine(anchor.engine)
        if scope in PART_SCOPES and anchor.part and self._parts[anchor.part].kind == scope and effect.of != "bank":
            return [Subject(scope, part=anchor.part)]
        if engine is None or (effect.of == "part" and not anchor.cylinder):
            return []
        if effect.of in ("cylinder", "part"):
            cylinders: tuple[int, ...] = (anchor.cylinder,) if anchor.cylinder else ()
        elif effect.of == "bank":
            cylinders = bank_of(engine, anchor.bank)
        else:
            cylinders = engine.cylinders
        if scope in PART_SCOPES:
            parts = dict.fromkeys(part_at(engine, scope, c, mounted) for c in cylinders)
            return [Subject(scope, part=p) for p in parts if p]
        wanted = set(cylinders)
        return [s for s in shared_subjects(engine, scope) if wanted & set(s.cylinders)]

    def latent(self, effect: Effect, anchor: Anchor, step: int, condition: str) -> int:
        """The latent of an effect there and then, found again or made: an index into ``latents``."""
        if not effect.by_condition:
            condition = ANY
        latent = Latent(effect, condition, self.parents(effect, anchor, step, condition), anchor)
        if latent.key not in self._by_key:
            self._by_key[latent.key] = len(self.latents)
            self.latents.append(latent)
        return self._by_key[latent.key]

    def latent_state_parents(self, anchor: Anchor, step: int, condition: str) -> tuple[int, ...]:
        """The causes of a cylinder's state there and then."""
        return self.causes(self.parents(self.knowledge.effects[STATE_EFFECT], anchor, step, condition))

    # --- the graph ---

    def graph(self) -> Graph:
        """The pair graph: faults, then the latents' helpers."""
        sizes = [2] * len(self.variables)
        pairs = dict(self.ties)
        for i, latent in enumerate(self.latents):
            helper = len(self.variables) + i
            sizes.append(latent.effect.states)
            for index, q in latent.parents:
                pairs[index, helper] = np.array([[1.0] * latent.effect.states, survivals(q)])
        return Graph(tuple(sizes), pairs)

    def weights(self) -> Array:
        """Weights of one row before any evidence: priors, and helpers that say nothing."""
        out = np.zeros((1, len(self.variables) + len(self.latents), STATES))
        if self.priors:
            out[0, : len(self.priors), :2] = self.priors
        out[0, len(self.priors) :, 0] = 1.0
        return out


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


def place_anchor(place: Place) -> Anchor:
    return Anchor(place.engine, place.cylinder)
