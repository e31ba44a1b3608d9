"""What a set of injectors does in the engine: current, power, duty and pulse."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator
from decimal import Decimal

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.cranking import place_air
from logbook.findings.fuels import Fuel, fuel_of
from logbook.findings.injectors import CC_MIN, GROUP, bench_words, injectors_wanted, main_bench, stale
from logbook.findings.making import Did, Fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, entries_of, of_quantity, sets
from logbook.findings.model import Number
from logbook.findings.saying import day_words, figures, in_unit, listed, percent, with_spread
from logbook.findings.sheet import sheet
from logbook.job.model import Job
from logbook.units import UNITS


def coils(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Resistance of the injectors' coils brought to one temperature, and the current they draw."""
    tests = [s for s in sets(job, "resistance", part_kind="injector") if s.measures]
    if not tests:
        return
    last = tests[-1]
    temperature = last.condition("temperature")
    if temperature is None:
        why = "add the temperature behind @ ('@ 20 C'): 20 degrees are 8 %"
        yield missing("copper_temperature", GROUP, "Resistance of the injector coils", why)
        return
    cold = [m.value / (1 + 0.00393 * (temperature.value - 293.15)) for m in last.measures]
    mean = statistics.fmean(cold)
    u = sum(m.u**2 for m in last.measures) ** 0.5 / len(cold)
    if mean <= 0:
        return
    apart = (max(cold) - min(cold)) / mean
    names = listed(m.subject for m in last.measures)
    low = "low-resistance coils: they need a driver or ballast made for them"
    kind = "high-resistance coils" if 11 <= mean <= 18 else low if mean < 5 else "neither the high nor the low kind"
    yield number(
        job, "copper_temperature", GROUP, f"Injector coils when hot, {day_words(last.day)}",
        [Fed("resistance_20c_ohm", mean, f"{figures(mean)} Ω (mean, brought to 20 °C)", (last.entry,), u),
         assumed("temperature_c", usual.HOT_COIL_K, "90 °C, give or take 20", usual.HOT_COIL_SPREAD_K)],
        lambda did: with_spread(did.result["resistance_ohm"], did.u.get("resistance_ohm", 0.0), "Ω"),
        f"{names}: {figures(mean)} Ω at 20 °C, {figures(100 * apart, 2)} % apart; {kind}.",
        out=apart > 0.05,
    )  # fmt: skip
    yield number(
        job, "injector_coil_current", GROUP, "Current of one injector",
        [assumed("voltage_v", usual.BATTERY_V, f"{usual.BATTERY_V:g} V"),
         Fed("resistance_ohm", mean, f"{figures(mean)} Ω", (last.entry,), u)],
        lambda did: with_spread(did.result["current_a"], did.u.get("current_a", 0.0), "A"),
        "With the key on each has constant battery voltage; the controller switches the ground side.",
    )  # fmt: skip


def fuel_flow(job: Job) -> Fed | None:
    """Flow of one injector by mass on this job's fuel at 3 bar: from the bench, else from the rating."""
    fuel = fuel_of(job)
    last = main_bench(job)
    if stale(job):
        return None
    if last is not None and last.pressure is not None:
        flows = [m.value for m in last.flows.values()]
        mean = statistics.fmean(flows)
        if last.fluid == "test fluid":
            mean *= (usual.TEST_FLUID_KG_M3 / fuel.density_kg_m3) ** 0.5
        mean *= (usual.BASE_PRESSURE_PA / last.pressure.value) ** 0.5
        whence = f"{bench_words(job, last)}, at 3 bar"
        return _by_mass(mean, 0.02 * mean, fuel, entries_of(last.flows.values()), whence)
    rating = next((r for r in reversed(job.readings) if r.test == "injector rating" and r.counts), None)
    if rating is None or rating.value.quantity is None:
        return None
    quantity = of_quantity(rating.value.quantity, (rating.entry,))
    behind = [of_quantity(c.quantity) for c in rating.conditions if c.quantity]
    pressure = next((m for m in behind if m.dimension == "pressure"), None)
    flow = quantity.value if quantity.dimension == "flow" else quantity.value / fuel.density_kg_m3
    if pressure is not None and pressure.value <= 0:
        return None  # a rating at no pressure says nothing of any other
    if pressure is not None:
        flow *= (usual.BASE_PRESSURE_PA / pressure.value) ** 0.5
    return _by_mass(flow, 0.03 * flow, fuel, (rating.entry,), "the rating, at 3 bar")


