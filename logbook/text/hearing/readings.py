"""Frames of readings: tokens get their role under one kind, and the cheapest way to part them is taken."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise
from typing import NamedTuple

from logbook.text.hearing.binding import torn
from logbook.text.hearing.finishing import finished
from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import Frame
from logbook.text.hearing.model import GROUPS, Context, Fact, Refused, Sym
from logbook.text.hearing.parting import parsed
from logbook.text.hearing.roles import Roles
from logbook.text.hearing.rows import but, in_turns, listed, row, slashes, values_on, within_bank, zipped


class Way(NamedTuple):
    """One way to read a line."""

    facts: tuple[Fact, ...]
    cost: float
    sure: bool
    part: str = ""
    things: tuple[str, ...] = ()
    name: str = ""  # of a run
    worked_out: bool = False


def ways(frame: Frame, found: Sequence[Token], line: str, context: Context) -> list[Way]:
    """The cheapest way, and others that are as good and mean something else. Raises ``Refused``."""
    roles = Roles(frame, found, line, context)
    said = roles.symbols()
    symbols = within_bank(but(listed(slashes(in_turns(values_on(said, roles))))), context)
    if frame.kind == "firing" and _how_many(symbols, roles):  # 'runs on 3' is three cylinders, or the third
        if not any(s.places == (str(context.places),) for s in symbols):
            raise Refused("how many, or which")
        symbols = [s._replace(places=("all",)) if s.role == "P" else s for s in symbols]
    facts = row(symbols, frame, context)
    paired = zipped(symbols) if facts is None else None
    if facts is None and paired is not None:
        facts = (paired, 0.1)
    best = [facts] if facts is not None else parsed(symbols, frame, context)
    if not best:
        raise Refused("no way")
    out = []
    for many, cost in best:
        spread = _headed(finished(many, frame, roles, context), symbols)
        if torn(said, spread, found, frame):
            continue
        sure = (
            roles.sure
            and not _strange(symbols, roles)
            and not _two_or_one(symbols, roles)
            and not _lacks_a_digit(spread)
            and not any((f.value or len(f.words) > 1) and {"none", "zero"} & set(f.words) for f in spread)
        )
        out.append(Way(spread, cost + roles.cost, sure, roles.part, tuple(roles.things), roles.name, roles.worked_out))
    if not out:
        raise Refused("torn apart")
    return out


def _headed(facts: tuple[Fact, ...], symbols: list[Sym]) -> tuple[Fact, ...]:
    """'lash cold: in 0.20, ex 0.30': what stands before the colon holds for all that has nothing of the sort."""
    colon = next((i for i, s in enumerate(symbols) if s.role == "S" and s.value == ":"), 0)
    if any(s.role in "PNVW" for s in symbols[:colon]):
        return facts
    for said in (s.value for s in symbols[:colon] if s.role == "C"):
        mine = next((g for g in GROUPS if said in g), ())
        facts = tuple(
            f
            if said in f.conditions or any(c in mine or c[:1].isdigit() or c not in _GROUPED for c in f.conditions)
            else f._replace(conditions=(*f.conditions, said))
            for f in facts
        )
    for said in (s.value for s in symbols[:colon] if s.role == "Q"):
        facts = tuple(f if f.qualifiers else f._replace(qualifiers=(said,)) for f in facts)
    return facts


_GROUPED = frozenset(c for group in GROUPS for c in group)


def _two_or_one(symbols: list[Sym], roles: Roles) -> bool:
    """'4 5 dead' with nothing before and nothing between may be one number that came apart."""
    read = [s for s in symbols if s.role in "PNVW"]
    bare = len(read) == 3 and [s.role for s in read] == ["P", "P", "W"] and not roles.named
    return bare and not any(s.role in "JS" for s in symbols) and not any(s.hard for s in read[:2])


def _lacks_a_digit(facts: Sequence[Fact]) -> bool:
    """'150 148 15 152': a value a tenth of the others may lack its last digit."""
    values = sorted(Decimal(f.value) for f in facts if f.value.isdigit())
    if len(values) < 4:
        return False
    usual = values[len(values) // 2]
    return any(v and usual * Decimal("0.08") < v < usual * Decimal("0.12") for v in values)


def _strange(symbols: list[Sym], roles: Roles) -> bool:
    """Whether words that nobody knows stand where they may change what a bare number is of."""
    unknown = [
        s
        for s in symbols
        if s.role == "R"
        and not s.hard
        and not roles.found[s.token].says("verdict", "junk", "part", "thing", "doubt", "kind", "out", "aside")
    ]
    if any(_among_facts(symbols, s) for s in unknown):
        return True  # a word that nobody knows may be what the number is of, or a 'not'
    if roles.frame.kind == "firing" and _how_many(symbols, roles):
        return True
    if len(unknown) > 3 and len(unknown) > len([s for s in symbols if s.role in "PNVWCQ"]):
        return True
    if roles.from_cue and unknown and roles.frame.kind != "firing":
        return True
    first = next((i for i, s in enumerate(symbols) if s.role in "PNVW"), 0)
    cue = next((i for i, t in enumerate(roles.found) if roles.frame.kind in t.all_of("kind")), len(roles.found))
    if any(s in unknown and s.token > cue and s.token == symbols[first].token - 1 for s in symbols[:first]):
        return True  # 'compression: wett 1 130' may be a word for how it was read
    if (
        first
        and symbols[first].role == "N"
        and not any(s.role == "P" for s in symbols)
        and not any(s.role in "V" for s in symbols)
        and roles.placed
        and len([s for s in symbols if s.role == "N"]) == 1
        and not any(s.role == "W" for s in symbols)
    ):
        return True  # a place without a reading, or a reading without its place
    for before, symbol in pairwise(symbols):
        if (
            symbol in unknown
            and before.role == "V"
            and not before.unit
            and symbol.token == before.token + 1
            and roles.dimensions[0]
        ):
            return True  # a unit that nobody knows?
        if symbol.role in "VN" and not symbol.unit and before in unknown and roles.row.subjects not in ("cyl", "part"):
            return True
    return False


def _among_facts(symbols: list[Sym], remark: Sym) -> bool:
    """Whether a remark stands in a clause that reads something; one of its own behind a comma stands aside."""
    at = symbols.index(remark)
    ends = [i for i, s in enumerate(symbols) if s.role == "S" and (s.hard or s.value == "/")]
    first = max((i for i in ends if i < at), default=-1) + 1
    last = min((i for i in ends if i > at), default=len(symbols))
    return any(s.role in "PNVWL" for s in symbols[first:last])


def _how_many(symbols: list[Sym], roles: Roles) -> bool:
    """'runs on 3' is three cylinders, or the third."""
    read = [s for s in symbols if s.role in "PNVW"]
    if [s.role for s in read] != ["W", "P"] or read[0].value != "fires" or len(read[1].places) != 1:
        return False
    return read[1].places[0].isdigit() and roles.found[read[1].token - 1].key == "on"
