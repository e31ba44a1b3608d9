"""Whether readings keep together what the line keeps together: a second look, apart from how the line was parted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import Frame
from logbook.text.hearing.model import Fact, Sym
from logbook.units import UNITS

_SHUT_OUT = (
    frozenset({"cold", "hot", "warm"}),
    frozenset({"dry", "wet"}),
    frozenset({"key on", "key-on", "cranking", "running", "key off", "rest"}),
    frozenset({"before cleaning", "after cleaning"}),
)
_IN_ORDER = frozenset({"pull", "timing", "torque"})  # may be read more than once on one line, one after the other
_CHANGES = frozenset({"went", "rose", "came", "climbed", "jumped", "dropped", "fell", "up", "down", "gone"})
_GROUPS = frozenset({"all", "rest", "odd", "even", "both", "but"})


def torn(symbols: Sequence[Sym], facts: Sequence[Fact], found: Sequence[Token], frame: Frame) -> str:
    """What the readings tear apart or throw together; '' where they say what the line says."""
    return (
        _other_word(symbols, facts, found)
        or _excepted_alike(symbols, facts)
        or _shut_out(facts)
        or _read_twice(facts, frame)
        or _change_as_range(facts, found)
        or _place_as_value(symbols, facts, frame)
        or _reading_as_condition(facts, frame)
        or _shifted(symbols, facts)
    )


def _clauses(symbols: Sequence[Sym], found: Sequence[Token], ends: str) -> Iterator[tuple[list[Sym], Sequence[Token]]]:
    """The clauses of a line, as symbols and as tokens."""
    stops = [-1, *(i for i, t in enumerate(found) if t.text in ends), len(found)]
    for first, last in pairwise(stops):
        yield [s for s in symbols if first < s.token < last and s.role != "S"], found[first + 1 : last]


def _other_word(symbols: Sequence[Sym], facts: Sequence[Fact], found: Sequence[Token]) -> str:
    """A clause with one word and its places: each of them has this word. With something else said: no other's word."""
    values = {f.value for f in facts if f.value}
    for ends in (".;", ".;,"):
        for clause, tokens in _clauses(symbols, found, ends):
            if any(s.places == ("but",) for s in clause):
                continue
            words = list(dict.fromkeys(s.value for s in clause if s.role == "W"))
            read = [s for s in clause if s.role == "V" or (s.role == "N" and s.value in values)]
            named = [s for s in clause if s.role == "P" or (s.role == "N" and s not in read)]
            if len(words) == 1 and not read:
                for place in (p for s in named for p in s.places):
                    if any(place in f.places and f.words and words[0] not in f.words for f in facts):
                        return f"{place} is {words[0]}"
            opens = bool(tokens) and tokens[0].start == found[0].start
            tells = any(s.role in "CQR" for s in clause) or (not opens and any(t.says("kind") for t in tokens))
            if not words and not read and named and ends == ".;," and tells:
                alone = {p for s in named for p in s.places}
                if any(alone & set(f.places) and set(f.places) - alone for f in facts):
                    return f"{alone} apart"
    return ""


def _excepted_alike(symbols: Sequence[Sym], facts: Sequence[Fact]) -> str:
    """'all but 7 fire': 7 does not."""
    if any("rest" in f.places and len(f.places) > 1 for f in facts):
        return "the rest and others"
    at = next((i for i, s in enumerate(symbols) if s.places == ("but",)), -1)
    if at < 0:
        return ""
    named = next((set(s.places) for s in symbols[at + 1 :] if s.role in "PN"), set())
    words = [s for s in symbols if s.role == "W"]
    mine = [f for f in facts if named & set(f.places)]
    if len(words) == 1 and symbols.index(words[0]) < at and any(words[0].value in f.words for f in mine):
        return "the exception reads like the rest"
    return ""


def _shut_out(facts: Sequence[Fact]) -> str:
    """'cold, hot' at one reading."""
    for fact in facts:
        said = {*fact.conditions, *fact.qualifiers}
        for group in _SHUT_OUT:
            if len(said & group) > 1:
                return f"{said & group} at once"
    return ""


def _read_twice(facts: Sequence[Fact], frame: Frame) -> str:
    """One thing read twice with nothing that tells the readings apart."""
    if frame.kind in _IN_ORDER and all(f.places == facts[0].places for f in facts):
        return ""
    for one, other in combinations(facts, 2):
        alike = (one.slot, one.conditions) == (other.slot, other.conditions)
        within = set(one.qualifiers) <= set(other.qualifiers) or set(other.qualifiers) <= set(one.qualifiers)
        same = set(one.places) & set(other.places) or (not one.places and not other.places)
        if alike and within and same and (one.value or one.words) and (other.value or other.words):
            if one.value and other.value and one.qualifiers == other.qualifiers and one.value != other.value:
                return "one thing reads two values"
            if one.qualifiers != other.qualifiers and one.value and other.value and frame.row.subjects in _PLACED:
                return "one thing reads two values"
    return ""


_PLACED = frozenset({"cyl", "part", "bolt", "bearing"})


def _reading_as_condition(facts: Sequence[Fact], frame: Frame) -> str:
    """'steady at 60 kPa' reads 60."""
    if not frame.row.dimension or frame.row.subjects != "one" or any(f.value for f in facts):
        return ""
    aside = {"time", "rpm", "temperature", "distance", "speed"}
    for said in (c for f in facts for c in f.conditions if c[:1].isdigit()):
        unit = said.partition(" ")[2]
        if unit not in UNITS or UNITS[unit].dimension not in aside:
            return "a reading as a condition"
    return ""


def _shifted(symbols: Sequence[Sym], facts: Sequence[Fact]) -> str:
    """'idle 14.7 cruise 15.1': conditions and values in turn belong together as they come."""
    turns = [s for s in symbols if s.role in "CQVPNW"]
    roles = "".join("c" if s.role in "CQ" else "v" if s.role in "V" else "x" for s in turns)
    if roles not in ("cv" * (len(turns) // 2), "vc" * (len(turns) // 2)) or len(turns) < 4:
        return ""
    first = 0 if roles[0] == "c" else 1
    for at in range(0, len(turns), 2):
        how, value = turns[at + first], turns[at + 1 - first]
        if not any(f.value == value.value and how.value in (*f.conditions, *f.qualifiers) for f in facts):
            return f"{value.value} without {how.value}"
    return ""


def _place_as_value(symbols: Sequence[Sym], facts: Sequence[Fact], frame: Frame) -> str:
    """'none on 3 and 4' is no 4 at 3."""
    may = {s.value for s in symbols if s.role == "N"}
    loose = {p for s in symbols if s.role == "N" and not s.hard for p in s.places}
    if frame.row.subjects == "bolt" and any(len(f.places) == 1 and f.places[0] in loose for f in facts):
        return "a bolt or a step"
    if frame.row.subjects in _PLACED and any(
        f.value in may and set(f.words) & {"none", "zero"} and not f.unit for f in facts
    ):
        return "a place as a value"
    return ""


def _change_as_range(facts: Sequence[Fact], found: Sequence[Token]) -> str:
    """'went from 60 to 110' is no range."""
    for at, token in enumerate(found[:-2]):
        span = token.key == "from" and found[at + 1].number and found[at + 2].key == "to"
        changes = any(set(t.key.split()) & _CHANGES for t in found[max(0, at - 3) : at])
        if span and changes and any("-" in f.value.lstrip("+-") for f in facts):
            return "a change, not a range"
    return ""
