"""Readings into observations: how likely what was seen is at each row of a test, and how much of that is a slip."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from logbook.diagnosis.engine_model import ANY, CONDITIONS, DEAD, IDLE, WEAK
from logbook.diagnosis.knowledge import Signs, Tables, TestRow, fits
from logbook.diagnosis.measures import Measures
from logbook.diagnosis.problem import Observation
from logbook.diagnosis.standing import NOW, Standing
from logbook.job.model import Engine, Job, Place, Reading

DOUBT = 0.5  # of a reading that the writer doubts ('118?')
FAST = 1500.0  # rpm from which it no longer idles
SLIP = 0.03  # share of words that are a slip of the hand, the ear or the pen
NAMING = ("firing", "cut-out")  # kinds that name the bad ones and often leave the others out
HUBS = ("bank", "engine")
STATES = ("firing", "cut-out", "wiggle", "water spray")
CHANGES = ("wiggle", "water spray")  # kinds that tell of a change
_WORDS: Mapping[str, str] = {
    "cold": "cold", "cold start": "cold", "hot": "hot", "wet": "wet", "rain": "wet", "damp": "wet", "water": "wet",
    "load": "load", "pull": "load", "uphill": "load", "idle": "idle",
}  # fmt: skip
_STARTING = frozenset({"crank", "cranking speed"})  # asked of an engine that has stood
_COMPLAINTS = {"no-power": frozenset({"load", "speed"}), "no-start": frozenset({"cold", "hot", "idle"})}
RUNNING = frozenset({"trims", "idle", "vacuum", "mixture", "pull", "misfire count", "exhaust smoke", "oil pressure"})


@dataclass(frozen=True)
class Seen:
    """An observation with what it looks at, for the engine model."""

    observation: Observation
    test: TestRow
    conditions: Signs
    places: frozenset[Place]  # cylinders whose faults show in it
    part: str = ""  # a part alone


@dataclass(frozen=True)
class Observations:
    """What was seen in a job, in order, and the entries that no test could read."""

    job: Job
    tables: Tables

    @cached_property
    def measures(self) -> Measures:
        said: dict[int, str] = {}
        for reading in self.job.readings:
            said[reading.entry] = f"{said.get(reading.entry, '')} {reading.value.remark.casefold()}"
        return Measures(self.job, said)

    @cached_property
    def standing(self) -> Standing:
        return Standing(self.job)

    @cached_property
    def seen(self) -> tuple[Seen, ...]:
        found = [*self._complaint(), *self._readings(), *self._not_named(), *self._ran()]
        return tuple(sorted(found, key=lambda s: (s.observation.step, s.observation.entry)))

    @cached_property
    def unread(self) -> tuple[int, ...]:
        """Entries with readings of a kind that the diagnosis knows, of which no test could use any."""
        used = {s.observation.entry for s in self.seen if s.test.kind != "ran"}
        used |= {r.entry for r in self.job.readings if self._left_out(r)}
        known = {r.entry for r in self.job.readings if r.counts and r.test in self.tables.by_kind and _says(r)}
        return tuple(sorted(known - used))

    @cached_property
    def trouble(self) -> frozenset[Place]:
        """Cylinders that any look shows not to work, or to lack what they need."""
        return frozenset(s.observation.place for s in self._of_cylinders if s.observation.place and speaks_ill(s))

    @cached_property
    def _of_cylinders(self) -> list[Seen]:
        tells = DEAD | WEAK
        return [s for s in self.seen if s.test.at == "cylinder" and s.test.signs & tells and s.test.kind != "codes"]

    @cached_property
    def when(self) -> Mapping[Place | str, tuple[list[int], list[int]]]:
        """By cylinder, and by engine for looks at banks and wholes, the steps at which they spoke ill, and well."""
        found: dict[Place | str, tuple[list[int], list[int]]] = {}
        for s in (s for s in self.seen if s.test.kind != "ran"):  # to run is not to run well
            for key in (s.observation.engine,) if s.observation.hub else tuple(s.places):
                found.setdefault(key, ([], []))[0 if speaks_ill(s) else 1].append(s.observation.step)
        return found

    @cached_property
    def turned(self) -> Mapping[Place, int]:
        """Cylinders seen to work and later not to, with nothing exchanged there: the step of the last such turn."""
        found: dict[Place, int] = {}
        well: dict[tuple[Place, Signs], int] = {}
        for s in self._of_cylinders:
            place, step = s.observation.place, s.observation.step
            if place is None or not s.test.of_state or s.test.kind == "not named":
                continue
            since = well.get((place, s.conditions), step)
            if not speaks_ill(s):
                well[place, s.conditions] = step
            elif since < step and not any(since < e.step <= step and place in e.places for e in self.job.events):
                found[place] = step
        return found

    def _complaint(self) -> Iterator[Seen]:
        for test in self.tables.by_kind.get("symptom", ()):
            for entry in self.job.entries:
                words = [w for w in reversed(test.words) if w in entry.entry.words]
                if entry.entry.kind == "symptom" and words and self.job.engines:
                    shape = self.job.engines[0]
                    likelihood, slip = _of_word(test, words[0])
                    at = entry.entry.index
                    conditions = _COMPLAINTS.get(words[0], frozenset(CONDITIONS))
                    yield _seen(test, shape, likelihood, slip, at, at, ANY, conditions)

    def _readings(self) -> Iterator[Seen]:
        whole: set[tuple[int, str]] = set()
        for reading in self.job.readings:
            if not reading.counts or self._left_out(reading):
                continue
            for test in self.tables.by_kind.get(reading.test, ()):
                if self.measures.reads(test, reading) and (reading.entry, test.name) not in whole:
                    found = self._read(test, reading)
                    if found is not None:
                        yield found
                        if test.whole:
                            whole.add((reading.entry, test.name))

    def _read(self, test: TestRow, reading: Reading) -> Seen | None:
        shape = self._shape(reading)
        if shape is None or not fits(test.needs, self.standing.has(shape)):
            return None
        name, conditions = conditions_of(reading)
        if test.calm is not None and test.calm == bool(conditions & {"speed", "load"}):
            return None
        where = _where(test, reading, shape)
        likelihood = self._likelihood(test, reading) if where is not None else None
        if where is None or likelihood is None:
            return None
        place, bank, part = where
        return _seen(
            test, shape, *likelihood, reading.entry, reading.step, name, conditions, place, bank, part, reading
        )  # fmt: skip

    def _shape(self, reading: Reading) -> Engine | None:
        name = reading.place.engine if reading.place else reading.engine
        return self.job.engine(name) or (self.job.engines[0] if self.job.engines else None)

    def _likelihood(self, test: TestRow, reading: Reading) -> tuple[list[float], list[float]] | None:
        value = reading.value
        found: tuple[list[float], list[float]] | None = None
        if test.code:
            found = _of_word(test, "set")
        elif value.quantity is not None and test.of and not test.remark:
            found = self.measures.densities(test, reading, value.quantity)
        else:
            word = "same" if self._unchanged(test, reading) else word_read(test, reading)
            found = _of_word(test, word) if word else None
        if found is not None and value.doubted:
            mean = sum(found[0]) / len(found[0]) * DOUBT
            found = [(1 - DOUBT) * x + mean for x in found[0]], [(1 - DOUBT) * s + mean for s in found[1]]
        return found

    def _unchanged(self, test: TestRow, reading: Reading) -> bool:
        """Whether moving or wetting something left the cylinder as it was last seen."""
        if test.kind not in CHANGES or reading.place is None or reading.value.word not in ("dead", "weak"):
            return False
        before = [r for r in self.job.readings if r.place == reading.place and r.test in STATES and r.counts]
        last = next((r for r in reversed(before) if r.step < reading.step), None)
        return last is not None and last.value.word == reading.value.word

    def _left_out(self, reading: Reading) -> bool:
        """Whether it looks at how cylinders work while a part of one is off on purpose: no fault speaks there."""
        tests = [t for t in self.tables.by_kind.get(reading.test, ()) if self.measures.reads(t, reading)]
        if not tests or not any(t.of_state for t in tests):
            return False
        off = self.standing.off_on_purpose(reading.step)
        if reading.place is None:
            return any(place.engine == reading.engine for place, _ in off)
        return any(place == reading.place and step != reading.step for place, step in off)

    def _not_named(self) -> Iterator[Seen]:
        """Who writes which cylinders are bad and leaves others out, mostly means that those work."""
        named: dict[int, list[Reading]] = {}
        for reading in self.job.readings:
            if reading.test in NAMING and reading.counts and reading.place is not None:
                named.setdefault(reading.entry, []).append(reading)
        implied: set[Place] = set()
        for entry, readings in named.items():
            first = readings[0]
            shape = self._shape(first)
            if shape is None or not any(self._bad(r) for r in readings) or self._left_out(first):
                continue
            for cylinder in self._silent(first, shape, {r.place for r in readings}):
                place = Place(shape.name, cylinder)
                if place not in implied and not any(
                    r.place == place and r.test in NAMING and r.step <= first.step for r in self.job.readings
                ):
                    implied.add(place)
                    yield from self._quiet(first, shape, place, entry)

    def _ran(self) -> Iterator[Seen]:
        """What is read of a running engine says that it starts: once, and again after each time it was worked on."""
        told: set[tuple[str, int]] = set()
        for reading in self.job.readings:
            shape = self._shape(reading)
            if not ran(reading) or shape is None:
                continue
            done = max((e.step for e in self.job.events if e.step <= reading.step), default=-1)
            if (shape.name, done) in told:
                continue
            told.add((shape.name, done))
            name, conditions = conditions_of(reading)
            for test in self.tables.by_kind.get("ran", ()):
                likelihood, slip = _of_word(test, "ran")
                yield _seen(test, shape, likelihood, slip, reading.entry, reading.step, name, conditions)

    def _silent(self, first: Reading, shape: Engine, named: set[Place | None]) -> Sequence[int]:
        """The cylinders that an entry leaves out: of a 'now' clause only those whose parts were handled."""
        others = [c for c in shape.cylinders if Place(shape.name, c) not in named]
        if not first.after_action:
            return others
        event = next((e for e in self.job.events if e.step == first.step), None)
        return [c for c in others if event is not None and Place(shape.name, c) in event.places]

    def _quiet(self, first: Reading, shape: Engine, place: Place, entry: int) -> Iterator[Seen]:
        name, conditions = conditions_of(first)
        for test in self.tables.by_kind.get("not named", ()):
            likelihood, slip = _of_word(test, "quiet")
            yield _seen(test, shape, likelihood, slip, entry, first.step, name, conditions, place, reading=first)

    def _bad(self, reading: Reading) -> bool:
        tests = [t for t in self.tables.by_kind.get(reading.test, ()) if self.measures.reads(t, reading)]
        return any((s := self._read(t, reading)) is not None and speaks_ill(s) for t in tests)


def ran(reading: Reading) -> bool:
    """Whether a reading is one of a running engine; vacuum and oil pressure are read while it is cranked, too."""
    cranked = "cranking" in reading.qualifiers or any("crank" in c.text.casefold() for c in reading.conditions)
    return reading.test in RUNNING and reading.counts and not cranked


def speaks_ill(seen: Seen) -> bool:
    """Whether it is likelier with some fault than with none."""
    likelihood = seen.observation.likelihood
    return max(likelihood[:-1]) > likelihood[-1]


def conditions_of(reading: Reading) -> tuple[str, Signs]:
    """The condition of a reading for naming ('any' where none is said, or warm), and all that hold.

    Where nothing else is said an engine idles; one that is cranked does not, has stood, and is cold.
    """
    said = [w for c in reading.conditions for w in (*c.words, c.text)]
    held = {_WORDS[w] for w in (*said, *reading.qualifiers) if w in _WORDS}
    speeds = [c.quantity for c in reading.conditions if c.quantity is not None and c.quantity.unit == "rpm"]
    if any(float(q.middle) >= FAST for q in speeds):
        held.add("speed")
    name = next((c for c in ("wet", "cold", "hot", "load", "speed") if c in held), ANY)
    cranked = reading.test in _STARTING or "cranking" in said or "cranking" in reading.qualifiers
    if cranked and "hot" not in held:
        held.add("cold")
    if not cranked and not held & {"load", "speed"}:
        held.add("idle")
    return name, IDLE if held == IDLE else frozenset(held)


def word_read(test: TestRow, reading: Reading) -> str:
    """The word of the test that the reading says, or ''."""
    value = reading.value
    said = (*value.remark_words, value.word) if test.remark else (value.word,)
    for word in said:
        word = test.same.get(word, word)
        if word in (test.only or test.words):
            return word
    return ""


def _says(reading: Reading) -> bool:
    return reading.value.word not in ("not done", "stopped", "") or reading.value.quantity is not None


def _of_word(test: TestRow, word: str) -> tuple[list[float], list[float]]:
    """P(word | row), and the part of it that is a slip: no more than any row gives it."""
    at = test.words.index(word)
    found = [row.p[at] for row in test.rows]
    return found, [min(SLIP, min(found))] * len(found)


def _where(test: TestRow, reading: Reading, shape: Engine) -> tuple[Place | None, str, str] | None:
    """The place, bank and part that a test looks at in a reading; None where it is another test's."""
    if test.code:
        return _code_where(test, reading, shape)
    if test.at == "engine":
        whole = test.whole or reading.place is None or test.kind in ("voltage drop", "feed")
        return (None, "", "") if whole else None
    if test.at == "bank":
        return None, reading.bank or (bank_of(shape, reading.place.cylinder) if reading.place else ""), ""
    if test.at == "part":
        return (reading.place, "", reading.part) if reading.part else None
    return (reading.place, "", "") if reading.place is not None and shape.has(reading.place.cylinder) else None


