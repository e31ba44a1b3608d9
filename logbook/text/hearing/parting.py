"""The cheapest ways to part the roles of a line into readings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.text.hearing.lexicon import Frame
from logbook.text.hearing.model import GROUPS, NEEDS_PLACE, WHERE, Context, Fact, Refused, Sym

_CLOSE = 0.3  # two ways whose costs differ by less are not chosen between


_BEAM = 12


class _Path(NamedTuple):
    cost: float
    done: tuple[Fact, ...]
    now: Fact
    state: str  # '0' nothing, 'P' places, 'V' read, 'W' a word that waits for its places
    fresh: bool  # a separator stood before
    pending: tuple[Sym, ...]  # conditions and remarks before the reading
    bound: str = ""
    doubt: bool = False
    joined: bool = False


def parsed(symbols: list[Sym], frame: Frame, context: Context) -> list[tuple[tuple[Fact, ...], float]]:
    paths = [_Path(0.0, (), Fact(), "0", True, ())]
    for index, symbol in enumerate(symbols):
        behind = symbols[index + 1] if index + 1 < len(symbols) else None
        step: dict[tuple[object, ...], _Path] = {}
        leads = _leads(symbols, index)
        for path in paths:
            for new in _steps(path, symbol, behind, leads, frame):
                key = (new.done, new.now, new.state, new.pending, new.bound, new.doubt)
                if key not in step or step[key].cost > new.cost:
                    step[key] = new
        paths = sorted(step.values(), key=lambda p: p.cost)[:_BEAM]
        if not paths:
            raise Refused(f"nothing goes on at {symbol}")
    ended: list[tuple[tuple[Fact, ...], float]] = []
    for path in paths:
        facts = _closed(path)
        if facts is None or not facts:
            continue
        if any(not (f.value or f.words) for f in facts) and frame.kind != "look":
            continue
        cost = path.cost + _penalty(facts, frame, context)
        if cost < 2.5 and facts not in [e[0] for e in ended]:
            ended.append((facts, cost))
    ended.sort(key=lambda e: e[1])
    best = [e for e in ended if e[1] < ended[0][1] + _CLOSE] if ended else []
    return best[:3]


def _closed(path: _Path) -> tuple[Fact, ...] | None:
    """All readings of a path at its end; None where something is left."""
    if path.state == "P" or path.bound or path.doubt or (path.state == "p" and not path.now.remark):
        return None
    facts = path.done if path.state == "0" else (*path.done, path.now)
    if path.pending:
        if not facts or any(s.role == "L" for s in path.pending):
            return None
        facts = (*facts[:-1], taken(facts[-1], path.pending))
    return facts


def taken(fact: Fact, pending: tuple[Sym, ...]) -> Fact:
    for s in pending:
        if s.role == "C" and s.value not in fact.conditions:
            fact = fact._replace(conditions=(*fact.conditions, s.value))
        elif s.role == "Q" and s.value not in fact.qualifiers:
            fact = fact._replace(qualifiers=(*fact.qualifiers, s.value))
        elif s.role == "L":
            fact = fact._replace(slot=s.value)
        elif s.role == "R":
            fact = fact._replace(remark=(*fact.remark, s.value))
    return fact


def _leads(symbols: list[Sym], index: int) -> bool:
    """Whether a condition stands before its reading: a value follows in the same clause."""
    for symbol in symbols[index + 1 :]:
        if symbol.role not in "CQF~J":
            return symbol.role in "PNVW"
    return False


def _steps(path: _Path, s: Sym, behind: Sym | None, leads: bool, frame: Frame) -> Iterator[_Path]:
    role = s.role
    closes = behind is None or (behind.hard and behind.role == "S")
    if role in ("P", "N"):
        alone = role == "N" and closes and path.state == "P" and frame.row.dimension and not path.joined
        yield from _place_step(path, s, 0.2 if alone else 0.0, frame.row.subjects == "bolt")
    if role in ("V", "N"):
        yield from _value_step(path, s, frame, 0.05 if closes and path.state == "P" and not path.joined else 0.35)
    if role == "W":
        yield from _word_step(path, s, frame)
    if role in ("C", "Q"):
        read = path.state in ("V", "W", "B")
        begins = (path.fresh or path.joined) and leads
        if read:
            yield path._replace(now=taken(path.now, (s,)), cost=path.cost + (0.4 if begins else 0.0))
        if not read or behind is not None:
            far = read and not begins
            yield path._replace(pending=(*path.pending, s), cost=path.cost + (0.4 if far else 0.0))
    elif role == "L":
        if path.state == "V" and not path.fresh and not path.now.slot and (behind is None or behind.role in "S"):
            yield path._replace(now=path.now._replace(slot=s.value))
        if path.state == "V":
            yield path._replace(done=(*path.done, path.now), now=Fact(), state="0", pending=(s,), fresh=True)
        elif path.state == "0":
            yield path._replace(pending=(*path.pending, s))
    elif role == "S":
        if path.state == "P" and s.hard:
            yield path._replace(cost=path.cost + 0.05, joined=True)
        else:
            yield path._replace(fresh=path.fresh or s.hard or s.value == "/")
    elif role == "J":
        yield path._replace(joined=True)
    elif role == "F":
        yield path
    elif role == "~":
        if s.value == "about behind" and path.state == "V":
            yield path._replace(now=path.now._replace(bound="about "))
        else:
            yield path._replace(bound=f"{s.value} " if s.value in ("about", "over", "under") else "about ")
    elif role == "?":
        if s.value == "before" and (path.state in "0P" or behind is not None):
            yield path._replace(doubt=True)
        elif path.state == "V":
            yield path._replace(now=path.now._replace(doubt=True))
        else:
            yield path._replace(doubt=True)
    elif role == "R":
        if path.state in ("V", "W", "B"):
            yield path._replace(now=path.now._replace(remark=(*path.now.remark, s.value)))
        elif path.state == "0":
            yield path._replace(pending=(*path.pending, s), cost=path.cost + 0.02)
        elif path.state in ("P", "p") and not path.bound and not path.done and frame.kind not in ("firing", "cut-out"):
            kept = path.now._replace(remark=(*path.now.remark, s.value))
            yield path._replace(now=kept, state="p", cost=path.cost + (0.0 if path.state == "p" else 0.3))


def _place_step(path: _Path, s: Sym, more: float, bolts: bool) -> Iterator[_Path]:
    if path.bound and not (s.role == "P" and path.bound == "about "):
        return
    path = path._replace(bound="")
    if path.state == "p":
        return
    if path.state == "P":
        if s.places == ("all",) and len(path.now.places) > 2:
            yield path
            return
        if path.now.places == ("all",) and s.places == ("but",):
            yield path._replace(now=path.now._replace(places=("all", "but")), joined=False)
            return
        run = 1.0 if s.role == "N" and len(path.now.places) > 2 and bolts else 0.0
        cost = more + run + (0.0 if path.joined or (s.role == "P" and s.hard) else 0.15)
        if path.now.places[-1:] == ("but",):
            cost = 0.0
        yield path._replace(
            now=path.now._replace(places=(*path.now.places, *s.places)), cost=path.cost + cost, joined=False
        )
        return
    listed = path.state == "W" and bool(path.now.places) and not path.fresh
    if path.state == "W":
        cost = 0.7 if path.fresh and not path.now.places else 0.0 if path.joined or not path.fresh else 0.3
        yield path._replace(
            now=path.now._replace(places=(*path.now.places, *s.places)), cost=path.cost + cost, joined=False
        )
        if not path.now.places:
            return
    if path.state == "V" and not path.now.places and path.now.words and not path.now.value:
        yield path._replace(
            now=path.now._replace(places=s.places), state="W", joined=False, cost=path.cost + 0.7 * path.fresh
        )
    if path.state == "V" and not path.now.places and path.now.value and not path.fresh:
        yield path._replace(now=path.now._replace(places=s.places), state="B", joined=False, cost=path.cost + 0.1)
    listed = listed or (path.state == "B" and path.joined)
    if path.state == "B" and (not path.fresh or path.joined):
        yield path._replace(now=path.now._replace(places=(*path.now.places, *s.places)), joined=False)
    done = path.done if path.state == "0" else (*path.done, path.now)
    cost = 0.5 if listed else 0.0 if path.state == "0" or path.fresh or path.joined else 0.1
    yield _Path(path.cost + cost, done, taken(Fact(s.places), path.pending), "P", False, (), "", path.doubt, False)


def _value_step(path: _Path, s: Sym, frame: Frame, may_be_place: float) -> Iterator[_Path]:
    cost = may_be_place + 0.6 * (s.hard and frame.row.subjects == "bolt") if s.role == "N" else 0.0
    fact = Fact(value=s.value, unit=s.unit, bound=path.bound, doubt=path.doubt)
    if path.state in ("P", "p"):
        kept = path.now._replace(value=s.value, unit=s.unit, bound=path.bound, doubt=path.doubt)
        yield path._replace(
            now=taken(kept, path.pending),
            state="V",
            cost=path.cost + cost,
            bound="",
            doubt=False,
            fresh=False,
            joined=False,
            pending=(),
        )
        return
    worded = path.state in ("V", "W", "B") and bool(path.now.words) and not path.now.value and not path.now.slot
    near = not path.fresh or frame.row.subjects in ("one", "slots") or bool(path.now.places)
    if worded and near and frame.row.subjects in ("one", "cyl", "part", "slots"):
        # a word and its number are one reading: 'hunting 500-900', 'flicks 14'
        kept = path.now._replace(value=s.value, unit=s.unit, bound=path.bound, doubt=path.doubt)
        yield path._replace(
            now=taken(kept, path.pending),
            state="V",
            cost=path.cost + cost + 0.1,
            bound="",
            doubt=False,
            fresh=False,
            pending=(),
        )
    placed = frame.row.subjects in NEEDS_PLACE
    if worded and not path.fresh and frame.row.subjects == "one":
        return
    done = path.done if path.state == "0" else (*path.done, path.now)
    if path.state == "0":
        cost += 0.4 if placed and not frame.all else 0.05 if placed else 0.0
        yield _Path(path.cost + cost, done, taken(fact, path.pending), "V", False, (), "", False, False)
    elif path.state in ("V", "B") and path.now.value:
        if path.state == "B" and path.fresh:  # '12 % on 1, 10 % on 2'
            yield _Path(path.cost + cost, done, taken(fact, path.pending), "V", False, (), "", False, False)
        # another value of the same places: 'dry 90, wet 140'
        again = path.now.places if placed or frame.row.subjects in ("bank", "any") else ()
        slot = path.now.slot if not any(p.role == "L" for p in path.pending) else ""
        yield _Path(
            path.cost + cost + 0.2,
            done,
            taken(fact._replace(places=again, slot=slot if frame.row.subjects == "pull" else ""), path.pending),
            "V",
            False,
            (),
            "",
            False,
            False,
        )
    elif path.state in ("V", "B"):
        again = path.now.places if placed else ()
        yield _Path(
            path.cost + cost + 0.3,
            done,
            taken(fact._replace(places=again), path.pending),
            "V",
            False,
            (),
            "",
            False,
            False,
        )


def _word_step(path: _Path, s: Sym, frame: Frame) -> Iterator[_Path]:
    if path.state in ("P", "p"):
        kept = path.now._replace(words=(s.value,), doubt=path.doubt)
        yield path._replace(
            now=taken(kept, path.pending), state="V", fresh=False, doubt=False, joined=False, pending=()
        )
        return
    plain = not frame.row.dimension and bool(path.now.places) and bool(path.now.words)
    if path.state in ("V", "B") and (not path.fresh or path.now.value or plain):
        if s.value in path.now.words:
            yield path._replace(joined=False, fresh=False)
        else:
            yield path._replace(
                now=path.now._replace(words=(*path.now.words, s.value), doubt=path.now.doubt or path.doubt),
                joined=False,
                doubt=False,
            )
    if path.state == "V" and path.now.places and any(p.role == "Q" for p in path.pending):
        again = taken(Fact(path.now.places, words=(s.value,)), path.pending)  # 'prim .6 sec open'
        yield _Path(path.cost + 0.2, (*path.done, path.now), again, "V", False, (), "", False, False)
    if path.state == "W" and path.now.places and not path.fresh:  # 'ok on 1 and 2 none on 3'
        fact = taken(Fact(words=(s.value,), doubt=path.doubt), path.pending)
        yield _Path(path.cost + 0.15, (*path.done, path.now), fact, "V", False, (), "", False, False)
    whole = frame.row.subjects == "one"
    if path.state == "V" and path.fresh and path.now.value and s.value in WHERE:
        return
    if path.state == "0" or (path.fresh and path.state in ("V", "W", "B")):
        done = path.done if path.state == "0" else (*path.done, path.now)
        fact = taken(Fact(words=(s.value,), doubt=path.doubt), path.pending)
        yield _Path(
            path.cost + (0.0 if path.state == "0" else 0.5 if whole else 0.15),
            done,
            fact,
            "V",
            False,
            (),
            "",
            False,
            False,
        )


def _penalty(facts: tuple[Fact, ...], frame: Frame, context: Context) -> float:
    """What speaks against a way: a place read twice, places that do not rise, a reading of no place."""
    cost = _unlike(facts)
    placed = frame.row.subjects in NEEDS_PLACE
    seen: set[tuple[object, ...]] = set()
    last = 0
    for fact in facts:
        for place in fact.places:
            key = (place, fact.conditions, fact.qualifiers, fact.slot)
            apart = frame.row.subjects == "bolt" or (
                len(facts) > 1 and len(facts[0].places) > 2 and fact is not facts[0] and len(fact.places) == 1
            )
            cost += 3.0 if key in seen and not apart else 0.0
            seen.add(key)
        if (placed or frame.row.subjects == "bank") and not fact.places:
            key = ("", fact.conditions, fact.qualifiers, fact.slot)
            cost += 3.0 if key in seen and frame.row.subjects != "bolt" else 0.0
            seen.add(key)
        if placed and not fact.places and not frame.all:
            cost += 0.3
        if frame.row.subjects == "any" and not fact.places and any(f.places for f in facts):
            cost += 0.5
        if fact.places and fact.places[0].isdigit():
            first = int(fact.places[0])
            cost += 0.1 if first < last else 0.0
            last = first
        if any(
            p.isdigit() and context.places and int(p) > context.places for p in fact.places
        ) and frame.row.subjects in ("cyl", "part"):
            cost += 5
    return cost


def _unlike(facts: tuple[Fact, ...]) -> float:
    """What speaks against conditions that shut one another out at one reading, or that only some readings have."""
    cost = 0.0
    for group in GROUPS:
        have = [sum(c in group for c in (*f.conditions, *f.qualifiers)) for f in facts]
        cost += sum(1.0 for h in have if h > 1)
        if sum(1 for h in have if h) > 1 and not all(have):
            cost += 0.35
    return cost
