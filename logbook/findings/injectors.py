"""Injectors: bench flow brought to one pressure and to fuel, the best set of all, and what to do with the rest."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.fuels import fuel_of
from logbook.findings.making import Did, Fed, missing, number, run
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, entries_of, listed_text, sets
from logbook.findings.model import Number
from logbook.findings.saying import day_words, figures, listed, percent, with_spread
from logbook.formulas.injector_sets import best_over_tests
from logbook.job.model import Job

GROUP = "injectors"
_GOOD, _AGAIN = 0.97, 0.90  # flow against the set's best half: good from, worth another cleaning from
CC_MIN = 1e-6 / 60


@dataclass(frozen=True, slots=True)
class Bench:
    """One flow test of several injectors: flows in m3/s at the test's own pressure and fluid."""

    entry: int
    step: int
    day: date | None
    time: Measure | None
    pressure: Measure | None
    fluid: str  # 'test fluid', 'fuel' or ""
    flows: dict[str, Measure]  # by part
    volumes: dict[str, Measure]

    @property
    def alike(self) -> tuple[float, float, str]:
        """What two tests must share to be compared."""
        return (
            round(self.time.value, 3) if self.time else 0.0,
            round((self.pressure.value if self.pressure else 0.0) / 5e3) * 5e3,
            self.fluid,
        )


def benches(job: Job) -> list[Bench]:
    """Every flow test that can be turned into a flow, in the order of the log."""
    found = []
    for test in sets(job, "flow"):
        time, pressure = test.condition("time"), _set_pressure(test.condition("pressure"))
        fluid = "test fluid" if test.said("test fluid", "bench fluid") else ""
        fluid = fluid or ("fuel" if test.said("petrol", "gasoline", "fuel", "pump gas") else "")
        volumes = {m.part: m for m in test.measures if m.part and m.dimension in ("volume", "flow")}
        flows = {part: f for part, m in volumes.items() if (f := _flow(m, time)) is not None}
        if flows:
            found.append(Bench(test.entry, test.step, test.day, time, pressure, fluid, flows, volumes))
    return found


def _set_pressure(pressure: Measure | None) -> Measure | None:
    """A pressure that was set, not read: within 2 %, however few digits of it were written."""
    if pressure is None:
        return None
    return replace(pressure, u=min(pressure.u, 0.02 * pressure.value / math.sqrt(3)))


def scrapped(job: Job) -> frozenset[str]:
    gone = {p for t in job.trades if t.counts and t.kind == "scrap" for p in t.parts}
    return frozenset(gone | {p for e in job.events if e.action == "scrap" for p in e.parts})


def fitted(job: Job) -> tuple[str, ...]:
    """The injectors that stand in the engine now."""
    return tuple(part for (kind, _), part in sorted(job.mounted().items()) if kind == "injector")


def stale(job: Job) -> tuple[str, ...]:
    """Fitted injectors that were cleaned or repaired after their last flow test."""
    tested = {part: bench.step for bench in benches(job) for part in bench.flows}
    done = {p: e.step for e in job.events if e.action in ("clean", "repair") for p in e.parts}
    return tuple(p for p in fitted(job) if p in tested and done.get(p, -1) > tested[p])


def main_bench(job: Job) -> Bench | None:
    """The latest flows of what is fitted, as one test; of the bench's last full set where nothing of it is fitted.

    Flows of one pressure and fluid are put together; a set of which less than half was tested is not one.
    """
    tests, inside, gone = benches(job), fitted(job), scrapped(job)
    if any(part in bench.flows for bench in tests for part in inside):
        kinds: dict[tuple[float, float, str], dict[str, Measure]] = {}
        for bench in tests:
            kinds.setdefault(bench.alike, {}).update({p: m for p, m in bench.flows.items() if p in inside})
        latest = {bench.alike: bench.step for bench in tests}
        alike, flows = max(kinds.items(), key=lambda item: (len(item[1]), latest[item[0]]))
        if len(flows) < 2 or 2 * len(flows) < len(inside):
            return None
        last = next(b for b in reversed(tests) if b.alike == alike)
        volumes = {p: m for b in tests if b.alike == alike for p, m in b.volumes.items() if p in flows}
        return replace(last, flows=flows, volumes=volumes)
    loose = [_without(bench, gone) for bench in tests]
    several = [b for b in loose if len(b.flows) >= 2]
    full = [b for b in several if len(b.flows) >= injectors_wanted(job)]
    return (full or several)[-1] if several else None