def _code_where(test: TestRow, reading: Reading, shape: Engine) -> tuple[Place | None, str, str] | None:
    """P0303 speaks of cylinder 3, P0171 of the bank that holds cylinder 1."""
    code = (reading.value.word or reading.subject).upper()
    if test.at == "engine":
        return (None, "", "") if code == test.code else None
    if test.at == "bank":
        first = bank_of(shape, min(shape.cylinders)) if shape.cylinders else ""
        banks = [first, *(b.name for b in shape.banks if b.name != first)]
        return (None, banks[test.bank - 1], "") if code == test.code and len(banks) >= test.bank else None
    for cylinder in shape.cylinders:
        letter = "123456789ABC"[cylinder - 1] if cylinder <= 12 else "-"
        if code == test.code.format(nn=f"{cylinder:02d}", n=letter):
            return Place(shape.name, cylinder), "", ""
    return None


def bank_of(shape: Engine, cylinder: int) -> str:
    return next((b.name for b in shape.banks if cylinder in b.cylinders), "")


def places_of(test: TestRow, shape: Engine, place: Place | None, bank: str) -> frozenset[Place]:
    """The cylinders whose faults show in a look at this place, this bank, or the whole engine."""
    if test.at == "cylinder":
        return frozenset({place} if place else ())
    if test.at == "part":
        return frozenset()
    inside = next((b.cylinders for b in shape.banks if b.name == bank and bank), shape.cylinders)
    return frozenset(Place(shape.name, c) for c in (inside if test.at == "bank" else shape.cylinders))


