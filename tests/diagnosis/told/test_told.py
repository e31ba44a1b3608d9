"""Jobs as they were told, with the answer that an experienced mechanic gives after each line.

Who says so: common practice, no source.

``README.md`` beside this file says what each key means.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis
from logbook.diagnosis.diagnose import diagnose
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

HERE = Path(__file__).parent
KNOWLEDGE = HERE.parents[2] / "logbook" / "diagnosis" / "tables"
NAMES: dict[str, dict[str, list[str]]] = tomllib.loads((HERE / "names.toml").read_text(encoding="utf-8"))
CASES: dict[str, dict[str, Any]] = {
    path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted((HERE / "cases").glob("*.toml"))
}
LEVELS = {"open": (0.0, 0.80), "leaning": (0.50, 1.01), "sure": (0.85, 1.01)}
UNLIKELY_BELOW = 0.15


def rows(names: list[str]) -> set[str]:
    """Rows of the knowledge that plain names and groups stand for."""
    everything = list(NAMES["cause"])
    plain = [one for name in names for one in (everything if name == "any" else NAMES["group"].get(name, [name]))]
    return {row for name in plain for row in NAMES["cause"][name]}


def told_until(case: dict[str, Any], step: int) -> Job:
    """The job with everything up to and with this step."""
    lines = [case["card"].strip(), "", "2026-01-05", *(s["line"] for s in case["step"][: step + 1]), ""]
    return build(read("told.txt", "\n".join(lines).encode()))


def causes_of(answer: CylinderAnswer) -> list[Cause]:
    """All its causes, those ruled out too, most probable first."""
    return sorted((*answer.causes, *answer.ruled_out), key=lambda c: -c.probability)


def came_later(answer: CylinderAnswer, job: Job, cause: Cause) -> bool:
    """A fault of a part that was not there when the trouble was: no cause of the complaint."""
    return bool(cause.part) and job.part(cause.part).home != answer.place and job.part(cause.part).kind == "injector"


def share(answer: CylinderAnswer, found: Diagnosis, wanted: set[str], job: Job) -> float:
    """Probability of these rows together in this cylinder; a shared answer's where it is greater."""
    own = sum(c.probability for c in causes_of(answer) if c.fault in wanted and not came_later(answer, job, c))
    shared = [s.probability for s in found.shared if s.fault in wanted and answer.place.cylinder in s.cylinders]
    return max([min(1.0, own), *shared])


def faults_with(job: Job, found: Diagnosis, case: dict[str, Any], step: dict[str, Any]) -> Iterator[str]:
    """What does not agree with the mechanic of a cylinder, in words."""
    if "lead" not in step:
        return
    answer = next((a for a in found.cylinders if a.place.cylinder == case["cylinder"]), None)
    if answer is None:
        yield f"no answer for cylinder {case['cylinder']}"
        return
    ranked = causes_of(answer)
    first, wanted = ranked[0], rows(step["lead"])
    seen = ", ".join(f"{c.fault} {c.part or c.place} {c.probability:.3f}" for c in ranked[:4])
    sharer = next((s for s in found.shared if s.probability > first.probability), None)
    if first.fault not in wanted and not (sharer and sharer.fault in wanted):
        yield f"leads: {seen}; wanted one of {step['lead']}"
    if "sure" in step:
        low, high = LEVELS[step["sure"]]
        if share(answer, found, wanted, job) < low:
            yield f"not {step['sure']}: {seen}; together {share(answer, found, wanted, job):.3f}"
        if max(c.probability for c in ranked) >= high:
            yield f"more than {step['sure']}: {seen}"
    if "part" in step and (not first.part or job.part(first.part).name != step["part"]):
        yield f"leads: {seen}; wanted it in the part '{step['part']}'"
    if "place" in step and step["place"] not in ({first.place.cylinder} if first.place else set(first.cylinders)):
        yield f"leads: {seen}; wanted it at {step['place']}"
    for name in step.get("unlikely", []):
        if share(answer, found, rows([name]), job) >= UNLIKELY_BELOW:
            yield f"'{name}' at {share(answer, found, rows([name]), job):.3f}, should be unlikely: {seen}"
    for name in step.get("never", []):
        if any(c.fault in rows([name]) for c in ranked):
            yield f"'{name}' is named on an engine that has no such thing"
    if step.get("several") and answer.several < 0.5:
        yield f"several causes at {answer.several:.3f}: {seen}"
    if step.get("intermittent") and answer.intermittent != step["intermittent"]:
        yield f"intermittent is '{answer.intermittent}', wanted '{step['intermittent']}'"


def faults_of_engine(found: Diagnosis, step: dict[str, Any]) -> Iterator[str]:
    """The same of a case that asks of the whole engine: its causes are the shared ones."""
    ranked, wanted = list(found.shared), rows(step.get("lead", ["any"]))
    seen = ", ".join(f"{c.fault} {c.probability:.3f}" for c in ranked[:4])
    low, high = LEVELS[step.get("sure", "open")]
    if "lead" in step and (not ranked or ranked[0].fault not in wanted):
        yield f"leads: {seen}; wanted one of {step['lead']}"
    if "sure" in step and sum(c.probability for c in ranked if c.fault in wanted) < low:
        yield f"not {step['sure']}: {seen}"
    if "sure" in step and max((c.probability for c in ranked), default=0.0) >= high:
        yield f"more than {step['sure']}: {seen}"
    for name in step.get("unlikely", []):
        if sum(c.probability for c in ranked if c.fault in rows([name])) >= UNLIKELY_BELOW:
            yield f"'{name}' should be unlikely: {seen}"


def faults_around(job: Job, found: Diagnosis, step: dict[str, Any]) -> Iterator[str]:
    """Of what is said beyond one cylinder: shared causes, the next step, what to look at again."""
    if "shared" in step and not any(s.fault in rows([step["shared"]]) and s.odds > 1 for s in found.shared):
        yield f"shared: {[(s.fault, round(s.probability, 3), s.odds) for s in found.shared]}; wanted {step['shared']}"
    if "next" in step:
        first = found.next[0].log_as if found.next else "nothing"
        if not first.startswith(tuple(step["next"])):
            yield f"next: {[(s.log_as, round(s.rate, 4)) for s in found.next[:4]]}; wanted one of {step['next']}"
    if "check_again" in step:
        kinds = [job.entries[c.entry].entry.kind for c in found.check_again]
        if step["check_again"] not in kinds:
            yield f"check again: {kinds}; wanted {step['check_again']}"


@pytest.mark.parametrize("name", CASES)
def test_told(name: str) -> None:
    case, wrong = CASES[name], []
    for i, step in enumerate(case["step"]):
        job = told_until(case, i)
        assert not [p for p in job.problems if p.weight == "error"], (step["line"], job.problems)
        if step.get("silent"):
            continue
        found = diagnose(job)
        own = faults_with(job, found, case, step) if "cylinder" in case else faults_of_engine(found, step)
        for fault in (*own, *faults_around(job, found, step)):
            wrong.append(f"after '{step['line']}': {fault}")
    assert not wrong, "\n".join([case["title"], *wrong])


def test_every_cause_is_told_at_least_once() -> None:
    """Each plain name is an answer by name, not only by a group; each plain name means rows of the tables."""
    answers = {name for c in CASES.values() for s in c["step"] for name in s.get("lead", [])}
    faults = tomllib.loads((KNOWLEDGE / "faults.toml").read_text(encoding="utf-8"))
    assert set(NAMES["cause"]) <= answers
    assert {row for rows_ in NAMES["cause"].values() for row in rows_} <= set(faults)
    assert len(CASES) >= 30
