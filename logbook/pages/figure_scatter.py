"""What one cut-out test does not repeat."""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass

from logbook.findings.usual import CUT_OUT_NOISE_RPM
from logbook.pages.figure_units import ends, in_unit
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