def _seen(
    test: TestRow,
    shape: Engine,
    likelihood: Sequence[float],
    slip: Sequence[float],
    entry: int,
    step: int,
    name: str,
    conditions: Signs,
    place: Place | None = None,
    bank: str = "",
    part: str = "",
    reading: Reading | None = None,
) -> Seen:
    top = max(likelihood)
    observation = Observation(
        test=test.name,
        likelihood=tuple(math.log(x / top) for x in likelihood),
        slip=tuple(min(s / x, 1.0) for s, x in zip(slip, likelihood, strict=True)),
        entry=entry,
        step=step,
        condition=name,
        hub=test.at in HUBS,
        place=place,
        part=part,
        bank=bank,
        engine=shape.name,
        reading=reading,
    )
    return Seen(observation, test, conditions, places_of(test, shape, place, bank), part)


def unseen(test: TestRow, shape: Engine, place: Place | None = None, bank: str = "", part: str = "") -> Seen:
    """A look that may yet be taken, now and with nothing said of the condition."""
    rows = len(test.rows)
    observation = Observation(
        test.name, (0.0,) * rows, (0.0,) * rows, -1, NOW, ANY, test.at in HUBS, place, part, bank, shape.name
    )  # fmt: skip
    return Seen(observation, test, IDLE, places_of(test, shape, place, bank), part)
