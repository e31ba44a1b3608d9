"""Mixture: lambda first, what dead cylinders do to it, trims, and the fuel table, which waits until all fire."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.fuels import Fuel, fuel_of
from logbook.findings.making import Did, Fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, sets
from logbook.findings.model import Number
from logbook.findings.saying import cylinders, day_words, figures, percent, plain, with_spread
from logbook.formulas.exhaust import firing_lambda_without_fuel
from logbook.formulas.quantities import DISPLAY_AFR
from logbook.job.model import Engine, Job

GROUP = "mixture"
_SENSOR = 0.01  # what a wideband does not repeat, in lambda: common practice, no source


def readings(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The first and the last mixture reading: lambda, the fuel's own ratio, and what the dead cylinders hide."""
    tests = [s for s in sets(job, "mixture") if s.measures]
    fuel = fuel_of(job)
    if tests:
        yield _fuel(job, fuel)
    for test in tests[:1] if len(tests) == 1 else [*tests[:1], *tests[-1:]]:
        for measure in test.measures:
            yield from _one(job, diagnosis, fuel, test, measure)


def _fuel(job: Job, fuel: Fuel) -> Number:
    if fuel.ethanol:
        return number(
            job, "fuel_blend_by_volume", GROUP, f"True ratio of {fuel.name}",
            [Fed("ethanol_volume_percent", fuel.ethanol, f"{fuel.ethanol:g} %", fuel.entries)],
            lambda did: f"{plain(did.result['afr_mass'], 2)} : 1",
            "What a display calls 14.7 : 1 is this ratio. Pump blends vary by season: measure the share.",
        )  # fmt: skip
    return number(
        job, "stoich_afr", GROUP, f"True ratio of {fuel.name}",
        [assumed("C_atoms", 1.0, "1"), assumed("H_atoms", 1.87, "1.87", 0.03)],
        lambda did: f"{with_spread(did.result['afr_mass'], did.u.get('afr_mass', 0.0))} : 1",
        "At lambda 1. A display shows 14.7 there whatever the fuel; alcohol in it makes the true ratio smaller.",
    )  # fmt: skip


def lambda_of(measure: Measure) -> tuple[float, float]:
    """Lambda and its standard uncertainty, of a reading in either."""
    if measure.dimension == "mixture lambda":
        return measure.value, max(measure.u, _SENSOR)
    return measure.value / DISPLAY_AFR, max(measure.u / DISPLAY_AFR, _SENSOR)


def _one(job: Job, diagnosis: Diagnosis, fuel: Fuel, test: TestSet, measure: Measure) -> Iterator[Number]:
    where = f"{measure.subject} bank, " if measure.subject in ("left", "right", "front", "rear") else ""
    when = f"{where}{day_words(test.day)}"
    value, u = lambda_of(measure)
    if measure.dimension == "mixture":
        yield number(
            job, "lambda_from_afr", GROUP, f"Lambda, {when}",
            [Fed("afr_mass", measure.value, measure.text, measure.entries, u * DISPLAY_AFR),
             assumed("stoich_afr_mass", DISPLAY_AFR, "14.7", source="the number of most displays")],
            lambda did: with_spread(did.result["lambda_"], did.u.get("lambda_", 0.0)), _lean_or_rich(value),
        )  # fmt: skip
    yield number(
        job, "displayed_afr", GROUP, f"Shown and true ratio, {when}",
        [Fed("lambda_", value, f"{value:.3f}", measure.entries, u),
         assumed("display_stoich_afr", DISPLAY_AFR, "14.7", source="the number of most displays"),
         fuel.true_ratio("fuel_stoich_afr")],
        lambda did: f"{plain(did.result['displayed_afr'], 1)} shown, {plain(did.result['true_afr'], 1)} true",
        f"Lambda {value:.2f}: a display says {DISPLAY_AFR * value:.1f}, the {fuel.name} itself is at "
        f"{fuel.afr * value:.1f} : 1.",
    )  # fmt: skip
    engine = job.engine(test.engine)
    dead = dead_then(job, diagnosis, test.step, test.engine) if engine is not None else []
    if engine is not None and dead:
        yield from _diluted(job, engine, test, measure, dead, when)


