"""The answers of ``logbook work`` as text and as JSON, and the list of what can be asked."""

from __future__ import annotations

import json
import math
import shlex
from typing import Any

from logbook.formulas import registry
from logbook.formulas.asking import Asked, ask
from logbook.formulas.keys import BOTH_SYSTEMS, ENDINGS, Ending
from logbook.formulas.refusals import (
    Refusal,
)
from logbook.formulas.rows import Output, Row
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


def refusal_as_json(refusal: Refusal, command: str = "") -> str:
    """``{"error": {"field", "value", "limit", "command"}}``, ASCII; the command would be taken."""
    error = {"field": refusal.field, "value": _plain(refusal.value), "limit": refusal.limit, "command": command}
    return json.dumps({"error": error}, default=str)


def _plain(value: Any) -> Any:
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return list(value) if isinstance(value, tuple) else value


def refusal_as_text(refusal: Refusal, command: str = "") -> str:
    value = "" if refusal.value is None else f" = {_visible(str(refusal.value))}"
    more = f"\n  Try: {_visible(command)}" if command else ""
    return f"{refusal.field}{value}: {refusal.limit}{more}"


def _sentence(words: str) -> str:
    return words if words.endswith((".", "?")) else f"{words}."


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
    results = _result_lines(asked)
    wide = max((len(name) for name, _ in results), default=0)
    lines += [f"    {name:<{wide}}  {shown}" for name, shown in results]
    if asked.spreads and any(asked.spreads.values()):
        lines.append(f"  The spread is k = 2, from: {asked.spread_from}. Write your own as in 4.03+-0.01in.")
    lines += [f"  Doubt: {_sentence(_visible(w))}" for w in worked.warnings]
    if row.caution:
        lines.append(f"  Note: {row.caution}")
    lines.append(f"  Source: {row.source}")
    return "\n".join(lines)


def _understood(taken: Taken) -> str:
    ending, value = taken.ending, taken.value
    if isinstance(value, (list, tuple)):
        text = ", ".join(str(v) for v in value)
        return f"{text} {ending.shown}" if ending else text
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return _visible(", ".join(f"{k} {v:g}" for k, v in value.items()))
    if ending is None or isinstance(value, str):
        return _visible(str(value))
    shown = f"{value} {ending.shown}".strip()
    pair = BOTH_SYSTEMS.get(taken.input.dimension, ())
    others = [e for e in ENDINGS[taken.input.dimension] if e.text in pair and _differs(e, ending)]
    also = " = ".join(f"{figures(e.give(taken.inside))} {e.shown}" for e in others)
    return f"{shown} = {also}" if also else shown


def _differs(one: Ending, other: Ending) -> bool:
    return (one.factor, one.offset) != (other.factor, other.offset)


def label(row: Row, output: Output) -> str:
    """The name of a result without its unit, or its key where two results would have one name.

    >>> from logbook.formulas.registry import find
    >>> row = find("isentropic_compression_bound")
    >>> [label(row, o) for o in row.outputs]
    ['end_kpa_abs', 'end_k', 'mean_exponent', 'gauge']
    """
    name = _without_unit(output)
    others = {o.field for o in row.outputs if _without_unit(o) == name and (o.field != output.field or not o.field)}
    return output.key if others - {output.field} else name


def _without_unit(output: Output) -> str:
    """'torque' of torque_lbf_ft, 'o2_dry' of o2_percent_dry."""
    ending = output.ending
    if ending is None or not ending.text:
        return output.key.rstrip("_")
    if output.key.endswith("_" + ending.text):
        return output.key[: -len(ending.text) - 1]
    return output.key.replace(f"_{ending.text}_", "_")


def _result_lines(asked: Asked) -> list[tuple[str, str]]:
    """One line for each field of the answer: every unit of the row's own keys, then the other system's."""
    worked, groups = asked.worked, dict[str, list[Output]]()
    for output in worked.row.outputs:
        if output.key in worked.result:
            alone = output.dimension == "" or not output.field
            groups.setdefault(output.key if alone else output.field, []).append(output)
    lines = []
    for outputs in groups.values():
        first = outputs[0]
        value = worked.result[first.key]
        shown = _in_units(outputs, value, asked)
        u = asked.spreads.get(first.key, 0.0)
        if u:
            unit = first.ending.shown if first.ending else ""
            shown += f"   ± {figures(2 * u, 2)} {unit}".rstrip()
        lines.append((label(worked.row, first), shown))
    return lines


def _in_units(outputs: list[Output], value: Any, asked: Asked) -> str:
    first = outputs[0]
    own = first.ending
    if own is None or isinstance(value, (bool, str)):
        return f"{_any(value)} {_unit_of_value(first, asked)}".rstrip()
    endings = [o.ending for o in outputs if o.ending is not None]
    for ending in ENDINGS[first.dimension]:
        known = any(not _differs(ending, e) for e in endings)
        if ending.text in BOTH_SYSTEMS.get(first.dimension, ()) and not known:
            endings.append(ending)
    if isinstance(value, (list, tuple)):
        return f"{', '.join(_any(v) for v in value) or 'none'} {own.shown}".rstrip()
    inside = own.take(value)
    return " = ".join(f"{figures(e.give(inside))} {e.shown}".rstrip() for e in endings)


def _unit_of_value(output: Output, asked: Asked) -> str:
    """A result without a unit of its own: in the unit asked for, or in that of the flow that was given."""
    taken = {t.input.parameter: t for t in asked.worked.taken}
    if output.key == "value" and "to" in taken:
        return str(taken["to"].value)
    if output.dimension == "any flow":
        ending = next((t.ending for t in taken.values() if t.input.dimension == "any flow"), None)
        return ending.shown if ending is not None else ""
    return ""


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
    lines += [f"  {name}: {text}" for name, text in (("Range", row.range), ("Note", row.caution)) if text]
    lines.append(f"  Source: {row.source}")
    if row.example:
        answer = as_text(ask(row.name, shlex.split(row.example))).partition("\n  gives\n")[2]
        results = [line for line in answer.splitlines() if line.startswith("    ")]
        lines += ["", f"  For example: logbook work {row.name} {row.example}", *results]
    return "\n".join(lines)


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
    lines += ["", "Books and standards are cited from memory: confirm a figure before you build on it."]
    return "\n".join(lines[1:])
