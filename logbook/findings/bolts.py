"""Bolts whose size is written behind @: stress area, the preload that a torque stands for, and the stretch of it."""

from __future__ import annotations

import math
import re
import statistics
from collections.abc import Iterator
from dataclasses import dataclass

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.making import Did, Fed, fed, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, TestSet, sets
from logbook.findings.model import Number
from logbook.findings.saying import figures, in_unit, with_spread
from logbook.formulas.fasteners import bolt_stress_area
from logbook.job.model import Job

GROUP = "build"
_METRIC = re.compile(r"\bM\s?([0-9]{1,2})\s*[x×]\s*([0-9](?:\.[0-9]+)?)\b", re.I)
_INCH = re.compile(r"(?<![0-9/.])([0-9]{1,2})/([0-9]{1,2})\s*-\s*([0-9]{1,2})\b")
_GRADE = re.compile(r"\b(?:grade|class)?\s*(4\.6|5\.8|8\.8|9\.8|10\.9|12\.9|grade [258])\b", re.I)
_NUT_FACTORS = (("moly", 0.12), ("oil", 0.165), ("dry", 0.20), ("plain", 0.20))  # Shigley Table 8-15, from memory
_SCATTER = 0.14  # standard uncertainty of preload at a given torque, ± 27 % in all: Shigley, from memory


@dataclass(frozen=True, slots=True)
class Thread:
    nominal_m: float
    pitch_m: float | None
    per_inch: float | None
    text: str

    def feeds(self, entry: int) -> list[Fed]:
        first = Fed("nominal_mm", self.nominal_m, self.text, (entry,))
        if self.pitch_m is not None:
            return [first, Fed("pitch_mm", self.pitch_m, f"{self.pitch_m * 1e3:g} mm", (entry,))]
        return [first, Fed("threads_per_in", self.per_inch, f"{self.per_inch:g} to the inch", (entry,))]

    @property
    def area_m2(self) -> float:
        return bolt_stress_area(self.nominal_m, self.pitch_m, self.per_inch)


def thread_of(test: TestSet) -> Thread | None:
    """The size among the conditions: 'M11x1.5' or 'thread 7/16-14'."""
    for condition in test.conditions:
        metric, inch = _METRIC.search(condition.text), _INCH.search(condition.text)
        if metric:
            return Thread(float(metric[1]) / 1e3, float(metric[2]) / 1e3, None, metric[0])
        if inch and int(inch[2]) > 0:
            return Thread(int(inch[1]) / int(inch[2]) * 0.0254, None, float(inch[3]), inch[0])
    return None


