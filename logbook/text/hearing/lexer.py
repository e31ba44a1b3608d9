"""A jotted line cut into tokens: the longest phrases of the table, numbers of every writing, signs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from logbook.text.hearing.lexicon import ATOM, MOST_WORDS, Sense, fold, phrases

MOST_ATOMS = 90  # of a line that is heard
_FRACTIONS = frozenset({"2", "3", "4", "8", "16", "32", "64"})
_IS = re.compile(r"(\d)'s\b")  # "3's dead"
_MIXED = re.compile(r"(?:(?P<whole>\d{1,3})\s+)?(?P<top>\d{1,2})/(?P<bottom>2|4|8|16|32|64)(?![\d/.])")
_SPAN = re.compile(r"(?P<h>\d{1,2})h(?P<m>\d{2})?\b")
_NO_NUMBER = frozenset(
    {
        "this",
        "that",
        "the",
        "each",
        "every",
        "which",
        "only",
        "another",
        "any",
        "no",
        "a",
        "last",
        "first",
        "same",
        "other",
        "old",
        "wrong",
        "weak",
        "dead",
        "broken",
    }
)
_SHORT = frozenset(
    (
        "cyl", "cyls", "no", "nr", "inj", "approx", "temp", "comp", "vac", "batt", "ign", "int", "exh", "press",
        "pres", "res", "vs", "ca", "in", "ft", "hrs", "hr", "min", "dist", "alt", "prim", "sec",
    )
)  # fmt: skip
_CLOSES = {"(": ")", "[": "]"}
_DASH = "–—−‐‑"


class Number(NamedTuple):
    """A number as jotted. ``text`` is how the language writes it; ``high`` differs from ``low`` in a range."""

    text: str
    low: Decimal
    high: Decimal
    signed: bool = False
    worded: bool = False
    clock: int = -1  # minutes of the day
    money: str = ""
    pair: bool = False  # two whole numbers with a dash: a range or a run of places
    odd: bool = False  # no number for sure: '91,250', '12.4.1', '43-38'

    @property
    def whole(self) -> bool:
        return self.low == self.low.to_integral_value() and "." not in self.text and "/" not in self.text


class Token(NamedTuple):
    """``sort`` is word, number, tag, code, file, bracket or sign; ``senses`` are all that the tables give it."""

    sort: str
    text: str
    start: int
    end: int
    senses: tuple[Sense, ...] = ()
    number: Number | None = None
    glued: bool = False  # no blank before it
    atoms: int = 1

    @property
    def key(self) -> str:
        return fold(self.text)

    def of(self, name: str) -> str:
        """The value of the first sense of this class, or ''."""
        for sort, value in self.senses:  # plain loops: these three are asked a hundred times a line
            if sort == name:
                return value
        return ""

    def all_of(self, name: str) -> list[str]:
        return [v for c, v in self.senses if c == name]

    def says(self, *names: str) -> bool:
        for sort, _ in self.senses:  # noqa: SIM110
            if sort in names:
                return True
        return False


class _Atom(NamedTuple):
    sort: str
    text: str
    start: int
    end: int


def plain(line: str) -> str:
    """The line with dashes and quotes of every kind as plain ones; the same length."""
    for dash in _DASH:
        line = line.replace(dash, "-")
    return (
        _IS.sub(r"\1  ", line.replace("’", "'")).replace("‘", "'").replace("“", '"').replace("”", '"').replace("×", "x")
    )


def lex(line: str) -> list[Token]:
    """The tokens of a line; none where it has too many atoms to be a jotting."""
    return list(_lexed(line))


@lru_cache(maxsize=64)
def _lexed(line: str) -> tuple[Token, ...]:
    line = plain(line)
    atoms = [
        _Atom(m.lastgroup or "sign", m.group(), m.start(), m.end()) for m in ATOM.finditer(line[: MOST_ATOMS * 16])
    ]
    if len(atoms) > MOST_ATOMS or len(line) > MOST_ATOMS * 16:
        return ()
    found = list(_tokens(line, atoms))
    return tuple(_numbers_joined(_worded(found)))


def _tokens(line: str, atoms: list[_Atom]) -> Iterator[Token]:
    at = 0
    known = phrases()
    spelt = [fold(a.text) for a in atoms]
    while at < len(atoms):
        atom = atoms[at]
        glued = at > 0 and atoms[at - 1].end == atom.start
        if atom.text in _CLOSES and (close := _closing(atoms, at)) > 0:
            inner = line[atom.end : atoms[close].start].strip()
            yield Token("bracket", inner, atom.start, atoms[close].end, (), None, glued)
            at = close + 1
            continue
        if atom.sort in ("number", "clock"):
            token, at = _number(line, atoms, at, glued)
            yield token
            continue
        if atom.text == "#" and glued and atoms[at - 1].sort == "number" and not _digit_behind(atoms, at):
            yield Token("word", "#", atom.start, atom.end, (("unit", "psi"), ("unit", "lbft")), None, True)
            at += 1
            continue
        if atom.text in "+-" and at + 1 < len(atoms) and _signs(atoms, at):
            token, at = _number(line, atoms, at + 1, glued, atom)
            yield token
            continue
        for length in range(1 if _goes_on_counting(spelt, at) else min(MOST_WORDS, len(atoms) - at), 0, -1):
            group = atoms[at : at + length]
            key = " ".join(spelt[at : at + length])
            senses = known.get(key)
            if senses is None and length == 1 and atom.text.casefold().endswith("'s"):
                senses = known.get(fold(atom.text[:-2]))
            if senses is None and length == 1 and len(key) > 5 and key.endswith("in"):
                senses = known.get(f"{key}g")  # 'hittin', 'missin'
            if senses and not (length > 1 and any(a.text in ",;" for a in group)):
                sort = "tag" if length == 1 and atom.sort == "tag" else "word"
                yield Token(
                    sort, line[atom.start : group[-1].end], atom.start, group[-1].end, senses, None, glued, length
                )
                at += length
                break
        else:
            if atom.text == "." and glued and at + 1 < len(atoms) and _short(atoms[at - 1]):
                at += 1  # 'cyl. 3', 'no. 3'
                continue
            yield Token(atom.sort, atom.text, atom.start, atom.end, (), None, glued)
            at += 1


def _goes_on_counting(words: list[str], at: int) -> bool:
    """'sixty one in 15 seconds': the 'one' belongs to the sixty, and is not 'the one in'."""
    senses = (phrases().get(words[at], ()), phrases().get(words[at - 1], ())) if at else ((), ())
    units, tens = (next((int(v) for c, v in s if c == "number"), 0) for s in senses)
    return 0 < units < 10 and tens >= 20


def _digit_behind(atoms: list[_Atom], at: int) -> bool:
    return at + 1 < len(atoms) and atoms[at + 1].sort == "number" and atoms[at + 1].start == atoms[at].end


def _closing(atoms: list[_Atom], at: int) -> int:
    depth = 0
    opens, closes = atoms[at].text, _CLOSES[atoms[at].text]
    for index in range(at, len(atoms)):
        depth += (atoms[index].text == opens) - (atoms[index].text == closes)
        if depth == 0:
            return index
    return -1


def _signs(atoms: list[_Atom], at: int) -> bool:
    """Whether a plus or minus here is the sign of the number behind it."""
    after = atoms[at + 1]
    if after.sort != "number" or after.start != atoms[at].end:
        return False
    return at == 0 or atoms[at - 1].end < atoms[at].start or atoms[at - 1].text in "=(:/,@~"


def _short(atom: _Atom) -> bool:
    return atom.sort == "word" and fold(atom.text) in _SHORT


def _number(line: str, atoms: list[_Atom], at: int, glued: bool, sign: _Atom | None = None) -> tuple[Token, int]:
    atom = atoms[at]
    start = sign.start if sign else atom.start
    if atom.sort == "clock":
        return _clock(atom, glued), at + 1
    mixed = _MIXED.match(line, atom.start)
    if mixed and not sign and int(mixed["top"]) < int(mixed["bottom"]) and not _more_slashes(line, mixed.end()):
        value = Decimal(int(mixed["top"])) / Decimal(int(mixed["bottom"])) + int(mixed["whole"] or 0)
        text = mixed.group() if not mixed["whole"] else str(value.normalize())
        end = next((i for i in range(at, len(atoms)) if atoms[i].start >= mixed.end()), len(atoms))
        return Token("number", mixed.group(), start, mixed.end(), (), Number(text, value, value), glued), end
    hours = _SPAN.match(line, atom.start)
    if hours and hours["m"]:
        minutes = int(hours["h"]) * 60 + int(hours["m"])
        value = Decimal(minutes) / 60
        end = next((i for i in range(at, len(atoms)) if atoms[i].start >= hours.end()), len(atoms))
        number = Number(f"{hours['h']}:{hours['m']}", value, value)
        return Token("number", hours.group(), start, hours.end(), (("unit", "h"),), number, glued), end
    low = _decimal(atom.text)
    text = ("" if sign is None else sign.text) + _written(atom.text)
    if sign is not None and sign.text == "-":
        low = -low
    number = Number(text, low, low, sign is not None, odd=_thousands(atom.text) or _goes_on(atoms, at))
    end, stop = atom.end, at + 1
    if at + 2 < len(atoms) and atoms[at + 1].text == "-" and atoms[at + 2].sort == "number" and sign is None:
        close = atoms[at + 1].start == atom.end and atoms[at + 2].start == atoms[at + 1].end
        high = _decimal(atoms[at + 2].text)
        if close and high < low and not atom.text.isdigit():
            number = number._replace(odd=True)
        if close and high > low:
            text = f"{_written(atom.text)}-{_written(atoms[at + 2].text)}"
            pair = atom.text.isdigit() and atoms[at + 2].text.isdigit()
            number = Number(text, low, high, pair=pair)
            end, stop = atoms[at + 2].end, at + 3
    return Token("number", line[start:end], start, end, (), number, glued), stop


def _thousands(text: str) -> bool:
    """'91,250' may be a large number or a small one; '0,125' can only be small."""
    whole, comma, rest = text.partition(",")
    return bool(comma) and len(rest) == 3 and whole not in ("", "0")


def _goes_on(atoms: list[_Atom], at: int) -> bool:
    """'12.4.1', '9e4': more digits hang on behind."""
    behind = atoms[at + 1] if at + 1 < len(atoms) else None
    if behind is None or behind.start != atoms[at].end:
        return False
    if behind.sort == "number":
        return True
    after = atoms[at + 2] if at + 2 < len(atoms) else None
    joined = after is not None and after.sort == "number" and after.start == behind.end
    return joined and behind.text in ("e", "E", ".", "_", "^")


def _more_slashes(line: str, at: int) -> bool:
    return line[at : at + 1] == "/"


def _decimal(text: str) -> Decimal:
    return Decimal(_written(text))


def _written(text: str) -> str:
    return text.replace(",", ".")


def _clock(atom: _Atom, glued: bool) -> Token:
    match = re.match(r"(\d{1,2})(?::(\d{2}))?\s?([ap])?", atom.text.casefold())
    assert match
    hour, minute = int(match[1]), int(match[2] or 0)
    if match[3] == "p" and hour != 12:
        hour += 12
    if match[3] == "a" and hour == 12:
        hour = 0
    value = Decimal(int(match[1])) + Decimal(minute) / 60
    return Token(
        "number", atom.text, atom.start, atom.end, (), Number(atom.text, value, value, clock=hour * 60 + minute), glued
    )


def _worded(found: list[Token]) -> list[Token]:
    """Runs of number words as one number: 'one sixty five' is 165, 'ninety five' 95."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        token = found[at]
        if not token.of("number"):
            out.append(token)
            at += 1
            continue
        value, stop = _said_number(found, at)
        before = out[-1].key if out else ""
        if value == 1 and (before in _NO_NUMBER or (before and out[-1].says("age", "junk", "verdict"))):
            out.append(token._replace(senses=(("fill", "fill"),)))
            at += 1
            continue
        text = str(value)
        if stop + 1 < len(found) and found[stop].key == "point" and found[stop + 1].of("number"):
            text = f"{value}.{found[stop + 1].of('number')}"
            stop += 2
        last = found[stop - 1]
        senses = token.senses if stop == at + 1 else ()
        if stop < len(found) and found[stop].of("frac"):
            text = f"{text}.5"
            stop += 1
        number = Number(text, Decimal(text), Decimal(text), worded=True)
        out.append(
            Token(
                "number", " ".join(t.text for t in found[at:stop]), token.start, last.end, senses, number, token.glued
            )
        )
        at = stop
    return out


