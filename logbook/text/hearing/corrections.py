"""Corrections in plain words: 'that was 5 not 3', 'scratch that'."""

from __future__ import annotations

import re
from datetime import timedelta

from logbook.text.hearing.framing import readings
from logbook.text.hearing.lexer import lex
from logbook.text.hearing.model import Candidate, Context

_YESTERDAY = re.compile(r"yesterday'?s?\s+", re.IGNORECASE)


_AGAIN = re.compile(
    r"(?:scratch|forget|redo)\b[^,]*\bswap\b[^,]*,?\s*it was\s+(\d+)\s*(?:and|with|&|,)\s*(\d+)\s*$", re.IGNORECASE
)


_MEANT = re.compile(r"(?:i\s+)?(?:meant|mean)\s+#?(?P<new>\d+)\s*,?\s+not\s+#?(?P<old>\d+)\s*$", re.IGNORECASE)


_OTHER_PLACE = re.compile(
    r"(?:the\s+)?(?P<value>[\d.,]+)\s*(?P<unit>[a-z%]{0,4})\s+(?:was|is|belongs to|goes to)\s+(?:on\s+)?"
    r"(?:#|no\.?\s*|cyl(?:inder)?\s*|number\s+)?(?P<place>\d{1,2})\s*[.!]?$",
    re.IGNORECASE,
)


_NOT = re.compile(
    r"(?P<verb>\b(?:was|is|flowed|read|reads|measured|were)|=)\s+(?:really\s+)?(?P<new>[\d.,]+)\s*(?P<unit>[a-z%]{0,4})\s*,?\s+not\s+(?P<old>[\d.,]+)(?:\s*(?P=unit))?",
    re.IGNORECASE,
)


_CORRECTION = re.compile(
    r"(?:scratch that|hold on|wait|no wait|correction|correct|oops|sorry|actually|i meant|meant|my mistake|mistake|"
    r"typo|wrong)\b\s*[:,!-]*\s*",
    re.IGNORECASE,
)


def corrections(line: str, context: Context) -> list[Candidate]:
    """'correction: comp on 6 was 110 not 90', 'oops 3 was 0 not 70', 'that was 5 not 3', 'scratch that last line'."""
    again = _AGAIN.match(line)
    if again and (swap := next((said for kind, said, _ in context.lines if kind == "swap"), "")):
        return [Candidate((f"correct {swap.partition(':')[0]}: {again[1]} {again[2]}",), 0.1)]
    marked = _CORRECTION.match(line)
    rest = line[marked.end() :] if marked else line
    if re.match(
        r"(?:scratch|forget|ignore|strike|disregard)\b.*\b(?:that|last|line|above|it|this)\b", rest, re.IGNORECASE
    ) and not re.search(r"\d", rest):
        return _withdrawn(context)
    yesterday = _YESTERDAY.match(rest)
    day = ""
    if yesterday and context.day:
        rest = rest[yesterday.end() :]
        day = f"{(context.day - timedelta(1)).isoformat()} "
    if marked and (other := _OTHER_PLACE.match(rest)):
        return _value_elsewhere(other["value"], other["place"], context)
    if meant := _MEANT.match(rest) or (_MEANT.match(line) if marked else None):
        return _other_place(meant["new"], meant["old"], context, set())
    wrong = _NOT.search(rest)
    if wrong is None:
        if not marked:
            return []
        tokens = lex(rest)
        if not tokens:
            return []
        return [
            c._replace(lines=tuple(f"correct {day}{_like_latest(said, context)}" for said in c.lines))
            for c in readings(tokens, rest, context)
            if len(c.lines) == 1
        ]
    said = f"{rest[: wrong.start()]} {wrong['verb']} {wrong['new']} {wrong['unit']} {rest[wrong.end() :]}"
    subject = rest[: wrong.start()].strip().casefold()
    if subject in ("that", "it", "this", "that one", "the last one", ""):
        named = {k for t in lex(rest[wrong.end() :]) for k in t.all_of("kind")}
        return _other_place(wrong["new"], wrong["old"], context, named)
    tokens = lex(said)
    found = [c for c in readings(tokens, said, context) if len(c.lines) == 1]
    old, new = wrong["old"], wrong["new"]
    out = []
    for candidate in found:
        out.append(candidate._replace(lines=(f"correct {day}{_like_latest(candidate.lines[0], context)}",)))
    if not out and (last := context.last.kind) and re.fullmatch(r"(?:#|cyl\s*|no\.?\s*)?\d{1,2}", subject):
        out = [Candidate((f"correct {last}: {re.sub(r'[^0-9]', '', subject)} {new}",), 0.2, True)]
    del old
    return out


def _like_latest(said: str, context: Context) -> str:
    """A corrected reading is of the sort that it corrects: 'compression dry', where that was read last."""
    head, _, body = said.partition(":")
    place = body.split()[0] if body.split() else ""
    for _, line, _ in context.lines:
        latest, _, read = line.partition(":")
        if latest.split(" ")[0] == head and re.search(rf"(?<![\d.]){re.escape(place)}(?![\d.])", read):
            return f"{latest}:{body}"
    return said


def _other_place(new: str, old: str, context: Context, named: set[str]) -> list[Candidate]:
    """'that was 5 not 3': the latest line with a 3 in it, with a 5 there."""
    for kind, said, _ in context.lines:
        head, colon, body = said.partition(":")
        pattern = rf"(?<![\d.]){re.escape(old)}(?![\d.])"
        if not colon or not re.search(pattern, body) or (named and kind not in named):
            continue
        if kind in ("swap",):
            return [Candidate((f"correct {head}:{re.sub(pattern, new, body, count=1)}",), 0.3, False)]
        value = re.search(rf"{pattern} (\S+?)(?:,|$| @)", body)
        if kind in named and value and kind in ("cut-out", "compression", "leak-down"):
            return [Candidate((f"correct {head}: {new} {value[1]}, {old} -",), 0.1)]
        if kind in ("cut-out", "compression", "leak-down", "firing") and value:
            return [
                Candidate((f"correct {head}: {new} {value[1]}",), 0.3, False),
                Candidate((f"correct {head}: {new} {value[1]}, {old} -",), 0.35, False),
            ]
        return []
    return []


def _value_elsewhere(value: str, place: str, context: Context) -> list[Candidate]:
    """'the 95 was #6': the latest line that reads 95, at 6; where it stood nothing was read."""
    for kind, said, _ in context.lines:
        head, colon, body = said.partition(":")
        at = re.search(rf"(?<![\d.])(\d{{1,2}}) {re.escape(value)}(?![\d.])", body)
        if colon and at and kind in ("cut-out", "compression", "leak-down"):
            return [Candidate((f"correct {head}: {place} {value}, {at[1]} -",), 0.1)]
    return []


def _withdrawn(context: Context) -> list[Candidate]:
    if not context.lines:
        return []
    kind, said, _ = context.lines[0]
    head = said.partition(":")[0]
    if kind in ("swap", "fit"):
        return [Candidate((f"correct {head}: -",), 0.3, False)]
    return [Candidate((f"correct {head}: all -",), 0.3, False), Candidate((f"correct {head}: -",), 0.35, False)]
