"""Readings into evidence: P(reading | effect absent) and P(reading | present), words by table, numbers by density."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from logbook.diagnosis import densities
from logbook.diagnosis.knowledge import DEAD, STATE_EFFECT, WEAK, Knowledge, TestRow
from logbook.diagnosis.latents import Anchor
from logbook.diagnosis.network import Network
from logbook.job.model import Job, Place, Reading
from logbook.text.entries import Quantity
from logbook.units import UNITS

DOUBT = 0.5  # of a reading that the writer doubts ('118?')
ABSOLUTE = "absolute pressure"
BENCH = ("flow", "port flow")
_SHOWN_STOICH = 14.7  # what displays multiply lambda with; a convention


@dataclass(frozen=True, slots=True)
class Finding:
    """One reading's bearing on one latent. ``likelihood`` is scaled so that the largest is 1."""

    entry: int
    step: int
    latent: int
    likelihood: tuple[float, ...]
    row: str
    reading: Reading


@dataclass(frozen=True, slots=True)
class Readings:
    """The readings of a job, each weighed and each set of numbers gathered once."""

    job: Job
    knowledge: Knowledge
    _pairs: dict[tuple[str, int], tuple[float, ...] | None] = field(default_factory=dict)
    _sets: dict[tuple[object, ...], list[tuple[int, float]]] = field(default_factory=dict)

    def matching(self, reading: Reading) -> list[TestRow]:
        """The rows that read this kind of entry."""
        return [row for row in self.knowledge.by_kind.get(reading.test, ()) if _matches(row, reading)]

    def likelihood(self, row: TestRow, reading: Reading) -> tuple[float, ...] | None:
        """P(reading | absent), P(reading | present), or None where the row says nothing about it."""
        key = row.name, id(reading)  # one of the job's own, which lives as long as the job
        if key not in self._pairs:
            self._pairs[key] = _likelihood(self, row, reading)
        return self._pairs[key]

    def set_of(self, row: TestRow, reading: Reading, test: str, qualifiers: bool = True) -> list[tuple[int, float]]:
        """The latest numbers, by entry, that a reading of the row compares with."""
        at = reading.step, reading.part_kind, reading.engine
        terms = frozenset(c.text for c in reading.conditions) if reading.test in BENCH else None
        key = row.name, row.qualifiers, row.without, test, qualifiers, at, terms
        if key not in self._sets:
            self._sets[key] = _set(self, row, reading, test, qualifiers)
        return self._sets[key]


def _matches(row: TestRow, reading: Reading) -> bool:
    return (
        (not row.part or row.part == reading.part_kind)
        and row.slot == reading.slot
        and set(row.qualifiers) <= set(reading.qualifiers)
        and not set(row.without) & set(reading.qualifiers)
    )


def findings(network: Network, readings: Readings) -> tuple[list[Finding], tuple[int, ...]]:
    """All evidence of a job, and the entries whose readings no row could use."""
    job, knowledge = network.job, network.knowledge
    found: list[Finding] = []
    used: set[int] = set()
    asked: set[int] = set()
    whole: set[tuple[int, str]] = set()
    proof = min((r.step for r in job.readings if r.proved and r.counts), default=None)
    for reading in job.readings:
        rows = readings.matching(reading) if reading.counts else []
        if rows:
            asked.add(reading.entry)
        for row in rows:
            if proof is not None and reading.step >= proof and not _of_one(knowledge, row):
                used.add(
                    reading.entry
                )  # once it is proved, what all cylinders share says nothing of the cause any more
                continue
            if row.whole_set and (reading.entry, row.name) in whole:
                continue
            anchor = _anchor(job, row, network, reading)
            pair = readings.likelihood(row, reading) if anchor else None
            if anchor is None or pair is None:
                continue
            whole.add((reading.entry, row.name))
            latent = network.latent(
                knowledge.effects[row.effect], anchor, reading.step, condition_of(knowledge, reading)
            )
            used.add(reading.entry)
            pair = network.latents[latent].reduced(pair)
            found.append(Finding(reading.entry, reading.step, latent, pair, row.name, reading))
    return found, tuple(sorted(asked - used))


def _of_one(knowledge: Knowledge, row: TestRow) -> bool:
    return (row.at or knowledge.effects[row.effect].of) in ("cylinder", "part")


def states_seen(readings: Readings) -> dict[Place, frozenset[str]]:
    """Cylinders that any reading shows weak, dead or coming and going, and which of 'weak' and 'dead' that was."""
    found: dict[Place, set[str]] = {}
    for reading in readings.job.readings:
        if reading.place is None or not reading.counts:
            continue
        for row in readings.matching(reading):
            if row.effect not in (STATE_EFFECT, "comes_and_goes", "wet_changes"):
                continue
            pair = readings.likelihood(row, reading)
            if pair and max(pair[1:]) > pair[0]:
                dead = len(pair) < 3 or pair[2] >= pair[1]
                found.setdefault(reading.place, set()).add(DEAD if dead else WEAK)
    return {place: frozenset(states) for place, states in found.items()}


