"""Compression: how alike the cylinders are, which limits they meet, and what oil and height have to do with it."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from dataclasses import replace

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.making import Did, Fed, fed, fed_list, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, neighbours, of_quantity, of_reading, sets, single
from logbook.findings.model import Number
from logbook.findings.saying import cylinders, day_words, in_unit, listed, percent, plain
from logbook.formulas.compression import MARKED_RISE
from logbook.job.model import Job
from logbook.units import UNITS

GROUP = "health"
_PSI = 6894.757293168361
HEALTHY_OF_MEDIAN = 0.85  # of the others: common practice, no source
_Pair = tuple[Measure, Measure]


def compression(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Statistics of the first and the last full compression test of each engine."""
    for found in first_and_last(job):
        yield _spread(job, found)
        yield _limits(job, found)
        if len(found.measures) >= 3:
            yield _deviation(job, found)
        if len(found.measures) >= 4:
            yield _outliers(job, found)
        yield from _low_neighbours(job, found)


def dry_sets(job: Job, least: int = 2) -> list[TestSet]:
    """Compression tests without oil, on the starter, of at least so many cylinders."""
    return [
        s
        for s in sets(job, "compression")
        if len(s.measures) >= least and not {"wet", "running"} & set(s.qualifiers) and _one_each(s)
    ]


def _one_each(found: TestSet) -> bool:
    return len({m.subject for m in found.measures}) == len(found.measures)


def first_and_last(job: Job) -> list[TestSet]:
    """Of each engine the first test and the last, where they are two."""
    kept: list[TestSet] = []
    full = dry_sets(job)
    for engine in dict.fromkeys(s.engine for s in full):
        own = [s for s in full if s.engine == engine]
        kept += own[:1] if len(own) == 1 else [own[0], own[-1]]
    return kept


def _readings(found: TestSet) -> Fed:
    return fed_list("readings_psi", found.measures, extra=usual.GAUGE_REPEAT_PA)


def _gauge() -> Fed:
    shown = f"{plain(usual.GAUGE_REPEAT_PA / _PSI, 1)} psi"
    return assumed("gauge_uncertainty_psi", usual.GAUGE_REPEAT_PA, shown)


def named(title: str, found: TestSet) -> str:
    engine = f", engine {found.engine}" if found.engine else ""
    return f"{title}, {day_words(found.day)}{engine}"


def _spread(job: Job, found: TestSet) -> Number:
    low = min(found.measures, key=lambda m: m.value)
    high = max(found.measures, key=lambda m: m.value)

    def sentence(did: Did) -> str:
        share, u = did.result["spread_of_max"], did.u.get("spread_of_max", 0.0)
        words = (
            f"The lowest ({low.subject}, {low.text}) is {percent(share, u)} under the highest ({high.subject}, "
            f"{high.text}). {_both_rules(share)}"
        )
        noise = _expected_range(len(found.measures)) * usual.GAUGE_REPEAT_PA / high.value
        if share < noise:
            words += " That’s within gauge error."
        return words

    # only the two readings that make the spread carry their doubt into it, however many tie with them
    makers = {high.subject, low.subject}
    all_readings = _readings(found)
    assert isinstance(all_readings.u, tuple)
    kept = tuple(u if m.subject in makers else 0.0 for m, u in zip(found.measures, all_readings.u, strict=True))
    return number(
        job, "compression_spread", GROUP, named("Compression, best to worst", found),
        [replace(all_readings, u=kept)],
        lambda did: percent(did.result["spread_of_max"], did.u.get("spread_of_max", 0.0)), sentence,
        subject=found.engine, out=lambda did: did.result["low_over_high"] < 0.75 - 1e-9,
    )  # fmt: skip


def _both_rules(share: float) -> str:
    """The 5 % target and the last limit, both named."""
    target = "inside the 5 % target" if share <= 0.05 + 1e-9 else "outside the 5 % target"
    if share <= 0.25 + 1e-9:
        room = "far inside" if share < 0.15 else "inside"
        return f"That is {target} and {room} the last limit, 75 %."
    return f"That is {target} and beyond the last limit, 75 %."


def _expected_range(count: int) -> float:
    """Range of so many equal cylinders in standard deviations of the gauge (2.85 for eight: tables, from memory)."""
    return {2: 1.13, 3: 1.69, 4: 2.06, 5: 2.33, 6: 2.53, 7: 2.70, 8: 2.85}.get(count, 3.1)