def _without(bench: Bench, gone: frozenset[str]) -> Bench:
    flows = {p: m for p, m in bench.flows.items() if p not in gone}
    return replace(bench, flows=flows, volumes={p: m for p, m in bench.volumes.items() if p in flows})


def bench_words(job: Job, bench: Bench) -> str:
    """'mean of 4 fitted, 4 May', 'mean of 3 of the 4 fitted, 4 May'."""
    inside = fitted(job)
    of = ""
    if any(p in inside for p in bench.flows):
        of = " fitted" if len(bench.flows) == len(inside) else f" of the {len(inside)} fitted"
    return f"mean of {len(bench.flows)}{of}, {day_words(bench.day)}"


def _flow(measure: Measure, time: Measure | None) -> Measure | None:
    """A volume over its time, or a flow as it stands."""
    if measure.dimension == "flow":
        return measure
    if time is None or time.value <= 0:
        return None
    text = f"{figures(measure.value / time.value / CC_MIN)} cc/min"
    return Measure(
        measure.value / time.value, measure.u / time.value, "flow", "cc/min", text, measure.entries, measure.subject,
        measure.place, measure.part,
    )  # fmt: skip


def bench_flow(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Mean flow of the last bench test: timed, brought to 3 bar, turned into fuel and into mass; then its imbalance."""
    found = [b for b in benches(job) if len(b.flows) >= 2]
    if not found:
        tests = [s for s in sets(job, "flow") if s.measures]
        if tests and not any(s.condition("time") for s in tests):
            yield missing("injector_timed_flow", GROUP, "Injector flow", "add the time behind @ ('@ 30 s, 3 bar')")
        return
    main = main_bench(job)
    if main is not None:
        yield from _mean_flow(job, main)
    for bench in found[:1] if len(found) == 1 else (found[0], found[-1]):
        yield _imbalance(job, bench)


def _mean_flow(job: Job, bench: Bench) -> Iterator[Number]:
    volumes, flows = [bench.volumes[p] for p in bench.flows], list(bench.flows.values())
    mean = statistics.fmean(m.value for m in flows)
    u = sum(m.u**2 for m in flows) ** 0.5 / len(flows)
    entries = entries_of(flows)
    names = bench_words(job, bench)
    if bench.time is not None and volumes[0].dimension == "volume":
        volume = statistics.fmean(m.value for m in volumes)
        yield number(
            job, "injector_timed_flow", GROUP, f"Flow, {names}",
            [Fed("volume_cc", volume, f"{figures(volume * 1e6, 4)} cc (mean)", entries, u * bench.time.value),
             Fed("time_s", bench.time.value, bench.time.text, bench.time.entries, bench.time.u)],
            lambda did: with_spread(did.result["flow_cc_min"], did.u.get("flow_cc_min", 0.0), "cc/min"),
            "At the pressure of the test; the spread is of the mean, by the steps of the tube and the watch.",
        )  # fmt: skip
    if bench.pressure is None:
        yield missing(
            "injector_flow_at_pressure", GROUP, "Flow at 3 bar", "add the pressure behind @ ('@ 30 s, 3 bar')"
        )
        return
    yield number(
        job, "injector_flow_at_pressure", GROUP, f"Flow at 3 bar, {names}",
        [Fed("flow_cc_min", mean / CC_MIN, f"{figures(mean / CC_MIN)} cc/min", entries, u / CC_MIN),
         Fed("reference_dp_kpa", bench.pressure.value, bench.pressure.text, entries, bench.pressure.u),
         assumed("dp_kpa", usual.BASE_PRESSURE_PA, "300 kPa", source="the pressure to which all flows are brought")],
        lambda did: with_spread(did.result["flow"], did.u.get("flow", 0.0), "cc/min"),
        "Flows at unlike pressures may be compared only like this.",
    )  # fmt: skip
    yield from _as_fuel(job, bench, mean, u)


def _as_fuel(job: Job, bench: Bench, mean: float, u: float) -> Iterator[Number]:
    fuel = fuel_of(job)
    entries = entries_of(bench.flows.values())
    text = f"{figures(mean / CC_MIN)} cc/min"
    flow, spread_ = mean, u
    if bench.fluid == "test fluid":
        feeds = [
            Fed("bench_flow_cc_min", mean, text, entries, u),
            assumed("bench_kg_m3", usual.TEST_FLUID_KG_M3, f"{usual.TEST_FLUID_KG_M3:.0f} kg/m3", 10.0),
            fuel.density("fuel_kg_m3"),
        ]
        yield number(
            job, "injector_flow_other_fluid", GROUP, f"Flow on {fuel.name}", feeds,
            lambda did: with_spread(did.result["fuel_flow_cc_min"], did.u.get("fuel_flow_cc_min", 0.0), "cc/min"),
            "A lighter fluid runs faster by volume and carries less by mass. Viscosity may shift it by 1 to 3 % more.",
        )  # fmt: skip
        done = run("injector_flow_other_fluid", feeds)
        flow, spread_ = done.result["fuel_flow_cc_min"] * CC_MIN, done.u["fuel_flow_cc_min"] * CC_MIN
        text = f"{figures(flow / CC_MIN)} cc/min"
    yield number(
        job, "injector_flow_units", GROUP, "Flow by mass",
        [Fed("flow_cc_min", flow, text, entries, spread_), fuel.density("density_kg_m3")],
        lambda did: f"{with_spread(did.result['flow_g_s'], did.u.get('flow_g_s', 0.0), 'g/s')} "
        f"({figures(did.result['flow_lb_h'])} lb/h)",
        f"At a density of {fuel.density_kg_m3:.0f} kg/m3, which goes straight into it.",
    )  # fmt: skip


def _imbalance(job: Job, bench: Bench) -> Number:
    flows = list(bench.flows.values())

    def sentence(did: Did) -> str:
        share = did.result["imbalance"]
        verdict = "a matched set (2 %)"
        if share > 0.10:
            verdict = "too far apart to run together (over 10 %)"
        elif share > 0.05:
            verdict = "beyond what is usable without a rough idle (5 %)"
        elif share > 0.02:
            verdict = "usable, not matched (2 to 5 %)"
        low, high = min(flows, key=lambda m: m.value), max(flows, key=lambda m: m.value)
        return f"{low.subject} gives least, {high.subject} most: {verdict}."

    return number(
        job, "injector_set_imbalance", GROUP, f"Imbalance of {len(flows)} injectors, {day_words(bench.day)}",
        [Fed("flows_cc_min", tuple(m.value for m in flows), listed_text(flows),
             (bench.entry,), tuple(m.u for m in flows))],
        lambda did: percent(did.result["imbalance"], did.u.get("imbalance", 0.0)), sentence,
        out=lambda did: did.result["imbalance"] > 0.05,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Choice:
    """The best set of those that are left, and what the others are good for."""

    chosen: tuple[str, ...]  # part ids
    sell: tuple[str, ...]
    again: tuple[str, ...]
    scrap: tuple[str, ...]


def choose(job: Job) -> tuple[list[Measure], Choice] | None:
    """The best matched set for the engine, over the latest test that most of the living injectors share."""
    wanted = injectors_wanted(job)
    gone = scrapped(job)
    kinds: dict[tuple[float, float, str], dict[str, Measure]] = {}
    for bench in benches(job):
        kinds.setdefault(bench.alike, {}).update({p: m for p, m in bench.flows.items() if p not in gone})
    pools = [pool for pool in kinds.values() if len(pool) >= 2]
    if not pools or wanted < 2:
        return None
    pool = max(pools, key=len)
    flows = list(pool.values())
    if len(flows) <= wanted:
        return None
    others = [k for k in pools if set(k) >= set(pool)]
    parts = list(pool)
    table = [[test[p].value for p in parts] for test in (others or [pool])]
    _, numbers = best_over_tests(table, wanted)
    chosen = tuple(parts[n - 1] for n in numbers)
    return flows, _sort_out(job, pool, chosen)


def injectors_wanted(job: Job) -> int:
    return len(job.engines[0].cylinders) if job.engines else 0


def _sort_out(job: Job, pool: dict[str, Measure], chosen: Sequence[str]) -> Choice:
    reference = statistics.median(pool[p].value for p in chosen)
    cleaned = {p for e in job.events if e.action == "clean" for p in e.parts}
    sell, again, scrap = [], [], []
    for part, measure in pool.items():
        if part in chosen:
            continue
        share, bad = measure.value / reference, _bad_look(job, part)
        if bad == "drips" or (share < _AGAIN and part in cleaned):
            scrap.append(part)
        elif bad or share < _GOOD:
            again.append(part)
        else:
            sell.append(part)
    return Choice(tuple(chosen), tuple(sell), tuple(again), tuple(scrap))


def _bad_look(job: Job, part: str) -> str:
    """The latest word of spray or drip that speaks against an injector, or ''."""
    last: dict[str, str] = {}
    for reading in job.readings:
        if reading.part == part and reading.counts and reading.test in ("spray", "drip"):
            last[reading.test] = reading.value.word
    if last.get("drip") == "drips":
        return "drips"
    return last["spray"] if last.get("spray") in ("jet", "drip", "none") else ""


def best_set(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The best matched set of all that were on the bench, its split between banks, and what to do with the rest."""
    found = choose(job)
    if found is None:
        return
    flows, choice = found
    names = {m.part: m.subject for m in flows}

    def sentence(did: Did) -> str:
        mean = did.result["chosen_mean_cc_min"]
        words = f"{listed(names[p] for p in choice.chosen)} go together best: "
        words += f"{figures(100 * did.result['min_range_cc_min'] / mean, 2)} % between most and least."
        for parts, fate in ((choice.sell, "good, to sell or keep"), (choice.again, "clean again"),
                            (choice.scrap, "for scrap")):  # fmt: skip
            if parts:
                words += f" {listed(names[p] for p in parts)}: {fate}."
        return words

    chosen = [m for m in flows if m.part in choice.chosen]
    yield number(
        job, "injector_best_subset", GROUP, f"Best {len(choice.chosen)} of {len(flows)} injectors",
        [_flow_list(flows), Fed("choose", len(choice.chosen), str(len(choice.chosen)))],
        listed(names[p] for p in choice.chosen), sentence,
    )  # fmt: skip
    banks = job.engines[0].banks
    if len(banks) == 2 and len(banks[0].cylinders) == len(banks[1].cylinders) and 2 <= len(chosen) <= 20:
        yield number(
            job, "injector_bank_split", GROUP, "Best split between the banks", [_flow_list(chosen)],
            lambda did: f"{listed(chosen[n - 1].subject for n in did.result['one_bank'])} / "
            f"{listed(chosen[n - 1].subject for n in did.result['other_bank'])}",
            lambda did: f"Then the banks differ by {figures(did.result['min_bank_difference_cc_min'], 2)} cc/min.",
        )  # fmt: skip


def _flow_list(flows: Sequence[Measure]) -> Fed:
    text = listed_text(flows)
    entries = tuple(dict.fromkeys(e for m in flows for e in m.entries))
    return Fed("flows_cc_min", tuple(m.value for m in flows), text, entries, tuple(m.u for m in flows))