def condition_of(knowledge: Knowledge, reading: Reading) -> str:
    """The condition that an entry names ('cold', 'warm', 'load', 'wet'), or 'any'."""
    words = [w for c in reading.conditions for w in (*c.words, " ".join(c.words), c.text)]
    return knowledge.condition(tuple(words))


def _anchor(job: Job, row: TestRow, network: Network, reading: Reading) -> Anchor | None:
    effect = network.knowledge.effects[row.effect]
    engine = reading.engine or (job.engines[0].name if job.engines else "")
    of = row.at or effect.of
    if row.code:
        return _code_anchor(job, row, reading, engine)
    if of == "engine":
        return (
            Anchor(engine) if (job.engines and reading.place is None) or (row.at != "engine" and job.engines) else None
        )
    if of == "bank":
        return Anchor(engine, bank=reading.bank or _bank_name(job, engine, reading.place)) if job.engines else None
    place = reading.place
    part = reading.part if reading.part in network.parts_asked_of else ""
    if place is None and not part:
        return None
    return Anchor(place.engine if place else engine, place.cylinder if place else 0, part)


def _bank_name(job: Job, engine: str, place: Place | None) -> str:
    found = job.engine(engine)
    if found is None or place is None:
        return ""
    return next((bank.name for bank in found.banks if place.cylinder in bank.cylinders), "")


def _code_anchor(job: Job, row: TestRow, reading: Reading, engine: str) -> Anchor | None:
    """P0303 speaks of cylinder 3, P0171 of the bank that holds cylinder 1."""
    found = job.engine(engine)
    code = (reading.value.word or reading.subject).upper()
    if found is None:
        return None
    if row.bank:
        name = _bank_name(job, engine, Place(engine, found.cylinders[0]))
        banks = [name, *(b.name for b in found.banks if b.name != name)]
        known = len(banks) >= row.bank or row.bank == 1
        return Anchor(engine, bank=banks[row.bank - 1]) if code == row.code and known else None
    for cylinder in found.cylinders:
        letter = "123456789ABC"[cylinder - 1] if cylinder <= 12 else "-"
        if code == row.code.format(nn=f"{cylinder:02d}", n=letter):
            return Anchor(engine, cylinder)
    return None


def _likelihood(readings: Readings, row: TestRow, reading: Reading) -> tuple[float, ...] | None:
    if row.code:
        return _scaled(row.words["set"])
    value = reading.value
    if row.remark:
        words = [w for w in (*value.remark_words, value.word) if w in row.words]
        return _scaled(row.words[words[0]]) if words else None
    pair: tuple[float, ...] | None = None
    if value.quantity is not None and row.number:
        pair = _of_number(readings, row, reading, value.quantity)
    elif value.word in row.words:
        pair = _scaled(row.words[value.word])
    if pair is not None and value.doubted:
        pair = densities.softened(pair, DOUBT)
    return pair


def _scaled(pair: tuple[float, ...]) -> tuple[float, ...]:
    top = max(pair)
    return tuple(p / top for p in pair)


def _of_number(readings: Readings, row: TestRow, reading: Reading, quantity: Quantity) -> tuple[float, ...] | None:
    spec = row.number
    x = number_of(readings.job, quantity, spec, reading)
    if x is None:
        return None
    noise = float(quantity.plus_minus or 0) + (0.05 * abs(x) if quantity.about else 0.0)
    noise = math.hypot(noise, float(quantity.high - quantity.low) / 2, float(spec.get("step", 0.0)))
    measure = spec["of"]
    if "limit" in spec and reading.limit is not None and reading.limit.quantity is not None:
        return _of_limit(reading.limit.quantity, reading, x, spec["limit"], str(spec.get("unit", "")))
    if measure == "log":
        return densities.likelihood(math.log10(1 + max(x, 0.0)), spec)
    if measure == "limit":
        limit = reading.limit.quantity if reading.limit else None
        return _of_limit(limit, reading, x, spec) if limit else None
    if measure == "value":
        return densities.likelihood(x, spec, noise)
    if measure == "recovery":
        return _of_recovery(readings, row, reading, x)
    centre = _centre(readings, row, reading)
    alone = spec.get("alone")
    if alone and (centre is None or centre < float(alone["sound"])):
        return densities.likelihood(x, alone, noise)  # no set, or one of suspects alone
    if centre is None or centre <= 0:
        return None
    if measure == "set centre":
        return densities.likelihood(centre, spec)
    return densities.likelihood(x / centre, spec, noise / centre)


def number_of(job: Job, quantity: Quantity, spec: Mapping[str, Any], reading: Reading) -> float | None:
    """The number in the row's unit, corrected for altitude or temperature."""
    row = spec
    edge = {"over": quantity.high, "under": quantity.low}.get(quantity.bound, quantity.middle)
    x = float(edge)
    unit = str(row.get("unit", ""))
    if unit and quantity.unit and quantity.unit != unit:
        x = _converted(x, quantity.unit, unit)
    if math.isnan(x):
        return None
    corrected = row.get("corrected")
    if corrected == "altitude" and job.altitude_m is not None:
        share = densities.station_pressure_share(job.altitude_m)
        x = x + densities.SEA_LEVEL_KPA * (1 - share) if unit == "kPa vac" else x / share
    if corrected == "copper":
        x = x / (1 + densities.COPPER * (_temperature(reading) - 20.0))
    return x


