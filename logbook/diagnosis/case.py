"""One job with its problem and what is believed of it: what every answer is worked out from."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from logbook.diagnosis import explain
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.engine_model import features
from logbook.diagnosis.knowledge import Repair, Swap, Tables, TestRow, minutes
from logbook.diagnosis.problem import Fault, Observation, Problem, Way
from logbook.diagnosis.sets import fault_sets, shared_sets
from logbook.job.model import Engine, Event, Job, Place

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Sets = tuple[tuple[float, tuple[int, ...]], ...]
SHAKEN = frozenset({"flaky", "shakes coil", "shakes inj", "wets"})
STATE = "firing"  # the test whose rows are: dead, weak, fires
BELIEVED = 0.5  # P(misreading) from which a reading is not believed


@dataclass(frozen=True)
class Case:
    """A job, its tables, its problem and the belief. Ways of all faults stand in one row, fault after fault."""

    job: Job
    tables: Tables
    problem: Problem
    belief: Belief
    unread: tuple[int, ...] = ()  # entries that bear on nothing the tables know

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        return tuple(way for fault in self.problem.faults for way in fault.ways)

    @cached_property
    def owner(self) -> NDArray[np.intp]:
        """Of each way its fault."""
        return np.repeat(np.arange(len(self.problem.faults)), [len(f.ways) for f in self.problem.faults])

    @cached_property
    def offsets(self) -> NDArray[np.intp]:
        """Of each fault its first way."""
        return np.concatenate([[0], np.cumsum([len(f.ways) for f in self.problem.faults])]).astype(np.intp)

    @cached_property
    def chances(self) -> Array:
        """P(each way | everything)."""
        return np.asarray(self.belief.ways, float)

    @cached_property
    def rows(self) -> NDArray[np.uint8]:
        """(ways, observations): the row that each makes speak."""
        found = np.array([way.rows for way in self.ways], np.uint8)
        return found.reshape(len(self.ways), len(self.problem.observations))

    @cached_property
    def last(self) -> NDArray[np.uint8]:
        """Of each observation the row that speaks where nothing is the matter."""
        return np.array([len(o.likelihood) - 1 for o in self.problem.observations], np.uint8)

    @cached_property
    def _rooms(self) -> dict[Place, int]:
        """Of each cylinder the cluster of cylinders that exchanged parts, as the inference has it."""
        found: dict[Place, int] = {}
        seen = self.belief.parted.seen
        for number, cluster in enumerate(self.belief.parted.clusters):
            for e in cluster.own:
                place = self.observation(int(seen.index[int(e)])).place
                if place is not None:
                    found.setdefault(place, number)
        return found

    def sets(self, place: Place | None) -> Sets:
        """What may be there together, of all that bears on a cylinder: its chance and its ways, likeliest first.

        Chances add up to 1. Without a cylinder: of what is shared alone.
        """
        return self._of_room(self._rooms.get(place, -1) if place is not None else -1)

    def _of_room(self, room: int) -> Sets:
        """The same of one cluster; -1: of what is shared alone."""
        if room not in self._sets:
            found = fault_sets(self.belief, room) if room >= 0 else shared_sets(self.belief)
            total = sum(s.probability for s in found)
            self._sets[room] = tuple(
                (s.probability / total, tuple(int(self.offsets[f]) + w for f, w in s.ways)) for s in found
            ) or ((1.0, ()),)  # belief is spread so thin that no set of faults carries any
        return self._sets[room]

    @cached_property
    def _sets(self) -> dict[int, Sets]:
        return {}

    def speaks(self, number: int) -> Array:
        """P(each row speaks at an observation | everything), seen or not."""
        if number not in self._spoken:
            self._spoken[number] = self._worked_out(number)
        return self._spoken[number]

    @cached_property
    def _spoken(self) -> dict[int, Array]:
        return {}

    def _worked_out(self, number: int) -> Array:
        """Of a reading of several cylinders: by what is shared, and by each cluster for itself."""
        observation = self.observation(number)
        if observation.place is not None:
            return self._by_sets(number, self.sets(observation.place), any_way)
        above = _not_below(self._by_sets(number, self.sets(None), any_way))
        for room in range(len(self.belief.weights.rooms)):
            own = self._by_sets(number, self._of_room(room), lambda w: not self.fault(w).shared)
            above = above * _not_below(own)
        rows = np.maximum(above - np.append(above[1:], 0.0), 0.0)
        return np.asarray(rows / rows.sum())

    def _by_sets(self, number: int, sets: Sets, wanted: Callable[[int], bool]) -> Array:
        """What comes and goes did so, where something was seen, as what was seen makes likely."""
        o = self.observation(number)
        like = np.exp(np.array(o.likelihood) - max(o.likelihood)) if o.seen and o.place is not None else None
        total = np.zeros(len(o.likelihood))
        for p, ways in sets:
            rows = np.zeros(len(o.likelihood))
            rows[-1] = 1.0
            for w in ways:
                if wanted(w) and self.rows[w, number] < self.last[number]:
                    active = self.ways[w].active
                    rows = _lowered(rows, int(self.rows[w, number]), 1.0 if active is None else float(active[number]))
            total += p * (rows if like is None else _weighed(rows, like))
        return total

    @cached_property
    def entries(self) -> tuple[int, ...]:
        """Entries that anything was read of, in time order."""
        found = {o.entry: o.step for o in self.problem.observations if o.seen}
        return tuple(sorted(found, key=lambda e: (found[e], e)))

    @cached_property
    def past(self) -> Array:
        """(entries + 1, ways): what was believed before anything was seen, and after each entry."""
        if not self.entries:
            return self.chances[None, :]
        return np.asarray(self.belief.history_of_ways((-1, *self.entries)))

    def fault(self, way: int) -> Fault:
        return self.problem.faults[int(self.owner[way])]

    def observation(self, number: int) -> Observation:
        return self.problem.observations[number]

    def shows(self, number: int) -> Mask:
        """Which ways show at an observation, at least at times."""
        out = self.rows[:, number] < self.last[number]
        for i in np.flatnonzero(out):
            active = self.ways[i].active
            if active is not None and active[number] <= 0:
                out[i] = False
        return np.asarray(out)

    def is_bad(self, number: int) -> bool:
        """Whether what was seen speaks for anything but the last row."""
        like = self.observation(number).likelihood
        return max(like[:-1], default=like[-1]) > like[-1]

    def believed_bad(self, number: int) -> float:
        """P(another row than the last one speaks at an observation)."""
        return float(1.0 - self.speaks(number)[-1])

    @cached_property
    def places(self) -> tuple[Place, ...]:
        return tuple(Place(e.name, c) for e in self.job.engines for c in e.cylinders)

    @cached_property
    def now_at(self) -> dict[Place, int]:
        """Of each cylinder the observation of how it works now, not yet made."""
        return {
            o.place: i
            for i, o in enumerate(self.problem.observations)
            if o.test == STATE and not o.seen and o.place is not None and o.condition == "any"
        }

    @cached_property
    def state_tests(self) -> frozenset[str]:
        """Tests whose rows are those of a cylinder's state: dead, weak, fires."""
        wanted = self.tables.tests[STATE].rows
        return frozenset(
            t.name
            for t in self.tables.tests.values()
            if t.at == "cylinder" and [r.signs for r in t.rows] == [r.signs for r in wanted]
        )

    @cached_property
    def shaken_tests(self) -> frozenset[str]:
        """Tests that show trouble which comes and goes, or bring it out by hand."""
        return frozenset(t.name for t in self.tables.tests.values() if t.at == "cylinder" and t.rows[0].signs & SHAKEN)

    def has(self, engine: str) -> frozenset[str]:
        """What an engine has, in the words of the tables."""
        found = self.engine(engine)
        return features(found) if found else frozenset()

    def minutes(self, row: TestRow | Repair | Swap, engine: str) -> float:
        return minutes(row, self.has(engine))

    def cautions(self, row: TestRow | Repair | Swap, engine: str) -> tuple[str, ...]:
        """What can hurt, as it holds for the engine."""
        return self.tables.cautions(row.hazards, self.has(engine))

    @cached_property
    def states_seen(self) -> dict[Place, list[int]]:
        """Of each cylinder the readings of how it works, in time order."""
        found: dict[Place, list[int]] = {}
        for i in self.in_time(o.test in self.state_tests for o in self.problem.observations):
            place = self.observation(i).place
            if place is not None:
                found.setdefault(place, []).append(i)
        return found

    def in_time(self, wanted: Iterable[bool]) -> list[int]:
        """The wanted ones among what was seen, in time order."""
        found = [i for i, want in enumerate(wanted) if want and self.observation(i).seen]
        return sorted(found, key=lambda i: (self.observation(i).step, self.observation(i).entry, i))

    def engine(self, name: str) -> Engine | None:
        return self.job.engine(name)

    @cached_property
    def mounted(self) -> dict[tuple[str, Place], str]:
        """Which part stands where now."""
        return self.job.mounted()

    @cached_property
    def _said(self) -> dict[int, str]:
        return {entry: explain.seen(self.problem, entry) for entry in self.entries}

    def showed(self, entry: int) -> str:
        """What an entry showed, shortened."""
        return self._said.get(entry, "")

    def stands_at(self, part: str) -> int:
        """The cylinder where a part stands now; 0: nowhere."""
        return next((place.cylinder for (_, place), p in self.mounted.items() if p == part), 0)

    def serves(self, part: str, place: Place) -> bool:
        """Whether a part stands now where it serves a cylinder."""
        engine = self.engine(place.engine)
        return (
            engine is not None and self.mounted.get((kind_of(part), engine.seat(kind_of(part), place.cylinder))) == part
        )


