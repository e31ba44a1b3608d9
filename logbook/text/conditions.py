"""What stands behind '@': numbers with their unit, or words."""

from __future__ import annotations

from decimal import Decimal

from logbook.spans import Span
from logbook.text.clauses import Item, split_items
from logbook.text.entries import Condition
from logbook.text.lexing import Token
from logbook.text.numbers import ABOUT, BOUNDS, Measure, ValueReader
from logbook.text.state import State
from logbook.text.unread import Unread
from logbook.text.vocabulary import unit_spellings, units_spelt

_MORE_UNITS = {"mm2": "area", "mm²": "area", "sqmm": "area", "awg": "gauge"}  # widths of a wire: no unit of the table
_CUT_OUT = frozenset({"cut", "cutout", "cut-out", "unplugged", "off", "disabled", "disconnected", "dead"})
_MOST_MINUTES = Decimal(600)


def read_conditions(group: list[Token], state: State) -> tuple[Condition, ...]:
    """All conditions; one that cannot be read is told and left out."""
    found = []
    for item in split_items(group):
        try:
            found.append(_condition(item, state))
        except Unread as fault:
            state.tell(fault)
    return tuple(found)


def _condition(item: Item, state: State) -> Condition:
    text = " ".join(state.text[item.start : item.end].split())
    at = (
        1
        if item.tokens and (item.tokens[0].text.casefold() in ABOUT or item.tokens[0].text.casefold() in BOUNDS)
        else 0
    )
    first = item.tokens[at] if at < len(item.tokens) else None
    if first is None or first.kind != "number":
        if more := _another_reading(item.tokens):
            said = state.text[more : item.end]
            raise Unread(318, Span(more, item.end), f"'{said}' is a reading of its own.", "put a comma before it")
        return Condition(item.span, text, None, _words(item.tokens))
    unit = _unit(item.tokens, _number_end(item.tokens, at), state)
    if not unit:
        rest = [t for t in item.tokens[at + 1 :] if t.kind == "word"]
        if not rest:
            # a number that is no number (12,4) gets its own fault
            ValueReader(item.tokens, at, Measure((), ("count",), "count"), state.normal).read()
            raise Unread(
                318,
                item.span,
                f"'@ {text}' of what?",
                f"write its unit: '@ {text} rpm', '@ {text} psi', '@ {text} min'",
            )
        said_off = _CUT_OUT & {"".join(t.text.casefold() for t in rest)} and first.text.isdigit()
        if (
            not said_off
            and rest[0].text.casefold() not in _MORE_UNITS
            and not (rest[0].glued and len(rest[0].text) == 2)
        ):
            fault = Unread(
                319,
                Span(rest[0].start, rest[0].end),
                f"'{text}' has no unit that is known; it is kept as words.",
                "write a unit of the table, or the words alone",
            )
            fault.near = unit_spellings()
            state.tell(fault)
        return Condition(item.span, text, None, _words(item.tokens))
    reader = ValueReader(item.tokens, 0, Measure((), (unit,), "?"), state.normal)
    value = reader.read()
    if unit == "time" and value.quantity and value.quantity.unit == "min" and value.quantity.low > _MOST_MINUTES:
        raise Unread(
            310, item.span, f"'{text}': minutes, or the least?", "write a time in minutes, or the speed in rpm"
        )
    return Condition(item.span, text, value.quantity, _words(item.tokens[reader.at :]))


def _another_reading(found: list[Token]) -> int:
    """Where 'rest and 10.6 volts while cranking' goes on to another reading; 0 where it does not."""
    for joint, number, unit in zip(found, found[1:], found[2:], strict=False):
        measures = {u.dimension for u in units_spelt(unit.text)} & _READ
        if joint.text.casefold() in ("and", "&") and number.kind == "number" and measures:
            return number.start
    return 0


_READ = frozenset({"volt", "ohm", "amp", "pressure"})


def _number_end(found: list[Token], at: int) -> int:
    """Index behind '900', '900-950', '60:15'."""
    at += 1
    if at + 1 < len(found) and found[at].text in ("-", "..", "to", "±", "+-", "+/-") and found[at + 1].kind == "number":
        return at + 2
    return at


def _unit(found: list[Token], at: int, state: State) -> str:
    """Dimension of the unit at ``at``; '' where there is none."""
    for length in (4, 3, 2, 1):
        group = found[at : at + length]
        if len(group) < length or any(t.kind in ("number", "bracket") for t in group):
            continue
        written = " ".join(state.normal[group[0].start : group[-1].end].split())
        units = units_spelt(written)
        if units:
            return units[0].dimension
    return ""


def _words(found: list[Token]) -> tuple[str, ...]:
    return tuple(t.text.casefold() for t in found if t.kind in ("word", "path"))
