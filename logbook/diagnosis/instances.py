"""The faults that this job's engines can have, with the ways in which each may have been there.

A way is a grade and a span. A span begins before the log, or where handling broke something or something new came
about; it ends where recorded work or an unrecorded mend before a proof ended it, or not at all. Ways exclude one
another.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, pairwise

from logbook.diagnosis.knowledge import PAIRS, PART_SCOPES, FaultRow, Tables, Work, fits
from logbook.diagnosis.observe import Observations
from logbook.diagnosis.standing import Standing
from logbook.job.model import Engine, Event, FoundCause, Job, Place

FAR = 0.4  # of the base rate: leads that don't lie side by side
REPAIR = 0.3  # work that ends a fault more often than this was meant to
MOST_CHANGES = 12  # to one part or place that count: the latest; who changes coils twenty times learns no more
LEAST = 1e-9  # mass of a way below which it is left out
# Kinds of groups of the card that say who hangs on a shared feed or ground; the first that the engine has counts.
_GROUPS: Mapping[str, tuple[str, ...]] = {
    "coil group": ("coil",),
    "injector feed": (
        "injector feed", "feed injector", "injector", "feed", "fuse", "relay", "injector fuse", "injector relay",
    ),
    "coil feed": ("coil feed", "feed coil", "feed", "fuse", "relay", "coil fuse", "coil relay"),
    "coil ground": ("coil ground", "ground coil", "ground"),
    "injector ground": ("injector ground", "ground injector", "ground"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time in which a fault may have been there, with its mass without and with what raises it."""

    since: int
    until: int | None
    without: float
    raised: float


@dataclass(frozen=True, slots=True)
class Instance:
    """A fault of one thing. ``cylinders`` are those that it reaches; of a part, those that it serves at first."""

    row: FaultRow
    engine: str
    cylinders: tuple[int, ...] = ()
    part: str = ""
    origin: str = "found"
    weight: float = 1.0  # of the base rate, among like pairs
    name: str = ""  # of the bank

    @property
    def scope(self) -> str:
        return self.row.scope


