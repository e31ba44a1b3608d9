"""Ways of writing that say the same, brought into one: the line in, the line as the frames know it out."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import pairwise

from logbook.text.hearing.lexer import Token, lex
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Context

_UNIT_IN_BRACKET = re.compile(r"\s*\[\s*([A-Za-zΩ°%]{1,6})\s*\]")
_SET_OF = re.compile(
    r"\b(g?a?skets?|gsk(?:t|its?)|rings?|leads?|wires?|plugs?|bearings?|seals?|belts?|chain|clutch|points)\s+(?:set|kit)\b",
    re.IGNORECASE,
)
_ONE_AT_A_TIME = re.compile(r"\b(?:1|one) at (?:a )?time\b", re.IGNORECASE)
_CONDITION_FIRST = re.compile(
    r"^([A-Za-z][A-Za-z -]*?)\s*@\s*(\d+ ?rpm|idle|hot|cold|warm)\s*[,:]\s*(?:[A-Za-z ]+:\s*)?([^@:]+)$",
    re.IGNORECASE,
)
_TIME_FIRST = re.compile(
    r"^([A-Za-z][A-Za-z -]*?\bflow|flow\b[A-Za-z -]*?)\s+(?:in |over )?"
    r"(\d+ ?(?:s|secs?|seconds|min|mins|minutes))\b[:,]?\s+(\d.*)$",
    re.IGNORECASE,
)
_NO_SMOKE = re.compile(
    r"^smok(?:e|ed)(?: leak| test| machine)?(?: the intake)?\s*[:,-]?\s*(?:none|nothing|no leaks?|clean|no smoke)\.?$",
    re.IGNORECASE,
)
_GEAR = re.compile(r"\b(pull (?:in )?(?:1st|2nd|3rd|4th|5th))\b(?! gear)", re.IGNORECASE)
_SO_MANY_AT = re.compile(r"\bx ?(\d{1,3}) ?@ ?([$€£]?\d)", re.IGNORECASE)
_PLACE_IN_HEAD = re.compile(r"^([A-Za-z][A-Za-z -]*? (?:cyl |cylinder |#)?\d{1,2})\s*:\s+(?=[\d.])")
_AGAIN = re.compile(
    r"^(?:the )?(?:same(?: test| thing)?(?: again)?|again|re-?test(?:ed)?|repeat(?:ed)?|second (?:go|time|round|try)|"
    r"once more)\b\s*(?P<how>[A-Za-z ]*?)\s*[:,]?\s*(?=\d)",
    re.IGNORECASE,
)
_OUT_AND_BACK = re.compile(
    r"\b(?P<part>coils?|leads?|wires?|plugs?|inj(?:ector)?s?|spark plugs?)\s+(?:from\s+)?#?(?P<a>\d{1,2})\s*"
    r"(?:to|on|in|into|->)\s*#?(?P<b>\d{1,2})\s*(?:,|and|&|;|/)+\s*(?:(?:and\s+)?(?P=part)?\s*(?:from\s+)?)"
    r"#?(?P=b)\s*(?:to|on|in|into|->)\s*#?(?P=a)\b",
    re.IGNORECASE,
)


def rewritten(line: str, context: Context) -> str:
    """The line in the writing that the frames know; unchanged where it is in it already."""
    line = _NO_SMOKE.sub("smoke leak: all none", line)
    line = _UNIT_IN_BRACKET.sub(r" \1", line)
    line = _SET_OF.sub(r"\1", line)
    line = _ONE_AT_A_TIME.sub("one at a time", line)
    line = _OUT_AND_BACK.sub(r"swapped \g<part> \g<a> and \g<b>", line)
    line = _CONDITION_FIRST.sub(r"\1: \3 @ \2", line)
    line = _TIME_FIRST.sub(r"\1: \3 in \2", line)
    line = _SO_MANY_AT.sub(r"\1 x \2", line)
    line = _GEAR.sub(r"\1 gear", line)
    line = _PLACE_IN_HEAD.sub(r"\1 ", line)
    for way in _WAYS:
        line = way(line, context)
    return line


def _slashes(line: str, context: Context) -> str:
    """'key on 3.8 / idle 3.5 / off 3.2': clauses of their own; '62 / 64 / 66' is a list."""
    if " / " not in line:
        return line
    pieces = re.split(r"\s/\s", line)
    told = all(re.search(r"\d", p) and re.search(r"[a-z]{3}", p, re.IGNORECASE) for p in pieces)
    return ", ".join(pieces) if told else line


def _again(line: str, context: Context) -> str:
    """'same again hot: 16.9 17.0': the test before, with what is new about it."""
    match = _AGAIN.match(line)
    last = context.last
    if match is None or last.kind not in frames() or frames()[last.kind].sort != "readings" or not last.canonical:
        return line
    how = match["how"].strip()
    if how and not all(t.says("cond", "qual", "fill", "link", "now") for t in lex(how)):
        return line
    head = last.canonical.partition(":")[0]
    return f"{head}: {line[match.end() :]}" + (f" @ {how}" if how else "")


def _only_a_pressure(line: str, context: Context) -> str:
    """'pressure is only 1 bar' after a fuel pressure: that pressure."""
    last = context.last.kind
    if last not in ("fuel pressure", "oil pressure") or not re.search(r"\d", line):
        return line
    found = lex(line)
    if any(t.says("kind") for t in found):
        return line
    return re.sub(r"\b(?:the )?pressure\b", last, line, count=1, flags=re.IGNORECASE)


def _paired(line: str, context: Context) -> str:
    """'12.5 off 10.2 crk' and 'off 12.5 crk 10.2': a comma behind each reading with its condition."""
    found = lex(line)
    marks = [(i, _sort(found, i)) for i in range(len(found))]
    marks = [(i, s) for i, s in marks if s]
    sorts = "".join(s for _, s in marks)
    for pattern, ends in ((r"(?:VC+){2,}", "C"), (r"(?:C+V){2,}", "V")):
        match = re.search(pattern, sorts)
        if (
            match is None
            or sorts.count("V") != match.group().count("V")
            or sorts.count("C") != match.group().count("C")
        ):
            continue
        inside = marks[match.start() : match.end()]
        if any(b - a > 2 for (a, _), (b, _) in pairwise(inside)):
            continue
        for (i, sort), (_, after) in reversed(list(pairwise(inside))):
            if sort != ends or after == sort:
                continue
            end = found[i + 1].end if sort == "V" and i + 1 < len(found) and found[i + 1].says("unit") else found[i].end
            if line[end : end + 1] == " ":
                line = f"{line[:end]},{line[end:]}"
    return line


def _banks_behind(line: str, context: Context) -> str:
    """'+12 b1 +11 b2': each bank before its number."""
    pieces = _BANK_BEHIND.findall(line)
    first = _BANK_BEHIND.search(line)
    if len(pieces) < 2 or first is None or re.search(r"\b(?:b[12]|bank)\b", line[: first.start()], re.IGNORECASE):
        return line
    return _BANK_BEHIND.sub(r"\2 \1", line)


_BANK_BEHIND = re.compile(r"([+-]\d+(?:\.\d+)?%?)\s+(b[12]|bank ?[12]|left|right)\b,?", re.IGNORECASE)


def _sort(found: Sequence[Token], at: int) -> str:
    token = found[at]
    if token.number:
        unit = found[at + 1] if at + 1 < len(found) else None
        if at and found[at - 1].key == "at" and 400 <= token.number.low <= 20_000:
            return "C"  # a speed
        return "" if unit is not None and unit.of("unit") in ("rpm", "min") else "V"
    return "C" if token.says("cond") and token.of("cond") in _HOW_MEASURED and not token.says("place") else ""


_HOW_MEASURED = frozenset({"key on", "key off", "idle", "cranking", "running", "cold", "hot", "warm", "load", "cruise"})
_WAYS: tuple[Callable[[str, Context], str], ...] = (_slashes, _again, _only_a_pressure, _banks_behind, _paired)