def _said_number(found: list[Token], at: int) -> tuple[int, int]:
    value = int(found[at].of("number"))
    stop = _past_and(found, at + 1, value)
    while stop < len(found) and (word := found[stop].of("number")):
        more = int(word)
        if more == 100 and value < 100:
            value *= 100
        elif value >= 20 and value % 10 == 0 and 0 < more < 10 and value % 100:
            value += more
        elif value < 10 and 10 <= more < 100 and stop == at + 1:
            value = value * 100 + more
        elif value >= 100 and value % 100 == 0 and more < 100:
            value += more
        else:
            break
        stop += 1
        stop = _past_and(found, stop, value)
    return value, stop


def _past_and(found: list[Token], stop: int, value: int) -> int:
    """'seven hundred and fifty' is one number."""
    if value >= 100 and value % 100 == 0 and stop + 1 < len(found) and found[stop].key == "and":
        after = found[stop + 1].of("number")
        return stop + bool(after and int(after) < 100)
    return stop


def _numbers_joined(found: list[Token]) -> list[Token]:
    """'$' before a number and '€' behind it belong to it; '1.2 to 1.8' stays in pieces for the frame."""
    out: list[Token] = []
    for token in found:
        before = out[-1] if out else None
        if (
            token.number
            and before is not None
            and before.sort != "number"
            and before.of("money")
            and before.text in "$€£"
        ):
            out[-1] = token._replace(start=before.start, number=token.number._replace(money=before.of("money")))
        elif (
            before is not None
            and before.number
            and not before.number.money
            and token.of("money")
            and not token.says("unit")
        ):
            out[-1] = before._replace(end=token.end, number=before.number._replace(money=token.of("money")))
        elif (
            token.sort in ("tag", "number")
            and len(out) > 1
            and (out[-1].text == "-" or (out[-1].key == "to" and token.sort == "tag"))
            and out[-2].sort == "tag"
            and (out[-1].key == "to" or (out[-1].glued and token.glued))
        ):
            first, last = out[-2], token.text.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz")
            if last.isdigit() and "-" not in first.text and int(first.text[1:]) < int(last) < int(first.text[1:]) + 40:
                out[-2:] = [first._replace(text=f"{first.text}-{token.text}", end=token.end)]
            else:
                out.append(token)
        else:
            out.append(token)
    return out