@dataclass(frozen=True)
class Instances:
    """The faults of a job; ``learned`` are base rates by fault that stand before the tables' own."""

    seen: Observations
    learned: Mapping[str, float]

    @property
    def job(self) -> Job:
        return self.seen.job

    @property
    def tables(self) -> Tables:
        return self.seen.tables

    @property
    def standing(self) -> Standing:
        return self.seen.standing

    @property
    def trouble(self) -> frozenset[Place]:
        return self.seen.trouble

    @cached_property
    def all(self) -> tuple[Instance, ...]:
        return (*(i for e in self.job.engines for i in self._of_engine(e)), *self._of_parts())

    # --- which ---

    def _of_engine(self, shape: Engine) -> Iterator[Instance]:
        has = self.standing.has(shape)
        for row in self.tables.faults.values():
            if row.scope not in PART_SCOPES and fits(row.needs, has):
                yield from self._of_row(row, shape)

    def _of_row(self, row: FaultRow, shape: Engine) -> Iterator[Instance]:
        if row.scope == "bank":
            for bank in shape.banks:
                yield Instance(row, shape.name, tuple(sorted(bank.cylinders)), name=bank.name)
        elif row.scope in PAIRS:
            for pair, weight in self._pairs(row.scope, shape):
                yield Instance(row, shape.name, pair, weight=weight)
        else:
            for group in dict.fromkeys(groups(shape, row.scope)):
                if group:
                    yield Instance(row, shape.name, group)

    def _pairs(self, scope: str, shape: Engine) -> Iterator[tuple[tuple[int, int], float]]:
        beside = {_pair(a, b) for a, b in shape.neighbours()}
        order = shape.firing_order
        following = (
            {_pair(a, b) for a, b in zip(order, (*order[1:], *order[:1]), strict=True)} if len(order) > 2 else set()
        )
        if scope == "neighbours":
            yield from ((p, 1.0) for p in sorted(beside))
        elif scope == "in order":
            yield from ((p, 1.0) for p in sorted(following))
        else:
            close = beside | following
            for pair in combinations(shape.cylinders, 2):
                bad = all(Place(shape.name, c) in self.trouble for c in pair)
                if pair in close or bad:
                    yield pair, 1.0 if pair in close else FAR

    def _of_parts(self) -> Iterator[Instance]:
        read = {r.part for r in self.job.readings if r.part}
        for part in self.job.parts:
            stays = self.standing.stays.get(part.id, ())
            if part.kind not in PART_SCOPES or not (stays or part.id in read):
                continue
            shape = self.job.engine(stays[0].place.engine if stays else "") or next(iter(self.job.engines), None)
            if shape is None:
                continue
            served = tuple(p.cylinder for p in self.standing.served(stays[0])) if stays else ()
            for row in self._rows_of(part.kind, shape):
                yield Instance(row, shape.name, served, part.id, part.origin)

    def _rows_of(self, kind: str, shape: Engine) -> list[FaultRow]:
        key = kind, shape.name
        if key not in self._rows_kept:
            has = self.standing.has(shape)
            self._rows_kept[key] = [r for r in self.tables.faults.values() if r.scope == kind and fits(r.needs, has)]
        return self._rows_kept[key]

    @cached_property
    def _rows_kept(self) -> dict[tuple[str, str], list[FaultRow]]:
        return {}

    # --- how likely ---

    @cached_property
    def _odds(self) -> Mapping[str, float]:
        said = {w for w, _ in self.job.clues}
        said |= {w for e in self.job.entries if e.entry.kind == "symptom" for w in e.entry.words}
        odds: dict[str, float] = {}
        for word in sorted(said):
            for fault, factor in self.tables.clues.get(word, {}).items():
                odds[fault] = odds.get(fault, 1.0) * factor
        return odds

    def base(self, row: FaultRow, shape: Engine) -> float:
        """The base rate: learned, else the table's with what this engine's make adds; then the card's clues."""
        p = self.learned.get(row.name, row.base)
        for feature, factor in row.more.items():
            p *= factor if feature in self.standing.has(shape) and row.name not in self.learned else 1.0
        odds = p / (1 - p) * self._odds.get(row.name, 1.0)
        return odds / (1 + odds)

    def prior(self, one: Instance) -> tuple[float, float]:
        """P(there at first), without and with what raises it."""
        shape = self.job.engine(one.engine)
        assert shape is not None
        if one.part and one.origin != "found":
            rows = self._rows_of(one.scope, shape)
            bad = self.tables.spares.get(one.origin, self.tables.spares["unknown"])
            p = min(bad * one.row.base / sum(r.base for r in rows), 0.5)
            return p, p
        p = self.base(one.row, shape) * one.weight
        return p, 1 - (1 - p) * (1 - one.row.rise)

    # --- when ---

    def spans(self, one: Instance) -> tuple[Span, ...]:
        """The stretches of time in which the fault may have been there, exclusive, with their masses."""
        without, raised = self.prior(one)
        spans = [Span(-1, None, without, raised)]
        share = without if one.origin == "found" else self.base(one.row, self._shape(one)) * one.weight
        for step, ends, arises, breaks in self._changes(one)[-MOST_CHANGES:]:
            begun = share * arises + breaks
            spans = [piece for span in spans for piece in _ended(span, step, ends)]
            if begun > LEAST:
                spans.append(Span(step, None, begun, begun))
        return tuple(spans)

    def _shape(self, one: Instance) -> Engine:
        return self.job.engine(one.engine) or self.job.engines[0]

    def _changes(self, one: Instance) -> list[tuple[int, float, float, float]]:
        """(step, P(it ends), share of the base rate that arises, P(it is broken)), in time order."""
        found: dict[int, tuple[float, float, float]] = {}
        for event, work in self._work_by_fault.get(one.row.name, ()):
            if self._reached(work, event, one):
                ill, well = self._when(one)
                cured = ill and ill[0] < event.step and well and well[-1] >= event.step
                ends = work.ends if cured or work.ends > REPAIR else 0.0
                _add(found, event.step, ends, 0.0, work.breaks if ill and ill[-1] >= event.step else 0.0)
        for step, ends in self._mended(one, found):
            _add(found, step, ends, 0.0, 0.0)
        for step, arises in (*self._moments, *self._turns(one)):
            ill = self._when(one)[0]
            if ill and ill[-1] >= step:
                _add(found, step, 0.0, arises, 0.0)
        return [(step, *change) for step, change in sorted(found.items())]

    @cached_property
    def _moments(self) -> tuple[tuple[int, float], ...]:
        return self.standing.moments(self.tables)

    def _turns(self, one: Instance) -> Iterator[tuple[int, float]]:
        """Steps at which a cylinder that it reaches was seen bad after it had been seen to work."""
        for place, step in self.seen.turned.items():
            if len(one.cylinders) < 2 and place in self._places_at(one, step):
                yield step, self.tables.arises["changed"]

    def _places_at(self, one: Instance, step: int) -> set[Place]:
        if not one.part:
            return {Place(one.engine, c) for c in one.cylinders}
        stays = self.standing.stays.get(one.part, ())
        there = (s for s in stays if s.since <= step and (s.until is None or step < s.until))
        return {place for stay in there for place in self.standing.served(stay)}

    @cached_property
    def _work_by_fault(self) -> Mapping[str, Sequence[tuple[Event, Work]]]:
        """By fault, the recorded events that may end or bring it about, with what the tables say of them."""
        found: dict[str, list[tuple[Event, Work]]] = {}
        for event in self.job.events:
            for work in self.tables.work:
                if _applies(work, event):
                    for fault in work.faults:
                        found.setdefault(fault, []).append((event, work))
        return found

    def _when(self, one: Instance) -> tuple[list[int], list[int]]:
        """The steps at which looks at what it reaches spoke ill, and well, rising; of one cylinder those at itself."""
        stays = self.standing.stays.get(one.part, ()) if one.part else ()
        places = {p for s in stays for p in self.standing.served(s)} or {Place(one.engine, c) for c in one.cylinders}
        whole = len(one.cylinders) > 1 or len(self._shape(one).cylinders) == 1
        keys: list[Place | str] = [*sorted(places), *([one.engine] if whole else [])]
        steps = [self.seen.when[key] for key in keys if key in self.seen.when]
        return sorted(s for ill, _ in steps for s in ill), sorted(s for _, well in steps for s in well)

    def _reached(self, work: Work, event: Event, one: Instance) -> bool:
        if work.of == "parts":
            return bool(one.part) and one.part in event.parts
        engine = event.engine or next((p.engine for p in event.places), self.job.engines[0].name)
        if engine != one.engine:
            return False
        touched = {p.cylinder for p in event.places}
        if work.of == "within":
            return set(one.cylinders) <= touched
        meets = bool(touched & set(one.cylinders))
        return meets if work.of == "places" else meets or not touched

    def _mended(self, one: Instance, recorded: Mapping[int, tuple[float, float, float]]) -> Iterator[tuple[int, float]]:
        """What a proof says of mends that nobody wrote down: of the cause that was named, else of anything."""
        yield from ((step, self.tables.unsaid["set"]) for step in self._set_again.get(one.row.name, ()))
        if one.scope == "engine":
            yield from ((step, self.tables.unsaid["worked"]) for step in self._started)
        proofs = self.standing.proofs
        if not proofs or any(ends > REPAIR for ends, _, _ in recorded.values()):
            return
        named = [c for c in self.job.causes if (c.what or c.part) and c.entry <= max(proofs)]
        if any(self._meant(one, cause) for cause in named):
            yield (
                min(p for p in proofs if p >= min(c.entry for c in named if self._meant(one, c))),
                self.tables.proof["named"],
            )
        elif not named and not self._repaired:
            yield min(proofs), self.tables.proof["unnamed"]

    @cached_property
    def _set_again(self) -> Mapping[str, tuple[int, ...]]:
        """By fault, the steps at which a figure that tells of it and can be set was measured again."""
        steps: dict[str, list[int]] = {}
        for s in self.seen.seen:
            if s.test.sets and s.test.at == "engine":
                steps.setdefault(s.test.name, []).append(s.observation.step)
        found: dict[str, tuple[int, ...]] = {}
        for test, read in steps.items():
            for row in self.tables.faults.values() if len(read) > 1 else ():
                if any(g.signs & self.tables.tests[test].signs for g in row.grades):
                    found[row.name] = tuple(read[1:])
        return found

    @cached_property
    def _started(self) -> tuple[int, ...]:
        """Steps at which an engine that had not started was seen to start, with some work in between."""
        cranks = [(r.step, r.value.word) for r in self.job.readings if r.test == "crank" and r.counts]
        return tuple(
            step
            for (before, was), (step, now) in pairwise(cranks)
            if was != "fires" and now == "fires" and any(before < e.step <= step for e in self.job.events)
        )

    def _meant(self, one: Instance, cause: FoundCause) -> bool:
        places = {(p.engine, p.cylinder) for p in cause.places}
        here = not places or any((one.engine, c) in places for c in one.cylinders)
        return here and not cause.part and not one.part and cause.what in " ".join((*one.row.words, one.row.name))

    @cached_property
    def _repaired(self) -> bool:
        """Whether any work of the log ends a fault for good: what was proved then was that."""
        first = min(self.standing.proofs, default=-1)
        work = [w for w in self.tables.work if w.ends > REPAIR]
        fitted = any(e.action in ("fit", "swap") and e.moves for e in self.job.events if e.step <= first)
        return fitted or any(_applies(w, e) for e in self.job.events if e.step <= first for w in work)