def any_way(_way: int) -> bool:
    return True


def _lowered(rows: Array, row: int, active: float) -> Array:
    """P(row speaks) with a fault on top that makes ``row`` speak at least, at times."""
    out = rows * (1 - active)
    out[:row] += rows[:row] * active
    out[row] += rows[row:].sum() * active
    return out


def _weighed(rows: Array, like: Array) -> Array:
    found = rows * like
    return np.asarray(found / found.sum()) if found.sum() > 0 else rows


def _not_below(rows: Array) -> Array:
    """P(no row above this one speaks)."""
    return np.asarray(rows[::-1].cumsum()[::-1])


def kind_of(part: str) -> str:
    """'coil' of 'coil/old-3'."""
    return part.partition("/")[0]


def touches(job: Job, event: Event, place: Place) -> bool:
    """Whether something that was done may have changed how a cylinder works."""
    engine = job.engine(place.engine)
    moved = [spot for move in event.moves for spot in (move.out_of, move.into) if spot is not None]
    if not (moved or event.places or event.parts):
        return not event.engine or event.engine == place.engine
    seats = {engine.seat(event.part_kind, place.cylinder), place} if engine and event.part_kind else {place}
    stood = {s.part for s in job.stays if s.place in seats and s.since <= event.step}
    return bool(seats & {*moved, *event.places}) or bool(stood & set(event.parts))


def changed_between(job: Job, place: Place, after: int, until: int) -> bool:
    """Whether anything was done to a cylinder after one step and up to another."""
    return any(after < e.step <= until and touches(job, e, place) for e in job.events)
