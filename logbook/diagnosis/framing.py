"""A job and the tables to a ``Problem``: the observations, the faults with their ways, what may yet be looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from logbook.diagnosis.engine_model import spoken
from logbook.diagnosis.instances import LEAST, Instance, Instances, Span
from logbook.diagnosis.knowledge import PART_SCOPES, FaultRow, Tables, TestRow, fits
from logbook.diagnosis.naming import cylinders_said
from logbook.diagnosis.observe import Observations, Seen, unseen
from logbook.diagnosis.problem import Chances, Fault, Problem, Rows, Way
from logbook.job.model import Engine, Job, Place

_NONE: Mapping[str, float] = MappingProxyType({})
Mask = NDArray[np.bool_]


def problem_of(job: Job, tables: Tables, learned: Mapping[str, float] = _NONE) -> Problem:
    """The job as the inference wants it. ``learned`` are base rates by fault that stand before the tables' own.

    After what was seen, in order of time, stand the looks that may yet be taken, then how each cylinder works now.
    """
    return Framing(job, tables, learned).problem


@dataclass(frozen=True)
class Framing:
    """A job on its way to a problem; ``observations.unread`` are the entries that no test could read."""

    job: Job
    tables: Tables
    learned: Mapping[str, float]

    @cached_property
    def observations(self) -> Observations:
        return Observations(self.job, self.tables)

    @cached_property
    def instances(self) -> Instances:
        return Instances(self.observations, self.learned)

    @cached_property
    def looks(self) -> tuple[Seen, ...]:
        return (*self.observations.seen, *self._candidates(), *self._now())

    @cached_property
    def problem(self) -> Problem:
        faults = tuple(fault for one in self.instances.all if (fault := self._fault(one)).ways)
        return Problem(tuple(s.observation for s in self.looks), faults)

    # --- what may yet be looked at ---

    def _candidates(self) -> Iterator[Seen]:
        for shape in self.job.engines:
            has = self.observations.standing.has(shape)
            for test in self.tables.tests.values():
                if test.title and fits(test.needs, has):
                    yield from self._looks(test, shape)

    def _looks(self, test: TestRow, shape: Engine) -> Iterator[Seen]:
        if test.at == "engine":
            yield unseen(test, shape)
        elif test.at == "bank":
            yield from (unseen(test, shape, bank=bank.name) for bank in shape.banks)
        else:
            for cylinder in self._asked_of(shape):
                kind = test.part if test.part in PART_SCOPES else "injector"
                part = self._mounted.get((kind, shape.seat(kind, cylinder)), "") if test.at == "part" else ""
                if part or test.at != "part":
                    yield unseen(test, shape, Place(shape.name, cylinder), part=part)

    def _asked_of(self, shape: Engine) -> list[int]:
        """The cylinders in trouble; where none is known to be, all."""
        bad = [c for c in shape.cylinders if Place(shape.name, c) in self.observations.trouble]
        return bad or list(shape.cylinders)

    @cached_property
    def _mounted(self) -> Mapping[tuple[str, Place], str]:
        return self.job.mounted()

    def _now(self) -> Iterator[Seen]:
        for shape in self.job.engines:
            for cylinder in shape.cylinders:
                yield unseen(self.tables.tests["firing"], shape, Place(shape.name, cylinder))

    # --- what reaches what ---

    @cached_property
    def _steps(self) -> NDArray[np.int64]:
        return np.array([s.observation.step for s in self.looks], dtype=np.int64)

    @cached_property
    def _at(self) -> Mapping[Place, Mask]:
        """By cylinder, the looks in which its faults show."""
        places = {Place(e.name, c) for e in self.job.engines for c in e.cylinders}
        return {place: np.array([place in s.places for s in self.looks], dtype=bool) for place in places}

    @cached_property
    def _of_part(self) -> Mapping[str, Mask]:
        parts = {s.part for s in self.looks if s.part}
        return {part: np.array([s.part == part for s in self.looks], dtype=bool) for part in parts}

    def _reach(self, one: Instance) -> Mask:
        """The looks that the fault bears on while it is there."""
        key = one.engine, one.part, one.cylinders, one.scope == "engine"
        if key not in self._reached:
            self._reached[key] = self._made_reach(one)
        return self._reached[key]

    @cached_property
    def _reached(self) -> dict[tuple[str, str, tuple[int, ...], bool], Mask]:
        return {}

    def _made_reach(self, one: Instance) -> Mask:
        found = np.zeros(len(self.looks), dtype=bool)
        if one.part:
            for stay in self.observations.standing.stays.get(one.part, ()):
                until = np.iinfo(np.int64).max if stay.until is None else stay.until
                there = (self._steps >= stay.since) & (self._steps < until)
                for place in self.observations.standing.served(stay):
                    found |= self._at[place] & there
            return found | self._of_part[one.part] if one.part in self._of_part else found
        for cylinder in one.cylinders:
            found |= self._at[Place(one.engine, cylinder)]
        if one.scope == "engine":
            for part, mask in self._of_part.items():
                if self.job.part(part).origin == "found":
                    found |= mask
        return found

    # --- which row speaks ---

    @cached_property
    def _kinds(self) -> tuple[tuple[tuple[TestRow, frozenset[str]], ...], NDArray[np.int64]]:
        """The different ways of looking (test, conditions), and which of them each look is."""
        index: dict[tuple[TestRow, frozenset[str]], int] = {}
        which = [index.setdefault((s.test, s.conditions), len(index)) for s in self.looks]
        return tuple(index), np.array(which, dtype=np.int64)

    @cached_property
    def _last(self) -> Rows:
        return np.array([len(s.test.rows) - 1 for s in self.looks], dtype=np.uint8)

    @cached_property
    def _spoken(self) -> dict[tuple[FaultRow, int, bool], Rows]:
        return {}

    def _rows(self, row: FaultRow, grade: int, everywhere: bool) -> Rows:
        """The row that speaks at every look if the fault reaches it."""
        key = row, grade, everywhere
        if key not in self._spoken:
            kinds, which = self._kinds
            found = [spoken(row, grade, test, conditions, everywhere) for test, conditions in kinds]
            self._spoken[key] = np.array(found, dtype=np.uint8)[which]
        return self._spoken[key]

    def _active(self, row: FaultRow) -> Chances | None:
        """The chance that a fault which comes and goes shows at each look."""
        if row.comes and row.comes not in self._acting:
            chances = self.tables.comes[row.comes]
            found = [chances[s.observation.condition] if s.test.acts else 1.0 for s in self.looks]
            self._acting[row.comes] = np.array(found)
        return self._acting.get(row.comes)

    @cached_property
    def _acting(self) -> dict[str, Chances]:
        return {}

    # --- the faults ---

    def _fault(self, one: Instance) -> Fault:
        reach = self._reach(one)
        shape = self.job.engine(one.engine)
        everywhere = shape is not None and bool(one.cylinders) and set(one.cylinders) >= set(shape.cylinders)
        spans = [(span, self._within(reach, span)) for span in self.instances.spans(one)]
        ways = [w for g in range(len(one.row.grades)) for w in self._ways(one.row, g, everywhere, spans)]
        place = Place(one.engine, one.cylinders[0]) if one.scope == "place" else None
        return Fault(
            row=one.row.name,
            label=self._label(one),
            ways=tuple(ways),
            scope=one.scope,
            part=one.part,
            place=place,
            cylinders=one.cylinders,
            engine=one.engine,
            shared=one.scope not in (*PART_SCOPES, "place") or (bool(one.part) and len(one.cylinders) > 1),
            raises=one.row.name in self.tables.raising,
            more=one,
        )

    def _within(self, reach: Mask, span: Span) -> Mask:
        """The looks that a span covers."""
        if span.since > -1:
            reach = reach & (self._steps >= span.since)
        return reach if span.until is None else reach & (self._steps < span.until)

    def _ways(self, row: FaultRow, grade: int, everywhere: bool, spans: Sequence[tuple[Span, Mask]]) -> Iterator[Way]:
        rows, share, active = self._rows(row, grade, everywhere), row.grades[grade].share, self._active(row)
        for span, there in spans:
            mass = share * span.without, share * span.raised
            if max(mass) > LEAST:
                yield Way(mass, np.where(there, rows, self._last), active, grade, span.since, span.until)

    def _label(self, one: Instance) -> str:
        """'the coil found in 3 dead', 'wiring or connector of the injector at 4 broken'."""
        part = self.job.part(one.part).called() if one.part else ""
        shape = self.job.engine(one.engine)
        n = one.name if one.scope == "bank" else cylinders_said(one.cylinders, shape)
        return one.row.label.format(part=part, n=n).replace("of the  bank ", "")
