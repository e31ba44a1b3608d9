"""Lists and rows: values in the order of the cylinders, exceptions, banks, states beside values."""

from __future__ import annotations

from itertools import pairwise

from logbook.text.hearing.lexicon import Frame
from logbook.text.hearing.model import OPPOSITE, WHERE, Context, Fact, Refused, Sym
from logbook.text.hearing.parting import taken
from logbook.text.hearing.roles import Roles


def values_on(symbols: list[Sym], roles: Roles) -> list[Sym]:
    """'80 on 1, 75 on 2 and 4' with each place before its value: '1 80, 2 and 4 75'."""
    read = [s for s in symbols if s.role in "PNV" or (s.role == "W" and s.value != "fires")]

    def stands_on(one: Sym, other: Sym) -> bool:
        between = roles.found[one.token + 1 : other.token]
        return any(t.key.split(" ")[0] in ("on", "at", "across", "in", "for") for t in between)

    values = [
        i for i, s in enumerate(read[:-1])
        if s.role in "NV" and read[i + 1].role in "NP" and stands_on(s, read[i + 1])
    ]  # fmt: skip
    if len(values) < 2 or values[0] != 0 or not roles.row.dimension or not roles.placed:
        return symbols
    groups = [read[a:b] for a, b in pairwise([*values, len(read)])]
    if any(s.role not in "NP" for g in groups for s in g[1:]):
        return symbols
    out = [s for s in symbols[: symbols.index(read[0])] if s.role not in "W~"]
    for group in groups:
        begin, end = symbols.index(group[0]), symbols.index(group[-1])
        behind = next((i for i in range(end + 1, len(symbols)) if symbols[i] in read), len(symbols))
        bound = [symbols[begin - 1]] if begin and symbols[begin - 1].role == "~" else []
        places = [s._replace(role="P") for s in group[1:]]
        rest = [s for s in symbols[begin + 1 : behind] if s.role in "CQR?"]
        out += [*places, *bound, group[0]._replace(role="V"), *rest, Sym("S", token=group[-1].token, hard=True)]
    return out


