"""Readings with what holds for all of them spread, and exceptions opened."""

from __future__ import annotations

from logbook.text.hearing.lexicon import Frame, phrases
from logbook.text.hearing.model import GROUPS, NEEDS_PLACE, OPPOSITE, Context, Fact, Refused
from logbook.text.hearing.roles import Roles
from logbook.text.kinds import Slot
from logbook.units import UNITS

_OF_ENGINE = frozenset(
    {"warm", "cold", "hot", "throttle open", "idle", "cranking", "running", "key on", "key off", "startup", "no load"}
)


_OF_ALL = _OF_ENGINE | {"long", "short", "before cleaning", "after cleaning", "intake", "exhaust"}


def finished(facts: tuple[Fact, ...], frame: Frame, roles: Roles, context: Context) -> tuple[Fact, ...]:
    """Facts with what holds for all of them spread, exceptions opened, and the unit that is said once given to all."""
    units = {f.unit for f in facts if f.value and f.unit}
    if frame.kind == "screw" and any(f.value and not f.unit for f in facts):
        raise Refused("turns have their unit")
    unit = roles.default_unit or (next(iter(units)) if len(units) == 1 else "")
    apart = unit in ("kohm", "Mohm") and len({f.qualifiers for f in facts if f.value}) > 1
    if unit and not roles.slotted and not apart:  # 'prim 0.7, sec 9.8k' are two sizes
        dims = {UNITS[u].dimension for u in units} | {UNITS[unit].dimension}
        if len(dims) == 1:
            facts = tuple(
                f._replace(unit=f.unit or unit) if f.value and not (unit == "thou" and "." in f.value) else f
                for f in facts
            )
    if frame.kind == "cut-out":
        facts = tuple(f._replace(words=tuple(x for x in f.words if x != "fires")) if f.value else f for f in facts)
    if frame.kind == "timing" and len(facts) > 1 and facts[0].words and not any(f.words for f in facts[1:]):
        facts = (facts[0], *(f._replace(words=facts[0].words) for f in facts[1:]))
    if frame.kind in ("torque", "angle"):  # 'head bolts 40 then 70': the steps are of the same bolts
        own = [bool(f.qualifiers) or any("part" in dict(phrases().get(c, ())) for c in f.conditions) for f in facts]
        first = facts[0].qualifiers
        facts = tuple(
            f if of or not n else f._replace(qualifiers=first) for n, (f, of) in enumerate(zip(facts, own, strict=True))
        )
    if frame.kind == "leak-down" and any("held" in f.conditions for f in facts):
        raise Refused("what went in and what was held")
    alone = (
        frame.kind == "firing" and len(facts) == 1 and facts[0].words == ("dead",) and facts[0].places[:1] != ("all",)
    )
    if alone and not facts[0].conditions and any(t.key == "only" for t in roles.found[:3]):
        facts = (*facts, Fact(("rest",), words=("fires",)))
    facts = _spread_conditions(_excepted(_without_named(facts)), frame)
    out: list[Fact] = []
    for fact in facts:
        out += _without_exceptions(fact, frame, facts)
    return tuple(out)


def _without_named(facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """'B1-B8 all 0.6, B5 1.9': a run leaves out whom another reading names."""
    named = [p for f in facts if len(f.places) == 1 for p in f.places]
    return tuple(
        f._replace(places=tuple(p for p in f.places if p not in named)) if len(f.places) > 2 else f for f in facts
    )


def _excepted(facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """'all 14.4 except 5 which is 2.1' as the rest, and 5."""
    if len(facts) != 2 or facts[0].places != ("all",) or facts[1].places[:1] != ("but",):
        return facts
    return (facts[1]._replace(places=facts[1].places[1:]), facts[0]._replace(places=("rest",)))


def _spread_conditions(facts: tuple[Fact, ...], frame: Frame) -> tuple[Fact, ...]:
    """A condition at the head or the tail holds for all readings, where no other reading has one of its own."""
    if len(facts) < 2 or frame.row.subjects not in (*NEEDS_PLACE, "bank", "pull"):
        return facts
    facts = _carried(facts)
    warmth = [tuple(c for c in f.conditions if c in ("cold", "hot", "warm")) for f in facts]
    if warmth[0] and not any(warmth[1:]):
        measured = tuple(c for c in facts[0].conditions if c[:1].isdigit() and not any(f.conditions for f in facts[1:]))
        of_all = (*measured, *warmth[0])
        facts = (facts[0], *(f._replace(conditions=(*of_all, *f.conditions)) for f in facts[1:]))
    for end in (-1, 0):
        edge = facts[end]
        others = facts[:-1] if end == -1 else facts[1:]
        if len({f.places for f in facts}) != len(facts) and frame.row.subjects != "pull":
            continue
        own = tuple(c for c in edge.conditions if c in _OF_ALL or c[:1].isdigit())
        if own and not any(f.conditions for f in others):
            facts = tuple(f if f.conditions else f._replace(conditions=own) for f in facts)
        own = tuple(q for q in edge.qualifiers if q in _OF_ALL)
        if own and not any(f.qualifiers for f in others):
            facts = tuple(f if f.qualifiers else f._replace(qualifiers=own) for f in facts)
    return facts


def _carried(facts: tuple[Fact, ...]) -> tuple[Fact, ...]:
    """'int 1 .012 2 .014, exh all .020': a qualifier in front holds until the next of its group."""
    for group in GROUPS:
        have = [[c for c in f.qualifiers if c in group] for f in facts]
        if (sum(map(bool, have)) < 2 and "long" not in group) or all(have) or not have[0]:
            continue
        carried: list[Fact] = []
        last: list[str] = []
        for fact, own in zip(facts, have, strict=True):
            last = own or last
            carried.append(fact if own else fact._replace(qualifiers=(*last, *fact.qualifiers)))
        facts = tuple(carried)
    return facts


def _without_exceptions(fact: Fact, frame: Frame, facts: tuple[Fact, ...]) -> list[Fact]:
    """'all but 3' as the rest; 3 is named by a reading of its own, or has the opposite word."""
    if "but" not in fact.places:
        return [fact]
    at = fact.places.index("but")
    if fact.places[:at] not in ((), ("all",)):
        raise Refused("but of what")
    named = fact.places[at + 1 :]
    rest = fact._replace(places=("rest",))
    if not named:
        raise Refused("but whom")
    elsewhere = {p for f in facts if f is not fact for p in f.places}
    if set(named) <= elsewhere:
        return [rest]
    word = OPPOSITE.get(fact.words[0], "") if len(fact.words) == 1 and not fact.value else ""
    if not word:
        raise Refused(f"what {named} reads is not said")
    return [Fact(named, words=(word,)), rest]


def slot_of(frame: Frame, unit: str) -> Slot | None:
    """The only slot of a glance that is measured in this unit."""
    fitting = [s for s in frame.row.slots if unit in UNITS and UNITS[unit].dimension in (s.dimension, *s.also)]
    return fitting[0] if len(fitting) == 1 or (fitting and fitting[0].name in ("rpm", "boost")) else None
