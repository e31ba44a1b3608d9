"""The build: volumes, ratios, cam, and how evenly the bolts came up."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.making import Did, Fed, fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, sets
from logbook.findings.model import Number
from logbook.findings.saying import figures, in_unit, listed, with_spread
from logbook.findings.sheet import Sheet, mean, sheet
from logbook.formulas.geometry import static_compression_ratio
from logbook.job.model import Job
from logbook.units import UNITS

GROUP = "build"
_WRENCH_N_M = 2.0  # what a click wrench does not repeat: common practice, no source
_EVENTS = (
    ("intake_open_deg_btdc", "intake opens"),
    ("intake_close_deg_abdc", "intake closes"),
    ("exhaust_open_deg_bbdc", "exhaust opens"),
    ("exhaust_close_deg_atdc", "exhaust closes"),
)


def volumes(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Displacement, clearance volumes, ratios and quench of each engine."""
    for engine in job.engines:
        found = sheet(job, engine)
        yield from _displacement(job, found)
        whole = [c for c in engine.cylinders if found.complete(c)]
        for cylinder in whole:
            yield _clearance(job, found, cylinder)
        if whole:
            yield _ratio(job, found, whole)
        elif found.chambers and found.stroke:
            yield missing("static_compression_ratio", GROUP, "Compression ratio", f"add {listed(_lacking(found))}",
                          subject=engine.name)  # fmt: skip
        yield from _quench(job, found)


def _displacement(job: Job, found: Sheet) -> Iterator[Number]:
    bore, stroke = found.bore, found.stroke
    if bore is None or stroke is None:
        if bore or stroke:
            lack = "the stroke ('stroke: 86.0 mm')" if stroke is None else "the bores ('bore: 1 86.02 mm, ...')"
            yield missing("displacement", GROUP, "Displacement", f"add {lack}", subject=found.engine.name)
        return
    yield number(
        job, "displacement", GROUP, "Displacement", [fed("bore_mm", bore), fed("stroke_mm", stroke), _count(found)],
        lambda did: in_unit(
            job, did.result["displacement_cc"] * 1e-6, "displacement", did.u["displacement_cc"] * 1e-6, 4
        ),
        lambda did: f"{figures(did.result['displacement_cc'] / found.cylinders)} cc in each of "
        f"{found.cylinders} cylinders, from the bores and the stroke as measured.",
        subject=found.engine.name,
    )  # fmt: skip


def _count(found: Sheet) -> Fed:
    entries = (found.engine.entry,) if found.engine.entry >= 0 else ()
    return Fed("cylinders", found.cylinders, str(found.cylinders), entries)


def _volume_feeds(found: Sheet, cylinder: int) -> list[Fed]:
    assert found.gasket_bore and found.gasket_thickness
    return [
        fed("bore_mm", found.bores[cylinder]),
        fed("chamber_cc", found.chambers[cylinder]),
        fed("piston_cc", found.pistons[cylinder]),
        fed("gasket_bore_mm", found.gasket_bore),
        fed("gasket_thickness_mm", found.gasket_thickness),
        fed("deck_clearance_mm", found.decks[cylinder]),
    ]


def _clearance(job: Job, found: Sheet, cylinder: int) -> Number:
    return number(
        job, "clearance_volume", GROUP, f"Clearance volume, cylinder {cylinder}", _volume_feeds(found, cylinder),
        lambda did: with_spread(did.result["clearance_cc"], did.u.get("clearance_cc", 0.0), "cc"),
        lambda did: f"Of it {figures(did.result['gasket_cc'])} cc are the gasket's and "
        f"{figures(did.result['deck_cc'])} cc the deck's.",
        subject=found.engine.name,
    )  # fmt: skip


def ratio_feeds(found: Sheet, cylinder: int) -> list[Fed]:
    assert found.stroke
    return [*_volume_feeds(found, cylinder), fed("stroke_mm", found.stroke)]