def in_turns(symbols: list[Sym]) -> list[Sym]:
    """'idle 14.7 cruise 15.1': where conditions and values take turns, each condition is of the value behind it."""
    turns = "".join("c" if s.role in "CQ" else "v" if s.role == "V" else "x" for s in symbols if s.role in "CQVPNW")
    if len(turns) < 4 or turns != "cv" * (len(turns) // 2):
        return symbols
    out: list[Sym] = []
    for symbol in symbols:
        out += [Sym("S", "/", token=symbol.token), symbol] if symbol.role in "CQ" and out else [symbol]
    return out


def row(symbols: list[Sym], frame: Frame, context: Context) -> tuple[tuple[Fact, ...], float] | None:
    """As many values as there are cylinders, in their order."""
    count = context.mains if frame.row.subjects == "bearing" else context.places
    read = [s for s in symbols if s.role in "NVWP"]
    words = all(s.role == "W" for s in read) and len({s.value for s in read}) < len(read)  # 'black black wet black'
    if words and len(read) > 1 and len(read) != count:
        raise Refused("words for whom")
    if frame.row.subjects not in ("cyl", "part", "bearing") or not count or not (frame.row.dimension or words):
        return None
    if read and read[0].role == "P" and read[0].places == ("all",) and len(read) == count + 1:
        symbols = [s for s in symbols if s is not read[0]]
        read = read[1:]
    tags = read[0].places if read and read[0].role == "P" else ()
    if len(tags) > 2 and not any(s.role == "P" for s in read[1:]) and len(read) == len(tags) + 1:
        return _tag_row(symbols, read)
    if (two := _two_rows(symbols, frame, context)) or (two := _zipped_places(symbols, read)):
        return two
    if any(s.role == "P" for s in read):
        return _bank_rows(symbols, context)
    if len(read) != count or len(read) < 3 or (sum(s.role in "NV" for s in read) < 2 and not words):
        return None
    numbers = [s for s in read if s.role in "NV"]
    if any(s.hard and s.role == "N" for s in read):
        return None
    first, last = symbols.index(read[0]), symbols.index(read[-1])
    inside = symbols[first : last + 1]
    between = {
        tuple(s.value or s.role for s in symbols[symbols.index(a) + 1 : symbols.index(b)] if s.role in "SJ")
        for a, b in pairwise(read)
    }
    if len(between - {("J",)}) > 1:
        return None  # '1 131/126/128' is one place and its strokes
    if any(s.role in "RCQL" for s in inside) or len({s.unit for s in numbers if s.unit}) > 1:
        return None
    if len(read) % 2 == 0 and all(s.role == "N" for s in read[0::2]):
        rising = all(
            int(a.value) < int(b.value) for a, b in pairwise(read[0::2]) if a.value.isdigit() and b.value.isdigit()
        )
        if rising:
            return None
    facts = []
    for place, symbol in enumerate(read, start=1):
        index = symbols.index(symbol)
        doubt = index + 1 < len(symbols) and symbols[index + 1].role == "?"
        if symbol.role == "W":
            facts.append(Fact((str(place),), words=(symbol.value,), doubt=doubt))
        else:
            facts.append(Fact((str(place),), symbol.value, symbol.unit, doubt=doubt))
    how = [*symbols[:first], *symbols[last + 1 :]]
    conditions = tuple(s.value for s in how if s.role == "C")
    qualifiers = tuple(s.value for s in how if s.role == "Q")
    remark = tuple(s.value for s in how if s.role == "R")
    unit = next((f.unit for f in facts if f.unit), "")
    facts = [f._replace(conditions=conditions, qualifiers=qualifiers, unit=unit if f.value else "") for f in facts]
    if remark:
        facts[-1] = facts[-1]._replace(remark=remark)
    return tuple(facts), 0.05


def _two_rows(symbols: list[Sym], frame: Frame, context: Context) -> tuple[tuple[Fact, ...], float] | None:
    """'before 48 50 47 50, after 51 51 50 51 ml': two whole rows, told apart by what stands before each."""
    if sum(s.role in "NVW" for s in symbols) != 2 * context.places:
        return None
    at = next((i for i, s in enumerate(symbols) if s.role == "S" and i and _opens(symbols[i + 1 :], context)), 0)
    halves = (symbols[:at], symbols[at + 1 :])
    hows = [{s.value for s in half if s.role in "CQ"} for half in halves]
    if not at or not hows[0] - hows[1] or not hows[1] - hows[0]:
        return None
    before, behind = (row(half, frame, context) for half in halves)
    if before is None or behind is None:
        return None
    units = {f.unit for f in (*before[0], *behind[0]) if f.unit}
    if len(units) > 1:
        return None
    unit = next(iter(units), "")
    lasting = [c for f in behind[0][:1] for c in f.conditions if c[:1].isdigit()]  # 'ml in 15 s', of both
    first = tuple(f._replace(conditions=tuple(dict.fromkeys((*f.conditions, *lasting)))) for f in before[0])
    return tuple(f._replace(unit=unit if f.value else "") for f in (*first, *behind[0])), 0.1


def _opens(symbols: list[Sym], context: Context) -> bool:
    """Whether a row begins here: how it was read, and as many values as there are cylinders."""
    return bool(symbols) and symbols[0].role in "CQ" and sum(s.role in "NVW" for s in symbols) == context.places


def _zipped_places(symbols: list[Sym], read: list[Sym]) -> tuple[tuple[Fact, ...], float] | None:
    """'1/2/3/4: 12.1/12.0/12.2/12.1 bar': places, a colon, and as many values in their order."""
    at = next((i for i, s in enumerate(symbols) if s.role == "S" and s.value == ":"), -1)
    who = [s for s in symbols[: max(at, 0)] if s.role in "NPVW"]
    values = [s for s in symbols[at + 1 :] if s.role in "NPVW"]
    places = [p for s in who for p in s.places]
    listed = len(who) == len(places) or (len(who) == 1 and len(values) > 2)
    if len(places) < 3 or len(places) != len(values) or len(set(places)) != len(places) or not listed:
        return None
    last = max(i for i, s in enumerate(symbols) if s in read)
    inside = symbols[symbols.index(who[0]) : last]
    if any(s.role not in "NVW" for s in values) or any(s.role not in "NVWPSF" for s in inside):
        return None
    unit = next((s.unit for s in values if s.unit), "")
    how = [s for s in symbols if s.role in "CQ"]
    if any(s.role in "RL~?" for s in symbols):
        return None
    facts = [
        Fact((p,), words=(v.value,)) if v.role == "W" else Fact((p,), v.value, unit)
        for p, v in zip(places, values, strict=True)
    ]
    return tuple(taken(fact, tuple(how)) for fact in facts), 0.05


def _tag_row(symbols: list[Sym], read: list[Sym]) -> tuple[tuple[Fact, ...], float] | None:
    """'A1-A8 in 15 s: 92 90 91 60 92 91 0 90 cc': as many values as parts are named."""
    if any(s.role in "LR" for s in symbols):
        return None
    conditions = tuple(s.value for s in symbols if s.role == "C")
    unit = next((s.unit for s in read if s.unit), "")
    facts = [
        Fact((tag,), words=(s.value,), conditions=conditions)
        if s.role == "W"
        else Fact((tag,), s.value, unit, conditions=conditions)
        for tag, s in zip(read[0].places, read[1:], strict=True)
    ]
    return tuple(facts), 0.05


def _bank_rows(symbols: list[Sym], context: Context) -> tuple[tuple[Fact, ...], float] | None:
    """'left 12.1 12.0 11.8 right 12.2 12.0 11.9': a row for each bank."""
    read = [s for s in symbols if s.role in "NVWP"]
    if any(s.role in "RLQ" for s in symbols) or not all(s.places[0] in context.banks for s in read if s.role == "P"):
        return None
    facts: list[Fact] = []
    cylinders: list[int] = []
    for symbol in read:
        if symbol.role == "P":
            if cylinders:
                return None
            cylinders = list(context.banks[symbol.places[0]])
            if len(cylinders) < 2:
                return None
            continue
        if not cylinders:
            return None
        place = str(cylinders.pop(0))
        facts.append(
            Fact((place,), words=(symbol.value,)) if symbol.role == "W" else Fact((place,), symbol.value, symbol.unit)
        )
    if cylinders or len(facts) < 3:
        return None
    unit = next((f.unit for f in facts if f.unit), "")
    conditions = tuple(s.value for s in symbols if s.role == "C")
    return tuple(f._replace(unit=unit if f.value else "", conditions=conditions) for f in facts), 0.1


def listed(symbols: list[Sym]) -> list[Sym]:
    """In a clause that has words and no other value, bare numbers are places: '3 4 7 nothing'."""
    out: list[Sym] = []
    clause: list[Sym] = []
    for symbol in (*symbols, Sym("S", hard=True)):
        clause.append(symbol)
        if symbol.role == "S" and symbol.hard:
            words = [s.value for s in clause if s.role == "W"]
            if words and not set(words) & WHERE and not any(s.role == "V" for s in clause):
                clause = [s._replace(role="P") if s.role == "N" else s for s in clause]
            out += clause
            clause = []
    return out[:-1]


def within_bank(symbols: list[Sym], context: Context) -> list[Sym]:
    """'left side 5 and 7 dead': the bank only says where 5 and 7 are."""
    out: list[Sym] = []
    for index, symbol in enumerate(symbols):
        behind = symbols[index + 1] if index + 1 < len(symbols) else None
        bank = context.banks.get(symbol.places[0], ()) if symbol.role == "P" and symbol.places else ()
        if (
            bank
            and behind is not None
            and behind.role == "P"
            and behind.places[0].isdigit()
            and int(behind.places[0]) in bank
        ):
            continue
        out.append(symbol)
    return out


def but(symbols: list[Sym]) -> list[Sym]:
    """'all good except 7 which is black' as 7 black, and the rest good."""
    at = next((i for i, s in enumerate(symbols) if s.role == "P" and s.places == ("but",)), -1)
    if at < 0:
        return symbols
    before, behind = symbols[:at], symbols[at + 1 :]
    stop = 0
    while stop < len(behind) and (
        behind[stop].role in "PJF" or (behind[stop].role == "N" and (not stop or behind[stop - 1].role == "J"))
    ):
        stop += 1
    named = [s._replace(role="P") if s.role == "N" else s for s in behind[:stop]]
    again = behind[stop + 1] if len(behind) > stop + 1 and behind[stop].role == "S" else None
    if again is not None and len(named) == 1 and again.places == named[0].places:
        behind = [*behind[:stop], *behind[stop + 2 :]]  # 'but 3, 3 has 6'
    if len(behind) > stop + 1 and behind[stop].role == "S" and behind[stop + 1].role in "FW":
        behind = [*behind[:stop], *behind[stop + 1 :]]  # 'except 3, which is wet'
    own = [s for s in behind[stop:] if s.role in "VNW"]
    others = [s for s in before if s.role in "VN"] or [s for s in before if s.role == "W"]
    if (
        not named
        or len(others) != 1
        or any(s.role == "P" and s.places != ("all",) and len(s.places) < 3 for s in before)
    ):
        return symbols
    run = [s for s in before if s.role == "P" and len(s.places) > 2]
    if not own:
        opposite = OPPOSITE.get(others[0].value, "") if others[0].role == "W" else ""
        if not opposite or behind[stop:]:
            return symbols
        behind = [*behind, Sym("W", opposite)]
    lead = [s for s in before if s.role == "~"]
    how = [s for s in before if s.role in "CQ"]
    return [
        *how,
        *named,
        *behind[stop:],
        Sym("S", hard=True),
        *(run or [Sym("P", places=("rest",), hard=True)]),
        *lead,
        others[0],
    ]


def slashes(symbols: list[Sym]) -> list[Sym]:
    """'ltft b1 +14 stft +6, b2 +2 / +1': a slash between two values repeats the qualifiers that two had before."""
    quals = [s for s in symbols if s.role == "Q"]
    values = [i for i, s in enumerate(symbols) if s.role == "V"]
    if len(quals) != 2 or len(values) != 4:
        return symbols
    third, fourth = values[2], values[3]
    if symbols[third + 1].role != "S" or symbols[third + 1].value != "/" or symbols.index(quals[1]) > third:
        return symbols
    return [*symbols[:third], quals[0], *symbols[third : third + 2], quals[1], *symbols[fourth:]]


def zipped(symbols: list[Sym]) -> tuple[Fact, ...] | None:
    """'45/12 cold/hot', '12.6 / 10.2 / 14.1 (off/crank/run)': as many values as states, in their order."""
    values = [s for s in symbols if s.role in "NV"]
    how = [s for s in symbols if s.role in "CQ"]
    if len(values) != len(how) or len(values) < 2 or any(s.role in "PWLR" for s in symbols):
        return None
    at = [symbols.index(s) for s in values]
    other = [symbols.index(s) for s in how]
    if not (max(at) < min(other) or max(other) < min(at)):
        return None
    unit = next((s.unit for s in values if s.unit), "")
    return tuple(taken(Fact((), v.value, v.unit or unit), (h,)) for v, h in zip(values, how, strict=True))