def _converted(x: float, unit: str, to: str) -> float:
    have, want = UNITS.get(unit), UNITS.get(to)
    if have is None or want is None:
        return math.nan
    if (have.dimension, want.dimension) == ("mixture", "mixture lambda"):
        return x / _SHOWN_STOICH
    if have.dimension == ABSOLUTE and want.dimension == "pressure":
        return want.from_si(have.to_si(x) - densities.SEA_LEVEL_KPA * 1e3)
    return want.from_si(have.to_si(x)) if have.dimension == want.dimension else math.nan


def _temperature(reading: Reading) -> float:
    for condition in reading.conditions:
        q = condition.quantity
        if q is not None and q.unit in UNITS and UNITS[q.unit].dimension == "temperature":
            return UNITS["C"].from_si(UNITS[q.unit].to_si(float(q.middle)))
    return 20.0


def _of_limit(
    limit: Quantity, reading: Reading, x: float, spec: Mapping[str, Any], unit: str = ""
) -> tuple[float, ...]:
    """How far a number is outside the limits that the writer gives with it: the maker's figure outranks the row's."""
    low, high = float(limit.low), float(limit.high)
    if unit and limit.unit and limit.unit != unit:
        low, high = _converted(low, limit.unit, unit), _converted(high, limit.unit, unit)
    x = -x if "atdc" in reading.value.remark_words or reading.value.word == "atdc" else x
    off = x - high if x > high else x - low if x < low else 0.0
    return densities.likelihood(off, spec)


def _of_recovery(readings: Readings, row: TestRow, reading: Reading, wet: float) -> tuple[float, ...] | None:
    """How far oil brings a low cylinder back towards the others, beyond what oil does to a good one.

    0: as low as before, valve or gasket; 1: back among its neighbours, rings. Nothing where it was not low dry.
    """
    dry_row = replace(row, qualifiers=(), without=("wet", "running"))
    dry = [r for r in _comparable(readings.job, dry_row, reading, reading.test, True) if r.place == reading.place]
    centre = _centre(readings, row, reading)
    before = _centre(readings, dry_row, reading)
    first = (
        number_of(readings.job, dry[-1].value.quantity, row.number, dry[-1]) if dry and dry[-1].value.quantity else None
    )
    if first is None or not centre or not before:
        return None
    was, now = first / before, wet / centre
    if was > 1 - float(row.number["low"]):
        return None
    return densities.likelihood((now - was) / (1 - was), row.number)


def _centre(readings: Readings, row: TestRow, reading: Reading) -> float | None:
    """The centre of the set that a reading belongs to: its own entry where that holds three, else all so far."""
    apart = float(row.number.get("apart", 0.0))
    mine = readings.set_of(row, reading, reading.test)
    together = [x for entry, x in mine if entry == reading.entry]
    values = together if len(together) >= 3 else [x for _, x in mine]
    alone = row.number.get("alone")
    few = len(values) == 2 and (not alone or max(values) >= float(alone["sound"]))
    if len(values) >= 3 or (few and not row.number.get("others")):
        return densities.set_centre(values, apart)
    other = row.number.get("others")
    if other:
        values = [x for _, x in readings.set_of(row, reading, str(other), qualifiers=False)]
        if len(values) >= 2:
            return densities.set_centre(values, apart) * float(row.number.get("times", 1.0))
    return None


def _set(readings: Readings, row: TestRow, reading: Reading, test: str, qualifiers: bool) -> list[tuple[int, float]]:
    latest: dict[object, tuple[int, float]] = {}
    for other in _comparable(readings.job, row, reading, test, qualifiers):
        quantity = other.value.quantity
        x = number_of(readings.job, quantity, row.number, other) if quantity is not None else None
        if x is not None and not other.value.doubted:  # a doubted one moves no set
            latest[other.part or other.place or other.subject] = (other.entry, x)
    return list(latest.values())


def _comparable(job: Job, row: TestRow, reading: Reading, test: str, qualifiers: bool) -> Iterable[Reading]:
    wanted = set(row.qualifiers) if qualifiers else set()
    for other in job.readings:
        if (
            other.counts
            and other.test == test
            and other.step <= reading.step
            and other.part_kind == reading.part_kind
            and other.engine == reading.engine
            and wanted <= set(other.qualifiers)
            and not (set(row.without) - wanted) & set(other.qualifiers)
            and (qualifiers or not set(row.qualifiers) & set(other.qualifiers))
            and _same_terms(reading, other)
        ):
            yield other


def _same_terms(reading: Reading, other: Reading) -> bool:
    """Bench readings compare only at one pressure, time and fluid."""
    if reading.test not in BENCH:
        return True
    return {c.text for c in reading.conditions} == {c.text for c in other.conditions}