def _limits_met(met: int, of: int) -> str:
    return "within every limit" if met == of else f"{met} of {of} limits met"


def _limits(job: Job, found: TestSet) -> Number:
    feeds = [_readings(found)]
    if job.altitude_m is not None:
        feeds.append(altitude(job))
    names = (
        ("within_5_percent", "5 % target"),
        ("within_10_percent", "10 % good"),
        ("within_15_percent", "15 % acceptable"),
        ("lowest_at_least_75_percent", "lowest at least 75 % of the highest"),
        ("at_least_100_psi", "at least 100 psi, scaled to this height" if job.altitude_m else "at least 100 psi"),
    )

    def sentence(did: Did) -> str:
        met = [name for key, name in names if did.result[key]]
        broken = [name for key, name in names if not did.result[key]]
        words = f"Met: {listed(met)}." if met else "None of the limits is met."
        words = f"{words} Not met: {listed(broken)}." if broken and met else words
        return f"{words} {_wanted_words(wanted, outside)}".strip()

    wanted, outside = _wanted(job, found)

    return number(
        job, "compression_limits", GROUP, named("Limits of the compression test", found), feeds,
        lambda did: _limits_met(sum(bool(did.result[k]) for k, _ in names), len(names)), sentence,
        subject=found.engine,
        out=lambda did: bool(outside)
        or not (did.result["lowest_at_least_75_percent"] and did.result["at_least_100_psi"]),
    )  # fmt: skip


def _wanted(job: Job, found: TestSet) -> tuple[str, list[str]]:
    """What the log itself wants of these readings, as written, and the cylinders outside it."""
    text, outside = "", []
    for reading in job.readings:
        quantity = reading.limit.quantity if reading.limit is not None and reading.entry == found.entry else None
        measure = of_reading(reading) if quantity is not None else None
        if quantity is None or measure is None:
            continue
        range_ = of_quantity(quantity)
        factor = UNITS[quantity.unit].factor if quantity.unit in UNITS else 1.0
        low, high = float(quantity.low) * factor, float(quantity.high) * factor
        text = f"{quantity.bound} {range_.text}".strip()
        beyond = measure.value > high if quantity.bound == "under" else measure.value < low
        if beyond or (not quantity.bound and measure.value > high):
            outside.append(f"{measure.subject} ({measure.text})")
    return text, outside


def _wanted_words(wanted: str, outside: list[str]) -> str:
    if not wanted:
        return ""
    return f"The log wants {wanted}: " + (f"{listed(outside)} outside." if outside else "all inside.")


def altitude(job: Job, key: str = "altitude_m") -> Fed:
    """The place's height as an input."""
    written = single(job, "place", slot="altitude")
    shown = written.text if written is not None else in_unit(job, job.altitude_m or 0.0, "altitude")
    return Fed(key, job.altitude_m or 0.0, shown, written.entries if written is not None else (), 15.0)


def _deviation(job: Job, found: TestSet) -> Number:
    def worst(did: Did) -> tuple[float, str]:
        pairs = zip(did.result["deviation_fraction"], (m.subject for m in found.measures), strict=True)
        return min(pairs)

    def shown(did: Did) -> str:
        share, subject = worst(did)
        return f"{subject}: {plain(100 * share, 1)} %"

    def sentence(did: Did) -> str:
        share, subject = worst(did)
        median = in_unit(job, did.result["median_psi"] * _PSI, "pressure")
        low = [m.subject for m, d in zip(found.measures, did.result["deviation_fraction"], strict=True) if d < -0.25]
        words = f"The median is {median}; cylinder {subject} is furthest below it, {plain(-100 * share, 1)} %."
        if share >= 0:
            words = f"The median is {median}; no cylinder is below it."
        if 2 * len(low) >= len(found.measures):
            words += " Half or more are low, so the median is low itself: hold them against the cranking band instead."
        return words

    return number(
        job, "compression_deviation", GROUP, named("Furthest from the rest", found), [_readings(found)], shown,
        sentence, subject=found.engine, out=lambda did: worst(did)[0] < -0.25,
    )  # fmt: skip


