"""The laws of the tables: checked when they are loaded, so that a shop's own file is told where it is wrong."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any

from logbook.diagnosis.engine_model import CONDITIONS, DEAD, DERIVED, WEAK
from logbook.diagnosis.knowledge import PART_SCOPES, SCOPES, Repair, Row, Swap, TestRow, Work

SOURCES = ("published: ", "common practice", "judgement")
MEASURES = (
    "", "value", "ratio", "excess", "centre", "log", "limit", "recovery", "dwell", "ohms", "volts", "thermistor",
)  # fmt: skip
_PROPOSAL = ("title", "why", "minutes", "write", "means")
_FAULT_KEYS = frozenset(
    {"scope", "base", "more", "needs", "repair", "raised_by", "raise", "comes", "grades", "label", "words"}
    | {"reason", "source"}
)  # fmt: skip


class TablesError(ValueError):
    """A table breaks a law; the message says which row, why, and what to write."""


def check(raw: Mapping[str, Any]) -> None:
    """Raises ``TablesError`` at the first broken law."""
    for where, wrong in _wrongs(raw):
        raise TablesError(f"{where}: {wrong}")


def _wrongs(raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    unknown = set(raw) - {"faults", "tests", "actions", "clues"}
    if unknown:
        yield ", ".join(sorted(unknown)), "not a table; there are faults, tests, actions, clues"
        return
    for table, kinds in (("faults", raw["faults"]), ("tests", raw["tests"]), ("clues", raw["clues"])):
        for name, row in kinds.items():
            yield from _named(f"{table}.{name}", row)
    for name, row in raw["faults"].items():
        yield from _fault(f"faults.{name}", row, raw)
    for name, row in raw["tests"].items():
        yield from _test(f"tests.{name}", row, raw)
    yield from _actions(raw["actions"], raw)
    for name, row in raw["clues"].items():
        for fault, odds in row["odds"].items():
            if fault not in raw["faults"] or not 0 < odds <= 100:
                yield f"clues.{name}", f"odds of {fault}: name a row of faults, and a factor of up to 100"
    yield from _signs(raw)
    yield from _ended(raw)


def _named(where: str, row: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    if not row.get("reason"):
        yield where, "no reason; say why in one sentence"
    if not str(row.get("source", "")).startswith(SOURCES):
        yield where, "source is 'published: ...', 'common practice' or 'judgement'"


def _fault(where: str, row: Mapping[str, Any], raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    if unknown := set(row) - _FAULT_KEYS:
        yield where, f"unknown key {sorted(unknown)[0]}"
    if row["scope"] not in SCOPES:
        yield where, f"scope is one of {', '.join(SCOPES)}"
    if not 0 < row["base"] < 0.5:
        yield where, "base is a chance between 0 and 0.5"
    if row["repair"] not in raw["actions"]["repair"]:
        yield where, f"repair {row['repair']} is no row of actions"
    if row.get("comes", "") not in ("", *raw["actions"]["comes"]):
        yield where, f"comes {row['comes']} is no row of [comes] in actions"
    if row.get("raised_by", "") not in ("", *raw["faults"]):
        yield where, f"raised_by {row['raised_by']} is no row of faults"
    if abs(sum(g["share"] for g in row["grades"]) - 1) > 1e-9:
        yield where, "the shares of its grades do not sum to 1"
    if any(set(g.get("under", {})) - set(CONDITIONS) for g in row["grades"]):
        yield where, f"under names a condition that is none of {', '.join(CONDITIONS)}"
    if not row["words"]:
        yield where, "no words that a 'cause' entry may name it by"


def _test(where: str, row: Mapping[str, Any], raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    if unknown := set(row) - {f.name for f in fields(TestRow)}:
        yield where, f"unknown key {sorted(unknown)[0]}"
    if row["at"] not in ("cylinder", "part", "bank", "engine"):
        yield where, "at is cylinder, part, bank or engine"
    if row.get("of", "") not in MEASURES:
        yield where, f"of is one of {', '.join(MEASURES[1:])}"
    words, rows = row.get("words", []), row["rows"]
    for i, r in enumerate(rows):
        yield from _test_row(f"{where} row {i + 1}", r, len(words))
    if rows[-1]["signs"] or any(not r["signs"] for r in rows[:-1]):
        yield where, "the last row, and only it, has no signs"
    for key in ("number", "alone", "off"):
        if len({key in r for r in rows}) > 1:
            yield where, f"{key} stands in all rows or in none"
    if not set(row.get("same", {}).values()) | set(row.get("only", [])) <= set(words):
        yield where, "'same' and 'only' name words of the test"
    if not set(row.get("hazards", [])) <= set(raw["actions"]["hazard"]):
        yield where, "a hazard is no row of [hazard] in actions"
    if "title" in row and not all(row.get(key) for key in _PROPOSAL):
        yield where, f"a proposal has {', '.join(_PROPOSAL)}"
    if not set(row.get("means", {})) <= set(words):
        yield where, "means names words of the test"


def _test_row(where: str, row: Mapping[str, Any], words: int) -> Iterator[tuple[str, str]]:
    if unknown := set(row) - {f.name for f in fields(Row)}:
        yield where, f"unknown key {sorted(unknown)[0]}"
    p = row.get("p", [])
    if len(p) != words or (p and (abs(math.fsum(p) - 1) > 1e-9 or min(p) <= 0)):
        yield where, "p has one chance above 0 for each word, summing to 1"
    for key in ("number", "alone", "off"):
        d = row.get(key)
        if d is not None and not (len(d) in (2, 3) and d[-1] > 0 and (len(d) == 2 or d[0] < d[1])):
            yield where, f"{key} is [centre, spread] or [low, high, edge]"


def _actions(actions: Mapping[str, Any], raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for table, cls in (("repair", Repair), ("swap", Swap)):
        for name, row in actions[table].items():
            yield from _named(f"actions.{table}.{name}", row)
            if set(row) - {f.name for f in fields(cls)} or not set(row["hazards"]) <= set(actions["hazard"]):
                yield f"actions.{table}.{name}", "an unknown key, or a hazard that is no row of [hazard]"
    for i, row in enumerate(actions["work"]):
        where = f"actions.work {i + 1}"
        yield from _named(where, row)
        if set(row) - {f.name for f in fields(Work)} or not set(row["faults"]) <= set(raw["faults"]):
            yield where, "an unknown key, or a fault that is no row of faults"
        if not 0 <= row["ends"] < 1 or not 0 <= row.get("breaks", 0.0) < 0.5:
            yield where, "ends and breaks are chances"
        if row["of"] not in ("parts", "places", "within", "engine"):
            yield where, "of is parts, places, within or engine"
    for name, row in actions["comes"].items():
        if {k for k, v in row.items() if isinstance(v, float)} != {"any", *CONDITIONS} - {"idle"}:
            yield f"actions.comes.{name}", "has a chance for any and each condition but idle"


def _signs(raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every sign that a fault raises is read by a test or says how a cylinder works, and the other way round."""
    grades = [g for f in raw["faults"].values() for g in f["grades"]]
    raised = {s for g in grades for s in (*g["signs"], *(s for under in g.get("under", {}).values() for s in under))}
    read = {s for t in raw["tests"].values() for r in t["rows"] for s in r["signs"]}
    for sign in sorted(raised - read - DEAD - WEAK):
        yield f"sign '{sign}'", "raised by a fault and read by no test"
    for sign in sorted(read - raised - DERIVED):
        yield f"sign '{sign}'", "read by a test and raised by no fault"


def _ended(raw: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every fault is ended by some action: a part by its exchange, the rest by work that the log can name."""
    ended = {f for w in raw["actions"]["work"] for f in w["faults"]} | set(raw["actions"]["unwritten"]["faults"])
    for name, row in raw["faults"].items():
        if row["scope"] not in PART_SCOPES and name not in ended:
            yield f"faults.{name}", "no work of actions ends it; add it there, or to [unwritten]"
