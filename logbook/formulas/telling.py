"""The answers of ``logbook work`` as text and as JSON, and the list of what can be asked."""

from __future__ import annotations

import json
import math
from typing import Any

from logbook.formulas import registry
from logbook.formulas.asking import Asked
from logbook.formulas.keys import BOTH_SYSTEMS, ENDINGS, Ending
from logbook.formulas.refusals import (
    Refusal,
)
from logbook.formulas.rows import Input, Output, Row
from logbook.formulas.working import Taken


def as_json(asked: Asked) -> str:
    """``{"calculation", "inputs", "result", "warnings", "source"}``, ASCII."""
    worked = asked.worked
    told = {
        "calculation": worked.row.name,
        "inputs": {_key(t): t.value for t in worked.taken},
        "result": worked.result,
        "warnings": list(worked.warnings),
        "source": worked.row.source,
    }
    return json.dumps(told, default=str, allow_nan=False)


def _key(taken: Taken) -> str:
    ending = taken.ending
    if ending is None or not ending.text or taken.key.casefold() != taken.input.stem.casefold():
        return taken.key
    return f"{taken.input.stem}_{ending.text}"


def refusal_as_json(refusal: Refusal) -> str:
    """``{"error": {"field", "value", "limit"}}``, ASCII."""
    error = {"field": refusal.field, "value": _plain(refusal.value), "limit": refusal.limit}
    return json.dumps({"error": error}, default=str)


def _plain(value: Any) -> Any:
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return list(value) if isinstance(value, tuple) else value


def refusal_as_text(refusal: Refusal) -> str:
    if refusal.value is None:
        return f"{refusal.field}: {refusal.limit}"
    return f"{refusal.field} = {_visible(str(refusal.value))}: {refusal.limit}"


def _visible(text: str) -> str:
    return "".join(c if c.isprintable() else f"<U+{ord(c):04X}>" for c in text)


def as_text(asked: Asked) -> str:
    """Formula, inputs as understood, result in both unit systems with its spread, warnings, cautions, source."""
    worked = asked.worked
    row = worked.row
    lines = [row.title, f"  {row.formula}", "", "  with"]
    width = max((len(t.input.stem) for t in worked.taken), default=0)
    for taken in worked.taken:
        lines.append(f"    {taken.input.stem:<{width}}  {_understood(taken)}  ({taken.input.words})")
    lines.append("  gives")
    wide = max((len(_stem(o)) for o in row.outputs), default=0)
    lines += [f"    {name:<{wide}}  {shown}" for name, shown in _result_lines(asked)]
    lines += [f"  Doubt: {_visible(w)}." for w in worked.warnings]
    if row.caution:
        lines.append(f"  Mind: {row.caution}")
    lines.append(f"  Source: {row.source}")
    return "\n".join(lines)


def _understood(taken: Taken) -> str:
    ending, value = taken.ending, taken.value
    if isinstance(value, (list, tuple)):
        text = ", ".join(str(v) for v in value)
        return f"{text} {ending.shown}" if ending and ending.text else text
    if isinstance(value, bool):
        return "yes" if value else "no"
    if ending is None or isinstance(value, str):
        return _visible(str(value))
    shown = f"{value} {ending.shown}".strip()
    pair = BOTH_SYSTEMS.get(taken.input.dimension, ())
    others = [e for e in ENDINGS[taken.input.dimension] if e.text in pair and _differs(e, ending)]
    also = " = ".join(f"{figures(e.give(taken.inside))} {e.shown}" for e in others)
    return f"{shown} = {also}" if also else shown


def _differs(one: Ending, other: Ending) -> bool:
    return (one.factor, one.offset) != (other.factor, other.offset)


def _stem(output: Output) -> str:
    ending = output.ending
    return output.key[: -len(ending.text) - 1] if ending and ending.text else output.key


def _result_lines(asked: Asked) -> list[tuple[str, str]]:
    worked, lines, told = asked.worked, [], set()
    for output in worked.row.outputs:
        if output.key not in worked.result or (output.field and output.dimension and output.field in told):
            continue
        told.add(output.field)
        value = worked.result[output.key]
        told_in_unit = output.ending and isinstance(value, (float, int)) and not isinstance(value, bool)
        shown = _both(output, value) if told_in_unit else _any(value)
        u = asked.spreads.get(output.key, 0.0)
        if u:
            unit = output.ending.shown if output.ending else ""
            shown += f"   ± {figures(2 * u, 2)} {unit}".rstrip() + " (from the digits as written, k = 2)"
        lines.append((output.key if isinstance(value, bool) else _stem(output), shown))
    return lines


def _both(output: Output, value: float) -> str:
    own = output.ending
    assert own is not None
    inside = own.take(value)
    shown = [f"{figures(value)} {own.shown}".rstrip()]
    for ending in ENDINGS[output.dimension]:
        if ending.text in BOTH_SYSTEMS.get(output.dimension, ()) and _differs(ending, own):
            shown.append(f"{figures(ending.give(inside))} {ending.shown}")
    return " = ".join(shown)


def _any(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return ", ".join(_any(v) for v in value) or "none"
    return figures(value) if isinstance(value, float) else str(value)


def figures(value: float, count: int = 5) -> str:
    """``value`` to ``count`` figures, without exponent where it can be avoided and without minus zero.

    >>> figures(5732.97759), figures(0.0012345678), figures(-0.0)
    ('5733.0', '0.0012346', '0')
    """
    if value == 0:
        return "0"
    if not math.isfinite(value) or not 1e-6 <= abs(value) < 1e9:
        return f"{value:.{count}g}"
    decimals = max(0, count - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return "0" if float(text) == 0 else text


def card(row: Row) -> str:
    """What a calculation wants, for somebody who asks for it by name alone."""
    lines = [row.title, f"  {row.formula}", "", "  wants"]
    width = max((len(i.key) for i in row.inputs), default=0)
    for place in row.inputs:
        choice = [e.text for e in ENDINGS.get(place.dimension, ()) if e.text][:6]
        also = f"  [{place.dimension}: {', '.join(choice)}]" if len(choice) > 1 else ""
        left_out = "  (may be left out)" if place.optional else ""
        lines.append(f"    {place.key:<{width}}  {place.words}{also}{left_out}")
    lines.append(f"  gives {', '.join(o.key for o in row.outputs)}")
    lines += [f"  {name}: {text}" for name, text in (("Range", row.range), ("Mind", row.caution)) if text]
    lines.append(f"  Source: {row.source}")
    example = " ".join(_example(i) for i in row.inputs if not i.optional)
    return "\n".join([*lines, "", f"  logbook work {row.name} {example}"])


def _example(place: Input) -> str:
    if place.depth:
        return f"'{place.key}=[...]'"
    choice = [e.text for e in ENDINGS.get(place.dimension, ()) if e.text]
    return f"{place.stem}=...{choice[1] if len(choice) > 1 else ''}" if place.stem != place.key else f"{place.key}=..."


def listing(search: str = "") -> str:
    """Every calculation by subject, or those that hold the words of ``search``."""
    wanted = {row.name for row in registry.search(search)}
    lines: list[str] = []
    for subject, found in registry.subjects().items():
        shown = [row for row in found if row.name in wanted]
        if shown:
            lines += ["", subject.capitalize()] + [f"  {row.name:<32} {row.title}" for row in shown]
    if not lines:
        return f"No calculation speaks of {_visible(search)!r}. Leave the words out to see all."
    return "\n".join(lines[1:])
