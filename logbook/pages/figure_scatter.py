"""What one cut-out test does not repeat, and the range in which the cylinders that fire lie."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.findings.usual import CUT_OUT_NOISE_RPM
from logbook.formulas.firing import power_balance
from logbook.formulas.refusals import Refusal
from logbook.pages.figure_units import ends, in_unit
from logbook.pages.figure_values import Limit
from logbook.pages.moments import Moment

_TEST, _UNIT = "cut-out", "rpm"
_WRITTEN, _TRIES, _USUAL = "as written", "all tries", f"usual ± {2 * CUT_OUT_NOISE_RPM:g} rpm"


@dataclass(frozen=True, slots=True)
class Scatter:
    """The mean of a cylinder's drop, the ends of its scatter (rpm), from where that is known, and the repeats."""

    middle: float
    low: float
    high: float
    source: str
    tries: tuple[float, ...] = ()


def scatter_of(moment: Moment, subject: str, unit: str) -> Scatter | None:
    """The scatter of one drop: over the repeats, as written, else the usual one; None for any other test.

    Like every ± of the page it is two standard deviations. Repeats that agree by chance scatter no less than usual.
    """
    reading = moment.reading(subject)
    quantity = reading.value.quantity if reading else None
    if reading is None or quantity is None or reading.test != _TEST or unit != _UNIT:
        return None
    tries = tuple(in_unit(r.value.quantity, unit) for r in moment.tried(subject) if r.value.quantity)
    middle = statistics.fmean(tries) if len(tries) > 1 else in_unit(quantity, unit)
    usual = 2 * CUT_OUT_NOISE_RPM / math.sqrt(max(len(tries), 1))
    if len(tries) > 1:
        return Scatter(middle, min(*tries, middle - usual), max(*tries, middle + usual), _TRIES, tries)
    written = ends(quantity, unit)
    if written is not None:
        return Scatter(middle, *written, _WRITTEN)
    return Scatter(middle, middle - usual, middle + usual, _USUAL)


def middle_of(moment: Moment, subject: str, unit: str) -> float | None:
    """Where the mark of a reading stands: the mean of its repeats where there are, else the middle of its value."""
    scatter = scatter_of(moment, subject, unit)
    reading = moment.reading(subject)
    if scatter is not None:
        return scatter.middle
    return in_unit(reading.value.quantity, unit) if reading and reading.value.quantity else None


def scatter_words(scatters: Iterable[Scatter | None]) -> str:
    """What the whiskers of a figure are, for its key: 'scatter: all tries, usual ± 12 rpm'."""
    sources = {s.source for s in scatters if s is not None}
    return f"scatter: {', '.join(s for s in (_WRITTEN, _TRIES, _USUAL) if s in sources)}" if sources else ""


def firing_range(found: Sequence[Moment], unit: str) -> Limit | None:
    """From the least to the greatest that a cylinder which fires may lose, with the scatter of each.

    Dead and weak are left out as the worked numbers tell them apart; None where half are dead and nothing can.
    """
    firing = [s for m in found for s in _firing(m, unit)]
    if len(firing) < 2:
        return None
    return Limit(min(s.low for s in firing), max(s.high for s in firing), "range of those that fire", "mid")


def range_words(limit: Limit | None) -> str:
    """'Those that fire lose 48 to 82 rpm.'"""
    return f"Those that fire lose {limit.low:.0f} to {limit.high:.0f} {_UNIT}." if limit else ""


def _firing(moment: Moment, unit: str) -> list[Scatter]:
    scatters = [s for name, _ in moment.readings if (s := scatter_of(moment, name, unit)) is not None]
    try:
        balance = power_balance([[s.middle] for s in scatters], noise_rpm=CUT_OUT_NOISE_RPM)
    except Refusal:
        return []
    if balance.warnings:
        return []
    idle = {*balance.dead, *balance.weak}
    return [s for n, s in enumerate(scatters, start=1) if n not in idle]
