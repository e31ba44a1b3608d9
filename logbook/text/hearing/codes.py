"""Trouble codes, clause by clause."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.model import Candidate, Context

_WIPED = frozenset({"deleted", "erased", "cleared", "reset", "wiped"})


_ONLY_SET = frozenset({"set", "threw", "stored", "scan", "scanned", "cel", "mil"})  # name codes only beside one


_HOW_CODES = frozenset({"after clearing", "pending", "stored", "hot", "cold"})


_BESIDE_CODES = frozenset({"none", "rich", "lean", "dead"})


class _Clause(NamedTuple):
    """A clause about codes: those it names, how they were met, and what else it says."""

    codes: tuple[str, ...]
    how: tuple[str, ...]
    rest: tuple[str, ...]
    sure: bool


def codes(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Trouble codes, or that there are none; three or four digits count where codes are named."""
    if any(t.says("irreal") and not t.says("out", "weak") for t in found):
        return []
    named = any("codes" in t.all_of("kind") and t.key not in _ONLY_SET for t in found)
    clauses = [_clause(tokens, named) for tokens in _apart(found)]
    if any(c is None for c in clauses):
        return []
    told = [c for c in clauses if c is not None]
    if not any(c.codes for c in told):
        return _without_codes(found, told, named)
    if not named and any(
        t.says("verb", "part") and not t.says("fill") and t.of("verb") not in ("adjust", "cut", "remove") for t in found
    ):
        return []
    wiped = any(t.key in _WIPED for t in found) and not named_after(found)
    if wiped and not any(t.key in ("came back", "back") for t in found):
        said = ", ".join(dict.fromkeys(c for clause in told for c in clause.codes))
        return [Candidate((f"codes cleared: {said}",), 0.1)] if not any(c.rest for c in told) else []
    plain = [t for t in found if t.sort != "sign"]
    if any("gone" in t.key.split(" ") for t in found) or any(
        one.key in _WIPED and other.sort == "code" for one, other in pairwise(plain)
    ):
        return []  # 'cleared P0302' is what was cleared, not what is there
    body = _told_codes(told)
    return [Candidate((f"codes: {', '.join(body)}",), 0.1, all(c.sure for c in told))] if body else []


def _apart(found: Sequence[Token]) -> list[list[Token]]:
    """The clauses of a line; a code behind a comma or an 'and' begins one only where something was said of the last."""
    out: list[list[Token]] = [[]]
    for token in found:
        if token.text in ",;." or token.key in ("and", "also", "then"):
            out.append([])
        else:
            out[-1].append(token)
    return [clause for clause in out if clause]


def _clause(found: Sequence[Token], named: bool) -> _Clause | None:
    """What a clause says of codes; None where it is about something else."""
    said: list[str] = []
    how: list[str] = []
    rest: list[str] = []
    sure = True
    skip = False
    for at, t in enumerate(found):
        behind = found[at + 1] if at + 1 < len(found) else None
        if skip:
            skip = False
        elif t.sort == "code":
            said.append(t.text.upper())
        elif t.number and behind is not None and behind.says("unit") and not behind.says("link"):
            how.append(f"{t.number.text} {behind.of('unit')}")
            skip = True
        elif t.number and t.number.whole and named and len(t.text) in (3, 4) and t.text.isdigit():
            said.append(f"P{t.text.zfill(4)}")
            sure = sure and len(t.text) == 4
        elif t.number and len(t.text) > 2:
            return None  # a code that was shortened, or a reading
        elif t.says("cond") and t.of("cond") in _HOW_CODES:
            how.append(t.of("cond"))
        elif not (
            t.says("fill", "sep", "link", "mark", "got", "verb", "now")
            or t.text in ":&+/=-!"
            or "codes" in (*t.all_of("kind"), *t.all_of("weak"))
        ):
            if t.says("out") and "came back" not in t.all_of("kind") and not set(t.all_of("out")) & _BESIDE_CODES:
                return None  # what runs, beside what is stored
            rest.append(t.text)
    if any(t.key in _WIPED for t in found) and "after clearing" not in how:
        how.insert(0, "after clearing")
    return _Clause(tuple(dict.fromkeys(said)), tuple(how), tuple(rest), sure)


def _told_codes(clauses: Sequence[_Clause]) -> list[str]:
    """Each code with what its own clause says of it, and what was said before the first; [] where that is not clear."""
    first = next(n for n, c in enumerate(clauses) if c.codes)
    lead = [h for c in clauses[:first] for h in (*c.how, *((" ".join(c.rest),) if c.rest else ()))]
    several = sum(len(c.codes) for c in clauses) > 1
    if several and any(not c.codes and (c.rest or c.how) for c in clauses[first:]):
        return []  # said of which?
    tail = [h for c in clauses[first:] if not c.codes for h in (*c.how, " ".join(c.rest))]
    body: dict[str, str] = {}
    for clause in clauses:
        for n, code in enumerate(clause.codes):
            own = (*clause.how, *((" ".join(clause.rest),) if clause.rest and n == 0 else ()))
            note = ", ".join(dict.fromkeys(h for h in (*lead, *own, *tail) if h))
            if body.get(code, note) != note:
                return []  # one code met twice
            body[code] = note
    return [f"{code} ({note})" if note else code for code, note in body.items()]


def _without_codes(found: Sequence[Token], clauses: Sequence[_Clause], named: bool) -> list[Candidate]:
    """'codes cleared', 'no codes after 20 miles'."""
    how = [h for c in clauses for h in c.how]
    rest = [w for c in clauses for w in c.rest]
    about = any(t.key in ("codes", "code", "cleared codes", "cleared code", "dtcs", "codes cleared") for t in found)
    if "after clearing" in how and about and not any(t.says("out") for t in found):
        return [Candidate(("codes cleared",), 0.1)] if not rest else []
    nothing = any("codes" in t.all_of("weak") for t in found) or (
        named and any("none" in t.all_of("out") for t in found) and not any(t.number and t.text in rest for t in found)
    )
    if not nothing:
        return []
    words = " ".join(w for w in rest if w.casefold() not in ("none", "no codes"))
    note = ", ".join(x for x in (*how, words) if x)
    return [Candidate((f"codes: none{f' ({note})' if note else ''}",), 0.15)]


def named_after(found: Sequence[Token]) -> bool:
    """'cleared codes, got P0304': whether the codes stand behind the clearing, and so came after it."""
    at = next(
        (
            i
            for i, t in enumerate(found)
            if t.key in ("deleted", "erased", "cleared") or t.of("cond") == "after clearing"
        ),
        len(found),
    )
    return any(t.sort == "code" or (t.number and len(t.text) == 4) for t in found[at + 1 :])
