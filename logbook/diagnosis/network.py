"""A job as a graph of yes-or-no causes and what they bring about. What moves and what stays is all in who stood where.

Each fault of each part, place or shared thing is a variable with versions: an action that may end or begin the fault
starts a new version, tied to the last by P(still there) and P(newly there). Each effect that was looked at is a
*latent*: the same effect of the same causes in the same condition is the same latent, so a repeat is no fresh
evidence beyond its reading, and a swap back finds its old latent again.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from logbook.diagnosis.elimination import Array, Graph
from logbook.diagnosis.knowledge import ANY, BOTH, DEAD, STATE_EFFECT, WEAK, Change, Effect, Fault, Knowledge
from logbook.diagnosis.ordering import STATES
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

NOW = 1 << 60  # a step after all others
MENDED = 0.3  # an action that leaves a fault less often than this was its repair
Rows = tuple[tuple[float, ...], ...]  # what each state of a parent but its first leaves in each of a helper's columns
Parents = tuple[tuple[int, Rows], ...]  # (variable, its rows)


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
    level: str = BOTH

    @property
    def key(self) -> tuple[str, str, str, Parents]:
        return self.effect.name, self.condition, self.level, self.parents

    @property
    def keeps(self) -> tuple[float, ...]:
        return self.effect.keeps(self.level)

    @property
    def states(self) -> int:
        """2, or 3 for a cylinder's state where both of its levels are asked about."""
        return len(self.keeps)

    @property
    def silent_unread(self) -> bool:
        """Whether the latent says nothing while it is not read: not so where only weak is asked and dead ruled out."""
        return self.keeps[0] == 1.0 and all(row[0] == 1.0 for _, rows in self.parents for row in rows)

    def reduced(self, likelihood: tuple[float, ...]) -> tuple[float, ...]:
        """P(reading | fires, weak, dead) as far as this latent asks."""
        if len(likelihood) == self.states:
            return likelihood
        return likelihood[0], likelihood[1] if self.level == WEAK else likelihood[2]

    def weights(self, likelihood: tuple[float, ...]) -> tuple[float, ...]:
        """The helper's weights for P(reading | each state)."""
        return noisy_or_weights(likelihood, self.keeps)


def noisy_or_weights(likelihood: tuple[float, ...], keeps: tuple[float, ...]) -> tuple[float, ...]:
    """Weights of a latent's helper for P(reading | absent), P(reading | present), or for fires, weak, dead.

    A column holds the chance of 'at most this bad', so each state is a column less the next: the finding is
    ``l1 * c0 + (l0 - l1) * c1``, and for three states ``ld * c0 + (lw - ld) * c1 + (lf - lw) * c2``.
    """
    worst_first = tuple(reversed(likelihood))
    steps = (worst_first[0], *(b - a for a, b in pairwise(worst_first)))
    return tuple(step * keep for step, keep in zip(steps, keeps, strict=True))


def pair_table(rows: Rows) -> Array:
    """The pair factor of a parent and a helper: a row a state of the parent, a column a state of the helper."""
    return np.array([[1.0] * len(rows[0]), *rows])


