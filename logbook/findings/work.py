"""All worked numbers of a job: an ordered table of small finders, each of which knows one kind of number."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import (
    before_after,
    bolts,
    build_sheet,
    car,
    cranking,
    doubt,
    electrical,
    fuel_feed,
    goals,
    health,
    injector_work,
    injectors,
    limits,
    mixture,
    money,
    rules,
    running,
    sealing,
)
from logbook.findings.measures import left_out, usable
from logbook.findings.model import Number
from logbook.formulas.refusals import Refusal
from logbook.job.model import Job, Reading

Find = Callable[[Job, Diagnosis], Iterator[Number]]


class Finder(NamedTuple):
    """One finder, the kinds of entry that may feed its numbers, and why those."""

    find: Find
    entries: str
    why: str
    whole: bool = False  # each of its numbers is made of all its entries

    @property
    def kinds(self) -> frozenset[str]:
        return frozenset(self.entries.split(", "))

    @property
    def name(self) -> str:
        return f"{self.find.__module__.rsplit('.', 1)[-1]}.{self.find.__name__}"


_ENGINE = "engine, place"
_BUILD = "bore, stroke, rod length, chamber, piston volume, deck, gasket"

FINDERS: tuple[Finder, ...] = (
    Finder(health.compression, f"compression, {_ENGINE}", "one dry test of one engine, on the starter"),
    Finder(health.oil, "compression", "the last dry reading before the oil, of the same cylinder"),
    Finder(doubt.gauge, "compression", "the gauge of the last test"),
    Finder(doubt.repeats, "compression, cut-out", "one place, part and condition, nothing done between"),
    Finder(sealing.leaks, f"leak-down, {_ENGINE}", "one test at one supply pressure"),
    Finder(running.cut_out, "cut-out", "one test, or repeats with nothing done between"),
    Finder(running.shake, "idle, engine", "the last speed at idle"),
    Finder(before_after.compared, "compression, cut-out, leak-down, trims, mixture, fuel pressure, vacuum",
           "one test of one thing on both sides of the repair"),
    Finder(before_after.repeated, "compression, cut-out", "the last state before the repair and the first after it"),
    Finder(cranking.air, "place", "height and air pressure here"),
    Finder(cranking.band, f"{_BUILD}, cam, compression, place", "a build measured whole, timing at the seat"),
    Finder(injectors.bench_flow, "flow, fuel", "the latest flow of what is fitted; of the bench where nothing is"),
    Finder(injectors.best_set, "flow", "the latest flow of each that is not scrapped, tested alike"),
    Finder(injector_work.coils, "resistance", "the last test of a set at a known temperature"),
    Finder(injector_work.power, "flow, injector rating, fuel, wanted, engine, pull",
           "the latest flow of what is fitted, else the rating"),
    Finder(injector_work.pulses, f"pulse, idle, flow, injector rating, fuel, {_BUILD}, place",
           "pulse and speed at idle, the latest of each"),
    Finder(mixture.readings, "mixture, fuel, cut-out", "first and last reading, with those that were dead then"),
    Finder(mixture.trims, "trims", "short and long of one bank and day"),
    Finder(mixture.fuel_table, "mixture", "the last reading, every cylinder firing, warm, at idle"),
    Finder(build_sheet.volumes, f"{_BUILD}, engine", "the latest measure of each cylinder"),
    Finder(build_sheet.motion, f"{_BUILD}, rev limit, cam, engine", "the latest measures; timing at the seat"),
    Finder(build_sheet.torque, "torque, angle", "first and last torque of one kind of bolt, and its angle"),
    Finder(build_sheet.other_unit, "torque", "the last torque of each kind of bolt"),
    Finder(bolts.preload, "torque, stretch, angle", "the last torque of a kind of bolt with its size"),
    Finder(limits.first, f"{_BUILD}, {_ENGINE}, wanted, rev limit, pull, flow, injector rating, fuel, pump, hose",
           "what is wanted or was pulled, against the latest of what is fitted", whole=True),
    Finder(limits.in_other_words, "wanted", "the last power wanted"),
    Finder(limits.boosted, f"{_BUILD}, {_ENGINE}, wanted, rev limit, pull, fuel, cooler",
           "boost and intake of the last pull with points"),
    Finder(limits.gate, "wastegate", "spring, diaphragm and valve"),
    Finder(goals.torque, "wanted, rev limit, bore, stroke", "the last power wanted, at the rev limit"),
    Finder(goals.boost, "wanted, rev limit, bore, stroke, place, fuel", "the last power and boost wanted"),
    Finder(goals.on_fuel, "wanted, fuel", "the last power wanted, on the fuel of the log"),
    Finder(goals.pump, "pump, wanted, fuel pressure, feed", "the last pump and the last volts that reached it"),
    Finder(rules.ring_gaps, "ring gap, bore", "the latest gap of each cylinder"),
    Finder(rules.springs, "spring, cam", "the last forces and lift"),
    Finder(rules.oil, "oil pressure", "the last hot reading with its speed"),
    Finder(rules.vacuum, "idle, place", "the last vacuum at idle"),
    Finder(rules.dwell, "dwell, idle, engine", "the last dwell and idle"),
    Finder(fuel_feed.supply, "wanted, pump, hose, fuel, pull", "the last pump and feed line"),
    Finder(fuel_feed.rail, "fuel pressure, idle, vacuum", "base and idle pressure with the nearest vacuum"),
    Finder(electrical.feeds, "feed", "one feed with its wire, length and load"),
    Finder(electrical.together, "resistance", "the latest of what is fitted on the feed, all of them"),
    Finder(electrical.windings, "resistance", "coils measured side by side at one temperature"),
    Finder(electrical.battery, "battery", "the last rest voltage"),
    Finder(car.speeds, "tyre, axle, gears, rev limit", "the last tyre, axle and gears"),
    Finder(car.joints, "joint angle", "the latest angle of each joint"),
    Finder(money.hours, "hours", "hours that count, at one rate"),
    Finder(money.donors, "donor, bought, asked, parts", "a donor whose parts all have a price"),
    Finder(money.price, "hours, spent, bought", "hours and parts that count, at one rate"),
    Finder(money.balance, "spent, bought, got, hours, donor, asked, parts", "what was paid, came in and was worked"),
)  # fmt: skip


def work_out(job: Job, diagnosis: Diagnosis) -> tuple[Number, ...]:
    """Every number that the log holds the inputs of, or nearly holds, in the order of the table.

    Readings that are doubted feed none; the numbers of their kind say which were left out.
    """
    out = left_out(job)
    kept = usable(job, out)
    return tuple(
        _say_left_out(job, finder, number, out) for finder in FINDERS for number in _found(finder, kept, diagnosis)
    )


def _say_left_out(job: Job, finder: Finder, number: Number, out: Sequence[Reading]) -> Number:
    if not out:
        return number
    kinds = {job.entries[e].entry.kind for i in number.inputs for e in i.entries if 0 <= e < len(job.entries)}
    kinds |= finder.kinds if finder.whole else set()
    texts = [
        f"{job.entries[r.entry].entry.kind if not r.subject else ''} {' '.join(r.qualifiers)} {r.subject} "
        f"{r.value.quantity.text if r.value.quantity else r.value.word}"
        for r in out
        if job.entries[r.entry].entry.kind in kinds and r.engine in ("", number.subject or r.engine)
    ]
    if not texts or not number.sentence:
        return number
    said = "; ".join(" ".join(t.split()) for t in texts[:6])
    return replace(number, sentence=f"{number.sentence} Left out as doubted: {said}.")


def _found(finder: Finder, job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """What one finder finds. A refusal of a step between two numbers ends its row: those before it are kept.

    A refused number says so itself (``making.number``); here only what would have followed from it is left out.
    """
    try:
        yield from finder.find(job, diagnosis)
    except Refusal:
        return