def _by_mass(flow: float, u: float, fuel: Fuel, entries: tuple[int, ...], whence: str) -> Fed | None:
    if flow <= 0:
        return None
    mass = flow * fuel.density_kg_m3
    text = f"{figures(mass * 1e3)} g/s ({figures(flow / CC_MIN)} cc/min of {fuel.name}, from {whence})"
    return Fed("flow_lb_h", mass, text, entries, u * fuel.density_kg_m3)


def boosted(job: Job) -> bool:
    """Whether boost is wanted or was pulled, more than leaks and gauges make."""
    limit = Decimal(round(usual.BOOSTED_FROM_PA))
    return any(
        r.value.quantity is not None and r.value.quantity.middle * Decimal(UNITS[r.value.quantity.unit].factor) > limit
        for r in job.readings
        if r.counts
        and ((r.test == "wanted" and r.slot == "boost") or (r.test == "pull" and "boost" in (r.slot, *r.qualifiers)))
    )


def bsfc(job: Job, key: str = "bsfc_lb_hp_h") -> Fed:
    """Usual fuel use at full load: more under boost, which is run rich, and more by mass with alcohol in the fuel."""
    fuel = fuel_of(job)
    more = fuel.more_than_petrol * (usual.BOOSTED_MORE if boosted(job) else 1.0)
    shown = f"{0.5 * more:.2f} lb/(hp h)"
    return assumed(key, usual.BSFC_KG_J * more, shown, usual.BSFC_KG_J * more * usual.BSFC_SPREAD)


