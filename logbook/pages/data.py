"""``data.json``: what a job says, for programs. Keys never change meaning; ``data.schema.json`` documents them."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from importlib import resources

from logbook.diagnosis.answers import (
    Cause,
    CylinderAnswer,
    Diagnosis,
    EntryWeight,
    PartAnswer,
    SharedAnswer,
    Step,
)
from logbook.findings.model import Input, Number
from logbook.job.model import Job, JobEntry, Part, Photo, Place, Reading
from logbook.pages.account import account
from logbook.pages.next_step import own_cautions, waits_for, written
from logbook.pages.repair import Repair, repairs
from logbook.units import UNITS

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
        "next": [_step(job, step) for step in diagnosis.next],
        "check_again": _named((c.entry for c in diagnosis.check_again), anchors),
        "days": [{"day": d.day.isoformat(), "title": d.title} for d in job.days if d.day],
        "entries": [_entry(e) for e in job.entries if e.entry.index in anchors],
        "readings": [_reading(r, anchors) for r in job.readings if r.entry in anchors and not (public and r.private)],
        "parts": [_part(job, part, anchors) for part in job.parts],
        "photos": [_photo(p, anchors) for p in job.photos if p.entry in anchors and not (public and p.private)],
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
        "parts": [_verdict(part, anchors) for part in answer.parts] if answer else [],
        "causes": [_cause(cause, anchors) for cause in answer.causes] if answer else [],
        "several": answer.several if answer else 0.0,
    }


def _verdict(part: PartAnswer, anchors: Anchors) -> Json:
    """A part, with the chance that at least one of its faults is there, and these beneath."""
    return {
        "what": part.what,
        "part": part.part or None,
        "place": {"engine": part.place.engine, "cylinder": part.place.cylinder} if part.place else None,
        "probability": part.probability,
        "faults": [_cause(cause, anchors) for cause in part.faults],
    }


def _cause(cause: Cause, anchors: Anchors) -> Json:
    return {
        "fault": cause.fault,
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
    return {
        "fault": answer.fault,
        "cause": answer.label,
        "cylinders": list(answer.cylinders),
        "probability": answer.probability,
    }


def _entry(found: JobEntry) -> Json:
    entry = found.entry
    return {
        "entry": found.anchor,
        "day": entry.day.isoformat() if entry.day else None,
        "kind": entry.kind,
        "line": found.line_text,
    }


def _reading(reading: Reading, anchors: Anchors) -> Json:
    """A value as written; ``value`` is null where it is a word, a range or a bound."""
    quantity = reading.value.quantity
    exact = quantity is not None and quantity.low == quantity.high and not quantity.bound
    unit = UNITS.get(quantity.unit) if quantity else None
    return {
        "kind": reading.test,
        "qualifiers": list(reading.qualifiers),
        "at": reading.slot or reading.subject,
        "cylinder": reading.place.cylinder if reading.place else None,
        "part": reading.part or None,
        "value": float(quantity.low) if quantity and exact else None,
        "low": float(quantity.low) if quantity and quantity.bound != "under" else None,
        "high": float(quantity.high) if quantity and quantity.bound != "over" else None,
        "unit": (unit.symbol or unit.name) if unit else None,
        "word": reading.value.word or None,
        "doubted": reading.value.doubted,
        "conditions": [c.text for c in reading.conditions],
        "proof": reading.proved,
        "counts": reading.counts,
        "entry": anchors[reading.entry],
    }


def _part(job: Job, part: Part, anchors: Anchors) -> Json:
    """A part with its trail: where it stood, from which entry to which; null: from the beginning, until now."""
    stays = sorted((s for s in job.stays if s.part == part.id), key=lambda s: s.since)
    trail = [
        {
            "engine": s.place.engine,
            "cylinder": s.place.cylinder,
            "since": anchors.get(s.since),
            "until": anchors.get(s.until) if s.until is not None else None,
            "still": s.until is None,
        }
        for s in stays
    ]
    return {"part": part.id, "kind": part.kind, "name": part.name, "donor": part.donor or None, "trail": trail}


def _photo(photo: Photo, anchors: Anchors) -> Json:
    name = photo.shown or photo.file
    return {"kind": photo.kind, "file": name, "caption": photo.caption, "entry": anchors[photo.entry]}


def _step(job: Job, step: Step) -> Json:
    return {
        "test": step.test,
        "subject": step.subject,
        "minutes": step.minutes,
        "information": step.information,
        "outcomes": [
            {"word": o.word, "probability": o.probability, "means": o.means, "write": written(step, o) or None}
            for o in step.outcomes
        ],
        "write": step.to_write or None,
        "tool_missing": waits_for(job, step) or None,
        "cautions": [*step.cautions, *own_cautions(job)],
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
