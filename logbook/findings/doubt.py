"""What a number is worth: the gauge's digits, repeats of one reading, and what cancels where one gauge read all."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.health import GROUP, first_and_last, named
from logbook.findings.making import Fed, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, alike, of_reading, stretch
from logbook.findings.model import Number
from logbook.findings.saying import figures, percent, plain, with_spread
from logbook.job.model import Job
from logbook.units import UNITS


def gauge(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """For the last compression test: the step of its gauge, and its spread with the shared error of scale left out."""
    tests = first_and_last(job)
    if not tests:
        return
    last = tests[-1]
    high, low = (f(last.measures, key=lambda m: m.value) for f in (max, min))
    unit = UNITS.get(high.unit)
    if unit is None:
        return
    step = high.u * 12**0.5 / unit.factor
    yield number(
        job, "resolution_uncertainty", GROUP, named("Gauge resolution", last),
        [Fed("resolution", step, f"{figures(step)} {unit.name}", high.entries)],
        lambda did: f"± {figures(did.result['standard_uncertainty'], 2)} {unit.name}",
        "The least doubt that a reading can have; what the gauge does not repeat is mostly more.",
    )  # fmt: skip
    if high.value > 0:
        yield _shared(job, last, high, low)


def _shared(job: Job, test: TestSet, high: Measure, low: Measure) -> Number:
    psi = UNITS["psi"].factor
    own = (high.u**2 + usual.GAUGE_REPEAT_PA**2) ** 0.5
    values = {
        "max_psi": high.value / psi,
        "min_psi": low.value / psi,
        "u_max_psi": own / psi,
        "u_min_psi": own / psi,
        "scale": 1.0,
        "u_scale": usual.GAUGE_SCALE,
    }
    each = f"± {figures(own / psi, 2)} psi each; scale ± {percent(usual.GAUGE_SCALE)}"
    text = f"highest {high.text}, lowest {low.text}; {each}"
    alone = (own**2 + (usual.GAUGE_SCALE * high.value) ** 2) ** 0.5
    apart = 2 * 2**0.5 * alone / high.value
    return number(
        job, "propagate_uncertainty", GROUP, named("Margin on that", test),
        [Fed("model", "(max*scale - min*scale)/(max*scale)", "(highest - lowest)/highest, one gauge for all"),
         Fed("values", values, text, (*high.entries, *low.entries))],
        lambda did: f"± {plain(200 * did.result['standard_uncertainty'], 1)} %",
        "One gauge read all cylinders, so its error of scale cancels; with two gauges it would be "
        f"± {plain(100 * apart, 1)} %.",
    )  # fmt: skip


def repeats(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Cut-outs and compressions of one cylinder that were read again before anything was changed."""
    groups: dict[tuple[object, ...], list[Measure]] = {}
    for reading in job.readings:
        measure = of_reading(reading) if reading.test in ("cut-out", "compression") else None
        if measure is None or reading.place is None or "wet" in reading.qualifiers:
            continue
        key = (reading.engine, reading.test, reading.subject, stretch(job, reading.step, reading.engine),
               reading.part, reading.qualifiers, alike(reading.conditions))  # fmt: skip
        groups.setdefault(key, []).append(measure)
    found = {key: ms for key, ms in groups.items() if len(ms) >= 2 and len({m.value for m in ms}) > 1}
    if not found:
        return
    (_, test, subject, *_), measures = max(found.items(), key=lambda item: (len(item[1]), str(item[0])))
    unit = UNITS.get(measures[0].unit)
    if unit is None:
        return
    factor = unit.factor if unit.dimension == "pressure" else 1.0
    values = tuple(m.value / factor for m in measures)
    text = ", ".join(f"{v:g}" for v in values) + f" {unit.name}"
    entries = tuple(dict.fromkeys(e for m in measures for e in m.entries))
    yield number(
        job, "repeat_uncertainty", GROUP, f"How well {test} of cylinder {subject} repeats",
        [Fed("readings", values, text, entries)],
        lambda did: with_spread(did.result["mean"], did.result["standard_uncertainty_of_mean"], unit.name),
        lambda did: f"One reading scatters by {figures(did.result['standard_deviation'], 2)} {unit.name}. "
        "The gauge's own error is not in it.",
    )  # fmt: skip
    freedom = len(values) - 1
    yield number(
        job, "coverage_factor", GROUP, "Few repeats",
        [Fed("degrees_of_freedom", float(freedom), str(freedom), entries), assumed("coverage", 0.95, "95%")],
        lambda did: f"k = {figures(did.result['k'])}", _few(freedom),
    )  # fmt: skip


def _few(freedom: int) -> str:
    return "With many repeats it would be 2." if freedom < 20 else "As good as the 2 of many repeats."
