"""What the shop's rules of thumb say of single readings: ring gaps, springs, oil, vacuum, dwell."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.cranking import place_air
from logbook.findings.health import GROUP as HEALTH
from logbook.findings.injector_work import boosted
from logbook.findings.making import Did, Fed, fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, by_place, of_quantity, of_reading, sets, single
from logbook.findings.model import Number
from logbook.findings.saying import cylinders, figures, in_unit
from logbook.findings.sheet import sheet
from logbook.job.model import Job

BUILD = "build"


def ring_gaps(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Top ring gaps against the rule for the bore: for the street, or under boost."""
    for engine in job.engines:
        gaps = by_place(job, "ring gap", engine.name, qualifiers=("top",))
        bore = sheet(job, engine).bore
        if not gaps or bore is None:
            continue
        use = "boost" if boosted(job) else "street"
        least = min(gaps.values(), key=lambda m: m.value)
        own = next((of_quantity(n.value.quantity).text for n in job.limits if n.test == "ring gap"
                    and "top" in n.qualifiers and n.value.quantity), "")  # fmt: skip

        def sentence(did: Did, gaps: dict[int, Measure] = gaps, use: str = use, own: str = own) -> str:
            rule = did.result["top_mm"] * 1e-3
            tight = [c for c, m in gaps.items() if m.value < rule - 1e-6]
            words = f"By the rule for {use} the top ring wants at least {in_unit(job, rule, 'length')}"
            if own:
                return f"{words}. The log's own limit, {own}, comes first."
            if not tight:
                return f"{words}; all gaps are that wide."
            return (
                f"{words}; tighter in {cylinders(tight)}. Too tight breaks the piston when hot; a file only opens it."
            )

        yield number(
            job, "ring_gap", BUILD, "Top ring gap by the rule",
            [fed("bore_mm", bore), assumed("use", use, use, source="what is wanted or was pulled" if use == "boost"
             else "no boost in the log")],
            lambda did: in_unit(job, did.result["top_mm"] * 1e-3, "length"), sentence, subject=engine.name,
            out=lambda did, least=least, own=own: not own and least.value < did.result["top_mm"] * 1e-3 - 1e-6,  # type: ignore[misc]
        )  # fmt: skip


def springs(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Rate of a valve spring from its two forces and the cam's lift."""
    seat, opened = single(job, "spring", slot="seat"), single(job, "spring", slot="open")
    if seat is None or opened is None:
        return
    lift = single(job, "cam", slot="lift", qualifiers=("intake",))
    if lift is None:
        why = "add the lift between the two ('cam intake: lift 10.2 mm')"
        yield missing("spring_rate", BUILD, "Rate of the valve springs", why)
        return
    yield number(
        job, "spring_rate", BUILD, "Rate of the valve springs",
        [fed("seat_force_n", seat), fed("open_force_n", opened), fed("lift_mm", lift)],
        lambda did: f"{figures(did.result['rate_n_mm'])} N/mm ({figures(did.result['rate_lb_in'])} lbf/in)",
        f"{seat.text} on the seat and {opened.text} open, over the intake's lift of {lift.text}.",
    )  # fmt: skip


def oil(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The last hot oil pressure with a speed, by the rule of 10 psi for 1000 rpm."""
    for test in reversed(sets(job, "oil pressure")):
        speed = test.condition("rpm")
        hot = "hot" in test.qualifiers or test.said("hot", "warm")
        if speed is None or not hot or not test.measures or speed.value < 1000:
            continue
        yield _oil(job, test.measures[0], speed)
        return


def _oil(job: Job, measure: Measure, speed: Measure) -> Number:
    return number(
        job, "oil_pressure_rule", HEALTH, "Oil pressure by the rule of thumb",
        [fed("rpm", speed), fed("pressure_psi", measure)],
        lambda did: f"{100 * did.result['share_of_rule']:.0f} % of the rule",
        lambda did: f"{measure.text} at {speed.text}; the rule wants "
        f"{in_unit(job, did.result['rule_psi'] * 6894.757293168361, 'pressure')}. "
        "A rule, no verdict: read it again with a gauge that you trust.",
        out=lambda did: not did.result["meets_rule"],
    )  # fmt: skip


def vacuum(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The manifold's absolute pressure of the last idle vacuum, at the height of the place."""
    found = [m for r in job.readings if r.test == "idle" and r.slot == "vacuum" and (m := of_reading(r)) is not None]
    if not found:
        return
    air = place_air(job)
    yield number(
        job, "vacuum_to_absolute", HEALTH, "Manifold at idle",
        [fed("vacuum_inhg", found[-1]), Fed("ambient_kpa", air.value, air.text, air.entries, air.u, air.source)],
        lambda did: f"{did.result['absolute_kpa']:.0f} ± {2 * did.u.get('absolute_kpa', 0.0):.0f} kPa abs",
        "What a manifold sensor should show there; a gauge reads less in high places, 1 inHg for each 1000 ft.",
    )  # fmt: skip


def dwell(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The last dwell angle in milliseconds at idle."""
    angles = [m for s in sets(job, "dwell") for m in s.measures if m.dimension == "angle"]
    idles = [m for s in sets(job, "idle") for m in s.measures if m.subject == "rpm"]
    if not angles or not idles or not job.engines:
        return
    count = len(job.engines[0].cylinders)
    entries = (job.engines[0].entry,) if job.engines[0].entry >= 0 else ()
    yield number(
        job, "dwell_time", "electrical", "Dwell at idle",
        [fed("dwell_deg", angles[-1]), fed("rpm", idles[-1]), Fed("cylinders", count, str(count), entries)],
        lambda did: f"{figures(did.result['dwell_ms'])} ms",
        lambda did: f"{100 * did.result['share']:.0f} % of what lies between two sparks; a coil wants 3 to 5 ms.",
    )  # fmt: skip