@dataclass
class Network:
    """The graph of one job. Fault variables come first, latents behind them."""

    job: Job
    knowledge: Knowledge
    base: Mapping[str, float]  # learned base rates by fault; others stand in the knowledge
    seen: Mapping[Place, frozenset[str]] = field(default_factory=dict)  # cylinder -> 'weak', 'dead' as ever seen
    variables: list[Variable] = field(default_factory=list)
    priors: list[tuple[float, ...]] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    ties: dict[tuple[int, int], Array] = field(default_factory=dict)
    latents: list[Latent] = field(default_factory=list)
    versions: dict[tuple[str, Subject], list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._features = {e.name: features(e) for e in self.job.engines}
        self._parts = {p.id: p for p in self.job.parts}
        self._hubs: dict[tuple[str, str, Subject, Parents], int] = {}
        self._read = sorted({r.step for r in self.job.readings})
        self._levels = _levels(self.job, self.seen)
        self.probes: dict[tuple[int, ...], int] = {}
        self._hub_at: dict[tuple[str, Subject, int, str], int] = {}
        self._by_engine: dict[tuple[str, str], tuple[Subject, ...]] = {}
        self.mended: dict[int, bool] = {}  # version -> whether a repair began it
        self.closed = False
        self.behind: dict[int, Parents] = {}  # hub -> what stands behind it
        self._by_key: dict[tuple[str, str, str, Parents], int] = {}
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
        starts = {v.since for v in self.variables if v.since >= 0}
        self._epochs = sorted(starts | set(self._moved))
        self._parents_of: dict[tuple[str, Anchor, int, str], Parents] = {}

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
        cause = next(
            (v[0] for (name, s), v in self.versions.items() if name == fault.raised_by and s.engine == engine), None
        )
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
        known = [s for s in known if s.part or self._in_trouble(s)]
        places = {(p.engine, p.cylinder) for p in event.places}
        engine = event.engine or next((p.engine for p in event.places), "")
        touched = [s for s in dict.fromkeys(known) if not s.part and any((s.engine, c) in places for c in s.cylinders)]
        if touched or change.of == "places":
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
                if here and mine and not any(self.mended.get(v) for v in chain):
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

    def parents(
        self, effect: Effect, anchor: Anchor, step: int, condition: str, mounted: Mounted | None = None
    ) -> Parents:
        """The causes that can bring the effect about there and then, and what each leaves; ``mounted``: as if so."""
        if not self.knowledge.by_condition(effect):
            condition = ANY
        if mounted is not None:
            return self._parents(effect, anchor, step, condition, mounted)
        key = (effect.name, anchor, bisect_right(self._epochs, step), condition)
        if key not in self._parents_of:
            self._parents_of[key] = self._parents(effect, anchor, step, condition, None)
        return self._parents_of[key]

    def _parents(self, effect: Effect, anchor: Anchor, step: int, condition: str, mounted: Mounted | None) -> Parents:
        stood = self.mounted(step) if mounted is None else mounted
        own = self.level(effect, anchor)
        found: dict[int, Rows] = {}
        for name in effect.q:
            hub = self.knowledge.effects.get(name)
            scope = hub.hub if hub else self.knowledge.faults[name].scope
            for subject in self._subjects(scope, effect, anchor, stood):
                index = self._hub(hub, subject, step, condition) if hub else self.version(name, subject, step)
                if index >= 0:
                    found[index] = effect.rows(name, condition, own, self.level_of(hub, subject))
        return tuple(sorted(found.items()))

    def level(self, effect: Effect, anchor: Anchor) -> str:
        """Which of a cylinder's nested states an effect asks about there."""
        return self._levels.get(Place(anchor.engine, anchor.cylinder), DEAD) if len(effect.leak) > 1 else BOTH

    def level_of(self, hub: Effect | None, subject: Subject) -> str:
        """The level of a hub: that of its cylinder, or of the cylinders its part has stood at."""
        if hub is None or len(hub.leak) == 1:
            return BOTH
        if subject.part:
            return self._levels.get(subject.part, DEAD)
        return self._levels.get(Place(subject.engine, subject.cylinders[0]), DEAD)

    def _hub(self, effect: Effect, subject: Subject, step: int, condition: str) -> int:
        """The variable of a hub there and then, found again or made; -1 where nothing stands behind it."""
        if not self.knowledge.by_condition(effect):
            condition = ANY
        at = (effect.name, subject, bisect_right(self._epochs, step), condition)
        if at not in self._hub_at:
            self._hub_at[at] = self._find_hub(effect, subject, step, condition)
        return self._hub_at[at]

    def _find_hub(self, effect: Effect, subject: Subject, step: int, condition: str) -> int:
        own = self.level_of(effect, subject)
        found: dict[int, Rows] = {}
        for name in effect.q:
            other = self.knowledge.effects.get(name)
            scope = other.hub if other else self.knowledge.faults[name].scope
            for near in self._touching(scope, subject):
                index = self._hub(other, near, step, condition) if other else self.version(name, near, step)
                if index >= 0:
                    found[index] = effect.rows(name, condition, own, self.level_of(other, near))
        key = (effect.name, own, subject, tuple(sorted(found.items())))
        if not found:
            return -1
        if key not in self._hubs:
            if self.closed:
                raise LookupError(f"a hub asked for after the graph was closed: {key[:3]}")
            self._hubs[key] = self._add_hub(effect.keeps(own), subject, key[3])
        return self._hubs[key]

    def _touching(self, scope: str, subject: Subject) -> list[Subject]:
        """The subjects of a scope that bear on another one: itself, or those that reach one of its cylinders."""
        if scope == subject.scope:
            return [subject]
        engine = self.engine(subject.engine)
        if engine is None or scope in PART_SCOPES or subject.part:
            return []
        if subject.scope == "group":
            return [s for s in self._shared(engine, scope) if s.cylinders == subject.cylinders]
        return [s for s in self._shared(engine, scope) if set(s.cylinders) & set(subject.cylinders)]

    def _shared(self, engine: Engine, scope: str) -> tuple[Subject, ...]:
        key = (engine.name, scope)
        if key not in self._by_engine:
            self._by_engine[key] = shared_subjects(engine, scope)
        return self._by_engine[key]

    def _add_hub(self, keeps: tuple[float, ...], subject: Subject, parents: Parents) -> int:
        """A hub and its helper: P(state | parents) is a sum over the helper, each column less the next."""
        hub, helper, n = len(self.variables), len(self.variables) + 1, len(keeps)
        for index in (hub, helper):
            self.variables.append(Variable(index, "", subject, -1))
            self.priors.append((1.0,) * n)
            self.sizes.append(n)
        table = np.zeros((n, n))
        for state in range(n):
            column = n - 1 - state
            table[state, column] = keeps[column]
            if column + 1 < n:
                table[state, column + 1] = -keeps[column + 1]
        self.ties[hub, helper] = table
        for index, rows in parents:
            self.ties[index, helper] = pair_table(rows)
        self.behind[hub] = parents
        return hub

    def causes(self, parents: Parents) -> tuple[int, ...]:
        """The fault variables among the parents of an effect and behind its hubs."""
        found: list[int] = []
        waiting = [index for index, _ in parents]
        while waiting:
            index = waiting.pop()
            if index in self.behind:
                waiting.extend(v for v, _ in self.behind[index])
            else:
                found.append(index)
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
        return [s for s in self._shared(engine, scope) if wanted & set(s.cylinders)]

    def latent(self, effect: Effect, anchor: Anchor, step: int, condition: str) -> int:
        """The latent of an effect there and then, found again or made: an index into ``latents``."""
        if not self.knowledge.by_condition(effect):
            condition = ANY
        parents = self.parents(effect, anchor, step, condition)
        latent = Latent(effect, condition, parents, anchor, self.level(effect, anchor))
        if latent.key not in self._by_key:
            self._by_key[latent.key] = len(self.latents)
            self.latents.append(latent)
        return self._by_key[latent.key]

    def latent_state_parents(self, anchor: Anchor, step: int, condition: str) -> tuple[int, ...]:
        """The causes of a cylinder's state there and then."""
        return self.causes(self.parents(self.knowledge.effects[STATE_EFFECT], anchor, step, condition))

    def probe(self, group: tuple[int, ...]) -> int:
        """A helper whose slope is the chance that no fault of the group is present: made before the graph is closed."""
        if group not in self.probes:
            index = len(self.variables)
            self.variables.append(Variable(index, "", self.variables[group[0]].subject, -1))
            self.priors.append((1.0, 0.0))
            self.sizes.append(2)
            for v in group:
                self.ties[v, index] = np.array([[1.0, 1.0], [1.0, 0.0]])
            self.probes[group] = index
        return self.probes[group]

    def close(self) -> None:
        """Make what will be asked about later: how each cylinder works after every event, in each condition met."""
        effect = self.knowledge.effects[STATE_EFFECT]
        conditions = sorted({latent.condition for latent in self.latents} | {ANY})
        steps = [-1, *self._epochs]
        for engine in self.job.engines:
            for cylinder in engine.cylinders:
                for condition in conditions:
                    for step in steps:
                        self.parents(effect, Anchor(engine.name, cylinder), step, condition)
        self.closed = True

    # --- the graph ---

    def graph(self, kept: Set[int] | None = None) -> Graph:
        """The pair graph: faults, then the latents' helpers; only those of ``kept`` latents are tied to anything."""
        sizes = list(self.sizes)
        pairs = dict(self.ties)
        for i, latent in enumerate(self.latents):
            helper = len(self.variables) + i
            sizes.append(latent.states)
            for index, rows in latent.parents if kept is None or i in kept else ():
                pairs[index, helper] = pair_table(rows)
        return Graph(tuple(sizes), pairs)

    def may_be_fixed(self, variable: int) -> bool:
        """Whether a variable may be fixed where the graph is too wide: a fault, or a hub of two states."""
        if variable >= len(self.variables) or self.sizes[variable] > 2:
            return False
        return bool(self.variables[variable].fault) or variable in self.behind

    def weights(self) -> Array:
        """Weights of one row before any evidence: priors, and helpers that say nothing."""
        out = np.zeros((1, len(self.variables) + len(self.latents), STATES))
        for index, prior in enumerate(self.priors):
            out[0, index, : len(prior)] = prior
        out[0, len(self.priors) :, 0] = 1.0
        return out


def clues(job: Job) -> tuple[tuple[str, int], ...]:
    """Words that change base rates, each with its entry: clues, and the words of the complaint."""
    said = [(word, e.entry.index) for e in job.entries if e.entry.kind == "symptom" for word in e.entry.words]
    return (*job.clues, *said)


def _levels(job: Job, seen: Mapping[Place, frozenset[str]]) -> dict[Place | str, str]:
    """Which nested states are asked about, by cylinder and by part: a cylinder's are those that were ever seen there.

    A cylinder that was never seen in trouble asks what the cylinders ask that it exchanged parts with, and whether it
    is weak where any of its engine is: what ails all of them alike would show there. A part asks all that the cylinders
    ask where it stood, so that what it does is one thing wherever it stands.
    """
    weak = {place.engine for place, states in seen.items() if WEAK in states}
    stood: dict[str, set[Place]] = {}
    for stay in job.stays:
        engine = job.engine(stay.place.engine)
        kind = job.part(stay.part).kind
        if kind in PART_SCOPES and engine is not None:
            served = engine.served(kind, stay.place.cylinder) or (stay.place.cylinder,)
            stood.setdefault(stay.part, set()).update(Place(stay.place.engine, c) for c in served)
    near: dict[Place, set[str]] = {}
    for places in stood.values():
        states = {state for place in places for state in seen.get(place, ())}
        for place in places:
            near.setdefault(place, set()).update(states)
    levels: dict[Place | str, str] = {}
    for place, states in near.items():
        own = seen.get(place) or ({WEAK} if states == {WEAK} or place.engine in weak else {DEAD})
        levels[place] = BOTH if len(own) > 1 else min(own)
    for part, places in stood.items():
        asked = {levels[place] for place in places}
        levels[part] = BOTH if len(asked) > 1 else min(asked)
    return levels


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