def _lean_or_rich(value: float) -> str:
    if value > 1.03:
        return "Leaner than the fuel's own ratio, if every cylinder fires."
    if value < 0.97:
        return "Richer than the fuel's own ratio, if every cylinder fires."
    return "At the fuel's own ratio, as a warm petrol idle should be (14.5 to 14.7 shown)."


def dead_then(job: Job, diagnosis: Diagnosis, step: int, engine: str) -> list[int]:
    """Cylinders that were dead at that moment: by the diagnosis of the days, else by what had been written last."""
    last: dict[int, str] = {}
    for reading in job.readings:
        if reading.step > step or reading.place is None or reading.engine != engine or not reading.counts:
            continue
        if reading.test == "firing" and reading.value.word:
            last[reading.place.cylinder] = reading.value.word
        elif reading.test == "cut-out":
            quantity = reading.value.quantity
            told = "fires" if quantity is not None and quantity.middle > 10 else "dead"
            last[reading.place.cylinder] = reading.value.word or told
    written = sorted(c for c, word in last.items() if word in ("dead", "none"))
    if written or last:
        return written
    days = [states for end, states in diagnosis.states_by_day if end >= step]
    states = days[0] if days else diagnosis.states
    return sorted(p.cylinder for p, state in states if p.engine == engine and state == "dead")


def _on_one_pipe(engine: Engine, measure: Measure) -> tuple[int, ...]:
    """The cylinders whose gas the sensor sees: those of its bank where it names one, else all."""
    return next((b.cylinders for b in engine.banks if b.name and b.name == measure.subject), engine.cylinders)


def _diluted(job: Job, engine: Engine, test: TestSet, measure: Measure, dead: list[int], when: str) -> Iterator[Number]:
    pipe = _on_one_pipe(engine, measure)
    silent = [c for c in dead if c in pipe]
    firing = len(pipe) - len(silent)
    if not silent or firing == 0:
        return
    value, u = lambda_of(measure)
    inner = firing_lambda_without_fuel(len(pipe), firing, value)
    share = firing / len(pipe)
    counts = [Fed("cylinders", len(pipe), str(len(pipe)), measure.entries), Fed("firing", firing, str(firing),
              measure.entries)]  # fmt: skip
    within = Fed(
        "firing_lambda", inner, f"{inner:.3f} = {value:.3f} · {firing}/{len(pipe)}", measure.entries, u * share
    )
    names = cylinders(silent)
    rich = "rich" if inner < 0.97 else "about right" if inner < 1.03 else "lean"
    danger = "Adding fuel because the display looks lean would wash the live cylinders. No fuel table until all fire."
    yield number(
        job, "diluted_lambda_no_fuel", GROUP, f"Mixture of the firing cylinders, {when}", [*counts, within],
        f"λ {with_spread(inner, u * share)}",
        f"If {names} got no fuel, the {firing} that fire ran at lambda {inner:.2f} ({DISPLAY_AFR * inner:.1f} on a "
        f"display), {rich}, though the pipe read {value:.2f}. Consistent with it, not proof of it.",
        cautions=(danger,), out=inner < 0.8,
    )  # fmt: skip
    yield number(
        job, "diluted_lambda_no_spark", GROUP, f"The same if fuel came and no spark, {when}", [*counts, within],
        f"λ {inner:.2f} to {value:.2f}",
        f"If {names} got fuel and did not fire, every cylinder lay somewhere between lambda {inner:.2f} and "
        f"{value:.2f}. One reading cannot tell the two cases apart: look at the plugs, or cut out.",
        cautions=("Raw fuel overheats a catalyst: unplug that injector.",),
    )  # fmt: skip
    if inner > 0.5:
        yield number(
            job, "diluted_exhaust_dry_gas", GROUP, f"What a gas tester would show then, {when}", [*counts, within],
            lambda did: f"O2 {plain(did.result['o2_percent_dry'], 1)} %, CO {plain(did.result['co_percent_dry'], 1)} %",
            "Much CO and much O2 together mean dead cylinders without fuel; a lean engine shows O2 alone.",
        )  # fmt: skip


