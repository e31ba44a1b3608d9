"""How long it took: hours, minutes, and clock spans."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from logbook.text.hearing.amounts import CENT, PARTS_OF_SENTENCE
from logbook.text.hearing.lexer import Number, Token, lex
from logbook.text.hearing.model import Candidate, Context

_NAMED_HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


_HALVES = {
    "half an hour": "0.5 h",
    "an hour and a half": "1.5 h",
    "hour and a half": "1.5 h",
    "half hour": "0.5 h",
    "quarter of an hour": "0.25 h",
    "three quarters of an hour": "0.75 h",
    "an hour": "1 h",
}


_OF_IT = re.compile(r"\bof (?:it|that|this|them|which)\b|\bincl")


_NOON = re.compile(r"\b(?:noon|midday|lunch(?=\s*$))\b", re.IGNORECASE)


_WORKED = frozenset({"worked", "hours", "hrs", "hour", "work", "labor", "labour", "time", "spent", "put in", "h"})


_PAST = re.compile(
    rf"\b(?P<how>half past|half|quarter past|quarter after|quarter to|quarter till)\s+"
    rf"(?P<hour>\d{{1,2}}|{'|'.join(_NAMED_HOURS)})\b(?!\s*(?:h|hr|hrs|hours?)\b)",
    re.IGNORECASE,
)


_HALF_AN_HOUR = re.compile(rf"(?<!and a )\b(?:{'|'.join(sorted(_HALVES, key=len, reverse=True))})\b", re.IGNORECASE)


def _as_clock(match: re.Match[str]) -> str:
    """'half past eight' as 8:30."""
    said = match["hour"].casefold()
    hour = int(said) if said.isdigit() else _NAMED_HOURS.index(said) + 1
    how = match["how"].casefold()
    minutes = hour * 60 + (-15 if how.startswith("quarter t") else 15 if how.startswith("quarter") else 30)
    return f"{minutes // 60}:{minutes % 60:02}"


def hours(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Time worked: '4 hrs pulling engine', 'worked 9 to 3', '30 min chasing a ground'."""
    if any(t.says("irreal") for t in found) or any(t.number and t.number.money for t in found):
        return []
    said = _NOON.sub("12pm", _PAST.sub(_as_clock, line))
    said = _HALF_AN_HOUR.sub(lambda m: _HALVES[m.group().casefold()], said)
    if said != line:
        line, found = said, lex(said)
    worked = any(t.key in _WORKED and not t.number for t in found[:2])
    span = _clock_span(found, worked, context)
    if span:
        amount, used = span
        behind = [t for i, t in enumerate(found) if i > max(used)]
        if any(t.number for t in behind):  # 'and 13 till 17'
            more = _clock_span(behind, True, context)
            if more is None or any(t.number for i, t in enumerate(behind) if i not in more[1]):
                return []
            amount, used = amount + more[0], used | {max(used) + 1 + i for i in more[1]}
        words = _label([t for i, t in enumerate(found) if i not in used])
        return [Candidate((_hours_line([(amount, words)]),), 0.15)]
    return _durations(found, worked)


def _clock_span(found: Sequence[Token], worked: bool, context: Context) -> tuple[Decimal, set[int]] | None:
    for at, token in enumerate(found):
        if not token.number:
            continue
        clock = token.number.clock >= 0
        if token.number.pair and token.number.high > 100 and at == 0 and (span := _run_together(token.number)):
            return span, {at}
        if token.number.pair and (worked or (context.last.kind == "hours" and at == 0)):
            low, high = token.number.low, token.number.high
            if high <= 24:
                return _difference(low, high), {at}
        if (
            at + 2 < len(found)
            and (found[at + 1].key in ("to", "till", "til", "until") or found[at + 1].text == "-")
            and (other := found[at + 2].number)
        ):
            low, high = _clocked(token.number), _clocked(other)
            if clock and token.number.clock >= 0 and other.clock >= 0:
                minutes = (other.clock - token.number.clock) % (24 * 60)
                return Decimal(minutes) / 60, {at, at + 1, at + 2}
            if (worked or clock or other.clock >= 0) and low <= 24 and high <= 24:
                return _difference(low, high), {at, at + 1, at + 2}
    return None


