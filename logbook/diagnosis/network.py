"""A job as a graph of yes-or-no causes and what they bring about. What moves and what stays is all in who stood where.

Each effect that was looked at is a *latent*: the same effect of the same causes in the same condition is the same
latent, so a repeat is no fresh evidence beyond its reading, and a swap back finds its old latent again.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Set
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from logbook.diagnosis.elimination import Array, Graph
from logbook.diagnosis.knowledge import ANY, BAD, BOTH, DEAD, STATE_EFFECT, Effect
from logbook.diagnosis.latents import Anchor, Latent, Parents, Rows, hub_table, pair_table
from logbook.diagnosis.levels import levels_of
from logbook.diagnosis.ordering import STATES
from logbook.diagnosis.subjects import PART_SCOPES, Mounted, Subject, bank_of, part_at, shared_subjects
from logbook.diagnosis.versions import Variable, Versions
from logbook.job.model import Engine, Place

_Around = tuple[str, Effect | None, str, tuple[Subject, ...] | None]  # a cause's name, its hub, scope, what stays


@dataclass
class Network(Versions):
    """The graph of one job. Fault variables come first, latents behind them.

    ``coarse``: a cylinder works or not; weak and dead are not told apart, which keeps the tables of a job narrower.
    """

    coarse: bool = False
    latents: list[Latent] = field(default_factory=list)
    probes: dict[tuple[int, ...], int] = field(default_factory=dict)
    behind: dict[int, Parents] = field(default_factory=dict)  # hub -> what stands behind it
    closed: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        self._parts = {p.id: p for p in self.job.parts}
        self._engines = {e.name: e for e in self.job.engines}
        self._levels = levels_of(self.job, self.seen, self.coarse)
        self._usual = BAD if self.coarse else DEAD
        self._hubs: dict[tuple[str, str, Subject, Parents], int] = {}
        self._hub_at: dict[tuple[str, Subject, int, str], int] = {}
        self._behind_hub: dict[tuple[str, Subject], tuple[tuple[str, Effect | None, Subject], ...]] = {}
        self._changes: dict[tuple[str, Subject], tuple[int, ...]] = {}
        self._names: dict[str, tuple[tuple[str, Effect | None, str], ...]] = {}
        self._arounds: dict[tuple[str, Anchor], tuple[_Around, ...]] = {}
        self._rows_of: dict[tuple[str, str, str, str, str], Rows] = {}
        self._by_engine: dict[tuple[str, str], tuple[Subject, ...]] = {}
        self._by_key: dict[tuple[str, str, str, Parents], int] = {}
        self._mounted: dict[int, Mounted] = {}
        self._moved = sorted({e.step for e in self.job.events if e.moves})
        self._renewed = {
            key: tuple(self.variables[v].since for v in chain[1:]) for key, chain in self.versions.items() if chain[1:]
        }
        starts = {v.since for v in self.variables if v.since >= 0}
        self._epochs = sorted(starts | set(self._moved))
        self._parents_of: dict[tuple[str, Anchor, int, str], Parents] = {}

    # --- looking things up ---

    @cached_property
    def parts_asked_of(self) -> frozenset[str]:
        """The parts that have faults to ask about."""
        return frozenset(subject.part for _, subject in self.versions if subject.part)

    def mounted(self, step: int) -> Mounted:
        """Which part stood where after a step."""
        at = max((s for s in self._moved if s <= step), default=-1)
        if at not in self._mounted:
            self._mounted[at] = self.job.mounted(at)
        return self._mounted[at]

    def engine(self, name: str) -> Engine | None:
        return self._engines.get(name)

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
        for name, hub, scope, staying in self._around(effect, anchor):
            for subject in self._parts_there(scope, effect, anchor, stood) if staying is None else staying:
                index = self._hub(hub, subject, step, condition) if hub else self.version(name, subject, step)
                if index >= 0:
                    found[index] = self._rows(effect, name, condition, own, self.level_of(hub, subject))
        return tuple(sorted(found.items()))

    def _around(self, effect: Effect, anchor: Anchor) -> tuple[_Around, ...]:
        """What may bring an effect about there, with the subjects of each that stay whatever is exchanged."""
        key = effect.name, anchor
        if key not in self._arounds:
            self._arounds[key] = tuple(
                (name, hub, scope, None if scope in PART_SCOPES else self._staying(scope, effect, anchor))
                for name, hub, scope in self._named(effect)
            )
        return self._arounds[key]

    def _named(self, effect: Effect) -> tuple[tuple[str, Effect | None, str], ...]:
        """What brings an effect about: a fault, or a hub, by its name and what it belongs to."""
        if effect.name not in self._names:
            found = ((name, self.knowledge.effects.get(name)) for name in effect.q)
            self._names[effect.name] = tuple(
                (name, hub, hub.hub if hub else self.knowledge.faults[name].scope) for name, hub in found
            )
        return self._names[effect.name]

    def _rows(self, effect: Effect, name: str, condition: str, own: str, theirs: str) -> Rows:
        key = effect.name, name, condition, own, theirs
        if key not in self._rows_of:
            self._rows_of[key] = effect.rows(name, condition, own, theirs)
        return self._rows_of[key]

    def level(self, effect: Effect, anchor: Anchor) -> str:
        """Which of a cylinder's nested states an effect asks about there."""
        return self._levels.get(Place(anchor.engine, anchor.cylinder), self._usual) if len(effect.leak) > 1 else BOTH

    def level_of(self, hub: Effect | None, subject: Subject) -> str:
        """The level of a hub: that of its cylinder, or of the cylinders its part has stood at."""
        if hub is None or len(hub.leak) == 1:
            return BOTH
        if subject.part:
            return self._levels.get(subject.part, self._usual)
        return self._levels.get(Place(subject.engine, subject.cylinders[0]), self._usual)

    def _hub(self, effect: Effect, subject: Subject, step: int, condition: str) -> int:
        """The variable of a hub there and then, found again or made; -1 where nothing stands behind it."""
        if not self.knowledge.by_condition(effect):
            condition = ANY
        at = (effect.name, subject, bisect_right(self._changes_behind(effect, subject), step), condition)
        if at not in self._hub_at:
            self._hub_at[at] = self._find_hub(effect, subject, step, condition)
        return self._hub_at[at]

    def _stands_behind(self, effect: Effect, subject: Subject) -> tuple[tuple[str, Effect | None, Subject], ...]:
        """What stands behind a hub: a fault or another hub by its name, and what it belongs to."""
        key = effect.name, subject
        if key not in self._behind_hub:
            self._behind_hub[key] = tuple(
                (name, other, near)
                for name, other, scope in self._named(effect)
                for near in self._touching(scope, subject)
            )
        return self._behind_hub[key]

    def _changes_behind(self, effect: Effect, subject: Subject) -> tuple[int, ...]:
        """The steps at which a fault behind a hub got a new version."""
        key = effect.name, subject
        if key not in self._changes:
            steps: set[int] = set()
            for name, other, near in self._stands_behind(effect, subject):
                steps.update(self._changes_behind(other, near) if other else self._renewed.get((name, near), ()))
            self._changes[key] = tuple(sorted(steps))
        return self._changes[key]

    def _find_hub(self, effect: Effect, subject: Subject, step: int, condition: str) -> int:
        own = self.level_of(effect, subject)
        found: dict[int, Rows] = {}
        for name, other, near in self._stands_behind(effect, subject):
            index = self._hub(other, near, step, condition) if other else self.version(name, near, step)
            if index >= 0:
                found[index] = self._rows(effect, name, condition, own, self.level_of(other, near))
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
        self.ties[hub, helper] = hub_table(keeps)
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

    def _parts_there(self, scope: str, effect: Effect, anchor: Anchor, mounted: Mounted) -> list[Subject]:
        """The part that was looked at itself, or those that stand at the cylinders looked at."""
        if anchor.part and self._parts[anchor.part].kind == scope and effect.of != "bank":
            return [Subject(scope, part=anchor.part)]
        engine = self.engine(anchor.engine)
        if engine is None:
            return []
        parts = dict.fromkeys(part_at(engine, scope, c, mounted) for c in _looked_at(engine, effect, anchor))
        return [Subject(scope, part=p) for p in parts if p]

    def _staying(self, scope: str, effect: Effect, anchor: Anchor) -> tuple[Subject, ...]:
        engine = self.engine(anchor.engine)
        if engine is None:
            return ()
        wanted = set(_looked_at(engine, effect, anchor))
        return tuple(s for s in self._shared(engine, scope) if wanted & set(s.cylinders))

    def latent(self, effect: Effect, anchor: Anchor, step: int, condition: str) -> int:
        """The latent of an effect there and then, found again or made: an index into ``latents``."""
        if not self.knowledge.by_condition(effect):
            condition = ANY
        parents = self.parents(effect, anchor, step, condition)
        latent = Latent(effect, condition, parents, anchor, self.level(effect, anchor))
        found = self._by_key.setdefault(latent.key, len(self.latents))
        if found == len(self.latents):
            self.latents.append(latent)
        return found

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


def _looked_at(engine: Engine, effect: Effect, anchor: Anchor) -> tuple[int, ...]:
    """The cylinders of which an effect speaks."""
    if effect.of in ("cylinder", "part"):
        return (anchor.cylinder,) if anchor.cylinder else ()
    return bank_of(engine, anchor.bank) if effect.of == "bank" else engine.cylinders