def trims(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Short and long trim of each bank as one factor: first and last."""
    short = [s for s in sets(job, "trims") if "short" in s.qualifiers and s.measures]
    long = [s for s in sets(job, "trims") if "long" in s.qualifiers and s.measures]
    if short and not long:
        for measure in short[-1].measures:
            bank = f"{measure.subject} bank" if measure.subject else "all cylinders"
            yield missing("fuel_trim_total", GROUP, f"Total trim, {bank}", "add the long trim ('trims long: left +4')")
    for test in short[:1] if len(short) == 1 else [*short[:1], *short[-1:]]:
        for measure in test.measures:
            partner = next((m for s in reversed(long) if s.day == test.day and (m := s.value(measure.subject))), None)
            if partner is not None:
                yield _trim(job, test, measure, partner)


def _trim(job: Job, test: TestSet, short: Measure, long: Measure) -> Number:
    bank = f"{short.subject} bank" if short.subject else "all cylinders"

    def sentence(did: Did) -> str:
        total = did.result["total_percent"]
        if abs(total) <= 10:
            return "Within 10 %, as a sound engine's is (common practice)."
        side = "adds fuel: lean there, or thinks so" if total > 0 else "takes fuel away: rich there, or thinks so"
        return (
            f"The controller {side}. Air leaks, low fuel pressure and dead cylinders do that; hold the banks together."
        )

    return number(
        job, "fuel_trim_total", GROUP, f"Total trim, {bank}, {day_words(test.day)}",
        [Fed("short_trim_percent", short.value, short.text, short.entries, short.u),
         Fed("long_trim_percent", long.value, long.text, long.entries, long.u)],
        lambda did: f"{'+' if did.result['total_percent'] > 0 else ''}{plain(did.result['total_percent'], 1)} %",
        sentence, out=lambda did: abs(did.result["total_percent"]) > 10,
    )  # fmt: skip


def fuel_table(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The factor for the fuel table: refused while any cylinder is dead or suspected."""
    tests = [s for s in sets(job, "mixture") if s.measures]
    if not tests:
        return
    title = "Correction of the fuel table"
    last = tests[-1]
    if diagnosis.tuning_blocked or dead_then(job, diagnosis, last.step, last.engine):
        why = diagnosis.tuning_blocked or "a cylinder was dead when this was read"
        yield missing(
            "fuel_table_correction", GROUP, title, f"refused: {why.rstrip('.')}. First every cylinder must fire"
        )
        return
    if not last.said("warm", "hot"):
        yield missing("fuel_table_correction", GROUP, title, "read the mixture on a warm engine ('@ idle, warm')")
        return
    if not last.said("idle"):
        yield missing("fuel_table_correction", GROUP, title, "say the mixture wanted there; only idle has a usual one")
        return
    value, u = lambda_of(last.measures[0])
    yield number(
        job, "fuel_table_correction", GROUP, f"{title}, at idle",
        [Fed("measured_lambda", value, f"{value:.3f}", last.measures[0].entries, u),
         assumed("target_lambda", 1.0, "1.00", source="usual for a warm petrol idle")],
        lambda did: f"× {with_spread(did.result['table_factor'], did.u.get('table_factor', 0.0))}",
        lambda did: _step_words(did.result["table_factor"], did.u.get("table_factor", 0.0)),
        cautions=("With trims active fold them in first, then set them to zero.",),
    )  # fmt: skip


def _step_words(factor: float, u: float) -> str:
    if abs(factor - 1) <= 2 * u:
        return "No correction that this sensor could tell from none."
    return f"The cell's fuel would change by {percent(factor - 1)}, {figures(abs(factor - 1) / u, 2)} times the doubt."
