"""The kinds that a line may be about, and the readings under each."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from logbook.text.hearing.echo import lines_of
from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import Frame, frames
from logbook.text.hearing.model import Candidate, Context, Fact, Refused
from logbook.text.hearing.readings import ways
from logbook.units import UNITS

_UNIT_KINDS = {"torque": "torque", "ohm": "resistance", "volt": "feed", "amp": "current"}


DONE = frozenset({"swap", "fit", "replace", "move", "back", "clean", "repair", "reconnect", "remove"})


def readings(found: list[Token], line: str, context: Context) -> list[Candidate]:
    out: list[Candidate] = []
    for frame, cost in _frames_for(found, context):
        try:
            best = ways(frame, found, line, context)
        except (Refused, IndexError, KeyError):
            continue
        for way in best:
            part = way.part or (frame.part if "PART" in frame.row.qualifiers else "")
            tags = {context.tags[p] for f in way.facts for p in f.places if p in context.tags}
            part = part or (tags.pop() if len(tags) == 1 and "PART" in frame.row.qualifiers else "")
            if frame.named and not (part or (way.part and tags)) and "PART" in frame.row.qualifiers:
                continue
            facts = tuple(_opened_rest(f, way.facts, frame, context) for f in way.facts)
            if not _enough(frame, facts, context, cost < 0.3, found[0].says("kind")):
                continue
            things = [t for t in way.things if t in frame.row.qualifiers]
            if frame.kind == "cut-out" and (cut := [t for t in way.things if t not in things]):
                facts = tuple(f._replace(conditions=(*f.conditions, f"{cut[0]} unplugged")) for f in facts)
            candidate = Candidate(lines_of(frame, facts, part, things, way.name), way.cost + cost, way.sure)
            if way.worked_out or all_numbers(found, candidate, context):
                out.append(candidate)
    out.sort(key=lambda c: (not c.sure, c.cost))
    return out


def _enough(frame: Frame, facts: Sequence[Fact], context: Context, strong: bool, opens: bool) -> bool:
    """Whether each reading says something, and of a place where its kind needs one."""
    for fact in facts:
        value, words, remark = fact.value, fact.words, fact.remark
        if not (value or words) and frame.kind != "look":
            return False
        if frame.kind == "look" and not (words or remark):
            return False
        places = fact.places
        if frame.row.subjects in ("cyl", "part") and not places and not frame.all:
            return False
        if places == ("rest",) and len(facts) == 1:
            return False
        if frame.kind == "look" and not words and not (strong and (opens or not places)):
            return False
        if "both" in places:
            return False
    return bool(facts)


def _opened_rest(fact: Fact, facts: Sequence[Fact], frame: Frame, context: Context) -> Fact:
    """'the others 165' alone on its line: all that the line before did not read, by number."""
    last = context.last
    if fact.places != ("rest",) or len(facts) > 1 or last.kind != frame.kind:
        return fact
    if not last.places or not all(p.isdigit() for p in last.places) or not context.places:
        return fact._replace(places=("both",))
    return fact._replace(places=tuple(str(n) for n in range(1, context.places + 1) if str(n) not in last.places))


def _frames_for(found: list[Token], context: Context) -> list[tuple[Frame, float]]:
    """The kinds that a line may be about, each with what it costs to think so."""
    known = frames()
    strong: dict[str, float] = {}
    weak: dict[str, float] = {}
    first = next((t for t in found if t.number or t.says("verb")), None)
    if first is not None and first.of("verb") == "adjust":
        named = {k for t in found for k in t.all_of("kind") if known[k].sort in ("readings", "slots")}
        if named <= {"idle", "timing", "cranking speed"}:
            return []
    for at, token in enumerate(found):
        for kind in token.all_of("kind"):
            if known[kind].sort in ("readings", "slots"):
                how = 0.4 if at and strong and token.says("cond") else 0.0
                strong.setdefault(kind, how + 0.05 * min(at, 4) * (len(strong) > 0))
        for kind in token.all_of("weak"):
            weak.setdefault(kind, 0.2)
        if "cut" in token.all_of("verb") and not _pulls_itself(found, at) and any(t.says("out") for t in found):
            strong.setdefault("cut-out", 0.1)
    if any(t.of("part") == "injector" for t in found) and any(
        t.of("cond") in ("before cleaning", "after cleaning") for t in found
    ):
        weak.setdefault("flow", 0.3)
    pressed = any(u in ("psi", "bar", "kPa") for t in found for u in t.all_of("unit"))
    numbers = sum(bool(t.number) for t in found)
    if (numbers and any(t.of("cond") in ("wet", "dry") for t in found)) or (numbers > 1 and pressed and not strong):
        weak.setdefault("compression", 0.35)
    parts = {t.of("part") or t.of("connof") for t in found if t.of("part") or t.of("connof")}
    units = {
        UNITS[u].dimension
        for t in found
        for u in t.all_of("unit")
        if u in UNITS and not t.says("link", "fill", "qual", "verdict")
    }
    for dimension, kind in _UNIT_KINDS.items():
        bolts = any(t.says("qual") and t.of("qual") in known["torque"].qual for t in found) or any(
            t.of("unit") in ("lbft", "lbin", "Nm") for t in found
        )
        if dimension in units and (bolts if dimension == "torque" else parts) and kind not in strong:
            weak.setdefault(kind, 0.15)
    done = any(v in DONE for t in found for v in t.all_of("verb") if not t.says("fill")) or any(
        t.says("age") and after.says("part") for t, after in pairwise(found)
    )
    if done:
        strong.pop("firing", None)
        weak = {k: c for k, c in weak.items() if k not in ("firing", "look", "plug look")}
    else:
        if not strong and any(
            o in ("no-drop", "drops")
            for t in found
            for o in t.all_of("out")
            if t.key not in ("same", "the same") or context.last.kind == "cut-out"
        ):
            weak.setdefault("cut-out", 0.2)
        if any(t.of("part") or t.of("thing") for t in found):
            weak.setdefault("look", 0.4)
        weak.setdefault("firing", 0.25)
    chosen = strong | {k: c + 0.4 for k, c in weak.items() if k not in strong} if strong else weak
    last = context.last.kind
    acted = any(t.says("verb", "part", "age") and not t.says("fill", "kind") for t in found)
    if (
        not strong
        and not acted
        and last in known
        and known[last].sort == "readings"
        and last not in ("cut-out", "firing")
    ) and all(t.senses or t.number or t.sort != "word" for t in found):  # nothing unknown, which might name another
        chosen.setdefault(last, 0.3)
    return [(known[k], c) for k, c in sorted(chosen.items(), key=lambda kc: kc[1])[:6]]


def _pulls_itself(found: Sequence[Token], at: int) -> bool:
    """'all 4 pull, no miss': the cylinders pull; nobody pulled anything off."""
    ends = at + 1 == len(found) or found[at + 1].text in ",;." or found[at + 1].key in ("well", "fine", "now", "evenly")
    return found[at].key in ("pull", "pulls", "pulling") and ends and bool(at)


def all_numbers(found: Sequence[Token], candidate: Candidate, context: Context) -> bool:
    """Every number of the line stands in the lines that are heard, as often as it was written."""
    said = "\n".join(candidate.lines)
    there = Counter(_value(n) for n in re.findall(r"(?<![A-Za-z\d.])[\d.]*\d", said))
    for at, token in enumerate(found):
        if not token.number or token.number.pair or "/" in token.number.text:
            continue
        if at and found[at - 1].of("place") == "rest" and "rest" in said:
            continue  # 'the other five': counted when it was read
        whole = token.number.low == context.places and "all" in said
        if (
            there[abs(token.number.low)] < 1
            and not whole
            and token.number.high == token.number.low
            and token.sort != "tag"
        ):
            return False
    return True


def _value(said: str) -> Decimal:
    try:
        return Decimal(said)
    except ArithmeticError:
        return Decimal(-1)
