"""The car around the engine: tyre, road speed by gear, joints."""

from __future__ import annotations

import re
from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.making import Did, Fed, fed, missing, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, of_reading, single
from logbook.findings.model import Number
from logbook.findings.saying import figures, in_unit, listed, percent
from logbook.formulas.drivetrain import road_speed, tyre_diameter
from logbook.job.model import Job

GROUP = "car"
_METRIC = re.compile(r"\b([0-9]{3})\s*/\s*([0-9]{2,3})\s*(?:-|/|\s|Z?R)+\s*([0-9]{2}(?:\.[0-9])?)\b", re.I)
_INCH = re.compile(r"\b([0-9]{2}(?:\.[0-9]+)?)\s*[x×]\s*[0-9.]+", re.I)
_ROLLING = 0.97  # rolling against free diameter, 2 to 4 % under it: common practice, no source
_CRUISE_RPM = 3000.0


def tyre(job: Job) -> tuple[float, str, tuple[int, ...], tuple[float, float, float] | None] | None:
    """Free diameter in m, the words, the entry, and width, aspect and rim where the code has them."""
    entry = next((e for e in reversed(job.entries) if e.entry.kind == "tyre"), None)
    if entry is None:
        return None
    text = entry.entry.text or entry.line_text
    metric, inch = _METRIC.search(text), _INCH.search(text)
    if metric:
        width, aspect, rim = float(metric[1]) / 1e3, float(metric[2]), float(metric[3]) * 0.0254
        if 25 <= aspect <= 100:
            return tyre_diameter(width, aspect, rim), metric[0], (entry.entry.index,), (width, aspect, rim)
    if inch:
        return float(inch[1]) * 0.0254, inch[0], (entry.entry.index,), None
    return None


def speeds(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Diameter of the tyre, and road speed in the highest gear at the limit, with all gears in the sentence."""
    found, axle = tyre(job), single(job, "axle")
    gears = [m for r in job.readings if r.test == "gears" and (m := of_reading(r)) is not None]
    if found is not None and found[3] is not None:
        width, aspect, rim = found[3]
        yield number(
            job, "tyre_diameter", GROUP, "Free diameter of the tyre",
            [Fed("width_mm", width, f"{width * 1e3:.0f} mm", found[2]), Fed("aspect_percent", aspect, f"{aspect:g} %",
             found[2]), Fed("rim_in", rim, f"{rim / 0.0254:g} in", found[2])],
            lambda did: in_unit(job, did.result["diameter_mm"] * 1e-3, "length", count=4),
            "Unloaded; it rolls 2 to 4 % smaller.",
        )  # fmt: skip
    lacking = [w for there, w in ((found, "the tyre ('tyre: 205/55-16')"), (axle, "the axle ('axle: 4.10')"),
                                  (gears, "the gears ('gears: 3.4 1.9 1.3 1.0')")) if not there]  # fmt: skip
    if lacking:
        if len(lacking) < 3:
            yield missing("road_speed", GROUP, "Road speed by gear", f"add {listed(lacking)}")
        return
    assert found is not None and axle is not None
    yield _road(job, found[0] * _ROLLING, found[2], gears, axle)
    yield _cruise(job, found[0] * _ROLLING, found[2], gears, axle)


def _road(job: Job, rolling: float, tyre_entries: tuple[int, ...], gears: list[Measure], axle: Measure) -> Number:
    limit = single(job, "rev limit")
    rpm = (
        Fed("rpm", limit.value, limit.text, limit.entries)
        if limit
        else assumed("rpm", _CRUISE_RPM, f"{_CRUISE_RPM:.0f} rpm")
    )
    top = min(gears, key=lambda m: m.value)
    each = [road_speed(rpm.value, g.value, axle.value, rolling).speed_m_s for g in gears]
    words = ", ".join(f"{n}: {in_unit(job, v, 'speed')}" for n, v in enumerate(each, start=1))

    def sentence(did: Did) -> str:
        return f"By gear at {rpm.text} {words}. No slip; air and power may not allow the last ones."

    return number(
        job, "road_speed", GROUP, f"Road speed in the highest gear at {rpm.text}",
        [rpm, Fed("gear_ratio", top.value, top.text, top.entries, top.u),
         Fed("axle_ratio", axle.value, axle.text, axle.entries, axle.u),
         Fed("rolling_diameter_m", rolling, f"{rolling * 1e3:.0f} mm (3 % under the free diameter)", tyre_entries,
             0.01 * rolling)],
        lambda did: in_unit(job, did.result["speed_km_h"] / 3.6, "speed", did.u.get("speed_km_h", 0.0) / 3.6), sentence,
    )  # fmt: skip


def _cruise(job: Job, rolling: float, tyre_entries: tuple[int, ...], gears: list[Measure], axle: Measure) -> Number:
    top = min(gears, key=lambda m: m.value)
    speed, shown = (65 * 0.44704, "65 mph") if job.units == "us" else (100 / 3.6, "100 km/h")
    return number(
        job, "road_rpm", GROUP, f"Revs at {shown} in the highest gear",
        [assumed("speed_mph", speed, shown), fed("gear_ratio", top), fed("axle_ratio", axle),
         Fed("rolling_diameter_m", rolling, f"{rolling * 1e3:.0f} mm (3 % under the free diameter)", tyre_entries,
             0.01 * rolling)],
        lambda did: f"{did.result['rpm']:.0f} rpm", "Without slip; an unlocked automatic turns 100 to 300 rpm more.",
    )  # fmt: skip


def joints(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Speed variation of each cross joint, and whether two of them cancel."""
    found = [(r.subject, m) for r in job.readings if r.test == "joint angle" and (m := of_reading(r)) is not None]
    latest = dict(found)
    values = [m.value for m in latest.values()]
    apart = max(values) - min(values) if len(values) > 1 else 0.0
    for name, measure in latest.items():
        words = "Two joints cancel only with equal angles and yokes in phase."
        if len(values) > 1:
            words = f"The joints differ by {figures(apart, 2)}°: " + (
                "more than the 1° of common practice, so they do not cancel."
                if apart > 1
                else "within the 1° of common practice; they cancel with the yokes in phase."
            )
        yield number(
            job, "ujoint_speed_variation", GROUP, f"Speed variation of joint {name}".rstrip(),
            [Fed("joint_angle_deg", measure.value, measure.text, measure.entries, measure.u)],
            lambda did: percent(did.result["peak_to_peak_fraction"], did.u.get("peak_to_peak_fraction", 0.0)), words,
            out=measure.value > 3 or apart > 1,
        )  # fmt: skip