def power(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """What power the set carries, and what one injector would have to give for the wanted power."""
    flow, count = fuel_flow(job), injectors_wanted(job)
    if old := stale(job):
        names = listed(p.rpartition("/")[2].replace("old-", "old ") for p in old)
        why = f"{names} {'was' if len(old) == 1 else 'were'} cleaned since the flow test: test the flow again"
        yield missing("injector_power_limit", GROUP, "Power these injectors can feed", why)
        return
    if flow is None or count == 0:
        return
    duty = assumed("max_duty", usual.DUTY, f"{100 * usual.DUTY:.0f} %")
    number_of = Fed("injectors", count, str(count), (job.engines[0].entry,) if job.engines[0].entry >= 0 else ())
    yield number(
        job, "injector_power_limit", GROUP, "Power these injectors can feed", [flow, bsfc(job), number_of, duty],
        lambda did: in_unit(job, did.result["power_hp"] * UNITS["hp"].factor, "power",
                            did.u["power_hp"] * UNITS["hp"].factor),
        "A limit of fuel at 3 bar across the injector, not a promise of power.",
    )  # fmt: skip
    wanted = next((r for r in reversed(job.readings) if r.test == "wanted" and r.slot == "power" and r.counts), None)
    if wanted is not None and wanted.value.quantity is not None:
        goal = of_quantity(wanted.value.quantity, (wanted.entry,))
        share_of = flow.value
        yield number(
            job, "injector_size_for_power", GROUP, f"Injector for {goal.text}",
            [Fed("power_hp", goal.value, goal.text, goal.entries), bsfc(job), number_of, duty],
            lambda did: with_spread(did.result["flow_g_s"], did.u.get("flow_g_s", 0.0), "g/s"),
            lambda did: _size_words(did.result["flow_g_s"] * 1e-3, share_of),
            out=lambda did: did.result["flow_g_s"] * 1e-3 > share_of,
        )  # fmt: skip


def _size_words(need: float, have: float) -> str:
    if need > have:
        return f"The set gives {figures(have * 1e3)} g/s each: too small by {figures(100 * (need / have - 1), 2)} %."
    return f"The set gives {figures(have * 1e3)} g/s each: enough, with {figures(100 * (have / need - 1), 2)} % left."


def pulses(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Duty of the logged pulse, what is left of it without the dead time, and the pulse that is to be expected."""
    logged = [m for s in sets(job, "pulse", part_kind="injector") for m in s.measures]
    logged += [m for s in sets(job, "idle") for m in s.measures if m.subject == "pulse"]
    idles = [m for s in sets(job, "idle") for m in s.measures if m.subject == "rpm"]
    if not logged or not idles:
        if logged:
            yield missing("injector_duty", GROUP, "Injector duty at idle", "add the speed ('idle: rpm 800')")
        return
    pulse, rpm = logged[-1], idles[-1]
    yield number(
        job, "injector_duty", GROUP, "Injector duty at idle",
        [Fed("pulse_ms", pulse.value, pulse.text, pulse.entries, pulse.u), Fed("rpm", rpm.value, rpm.text, rpm.entries,
         rpm.u)],
        lambda did: percent(did.result["duty"], did.u.get("duty", 0.0)),
        lambda did: f"Open {pulse.text} of every {figures(did.result['cycle_ms'])} ms, if once in two turns.",
    )  # fmt: skip
    yield from _expected(job, pulse, rpm)
    dead = assumed("dead_time_ms", usual.DEAD_TIME_S, f"{usual.DEAD_TIME_S * 1e3:g} ms", 0.15e-3)
    feeds = [Fed("pulse_ms", pulse.value, pulse.text, pulse.entries, pulse.u), dead]
    yield number(
        job, "injector_effective_pulse", GROUP, "Open time", feeds,
        lambda did: with_spread(did.result["effective_ms"], did.u.get("effective_ms", 0.0), "ms"),
        "If the logged pulse includes the dead time; every type of injector has its own.",
    )  # fmt: skip
    flow = fuel_flow(job)
    if flow is not None:
        static = Fed("static_flow_g_s", flow.value, flow.text, flow.entries, flow.u)
        yield number(
            job, "injector_pulse_mass", GROUP, "Fuel of one pulse", [*feeds, static],
            lambda did: with_spread(did.result["fuel_mg"], did.u.get("fuel_mg", 0.0), "mg"),
            "What one cylinder gets each time.",
        )  # fmt: skip


def _expected(job: Job, pulse: Measure, rpm: Measure) -> Iterator[Number]:
    """The pulse to be expected at idle, from displacement, vacuum and flow, beside the logged one."""
    flow = fuel_flow(job)
    measured = sheet(job, job.engines[0]) if job.engines else None
    vacuums = [m for s in sets(job, "idle") for m in s.measures if m.subject == "vacuum"]
    if flow is None or measured is None or measured.bore is None or measured.stroke is None or not vacuums:
        return
    swept = math.pi / 4 * measured.bore.value**2 * measured.stroke.value * measured.cylinders
    air, vacuum = place_air(job), vacuums[-1]
    manifold = air.value - vacuum.value
    shown = f"{manifold / 1e3:.0f} kPa abs ({air.text} less {vacuum.text})"
    feeds = [
        Fed("displacement_l", swept, f"{swept * 1e3:.3f} l", (*measured.bore.entries, *measured.stroke.entries)),
        Fed("cylinders", measured.cylinders, str(measured.cylinders)),
        Fed("rpm", rpm.value, rpm.text, rpm.entries, rpm.u),
        Fed("map_kpa", manifold, shown, (*air.entries, *vacuum.entries), math.hypot(1e3, vacuum.u)),
        assumed("charge_k", usual.CHARGE_K, f"{usual.CHARGE_K - 273.15:.0f} °C", 5.0),
        assumed("ve_manifold", usual.IDLE_FILLING, f"{usual.IDLE_FILLING:g}", 0.05),
        Fed("static_flow_g_s", flow.value, flow.text, flow.entries, flow.u),
        assumed("dead_time_ms", usual.DEAD_TIME_S, f"{usual.DEAD_TIME_S * 1e3:g} ms", 0.15e-3),
    ]

    def sentence(did: Did) -> str:
        expected, u = did.result["logged_ms"] * 1e-3, did.u.get("logged_ms", 0.0) * 1e-3
        words = f"Logged were {pulse.text}: "
        if abs(pulse.value - expected) <= 2 * u:
            return words + "they agree."
        if abs(pulse.value - (expected - usual.DEAD_TIME_S)) <= 2 * u:
            return words + "that would fit a figure without the dead time."
        return words + "say first whether it includes the dead time and whether it opens once in two turns."

    yield number(
        job, "injector_idle_pulse", GROUP, "Pulse to be expected at idle", feeds,
        lambda did: with_spread(did.result["logged_ms"], did.u.get("logged_ms", 0.0), "ms"), sentence,
    )  # fmt: skip
