"""Leak-down: how large the holes are that the tester's percentage stands for."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.cranking import place_air
from logbook.findings.health import GROUP, named
from logbook.findings.making import Did, Fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, sets
from logbook.findings.model import Number
from logbook.findings.saying import figures, in_unit
from logbook.job.model import Job

_PSI = 6894.757293168361
_BAD, _WORN, _GOOD = 30.0, 20.0, 10.0


def leaks(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The largest leak of the first and of the last full leak-down test, against the others of the same test."""
    tests = [s for s in sets(job, "leak-down") if s.measures]
    for engine in dict.fromkeys(s.engine for s in tests):
        own = [s for s in tests if s.engine == engine]
        for test in own[:1] if len(own) == 1 else (own[0], own[-1]):
            supply = test.condition("pressure")
            if supply is None:
                why = "add the supply pressure behind @ ('@ 80 psi') to get the size of the leak"
                yield missing("leakdown_orifice_area", GROUP, named("Size of the leak", test), why)
                continue
            yield from _largest(job, test, supply)


def _largest(job: Job, test: TestSet, supply: Measure) -> Iterator[Number]:
    worst = max(test.measures, key=lambda m: m.value)
    others = [m.value for m in test.measures if m.subject != worst.subject]
    title = f"Largest leak, cylinder {worst.subject}"
    feeds = _pressures(supply, worst)
    yield number(
        job, "leakdown_percent", GROUP, named(title, test), feeds,
        f"{figures(worst.value)} %", _percent_words(worst, others),
        subject=test.engine, out=worst.value > _BAD,
    )  # fmt: skip
    if not 0 < worst.value < 100:
        return
    shown = "1.016 mm (.040 in), .8 to 1.2 mm by maker"
    orifice = assumed("reference_orifice_mm", usual.TESTER_ORIFICE_M, shown, usual.ORIFICE_SPREAD_M)

    def sentence(did: Did) -> str:
        area = did.result["area_ratio"]
        return (
            f"All that leaks together is as large as a hole of {figures(did.result['leak_diameter_mm'], 2)} mm. "
            f"That is {figures(area, 2)} times the tester's orifice."
        )

    yield number(
        job, "leakdown_orifice_area", GROUP, named(f"Size of the leak, cylinder {worst.subject}", test),
        [*feeds, place_air(job), orifice],
        lambda did: in_unit(job, did.result["leak_diameter_mm"] * 1e-3, "length", did.u["leak_diameter_mm"] * 1e-3),
        sentence, subject=test.engine, out=worst.value > _BAD,
    )  # fmt: skip


def _pressures(supply: Measure, leak: Measure) -> list[Fed]:
    """The tester's two gauges, the second worked back from the percentage that was written."""
    after = supply.value * (1 - leak.value / 100)
    u = supply.value * leak.u / 100
    text = f"{supply.text} less {leak.text}"
    return [
        Fed("supply_gauge_psi", supply.value, supply.text, supply.entries),
        Fed("cylinder_gauge_psi", after, text, leak.entries, u),
    ]


def _percent_words(worst: Measure, others: Sequence[float]) -> str:
    words = "good" if worst.value <= _GOOD else "worn" if worst.value <= _BAD else "bad"
    if _GOOD < worst.value <= _WORN:
        words = "between good and worn"
    said = f"By common practice that is {words}: 10 % good, 20 % worn, over 30 % bad, for one tester only."
    if others:
        said += f" The others lose {figures(statistics.median(others))} % (median)."
    return said
