"""Short logs whose meaning hangs on what stood before: what must be known at their ends."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

HERE = Path(__file__).resolve().parent / "jottings" / "context.txt"
LEFT_TO_OTHERS = frozenset({"never", "say", "unplugged", "standing"})  # judged by the diagnosis and its pages


def logs() -> list[tuple[str, str, list[dict[str, Any]]]]:
    found = []
    for block in HERE.read_text(encoding="utf-8").split("\n=== ")[1:]:
        name, _, rest = block.partition("\n")
        text, _, more = rest.partition("--- must hold\n")
        facts = [json.loads(line) for line in more.partition("--- why")[0].strip().split("\n")]
        found.append((name, text, facts))
    return found


@pytest.mark.parametrize(
    ("name", "text", "facts"), logs(), ids=lambda x: x if isinstance(x, str) and len(x) < 60 else ""
)
def test_what_must_hold(name: str, text: str, facts: list[dict[str, Any]]) -> None:
    job = build(read("context.txt", text.encode()))
    assert not [f"{fact}: {said}" for fact in facts if (said := wrong(fact, job))]


def wrong(fact: dict[str, Any], job: Job) -> str:
    """What the job says instead of one fact; '' where the fact holds."""
    if LEFT_TO_OTHERS & set(fact):
        return ""
    if "cylinder" in fact:
        until = next((e.entry.index for e in job.entries if e.line_text.startswith(fact.get("after", "?"))), 10**6)
        said = state(job, fact["cylinder"], until)
        return "" if said == fact["state"] or (fact["state"] == "not known" and fact.get("or")) else said
    if "is" in fact or "origin" in fact:
        return part(fact, job)
    for kind in ("got", "spent"):
        if kind in fact:
            total = sum(float(t.amount or 0) for t in job.trades if t.kind == kind)
            return "" if abs(total - fact[kind]) < 0.01 else str(total)
    if "hours" in fact:
        total = sum(float(t.amount or 0) for t in job.trades if t.kind == "hours")
        return "" if abs(total - fact["hours"]) < 0.01 else str(total)
    if "at" in fact:
        return reading(fact, job)
    return ""


def state(job: Job, cylinder: int, until: int) -> str:
    said = "not known"
    for r in sorted(job.readings, key=lambda r: r.step):
        if r.test not in ("firing", "cut-out") or r.place is None or r.place.cylinder != cylinder or r.entry > until:
            continue
        if not r.counts or r.value.doubted:
            continue
        if r.value.quantity is not None:
            said = "dead" if r.value.quantity.high == 0 else "fires"
        else:
            said = {"none": "dead", "ok": "fires"}.get(r.value.word, r.value.word)
    return said


def part(fact: dict[str, Any], job: Job) -> str:
    if "at" not in fact:
        return ""  # on the shelf: the ledger of parts has its own tests
    names = {p.id: p for p in job.parts}
    stands = [
        names[s.part]
        for s in job.stays
        if s.until is None and s.place.cylinder == fact["at"] and names[s.part].kind == fact["part"]
    ]
    if len(stands) != 1:
        return f"{len(stands)} parts"
    if "origin" in fact:
        return "" if stands[0].origin == fact["origin"] else stands[0].origin
    return "" if stands[0].name == fact["is"] else stands[0].name


def reading(fact: dict[str, Any], job: Job) -> str:
    test = next(k for k in fact if k in ("pulse", "compression", "plug look"))
    found = [r for r in job.readings if r.test == test and r.place and r.place.cylinder == fact["at"] and r.counts]
    if fact[test] == "not known":
        return "" if not found else str(found[-1].value)
    if not found:
        return "not known"
    value = found[-1].value
    if isinstance(fact[test], str):
        return "" if fact[test] in (value.word, *value.remark_words) else value.word
    return "" if value.quantity and float(value.quantity.low) == fact[test] else str(value)