def _outliers(job: Job, found: TestSet) -> Number:
    def out(did: Did) -> list[tuple[str, float]]:
        numbers = did.result["outlier_cylinders"]
        return [(found.measures[n - 1].subject, did.result["score"][n - 1]) for n in numbers]

    def sentence(did: Did) -> str:
        low = [s for s, z in out(did) if z < 0]
        high = [s for s, z in out(did) if z > 0]
        if not low and not high:
            return "No cylinder stands out from its set by more than the gauge and the others' scatter explain."
        words = f"{cylinders(low).capitalize()} stand{'s' if len(low) == 1 else ''} out low." if low else ""
        if high:
            words += f" {cylinders(high).capitalize()} high, which is no fault by itself (oil, carbon)."
        return words.strip()

    return number(
        job, "robust_outlier_score", GROUP, named("Odd ones out", found), [_readings(found), _gauge()],
        lambda did: listed(s for s, _ in out(did)) or "none", sentence, subject=found.engine,
        out=lambda did: any(z < 0 for _, z in out(did)),
    )  # fmt: skip


def _low_neighbours(job: Job, found: TestSet) -> Iterator[Number]:
    """Only where something is low, and where the order of the cylinders in the block is known."""
    engine = job.engine(found.engine)
    pairs = neighbours(engine)
    by_number = {m.place.cylinder: m for m in found.measures if m.place is not None}
    if not pairs or engine is None or set(by_number) != set(range(1, len(engine.cylinders) + 1)):
        return
    in_order = [by_number[n] for n in sorted(by_number)]
    median = statistics.median(m.value for m in in_order)
    low = [m.subject for m in in_order if m.value < 0.75 * median]
    if not low:
        return
    text = ", ".join(f"{a}-{b}" for a, b in pairs)

    def sentence(did: Did) -> str:
        flagged = did.result["flagged_pairs"]
        if flagged:
            names = listed(f"{a} and {b}" for a, b in flagged)
            return f"{names} are low and side by side: look at the gasket between them."
        return f"{cylinders(low).capitalize()} {'is' if len(low) == 1 else 'are'} low without a low neighbour: " + (
            "that speaks for the cylinder's own valves or rings rather than for the gasket between two."
        )

    yield number(
        job, "adjacent_pair_flag", GROUP, named("Low cylinders side by side", found),
        [fed_list("readings_psi", in_order), Fed("adjacent_pairs", pairs, text, (engine.entry,) if engine.entry >= 0
         else ())],
        lambda did: listed(f"{a} and {b}" for a, b in did.result["flagged_pairs"]) or "none", sentence,
        subject=found.engine, out=lambda did: bool(did.result["flagged_pairs"]),
    )  # fmt: skip


def oil(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The rise with oil of the lowest cylinder, held against the others' rise of the same test."""
    for wet in sets(job, "compression"):
        if "wet" not in wet.qualifiers:
            continue
        before = [s for s in dry_sets(job, 1) if s.engine == wet.engine and s.step < wet.step]
        pairs = []
        for measure in wet.measures:
            dry = next((m for s in reversed(before) if (m := s.value(measure.subject))), None)
            if dry is not None and dry.value > 0:
                pairs.append((dry, measure))
        if pairs:
            yield _rise(job, wet, min(pairs, key=lambda p: p[0].value), pairs)


def _rise(job: Job, wet: TestSet, worst: _Pair, pairs: Sequence[_Pair]) -> Number:
    dry, oiled = worst
    others = [w.value / d.value - 1 for d, w in pairs if d.subject != dry.subject]
    good = statistics.median(others) if others else None
    dry_others = [d.value for d, _ in pairs if d.subject != dry.subject]
    healthy = bool(dry_others) and dry.value >= HEALTHY_OF_MEDIAN * statistics.median(dry_others)

    def sentence(did: Did) -> str:
        share = did.result["rise_fraction"]
        words = f"Cylinder {dry.subject} rises by {percent(share)} with oil"
        if good is None:
            return (
                f"{words}. The others were not tested with oil, which takes room and raises any cylinder by 8 to 17 %."
            )
        words += f", the others by {percent(good)}"
        if healthy:
            return f"{words}. Its dry reading is no fault, so the rise says nothing about it."
        if share > good + MARKED_RISE:
            return f"{words}: much more than the oil's own room explains, so rings or bore."
        return f"{words}: no more than the oil's own room explains, so valves or gasket rather than rings."

    return number(
        job, "wet_dry_rise", GROUP, named(f"Gain with oil, cylinder {dry.subject}", wet),
        [fed("dry_psi", dry), fed("wet_psi", oiled)],
        lambda did: in_unit(job, did.result["rise_psi"] * _PSI, "pressure", did.u.get("rise_psi", 0.0) * _PSI),
        sentence, subject=wet.engine,
    )  # fmt: skip
