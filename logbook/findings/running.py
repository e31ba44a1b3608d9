"""The running engine: what cutting out a cylinder says, and how it should shake."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.health import GROUP, named
from logbook.findings.making import Did, Fed, missing, number
from logbook.findings.measures import Measure, TestSet, entries_of, of_reading, sets
from logbook.findings.model import Number
from logbook.findings.saying import cylinders, figures, listed, plain
from logbook.job.model import Engine, Job

_CHANGES = frozenset(
    {"swap", "move", "fit", "put back", "remove", "clean", "repair", "adjust", "unplug", "reconnect", "fill"}
)


def cut_out(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Drops with repeats in one unchanged state of the engine; where there are none, what to repeat."""
    tests = [s for s in sets(job, "cut-out") if s.measures]
    for engine in job.engines:
        own = [s for s in tests if s.engine == engine.name and len(s.measures) >= 2]
        if not own:
            continue
        repeats = _repeats(job, [s for s in tests if s.engine == engine.name], engine)
        if repeats:
            yield _balance(job, engine, repeats)
        else:
            yield missing("power_balance", GROUP, named("Cut-out test", own[-1]), _lacking(own[-1]),
                          subject=engine.name)  # fmt: skip


def _lacking(last: TestSet) -> str:
    median = statistics.median(m.value for m in last.measures)
    low = [m.subject for m in last.measures if m.value < 0.6 * median]
    told = f"median drop {figures(median)} rpm"
    if low:
        told += f", {cylinders(low)} under 0.6 of it"
    return f"repeat the whole cut-out test in the same state to tell weak from noise ({told})"


def _repeats(job: Job, tests: Sequence[TestSet], engine: Engine) -> dict[int, list[Measure]]:
    """Repeats of every cylinder with nothing done to the engine between them: the last stretch that has some.

    Cylinders must have as many repeats each; the least number is taken, the latest first.
    """
    changes = sorted(e.step for e in job.events if e.action in _CHANGES and e.engine in ("", engine.name))
    stretches: dict[int, dict[int, list[Measure]]] = {}
    for test in tests:
        stretch = sum(1 for step in changes if step < test.step)
        found = stretches.setdefault(stretch, {})
        for measure in test.measures:
            if measure.place is not None:
                found.setdefault(measure.place.cylinder, []).append(measure)
    for stretch in sorted(stretches, reverse=True):
        found = stretches[stretch]
        least = min((len(v) for v in found.values()), default=0)
        if set(found) == set(engine.cylinders) and least >= 2:
            return {c: found[c][-least:] for c in sorted(found)}
    return {}


def _balance(job: Job, engine: Engine, repeats: dict[int, list[Measure]]) -> Number:
    order = list(repeats)
    drops = tuple(tuple(m.value for m in repeats[c]) for c in order)
    text = ", ".join(f"{c}: {' '.join(figures(d) for d in row)}" for c, row in zip(order, drops, strict=True)) + " rpm"
    entries = entries_of(m for c in order for m in repeats[c])

    def sentence(did: Did) -> str:
        dead = [str(order[n - 1]) for n in did.result["dead"]]
        weak = [str(order[n - 1]) for n in did.result["weak"]]
        noise = f"The drops repeat within {did.result['pooled_sd_rpm']:.1f} rpm, so less than "
        noise += f"{did.result['dead_limit_rpm']:.1f} rpm cannot be told from nothing."
        if dead or weak:
            words = [f"{cylinders(dead)} does no work" if dead else "", f"{cylinders(weak)} is weak" if weak else ""]
            return f"{listed(w for w in words if w).capitalize()}. {noise}"
        return f"All cylinders pull alike. {noise}"

    return number(
        job, "power_balance", GROUP, f"Cut-out test with {len(drops[0])} repeats",
        [Fed("rpm_drop_by_cylinder", drops, text, entries)],
        lambda did: f"dead: {listed(str(order[n - 1]) for n in did.result['dead']) or 'none'}; "
        f"weak: {listed(str(order[n - 1]) for n in did.result['weak']) or 'none'}", sentence, subject=engine.name,
        out=lambda did: bool(did.result["dead"] or did.result["weak"]),
    )  # fmt: skip


def shake(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Firing frequency at idle, and the pattern that the dead cylinders leave."""
    for engine in job.engines:
        idle = _idle(job, engine.name)
        count = len(engine.cylinders)
        if idle is None or count == 0:
            continue
        entries = (engine.entry,) if engine.entry >= 0 else ()
        yield number(
            job, "engine_orders", GROUP, "Firing at idle",
            [Fed("cylinders", count, str(count), entries), Fed("rpm", idle.value, idle.text, idle.entries, idle.u)],
            lambda did: f"{figures(did.result['firing_hz'])} Hz",
            lambda did: f"A dead cylinder shakes at {figures(did.result['cycle_hz'])} Hz, once in two turns.",
            subject=engine.name,
        )  # fmt: skip
        dead = dead_cylinders(diagnosis, engine.name)
        if dead and sorted(engine.firing_order) == list(engine.cylinders):
            yield _pattern(job, engine, dead)


def _idle(job: Job, engine: str) -> Measure | None:
    found = [
        m
        for r in job.readings
        if r.test == "idle" and r.slot == "rpm" and r.engine == engine and (m := of_reading(r)) is not None
    ]
    return found[-1] if found else None


def dead_cylinders(diagnosis: Diagnosis, engine: str) -> list[int]:
    """Cylinders that are dead now."""
    return sorted(p.cylinder for p, state in diagnosis.states if p.engine == engine and state == "dead")


def _pattern(job: Job, engine: Engine, dead: list[int]) -> Number:
    order = engine.firing_order
    entries = (engine.entry,) if engine.entry >= 0 else ()
    feeds = [
        Fed("cylinders", len(order), str(len(order)), entries),
        Fed("firing_sequence", order, " ".join(map(str, order)), entries),
        Fed("dead_cylinders", tuple(dead), listed(str(c) for c in dead)),
    ]

    def sentence(did: Did) -> str:
        strength = did.result["relative_amplitude_by_cycle_harmonic"][:-1]
        if max(strength) < 1e-6:
            return "It does not shake more than a healthy engine."
        top = max(range(len(strength)), key=lambda k: (round(strength[k], 9), -k))
        if strength[len(order) // 2 - 1] > 0.99 * len(order) / 2 and len(order) % 2 == 0:
            return f"It shakes like a healthy engine of {len(order) // 2} cylinders: the ear will not tell."
        return f"The shake is strongest {top + 1} times in two turns, {plain(strength[top], 1)} against one dead's 1.0."

    return number(
        job, "firing_spectrum", GROUP, f"Shake with {cylinders(dead)} dead", feeds,
        lambda did: ", ".join(plain(a, 1) for a in did.result["relative_amplitude_by_cycle_harmonic"]), sentence,
        subject=engine.name,
    )  # fmt: skip
