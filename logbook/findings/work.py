"""All worked numbers of a job: an ordered table of small finders, each of which knows one kind of number."""

from __future__ import annotations

from collections.abc import Callable, Iterator

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
    health,
    injector_work,
    injectors,
    limits,
    mixture,
    money,
    running,
    sealing,
)
from logbook.findings.model import Number
from logbook.formulas.refusals import Refusal
from logbook.job.model import Job

Finder = Callable[[Job, Diagnosis], Iterator[Number]]

FINDERS: tuple[Finder, ...] = (
    health.compression,
    health.oil,
    doubt.gauge,
    doubt.repeats,
    sealing.leaks,
    running.cut_out,
    running.shake,
    before_after.compared,
    before_after.repeated,
    cranking.air,
    cranking.band,
    injectors.bench_flow,
    injectors.best_set,
    injector_work.coils,
    injector_work.power,
    injector_work.pulses,
    mixture.readings,
    mixture.trims,
    mixture.fuel_table,
    build_sheet.volumes,
    build_sheet.motion,
    build_sheet.torque,
    build_sheet.other_unit,
    bolts.preload,
    limits.first,
    limits.in_other_words,
    limits.boosted,
    limits.gate,
    fuel_feed.supply,
    fuel_feed.rail,
    electrical.feeds,
    electrical.together,
    electrical.windings,
    electrical.battery,
    car.speeds,
    car.joints,
    money.hours,
    money.donors,
    money.balance,
)


def work_out(job: Job, diagnosis: Diagnosis) -> tuple[Number, ...]:
    """Every number that the log holds the inputs of, or nearly holds, in the order of the table."""
    return tuple(number for finder in FINDERS for number in _found(finder, job, diagnosis))


def _found(finder: Finder, job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """What one finder finds. A refusal of a step between two numbers ends its row: those before it are kept.

    A refused number says so itself (``making.number``); here only what would have followed from it is left out.
    """
    try:
        yield from finder(job, diagnosis)
    except Refusal:
        return