def ratios(found: Sheet) -> dict[int, float]:
    """Static ratio of each cylinder that is measured whole."""
    each = {}
    for cylinder in found.engine.cylinders:
        if found.complete(cylinder):
            values = {f.key.rpartition("_")[0]: f.value for f in ratio_feeds(found, cylinder)}
            each[cylinder] = static_compression_ratio(
                values["bore"], values["stroke"], values["chamber"], values["piston"], values["gasket_bore"],
                values["gasket_thickness"], values["deck_clearance"],
            ).compression_ratio  # fmt: skip
    return each


def _means(found: Sheet) -> list[Fed]:
    """The inputs of a ratio as means over the cylinders."""
    pairs = (
        ("bore_mm", found.bores),
        ("chamber_cc", found.chambers),
        ("piston_cc", found.pistons),
        ("deck_clearance_mm", found.decks),
    )
    feeds = [fed(key, m) for key, each in pairs if (m := mean(list(each.values())))]
    assert found.stroke and found.gasket_bore and found.gasket_thickness
    return [
        *feeds,
        fed("stroke_mm", found.stroke),
        fed("gasket_bore_mm", found.gasket_bore),
        fed("gasket_thickness_mm", found.gasket_thickness),
    ]


def _ratio(job: Job, found: Sheet, whole: list[int]) -> Number:
    each = ratios(found)
    low, high = min(each, key=lambda c: each[c]), max(each, key=lambda c: each[c])
    apart = (each[high] - each[low]) / each[high] * 100

    def sentence(did: Did) -> str:
        words = ", ".join(f"{c}: {each[c]:.2f}" for c in whole)
        return (
            f"By cylinder {words}. Between the highest ({high}) and the lowest ({low}) lie {apart:.1f} %. The crevice "
            "above the top ring is left out, so the true ratio is about 0.1 lower."
        )

    return number(
        job, "static_compression_ratio", GROUP, "Compression ratio", _means(found),
        lambda did: with_spread(
            did.result["compression_ratio"], math.hypot(did.u["compression_ratio"], usual.CREVICE_SPREAD), ": 1"
        ), sentence, more_u={"compression_ratio": usual.CREVICE_SPREAD},
        subject=found.engine.name,
    )  # fmt: skip


def _lacking(found: Sheet) -> list[str]:
    wanted = (
        (found.bores, "the bores"),
        (found.pistons, "the piston volume with its sign ('piston volume: all +8.0 cc')"),
        (found.decks, "the deck"),
        (found.gasket_thickness, "the gasket's thickness"),
        (found.gasket_bore, "the gasket's bore"),
    )
    return [name for there, name in wanted if not there] or ["the same for every cylinder"]


def _quench(job: Job, found: Sheet) -> Iterator[Number]:
    if not found.decks or not found.gasket_thickness:
        return
    tight = min(found.decks, key=lambda c: found.decks[c].value)
    yield number(
        job, "quench_height", GROUP, f"Quench height, cylinder {tight}",
        [fed("deck_clearance_mm", found.decks[tight]), fed("gasket_thickness_mm", found.gasket_thickness)],
        lambda did: in_unit(job, did.result["quench_mm"] * 1e-3, "length", did.u["quench_mm"] * 1e-3),
        lambda did: "The tightest cylinder. " + (
            "Inside the customary 0.9 to 1.5 mm." if not did.warnings else "Outside the customary 0.9 to 1.5 mm."
        ),
        subject=found.engine.name, out=lambda did: bool(did.warnings),
    )  # fmt: skip