def preload(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """For the last torque of each kind of bolt with a size: area, preload, and stretch where the length is written."""
    for test in _last(job):
        thread = thread_of(test)
        if thread is None or not test.measures:
            continue
        what = " ".join((*test.qualifiers, "bolts"))
        yield number(
            job, "bolt_stress_area", GROUP, f"Stress area of the {what}", thread.feeds(test.entry),
            lambda did: f"{figures(did.result['stress_area_mm2'])} mm²", "What carries the load in the thread.",
        )  # fmt: skip
        factor = next((k for word, k in _NUT_FACTORS if test.said(word)), 0.20)
        torque = statistics.median(m.value for m in test.measures)
        force = torque / (factor * thread.nominal_m)
        yield _preload(job, test, thread, factor, force, what)
        yield from _by_grade(job, test, thread, what)
        length = test.condition("length")
        if length is not None and thread.pitch_m is not None:
            yield from _by_angle(job, test, thread, length, what)
        if length is not None:
            yield _stretch(job, test, thread, force, length, what)


def _by_grade(job: Job, test: TestSet, thread: Thread, what: str) -> Iterator[Number]:
    grade = next((m[1] for c in test.conditions if (m := _GRADE.search(c.text))), None)
    if grade is None:
        return
    yield number(
        job, "bolt_strength", GROUP, f"Strength of the {what}",
        [Fed("grade", grade, grade, (test.entry,)),
         Fed("area_mm2", thread.area_m2, f"{figures(thread.area_m2 * 1e6)} mm²", (test.entry,))],
        lambda did: f"{figures(did.result['proof_kn'])} kN proof load",
        lambda did: f"Customary preload of a joint that is opened again: {figures(did.result['usual_preload_kn'])} kN; "
        f"it breaks at {figures(did.result['tensile_kn'])} kN.",
    )  # fmt: skip


def _by_angle(job: Job, test: TestSet, thread: Thread, length: Measure, what: str) -> Iterator[Number]:
    angles = [m for s in sets(job, "angle", qualifiers=test.qualifiers) for m in s.measures]
    if not angles:
        return
    pitch = thread.pitch_m or 0.0
    area = Fed("area_mm2", thread.area_m2, f"{figures(thread.area_m2 * 1e6)} mm²", (test.entry,))
    yield number(
        job, "torque_angle_preload", GROUP, f"Stretch of the {what} by the angle",
        [fed("angle_deg", angles[-1]), Fed("pitch_mm", pitch, f"{pitch * 1e3:g} mm", (test.entry,)),
         fed("grip_mm", length), area],
        lambda did: in_unit(job, did.result["stretch_mm"] * 1e-3, "length"),
        "The most there can be: part of the angle squeezes the joint, and beyond yield the bolt pulls no harder.",
    )  # fmt: skip


def _last(job: Job) -> list[TestSet]:
    logs = [s for s in sets(job, "torque") if thread_of(s) is not None]
    return [[s for s in logs if s.qualifiers == w][-1] for w in dict.fromkeys(s.qualifiers for s in logs)]


def _preload(job: Job, test: TestSet, thread: Thread, factor: float, force: float, what: str) -> Number:
    share = force / thread.area_m2 / 1e6
    return number(
        job, "bolt_torque", GROUP, f"Preload that the torque of the {what} stands for",
        [assumed("nut_factor", factor, f"{factor:g}", 0.0, "usual for the finish written, or plain"),
         Fed("nominal_mm", thread.nominal_m, thread.text, (test.entry,)),
         Fed("preload_kn", force, f"{figures(force / 1e3)} kN (worked back)", (test.entry,), _SCATTER * force)],
        with_spread(force / 1e3, _SCATTER * force / 1e3, "kN"),
        f"{figures(share)} N/mm² in the thread. At a given torque the preload scatters by a quarter either way: torque "
        "is not tension.",
    )  # fmt: skip


def _stretch(job: Job, test: TestSet, thread: Thread, force: float, length: Measure, what: str) -> Number:
    measured = [m for s in sets(job, "stretch") if s.qualifiers == test.qualifiers for m in s.measures]
    read = statistics.median(m.value for m in measured) if measured else None

    def sentence(did: Did) -> str:
        if read is None:
            return "Measure the stretch to know the preload better than by torque."
        u = did.u.get("stretch_mm", 0.0) * 1e-3
        agree = abs(read - did.result["stretch_mm"] * 1e-3) <= 2 * math.hypot(u, measured[0].u)
        return f"Measured was {in_unit(job, read, 'length', measured[0].u)}: " + (
            "they agree." if agree else "they do not agree; trust the stretch, and look at threads and oil."
        )

    return number(
        job, "bolt_stretch", GROUP, f"Stretch of the {what}",
        [Fed("preload_kn", force, f"{figures(force / 1e3)} kN (from the torque)", (test.entry,), _SCATTER * force),
         Fed("grip_mm", length.value, length.text, length.entries, length.u),
         Fed("area_mm2", thread.area_m2, f"{figures(thread.area_m2 * 1e6)} mm²", (test.entry,))],
        lambda did: in_unit(job, did.result["stretch_mm"] * 1e-3, "length", did.u.get("stretch_mm", 0.0) * 1e-3),
        sentence,
    )  # fmt: skip
