"""The same test before the repair and after it: changed, or not to be told apart with this gauge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.making import Did, Fed, number
from logbook.findings.measures import Measure, alike, of_reading, stretch
from logbook.findings.model import Number
from logbook.findings.saying import figures, plain
from logbook.formulas.uncertainty import compare_readings
from logbook.job.model import Job, Reading
from logbook.units import UNITS

GROUP = "health"
DIFFERENT = "changed"
ALIKE = "no change this gauge can see"
_MENDS = frozenset({"repair", "clean", "fit", "adjust"})
_SCATTER = {  # what one reading of a test does not repeat, in SI or as written, beside its own digits
    "compression": usual.GAUGE_REPEAT_PA,
    "cut-out": usual.CUT_OUT_NOISE_RPM,
    "leak-down": 1.0,
    "trims": 1.0,
    "mixture": 0.1,
    "fuel pressure": 5e3,
    "vacuum": 1.5e3,
}


@dataclass(frozen=True, slots=True)
class Record:
    """One test of one thing on both sides of the repair. Values and spreads in ``unit``."""

    test: str
    qualifiers: tuple[str, ...]
    subject: str
    before: Reading
    after: Reading
    before_value: float
    after_value: float
    u_before: float
    u_after: float
    unit: str
    real: bool

    @property
    def words(self) -> str:
        return DIFFERENT if self.real else ALIKE


def repair_step(job: Job) -> int | None:
    """The moment of the repair: the last mending before the first proof, else the last mending; None without one."""
    proofs = [r.step for r in job.readings if r.proved]
    limit = min(proofs) if proofs else len(job.entries)
    mends = [e.step for e in job.events if e.action in _MENDS and e.step < limit]
    return max(mends) if mends else None


def records(job: Job) -> tuple[Record, ...]:
    """Every test with a number on both sides of the repair: the earliest before it and the latest after it."""
    moment = repair_step(job)
    if moment is None:
        return ()
    first: dict[tuple[object, ...], tuple[Reading, Measure]] = {}
    last: dict[tuple[object, ...], tuple[Reading, Measure]] = {}
    for reading in job.readings:
        measure = of_reading(reading) if reading.test in _SCATTER else None
        if measure is None or (not reading.subject and not reading.qualifiers and reading.test != "vacuum"):
            continue
        how = tuple(q for q in reading.qualifiers if q != "dry")  # dry is what a compression test is without a word
        cold = any("cold" in c.text.casefold() for c in reading.conditions)  # a cold engine is another condition
        key = (reading.engine, reading.test, how, reading.subject, reading.slot, cold)
        if reading.step < moment:
            first.setdefault(key, (reading, measure))
        elif reading.step > moment:
            last[key] = (reading, measure)
    return tuple(_record(*first[key], *last[key]) for key in first if key in last)


def _record(before: Reading, was: Measure, after: Reading, now: Measure) -> Record:
    scatter = _SCATTER[before.test]
    unit = UNITS.get(was.unit)
    factor = unit.factor if unit is not None and unit.dimension == "pressure" else 1.0
    if unit is not None and unit.dimension == "vacuum":
        factor = unit.factor
    u_before, u_after = ((m.u**2 + scatter**2) ** 0.5 / factor for m in (was, now))
    old, new = was.value / factor, now.value / factor
    real = compare_readings(old, u_before, new, u_after).real_at_95
    return Record(
        before.test, before.qualifiers, before.subject, before, after, old, new, u_before, u_after, was.unit, real
    )  # fmt: skip


def compared(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The comparisons that matter: of troubled cylinders, else the one that changed most of each test."""
    troubled = {a.place.cylinder for a in diagnosis.cylinders}
    found = records(job)
    for test in dict.fromkeys(r.test for r in found):
        own = [r for r in found if r.test == test]
        chosen = [r for r in own if r.before.place is not None and r.before.place.cylinder in troubled]
        if not chosen:
            chosen = [max(own, key=lambda r: (abs(r.after_value - r.before_value), r.subject))]
        for record in chosen:
            yield _number(job, record)


def _number(job: Job, record: Record) -> Number:
    unit = UNITS.get(record.unit)
    sign = (unit.symbol or unit.name) if unit else ""
    what = " ".join((record.test, *(q for q in record.qualifiers if q != "dry")))
    who = f"cylinder {record.subject}" if record.before.place is not None else record.subject or "engine"

    def shown(did: Did) -> str:
        difference, u = did.result["difference"], did.result["u_difference"]
        lead = "+" if difference > 0 else ""
        return f"{lead}{plain(difference, 0 if abs(difference) >= 10 else 1)} ± {figures(2 * u, 2)} {sign}".rstrip()

    def sentence(did: Did) -> str:
        odds = "chance alone does not do that" if record.real else "chance alone does that easily"
        return f"From {record.before_value:g} to {record.after_value:g} {sign}".rstrip() + f": {record.words}; {odds}."

    return number(
        job, "compare_readings", GROUP, f"Before and after, {what}, {who}",
        [Fed("before", record.before_value, f"{record.before_value:g} {sign}".rstrip(), (record.before.entry,)),
         Fed("u_before", record.u_before, figures(record.u_before, 2), (), 0.0, "digits written and usual scatter"),
         Fed("after", record.after_value, f"{record.after_value:g} {sign}".rstrip(), (record.after.entry,)),
         Fed("u_after", record.u_after, figures(record.u_after, 2), (), 0.0, "digits written and usual scatter")],
        shown, sentence,
    )  # fmt: skip


def repeated(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Where a reading was repeated on both sides of the repair: the comparison from the repeats themselves."""
    moment = repair_step(job)
    if moment is None:
        return
    limits = (stretch(job, moment), stretch(job, moment + 1))
    sides: dict[tuple[object, ...], tuple[list[Measure], list[Measure]]] = {}
    for reading in job.readings:
        measure = of_reading(reading) if reading.test in ("compression", "cut-out") else None
        if measure is None or reading.place is None or "wet" in reading.qualifiers or reading.step == moment:
            continue
        # the last state before the repair and the first after it, in one condition
        if stretch(job, reading.step, reading.engine) not in limits:
            continue
        key = (reading.engine, reading.test, reading.subject, reading.qualifiers, alike(reading.conditions))
        sides.setdefault(key, ([], []))[reading.step > moment].append(measure)
    for (_, test, subject, *_), (before, after) in sides.items():
        values = [tuple(m.value for m in side) for side in (before, after)]
        if min(len(before), len(after)) < 2 or all(len(set(v)) == 1 for v in values):
            continue
        unit = UNITS[before[0].unit]
        if unit.dimension == "pressure":
            values = [tuple(unit.from_si(v) for v in side) for side in values]
        yield number(
            job, "compare_repeats", GROUP, f"Before and after from repeats, {test}, cylinder {subject}",
            [Fed(key, side, ", ".join(f"{v:g}" for v in side), tuple(dict.fromkeys(e for m in kept for e in m.entries)))
             for key, side, kept in (("before", values[0], before), ("after", values[1], after))],
            lambda did: DIFFERENT if did.result["real_at_95"] else ALIKE,
            lambda did: f"By the scatter of the repeats alone; t = {plain(did.result['t'], 1)}, "
            f"{figures(did.result['df'], 2)} degrees of freedom.",
        )  # fmt: skip