def _ended(span: Span, step: int, ends: float) -> Iterator[Span]:
    """A span before and after something that ends it with this chance."""
    if ends <= 0 or span.until is not None:
        yield span
        return
    for until, share in ((step, ends), (None, 1 - ends)):
        if share * span.raised > LEAST:
            yield Span(span.since, until, span.without * share, span.raised * share)


def _add(found: dict[int, tuple[float, float, float]], step: int, ends: float, arises: float, breaks: float) -> None:
    was = found.get(step, (0.0, 0.0, 0.0))
    found[step] = (1 - (1 - was[0]) * (1 - ends), max(was[1], arises), max(was[2], breaks))


def _applies(work: Work, event: Event) -> bool:
    if event.action not in work.action or set(work.without) & set(event.what):
        return False
    by_part = event.part_kind in work.part or bool(set(work.part) & set(event.what))
    by_what = bool(set(work.what) & set(event.what)) or (bool(work.what) and event.part_kind in work.what)
    if work.part and work.what:
        return by_what and (event.part_kind in work.part or event.part_kind in work.what)
    return by_part if work.part else by_what if work.what else True


def _pair(a: int, b: int) -> tuple[int, int]:
    return (a, b) if a < b else (b, a)


def groups(shape: Engine, scope: str) -> tuple[tuple[int, ...], ...]:
    """The cylinders that hang together, as the card says; where it says nothing of feeds, the banks; else all."""
    if scope == "engine":
        return (shape.cylinders,)
    if scope not in _GROUPS:
        return tuple((c,) for c in shape.cylinders)
    if shape.ignition == "one" and scope in ("coil feed", "coil ground"):
        return (shape.cylinders,)
    for kind in _GROUPS[scope]:
        found = tuple(tuple(sorted(set(g.cylinders))) for g in shape.groups if g.kind == kind)
        if found:
            return found
    if scope == "coil group":
        return ()
    said = any(g.kind in kinds for g in shape.groups for s, kinds in _GROUPS.items() if s != "coil group")
    banks = tuple(tuple(sorted(bank.cylinders)) for bank in shape.banks)
    return banks if len(banks) > 1 and not said else (shape.cylinders,)
