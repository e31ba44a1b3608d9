"""Bolts tightened in stages: 'head bolts 20 Nm, 40 Nm, then 90 deg' as an entry for each stage."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Candidate, Context

_TORQUE = ("lbft", "lbin", "Nm")
_ANGLE = ("deg", "degree", "degrees", "degs", "grad", "dg", "°")
_PASSED_OVER = frozenset({"steps", "step", "stages", "stage", "bolts", "bolt", "torque", "torqued", "tightened"})


def stages(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """One line for each stage; none where the line is about anything else, or where one number is no stage."""
    where = next((q for t in found for q in t.all_of("qual") if q in frames()["angle"].qual), "")
    numbers = [i for i, t in enumerate(found) if t.number]
    if not where or not numbers or found[0].number:
        return []
    units = [_unit(found, i) for i in numbers]
    if not {"deg", *_TORQUE} & set(units) or any(_is_else(found, i) for i in range(len(found)) if i not in numbers):
        return []
    usual = next((u for u in units if u in _TORQUE), "")
    lines: list[str] = []
    counted = ""
    for i, unit in zip(numbers, units, strict=True):
        number = found[i].number
        behind = found[i + 1].key if i + 1 < len(found) else ""
        if number is None or number.low != number.high or number.low <= 0:
            return []
        if behind in ("steps", "stages"):
            counted = f" ({number.text} {behind})"
            continue
        if unit == "deg":
            lines.append(f"angle {where}: all {number.text.lstrip('+')} deg")
        else:
            lines.append(f"torque {where}: all {number.text.lstrip('+')} {unit or usual}".rstrip())
    if counted and lines:
        lines[-1] += counted
    if len(lines) < 2 and not counted and not any(said.startswith("angle") for said in lines):
        return []  # one torque is what the frames read
    brackets = [t.text for t in found if t.sort == "bracket"]
    if brackets:
        lines[-1] += f" ({', '.join(brackets)})"
    return [Candidate(tuple(lines), 0.1)]


def _unit(found: Sequence[Token], at: int) -> str:
    behind = found[at + 1] if at + 1 < len(found) else None
    if behind is None:
        return ""
    if behind.key in _ANGLE or behind.text == "°":
        return "deg"
    return next((u for u in behind.all_of("unit") if u in _TORQUE), "")


def _is_else(found: Sequence[Token], at: int) -> bool:
    """Whether a word says more than where, how much and that it was tightened."""
    token = found[at]
    if token.sort in ("sign", "bracket") or token.key in _PASSED_OVER or token.key in _ANGLE:
        return False
    if token.says("irreal", "doubt", "place", "now", "money"):
        return True
    return not (token.says("qual", "unit", "fill", "link", "sep") or "torque" in token.all_of("kind"))
