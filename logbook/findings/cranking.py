"""The cranking band that the build promises, at the height of the place, and what the readings imply."""

from __future__ import annotations

import statistics
from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.build_sheet import ratios, trapped_feeds
from logbook.findings.health import GROUP, altitude, dry_sets
from logbook.findings.making import Did, Fed, missing, number, run
from logbook.findings.making import usual as assumed
from logbook.findings.measures import entries_of
from logbook.findings.model import Number
from logbook.findings.saying import in_unit, plain
from logbook.findings.sheet import sheet
from logbook.job.model import Job

_PSI = 6894.757293168361


def band(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Low end, middle at this height, high end, upper bound; then the exponent that the readings imply."""
    for engine in job.engines:
        found = sheet(job, engine)
        if not ratios(found) or "intake closes" not in found.cam or not (found.rod and found.stroke):
            continue
        done = run("trapped_compression_ratio", trapped_feeds(found))
        entries = tuple(dict.fromkeys(e for f in trapped_feeds(found) for e in f.entries))
        trapped = done.result["trapped_cr"]
        ratio = Fed(
            "trapped_cr", trapped, f"{trapped:.2f}", entries, done.u.get("trapped_cr", 0.0), "", "trapped ratio"
        )
        air = place_air(job)
        ends = [
            run("cranking_pressure", [ratio, air, _exponent(n)]).result["gauge_kpa"] * 1e3
            for n in (usual.LOW_EXPONENT, usual.HIGH_EXPONENT)
        ]
        yield _middle(job, engine.name, ratio, ends)
        for n, words in ((usual.LOW_EXPONENT, "low end"), (usual.HIGH_EXPONENT, "high end")):
            yield number(
                job, "cranking_pressure", GROUP, f"Cranking band, {words}", [ratio, _exponent(n), air],
                lambda did: in_unit(job, did.result["gauge_kpa"] * 1e3, "pressure", did.u["gauge_kpa"] * 1e3),
                "One end of a band, never a pass mark.", subject=engine.name,
            )  # fmt: skip
        yield _bound(job, engine.name, ratio, air)
        yield from _implied(job, engine.name, ratio, air)


def _exponent(n: float) -> Fed:
    return assumed("exponent", n, f"{n:g}")


def place_air(job: Job, key: str = "ambient_kpa") -> Fed:
    """Air pressure of the place, from its height; of sea level where no height is written."""
    if job.altitude_m is None:
        return assumed(key, 101_325.0, "101.325 kPa", source="sea level; add 'place: altitude 300 m'")
    height = altitude(job)
    pascal = run("isa_atmosphere", [altitude(job, "geometric_altitude_m")]).result["pressure_kpa"] * 1e3
    # weather moves the air of a place by about 1 kPa either way
    return Fed(key, pascal, f"{pascal / 1e3:.1f} kPa", height.entries, 1000.0, "standard atmosphere at this height")


def _middle(job: Job, engine: str, ratio: Fed, ends: list[float]) -> Number:
    low, high = (in_unit(job, p, "pressure") for p in ends)
    test = next((s for s in reversed(dry_sets(job)) if s.engine == engine), None)
    words = f"Healthy cylinders should crank between {low} and {high} here. Compare them with each other first."
    if test is not None:
        lowest, highest = min(m.value for m in test.measures), max(m.value for m in test.measures)
        where = "inside that band"
        if highest < ends[0]:
            where = "below it: a cold or slow engine does that too, so it is no verdict"
        elif lowest > ends[1]:
            where = "above it: oil in the cylinders, or another ratio"
        elif not (ends[0] <= lowest and highest <= ends[1]):
            where = "partly outside it"
        words += f" The readings lie {where}."
    height = altitude(job) if job.altitude_m is not None else assumed("altitude_m", 0.0, "sea level")
    return number(
        job, "cranking_pressure_at_altitude", GROUP, "Cranking band", [ratio, _exponent(usual.MIDDLE_EXPONENT), height],
        f"{low} to {high}",
        lambda did: f"{words} At this height a gauge reads {plain(100 * (1 - did.result['ratio_to_sea_level']), 1)} % "
        "less than at the sea; cold air changes nothing.",
        subject=engine,
    )  # fmt: skip


def _bound(job: Job, engine: str, ratio: Fed, air: Fed) -> Number:
    kelvin = 293.15 if job.air_c is None else job.air_c + 273.15
    entry = next((r.entry for r in job.readings if r.test == "place" and r.slot == "air" and r.counts), None)
    text = f"{kelvin - 273.15:.0f} °C"
    start = assumed("start_k", kelvin, text) if entry is None else Fed("start_k", kelvin, text, (entry,), 2.0)
    feeds = [Fed("volume_ratio", ratio.value, ratio.text, ratio.entries, ratio.u), start,
             Fed("start_kpa", air.value, air.text, air.entries, air.u, air.source)]  # fmt: skip
    return number(
        job, "isentropic_compression_bound", GROUP, "No reading can be above", feeds,
        lambda did: in_unit(job, did.result["gauge_psi"] * _PSI, "pressure"),
        "Compression without any loss. A reading above it means oil in the cylinder, another ratio, or a wrong gauge.",
        subject=engine,
    )  # fmt: skip


def _implied(job: Job, engine: str, ratio: Fed, air: Fed) -> Iterator[Number]:
    test = next((s for s in reversed(dry_sets(job)) if s.engine == engine), None)
    if test is None:
        return
    median = statistics.median(m.value for m in test.measures)
    u = (usual.GAUGE_REPEAT_PA**2 + (usual.GAUGE_SCALE * median) ** 2) ** 0.5
    reading = Fed("gauge_psi", median, f"{in_unit(job, median, 'pressure')} (median)", entries_of(test.measures), u)

    def sentence(did: Did) -> str:
        n = did.result["effective_exponent"]
        if did.result["inside_1_20_to_1_35"]:
            return "Inside the usual 1.20 to 1.35: build and readings agree."
        side = "Below" if n < 1.20 else "Above"
        return f"{side} the usual 1.20 to 1.35: slow cranking, throttle shut, a leak in all of them, or a wrong ratio."

    yield number(
        job, "cranking_exponent_from_reading", GROUP, "Exponent that the readings imply", [ratio, reading, air],
        lambda did: f"{plain(did.result['effective_exponent'], 2)} ± {plain(2 * did.u['effective_exponent'], 2)}",
        sentence, subject=engine,
    )  # fmt: skip


def air(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The air of the place: what every gauge reading starts from."""
    if job.altitude_m is None:
        if any(r.test in ("compression", "pull") for r in job.readings):
            why = "add the height of the place ('place: altitude 300 m')"
            yield missing("isa_atmosphere", GROUP, "Air pressure here", why)
        return
    yield number(
        job, "isa_atmosphere", GROUP, "Air pressure here", [altitude(job, "geometric_altitude_m")],
        lambda did: f"{did.result['pressure_kpa']:.1f} kPa abs",
        lambda did: f"{100 * did.result['pressure_kpa'] / 101.325:.1f} % of sea level, by the standard atmosphere. "
        "Use the station's own pressure where you know it, not the weather report's.",
    )  # fmt: skip
    if job.air_c is not None:
        pascal = run("isa_atmosphere", [altitude(job, "geometric_altitude_m")]).result["pressure_kpa"] * 1e3
        density = pascal / (287.05 * (job.air_c + 273.15))
        entries = tuple(r.entry for r in job.readings if r.test == "place" and r.counts)
        yield number(
            job, "density_altitude", GROUP, "Density altitude",
            [Fed("density_kg_m3", density, f"{density:.3f} kg/m3", tuple(dict.fromkeys(entries)))],
            lambda did: in_unit(job, did.result["geopotential_altitude_m"], "altitude", 0.0, 3),
            "Warm or thin air makes the engine breathe as if it stood this high.",
        )  # fmt: skip
