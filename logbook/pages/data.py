"""``data.json``: what a job says, for programs. Keys never change meaning; ``data.schema.json`` documents them."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from importlib import resources

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis, EntryWeight, SharedAnswer, Step
from logbook.findings.model import Input, Number
from logbook.job.model import Job, Place
from logbook.pages.account import account
from logbook.pages.repair import Repair, repairs

FILE = "data.json"
SCHEMA = "data.schema.json"
CHECK_SCHEMA = "check.schema.json"  # of what 'check --as json' prints

Anchors = Mapping[int, str]
Json = dict[str, object]


def data_json(job: Job, diagnosis: Diagnosis, numbers: Iterable[Number]) -> bytes:
    """The file as bytes: ASCII, the same for the same job."""
    whole = job_data(job, diagnosis, numbers)
    return (json.dumps(whole, indent=1, allow_nan=False) + "\n").encode("ascii")


def schema_json(name: str = SCHEMA) -> bytes:
    """The JSON Schema (draft 2020-12) of this name, as it is written into the site."""
    return (resources.files("logbook.pages") / name).read_bytes()


def job_data(job: Job, diagnosis: Diagnosis, numbers: Iterable[Number]) -> Json:
    """What ``data.json`` holds. A private entry of a public copy has no anchor, so it is named nowhere."""
    public = job.copy == "public"
    anchors = {e.entry.index: e.anchor for e in job.entries if not (public and e.private)}
    return {
        "job": job.address,
        "standing": diagnosis.standing,
        "repairs": [_repair(job, repair, anchors) for repair in repairs(job)],
        "cylinders": _cylinders(diagnosis, anchors),
        "shared": [_shared(answer) for answer in diagnosis.shared],
        "next": [_step(step) for step in diagnosis.next],
        "check_again": _named((c.entry for c in diagnosis.check_again), anchors),
        "numbers": [_number(n, anchors) for n in numbers if not n.missing and not (public and n.private)],
    }


def _repair(job: Job, repair: Repair, anchors: Anchors) -> Json:
    """One round: what was done in sentences, each with its entries, and what proves it."""
    told = [
        {"text": said.text, "quoted": said.quoted, "entries": _named(said.entries, anchors)}
        for said in account(job, repair)
    ]
    return {
        "done": told,
        "proofs": _named(repair.proofs, anchors),
        "came_back": anchors.get(repair.came_back) if repair.came_back >= 0 else None,
    }


def _cylinders(diagnosis: Diagnosis, anchors: Anchors) -> list[Json]:
    """Every cylinder, those without trouble with no causes."""
    answers = {answer.place: answer for answer in diagnosis.cylinders}
    states = dict(diagnosis.states) | {p: a.state for p, a in answers.items()}
    return [_cylinder(place, states[place], answers.get(place), anchors) for place in sorted(states)]


def _cylinder(place: Place, state: str, answer: CylinderAnswer | None, anchors: Anchors) -> Json:
    return {
        "engine": place.engine,
        "cylinder": place.cylinder,
        "state": state,
        "causes": [_cause(cause, anchors) for cause in answer.causes] if answer else [],
        "several": answer.several if answer else 0.0,
    }


def _cause(cause: Cause, anchors: Anchors) -> Json:
    return {
        "cause": cause.label,
        "part": cause.part or None,
        "place": {"engine": cause.place.engine, "cylinder": cause.place.cylinder} if cause.place else None,
        "probability": cause.probability,
        "for": _weighed(cause.for_, anchors),
        "against": _weighed(cause.against, anchors),
    }


def _weighed(weights: Iterable[EntryWeight], anchors: Anchors) -> list[str]:
    """Anchors of the entries, the heaviest first."""
    return _named((w.entry for w in weights), anchors)


def _named(entries: Iterable[int], anchors: Anchors) -> list[str]:
    return [anchors[entry] for entry in dict.fromkeys(entries) if entry in anchors]


def _shared(answer: SharedAnswer) -> Json:
    return {"cause": answer.label, "cylinders": list(answer.cylinders), "probability": answer.probability}


def _step(step: Step) -> Json:
    return {
        "test": step.test,
        "subject": step.subject,
        "minutes": step.minutes,
        "information": step.information,
        "outcomes": [{"word": o.word, "probability": o.probability, "means": o.means} for o in step.outcomes],
        "cautions": list(step.cautions),
    }


def _number(number: Number, anchors: Anchors) -> Json:
    return {
        "calculation": number.calculation,
        "result": {key: plain(value) for key, value in number.result},
        "inputs": [_input(i, anchors) for i in number.inputs],
    }


def _input(given: Input, anchors: Anchors) -> Json:
    return {
        "sign": given.sign,
        "what": given.what,
        "value": given.value,
        "entries": _named(given.entries, anchors),
    }


def plain(value: object) -> object:
    """A value that JSON can hold: what is not a number becomes null."""
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, tuple):
        return [plain(v) for v in value]
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    return str(value)