def _run_together(number: Number) -> Decimal | None:
    """'8-1130' is from eight to half past eleven."""
    low, high = (int(n) for n in (number.low, number.high))
    if not (1 <= low <= 24 or 100 <= low <= 2359) or not 100 <= high <= 2359 or high % 100 > 59 or low % 100 > 59:
        return None
    begun = low * 60 if low <= 24 else low // 100 * 60 + low % 100
    ended = high // 100 * 60 + high % 100
    return Decimal((ended - begun) % (12 * 60)) / 60


def _clocked(number: Number) -> Decimal:
    """'8.30' between two times is half past eight."""
    whole, point, rest = number.text.partition(".")
    timed = whole.isdigit() and point and len(rest) == 2 and int(rest) < 60
    return Decimal(whole) + Decimal(rest) / 60 if timed else number.low


def _difference(low: Decimal, high: Decimal) -> Decimal:
    return high - low if high > low else high + 12 - low


def _durations(found: Sequence[Token], worked: bool) -> list[Candidate]:
    """Amounts of hours or minutes, each with its sort of work."""
    spans: list[tuple[Decimal, list[Token]]] = []
    piece: list[Token] = []
    unit_seen = worked
    read: list[tuple[Decimal, list[Token]]] = []
    groups: list[list[Token]] = [[]]
    for t in found:
        if t.text in (",", ";", "+") or t.key in ("plus", "and"):
            groups.append([])
        else:
            groups[-1].append(t)
    for group in groups:
        numbers = [i for i, t in enumerate(group) if t.number]
        within = read and numbers and _OF_IT.search(" ".join(t.key for t in group))
        if not numbers or within:
            if read:
                read[-1][1].extend(group)
            else:
                piece += group
            continue
        if len(numbers) > 1:
            return []
        at = numbers[0]
        number = group[at].number
        assert number
        behind = group[at + 1] if at + 1 < len(group) else None
        unit = "h" if group[at].of("unit") == "h" else ""
        taken = {at}
        if behind is not None and behind.says("unit"):
            units = behind.all_of("unit")
            if "h" in units or "min" in units:
                unit = "h" if "h" in units else "min"
                taken.add(at + 1)
            elif not behind.says("link", "fill"):
                return []
        counts = any(t.says("part", "age") for t in group[at + 1 : at + 3])  # 'put in eight new plugs' is no time
        if not unit and (counts or not unit_seen):
            return []
        unit_seen = True
        amount = number.low / 60 if unit == "min" else number.low
        if amount > 24 or (number.clock >= 0 and number.text.endswith("m")):
            return []
        rest = [t for i, t in enumerate(group) if i not in taken]
        read.append((amount, [*piece, *rest]))
        piece = []
    spans = read
    if not spans:
        return []
    everything = [t for _, words in spans for t in words]
    first = found[0]
    opens = worked or (first.number is not None) or any(t.says("unit") and "h" in t.all_of("unit") for t in found)
    minutes_only = not worked and not any("h" in t.all_of("unit") for t in found)
    if not opens or any(
        t.says("out") and not t.says("fill", "verb", "age", "link", "part", "cond", "qual", "unit", "kind")
        for t in everything
    ):
        return []
    if minutes_only and (
        first.number is None
        or len(found) < 3
        or any(t.says("kind", "cond", "verb") and t.key not in ("fitting",) for t in found[2:3])
    ):
        return []
    if not worked and any(
        t.says("kind") and t.of("kind") in ("codes", "fuel pressure", "battery", "compression", "flow", "firing")
        for t in found[:1]
    ):
        return []
    return [Candidate((_hours_line([(a, _label(words)) for a, words in spans]),), 0.15)]


def _label(words: Sequence[Token]) -> str:
    kept = [t for t in words if t.text not in ",:;.-!" and t.key not in _WORKED]
    while kept and (kept[0].key in PARTS_OF_SENTENCE or kept[0].key in ("spent", "on", "doing")):
        kept.pop(0)
    return " ".join(t.text for t in kept)


def _hours_line(spans: Sequence[tuple[Decimal, str]]) -> str:
    said = []
    for amount, label in spans:
        number = format(amount.quantize(CENT).normalize(), "f")
        plain = label and not any(c.isdigit() or c in "(),;:?@" for c in label) and len(label.split()) <= 3
        said.append(f"{label} {number}" if plain else f"{number} ({label})" if label else number)
    return f"hours: {', '.join(said)}"
