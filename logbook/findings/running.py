"""The running engine: what cutting out a cylinder says, and how it should shake."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Mapping, Sequence

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.health import GROUP, named
from logbook.findings.making import Did, Fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, alike, entries_of, of_reading, sets, stretch
from logbook.findings.model import Number
from logbook.findings.saying import cylinders, figures, listed, plain
from logbook.job.model import Engine, Job


def cut_out(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The first and the last cut-out test of each engine, and the repeats of one unchanged state where there are."""
    tests = [s for s in sets(job, "cut-out") if s.measures]
    for engine in job.engines:
        own = [s for s in tests if s.engine == engine.name]
        full = [s for s in own if _one_each(s, engine)]
        repeats = _repeats(job, own, engine)
        noise = _noise(repeats)
        shown = full[:1] if len(full) == 1 else [*full[:1], *full[-1:]]
        for test in shown:
            drops = {m.place.cylinder: [m] for m in test.measures if m.place is not None}
            last = not repeats and test is shown[-1]
            yield _balance(job, engine, drops, named("Cut-out test", test), noise, last)
        if repeats:
            count = len(next(iter(repeats.values())))
            # by Student's t where the repeats scatter more than the tachometer hides
            own_noise = noise if noise.value <= usual.TACHOMETER_RPM else None
            yield _balance(job, engine, repeats, f"Cut-out test, {count} times over", own_noise, True)
        elif own and not full:
            why = "cut out every cylinder in one go to compare them"
            yield missing("power_balance", GROUP, named("Cut-out test", own[-1]), why, subject=engine.name)


def _noise(repeats: Mapping[int, Sequence[Measure]]) -> Fed:
    """What one drop does not repeat: by the repeats of this engine, no finer than the tachometer; else as usual."""
    if not repeats:
        return assumed("noise_rpm", usual.CUT_OUT_NOISE_RPM, f"{usual.CUT_OUT_NOISE_RPM:g} rpm")
    own = statistics.fmean(statistics.variance([m.value for m in ms]) for ms in repeats.values()) ** 0.5
    value = max(own, usual.TACHOMETER_RPM)
    entries = entries_of(m for ms in repeats.values() for m in ms)
    return Fed("noise_rpm", value, f"{figures(value, 2)} rpm, from the repeats", entries)


def _one_each(test: TestSet, engine: Engine) -> bool:
    found = sorted(m.place.cylinder for m in test.measures if m.place is not None)
    return tuple(found) == engine.cylinders


def _repeats(job: Job, tests: Sequence[TestSet], engine: Engine) -> dict[int, list[Measure]]:
    """Repeats of every cylinder with nothing done to the engine between them: the last stretch that has some.

    Cylinders must have as many repeats each; the least number is taken, the latest first.
    """
    stretches: dict[tuple[int, tuple[str, ...]], dict[int, list[Measure]]] = {}
    for test in tests:
        found = stretches.setdefault((stretch(job, test.step, engine.name), alike(test.conditions)), {})
        for measure in test.measures:
            if measure.place is not None:
                found.setdefault(measure.place.cylinder, []).append(measure)
    for state in sorted(stretches, reverse=True):
        found = stretches[state]
        least = min((len(v) for v in found.values()), default=0)
        if set(found) == set(engine.cylinders) and least >= 2:
            return {c: found[c][-least:] for c in sorted(found)}
    return {}


def _balance(
    job: Job, engine: Engine, repeats: dict[int, list[Measure]], title: str, noise: Fed | None, last: bool
) -> Number:
    order = sorted(repeats)
    drops = tuple(tuple(m.value for m in repeats[c]) for c in order)
    text = ", ".join(f"{c}: {' '.join(figures(d) for d in row)}" for c, row in zip(order, drops, strict=True)) + " rpm"
    feeds = [Fed("rpm_drop_by_cylinder", drops, text, entries_of(m for c in order for m in repeats[c]))]

    def found(did: Did, key: str) -> list[str]:
        return [str(order[n - 1]) for n in did.result[key]]

    def sentence(did: Did) -> str:
        dead, weak = found(did, "dead"), found(did, "weak")
        limit = did.result["dead_limit_rpm"]
        tail = f" A drop under {limit:.0f} rpm cannot be told from nothing" if last else ""
        tail += (
            "; repeat the test to know the noise of this engine."
            if last and noise and not noise.entries
            else "." * last
        )
        if did.warnings and not (dead or weak):
            return f"No drop stands above the noise, though the engine runs: is the idle control off?{tail}"
        words = [
            f"{cylinders(dead)} {'does' if len(dead) == 1 else 'do'} no work" if dead else "",
            f"{cylinders(weak)} {'is' if len(weak) == 1 else 'are'} weak" if weak else "",
        ]
        told = listed(w for w in words if w) or ""
        if not (dead or weak):
            low = min(range(len(order)), key=lambda n: did.result["contribution"][n])
            told = (
                f"all pull; the least is {order[low]} with {100 * did.result['contribution'][low]:.0f} % of the median"
            )
        return f"{told[0].upper()}{told[1:]}.{tail}"

    return number(
        job, "power_balance", GROUP, title, [*feeds, *([noise] if noise else [])],
        lambda did: f"dead: {listed(found(did, 'dead')) or 'none'}; weak: {listed(found(did, 'weak')) or 'none'}",
        sentence, subject=engine.name, out=lambda did: bool(did.result["dead"] or did.result["weak"]),
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
        if max(strength) - min(strength) < 1e-6:
            return "It shakes at every harmonic alike, from once in two turns up: the pattern of one dead cylinder."
        top = max(range(len(strength)), key=lambda k: (round(strength[k], 9), -k))
        if strength[len(order) // 2 - 1] > 0.99 * len(order) / 2 and len(order) % 2 == 0:
            return f"It shakes like a healthy engine of {len(order) // 2} cylinders: the ear will not tell."
        times = "once" if top == 0 else f"{top + 1} times"
        return (
            f"The shake is strongest {times} in two turns, {plain(strength[top], 1)} against 1.0 of one dead cylinder."
        )

    return number(
        job, "firing_spectrum", GROUP, f"Shake with {cylinders(dead)} dead", feeds,
        lambda did: ", ".join(plain(a, 1) for a in did.result["relative_amplitude_by_cycle_harmonic"]), sentence,
        subject=engine.name,
    )  # fmt: skip
