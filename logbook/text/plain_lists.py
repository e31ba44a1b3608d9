"""The commonest bodies, '1 70, 2 65, 3 dead @ 690 rpm', taken at once, without cutting them into tokens.

Only what has no fault is taken; everything else, and every fault, is left to the full reading, which reads these the
same (a test compares both).
"""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.conditions import read_conditions
from logbook.text.doubts import unit_by_size
from logbook.text.entries import Condition, Subject, Value, Written
from logbook.text.lexing import tokens
from logbook.text.limits import MOST_MEMBERS, MOST_OPENED
from logbook.text.numbers import Measure, ValueReader, lone_quantity
from logbook.text.parsed import Body
from logbook.text.plain import PLACED, plain_words
from logbook.text.reading_checks import highest_place
from logbook.text.remarks import words_in
from logbook.text.state import State
from logbook.text.unread import Unread
from logbook.text.vocabulary import fold, units_spelt

_NUMBER = r"[+-]?[0-9]+(?:\.[0-9]+)?"
_BARE = re.compile(_NUMBER)
_ITEM = re.compile(  # place, bare number, word, number with its unit or doubt, range
    rf"([0-9]{{1,3}})(?: *= *| +)(?:({_NUMBER})|([A-Za-z]+)|({_NUMBER}(?:-{_NUMBER})?(?: ?[A-Za-z/]+)?\??))"
    r"(?: *, +| *\Z|(?= *@))"
)
_ROW = re.compile(rf"(?:{_NUMBER},? +){{2,}}{_NUMBER}(?: *\Z|(?= *@))")
_AT = re.compile(r" *@ *")
_CONDITION = re.compile(r"(?!now\b|spec\b)(\w[\w./ -]*(?<=\w)) *(?:, +(?=\w)|\Z)", re.ASCII | re.IGNORECASE)


def read_plain_list(about: About, start: int, end: int) -> Body | None:
    """The body where it is a list of places, each with a bare number or a word, and one condition or none."""
    state = about.state
    if about.kind.subjects not in PLACED or not state.normal[start : start + 1].isdigit():
        return None
    readings, at = _row(about, start, end)
    by_name = not readings
    if by_name:
        readings, at = _readings(about, start, end)
    if not readings or not _apart(readings) or not _one_way(readings) or _too_many(state, len(readings)):
        return None
    if about.kind.dimension == "length" and _in_the_other_unit(about, readings):
        return None
    conditions = _conditions(state.normal, at, end, about.kind.words)
    if at < end and not conditions:
        return None
    state.members += len(readings) if by_name else 0
    return Body(readings=tuple(readings), conditions=conditions)


def _in_the_other_unit(about: About, readings: list[Written]) -> bool:
    quantities = [w.value.quantity for w in readings if w.value and w.value.quantity]
    return bool(unit_by_size(about.kind, about.part, quantities, about.measure.usual))


def _readings(about: About, at: int, end: int) -> tuple[list[Written], int]:
    """The plain readings from ``at`` on, and where they end."""
    normal, measure = about.state.normal, about.measure
    highest, known = highest_place(about), plain_words(about.kind)
    found: list[Written] = []
    while match := _ITEM.match(normal, at, end):
        said, number, word, told = match.groups()
        place = int(said)
        if number is not None:
            quantity = lone_quantity(number, measure)
            if quantity is None:
                break
            value = Value(Span(*match.span(2)), quantity)
        elif told is not None:
            read = _value_said(told, measure) if about.value_needed else None
            if read is None:
                break
            value = read._replace(span=Span(*match.span(4)))
        else:
            meant = known.get(fold(word))
            if meant is None or units_spelt(word):
                break
            value = Value(Span(*match.span(3)), None, meant)
        if highest and not 1 <= place <= highest:
            break
        found.append(Written(Span(at, value.span.end), (Subject("place", Span(at, match.end(1)), place),), value))
        at = match.end()
    return found, at


def _row(about: About, at: int, end: int) -> tuple[list[Written], int]:
    """A row of bare numbers, one for each cylinder, and where it ends; none where it may be places and readings."""
    match = _ROW.match(about.state.normal, at, end)
    if match is None or about.kind.subjects not in ("cyl", "part"):
        return [], at
    numbers = list(_BARE.finditer(about.state.normal, at, match.end()))
    commas = match.group().count(",")
    values = [lone_quantity(n.group(), about.measure) for n in numbers]
    if len(values) != about.state.places(about.engine) or commas not in (0, len(values) - 1):
        return [], at
    if any(q is None or not q.unit for q in values) or (not commas and _rises([n.group() for n in numbers[::2]])):
        return [], at
    spans = [Span(*n.span()) for n in numbers]
    told = zip(spans, values, strict=True)
    row = [Written(s, (Subject("place", s, number),), Value(s, q)) for number, (s, q) in enumerate(told, start=1)]
    return row, match.end()


def _rises(numbers: list[str]) -> bool:
    """Whether every other number could be a cylinder: '1 70 2 65'."""
    return all(n.isdigit() for n in numbers) and all(int(a) < int(b) for a, b in pairwise(numbers))


@lru_cache(maxsize=20_000)
def _value_said(said: str, measure: Measure) -> Value | None:
    """A number with more to it, wherever it stands; None where it has a fault."""
    found = tokens(said, 0, len(said))
    reader = ValueReader(found, 0, measure, said)
    try:
        value = reader.read()
    except Unread:
        return None
    return value if reader.at == len(found) else None


def _apart(readings: list[Written]) -> bool:
    """Whether each names a place of its own."""
    return len({w.subjects[0].number for w in readings}) == len(readings)


def _one_way(readings: list[Written]) -> bool:
    """Whether every number has a unit, all by the card or all written."""
    units = {(q.unit_written, not q.unit) for w in readings if w.value and (q := w.value.quantity)}
    return len(units) < 2 and not any(missing for _, missing in units)


def _too_many(state: State, count: int) -> bool:
    return state.members + count > MOST_MEMBERS or state.opened > MOST_OPENED


def _conditions(normal: str, at: int, end: int, results: tuple[str, ...]) -> tuple[Condition, ...]:
    """The conditions behind '@'; none where one of them needs a closer look, and may be a reading or a result."""
    opening = _AT.match(normal, at, end)
    at = opening.end() if opening else end
    found: list[Condition] = []
    while at < end and (match := _CONDITION.match(normal, at, end)):
        condition = _condition_said(match[1])
        if condition is None or words_in(condition.text, results):
            return ()
        if found and match[1][0].isdigit() and condition.quantity is None:
            return ()
        found.append(condition._replace(span=Span(*match.span(1))))
        at = match.end()
    return tuple(found) if at == end else ()


@lru_cache(maxsize=4096)
def _condition_said(said: str) -> Condition | None:
    """What a condition says, wherever it stands; None where it has a fault."""
    state = State(said, said)
    found = read_conditions(tokens(said, 0, len(said)), state)
    return found[0] if len(found) == 1 and not state.problems else None