def motion(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Rod ratio, piston speed at the limit, cam, trapped ratio."""
    for engine in job.engines:
        found = sheet(job, engine)
        if found.stroke and found.rod:
            yield number(
                job, "rod_ratio", GROUP, "Rod ratio", [fed("stroke_mm", found.stroke), fed("rod_mm", found.rod)],
                lambda did: with_spread(did.result["rod_ratio"], did.u.get("rod_ratio", 0.0)),
                "Rod over stroke; some books divide by the throw and print twice this.", subject=engine.name,
            )  # fmt: skip
        yield from _piston_speed(job, found)
        yield from _cam(job, found)
        yield from _trapped(job, found)


def _piston_speed(job: Job, found: Sheet) -> Iterator[Number]:
    if not found.stroke:
        return
    if not found.rev_limit:
        why = "add the highest speed ('rev limit: 6500')"
        yield missing("mean_piston_speed", GROUP, "Piston speed at the limit", why, subject=found.engine.name)
        return
    limit = usual.PISTON_SPEED_LIMIT_M_S
    yield number(
        job, "mean_piston_speed", GROUP, "Piston speed at the limit",
        [fed("stroke_mm", found.stroke), fed("rpm", found.rev_limit)],
        lambda did: in_unit(job, did.result["speed_m_s"], "piston speed"),
        lambda did: f"{100 * did.result['speed_m_s'] / limit:.0f} % of the {limit:.0f} m/s that cast parts stand.",
        subject=found.engine.name, out=lambda did: did.result["speed_m_s"] > limit,
    )  # fmt: skip


def _cam(job: Job, found: Sheet) -> Iterator[Number]:
    there = {key: found.cam[name] for key, name in _EVENTS if name in found.cam}
    if len(there) == len(_EVENTS):
        yield number(
            job, "cam_timing_from_events", GROUP, "Cam timing", [fed(key, m) for key, m in there.items()],
            lambda did: f"{figures(did.result['lobe_separation_cam_deg'], 4)}° between lobes",
            lambda did: f"Intake {figures(did.result['intake_duration_deg'])}° long, centred "
            f"{figures(did.result['intake_centreline_deg_atdc'], 4)}° after top; exhaust "
            f"{figures(did.result['exhaust_duration_deg'])}°, centred "
            f"{figures(did.result['exhaust_centreline_deg_btdc'], 4)}° before it; "
            + (f"overlap {figures(did.result['overlap_deg'])}°." if did.result["overlap_deg"] >= 0
               else f"a gap of {figures(-did.result['overlap_deg'])}° between them."),
            subject=found.engine.name,
        )  # fmt: skip
    elif there:
        lack = [name for key, name in _EVENTS if key not in there]
        yield missing("cam_timing_from_events", GROUP, "Cam timing", f"add when the {listed(lack)}",
                      subject=found.engine.name)  # fmt: skip


def _trapped(job: Job, found: Sheet) -> Iterator[Number]:
    title = "Trapped ratio"
    each = ratios(found)
    if not each:
        return
    closes = found.cam.get("intake closes")
    if closes is None or found.rod is None or found.stroke is None:
        lack = "the rod length" if found.rod is None else "the intake's closing angle at the seat, not at .050 in"
        why = f"add {lack} to get the trapped ratio and the cranking band"
        yield missing("trapped_compression_ratio", GROUP, title, why, subject=found.engine.name)
        return
    feeds = trapped_feeds(found)
    yield number(
        job, "piston_position", GROUP, "Piston below top when the intake closes",
        [fed("stroke_mm", found.stroke), fed("rod_mm", found.rod),
         Fed("crank_deg_after_crank_top", 180 + closes.value, f"180° + {closes.text}", closes.entries, closes.u)],
        lambda did: in_unit(job, did.result["depth_below_tdc_mm"] * 1e-3, "length", did.u["depth_below_tdc_mm"] * 1e-3),
        "What is left of the stroke to compress with.", subject=found.engine.name,
    )  # fmt: skip
    yield number(
        job, "trapped_compression_ratio", GROUP, title, feeds,
        lambda did: with_spread(did.result["trapped_cr"], did.u.get("trapped_cr", 0.0), ": 1"),
        "What the cylinder compresses after the intake has closed; it holds only for an angle taken at the seat.",
        subject=found.engine.name,
    )  # fmt: skip


def trapped_feeds(found: Sheet) -> list[Fed]:
    """Inputs of the trapped ratio: mean static ratio, rod, stroke, closing angle."""
    each = ratios(found)
    ratio = statistics.fmean(each.values())
    entries = tuple(dict.fromkeys(e for c in each for f in ratio_feeds(found, c) for e in f.entries))
    static = Fed("static_cr", ratio, f"{ratio:.2f} (mean of {len(each)})", entries, 0.05, "", "static ratio, above")
    assert found.stroke and found.rod
    closes = found.cam["intake closes"]
    return [fed("stroke_mm", found.stroke), fed("rod_mm", found.rod), static, fed("ivc_deg_abdc", closes)]


def torque(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Bolts that came up unlike the others: the rise of torque over one angle."""
    logs = [s for s in sets(job, "torque") if len(s.measures) >= 4]
    for where in dict.fromkeys(s.qualifiers for s in logs):
        own = [s for s in logs if s.qualifiers == where]
        angles = sets(job, "angle", qualifiers=where)
        last = own[-1]
        if len(own) < 2 or not angles or not angles[-1].measures:
            if len({m.value for m in last.measures}) > 1:
                what = " ".join(where)
                why = f"add the torque before and the angle ('angle {what}: 1-10 90 deg')"
                yield missing("torque_angle_check", GROUP, f"Evenness of the {what} bolts", why)
            continue
        yield _angle_check(job, where, own[0], last, angles[-1].measures[0])


def other_unit(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The last torque of each kind of bolt in the unit that the other half of the world's wrenches show."""
    logs = [s for s in sets(job, "torque") if s.measures]
    for where in dict.fromkeys(s.qualifiers for s in logs):
        last = [s for s in logs if s.qualifiers == where][-1]
        middle = statistics.median(m.value for m in last.measures)
        own = "lbft" if last.measures[0].unit in ("lbft", "lbin") else "Nm"
        other = "Nm" if own == "lbft" else "lbft"
        value = UNITS[own].from_si(middle)
        name = UNITS[own].symbol
        yield number(
            job, "torque_units", GROUP, f"Last torque of the {' '.join((*where, 'bolts'))}",
            [Fed("value", value, _middle_text(last, value), (last.entry,)), Fed("unit", own, name or own),
             Fed("to", other, UNITS[other].symbol or other)],
            lambda did, other=other: f"{figures(did.result['value'])} {UNITS[other].symbol}",  # type: ignore[misc]
            _whose(last, f"{figures(value)} {name}"),
        )  # fmt: skip


def _middle_text(test: TestSet, value: float) -> str:
    return figures(value) + (" (median)" if len(test.measures) > 1 else "")


def _whose(test: TestSet, value: str) -> str:
    if len(test.measures) == 1:
        return f"Of bolt {test.measures[0].subject}, {value}."
    return f"The median of {len(test.measures)} bolts, {value}."


def _angle_check(job: Job, where: tuple[str, ...], first: TestSet, last: TestSet, angle: Measure) -> Number:
    pairs = [(b, m) for m in last.measures if (b := first.value(m.subject)) is not None]
    rises = tuple(m.value - b.value for b, m in pairs)
    names = [m.subject for _, m in pairs]
    text = ", ".join(f"{n} {figures(r)}" for n, r in zip(names, rises, strict=True)) + " N m"
    what = " ".join(where)

    def sentence(did: Did) -> str:
        out = [names[n - 1] for n in did.result["outlier_bolts"]]
        if not out:
            return f"All {len(names)} {what} bolts rose alike over {angle.text}."
        return (
            f"Bolt{'s' if len(out) > 1 else ''} {listed(out)} rose unlike the others: low is a thread that stretches "
            "or strips, high is binding, dirt, a bottomed or a dry thread. Take it out and look."
        )

    return number(
        job, "torque_angle_check", GROUP, f"Evenness of the {what} bolts",
        [fed("angle_step_deg", angle), Fed("torque_rise_n_m", rises, text, (first.entry, last.entry)),
         assumed("wrench_uncertainty_n_m", _WRENCH_N_M, f"{_WRENCH_N_M:g} N m")],
        lambda did: listed(names[n - 1] for n in did.result["outlier_bolts"]) or "even", sentence,
        out=lambda did: bool(did.result["outlier_bolts"]),
    )  # fmt: skip
