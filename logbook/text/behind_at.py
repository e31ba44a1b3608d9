"""Not all that stands behind '@' is a condition: a second reading opens a stretch of its own, and a result that was
seen belongs to the reading before it.
"""

from __future__ import annotations

from collections.abc import Iterator

from logbook.text.clauses import SEPARATORS
from logbook.text.kinds import Kind
from logbook.text.lexing import Token
from logbook.text.numbers import Measure
from logbook.text.remarks import words_in
from logbook.text.subjects import SUBJECT_WORDS
from logbook.text.vocabulary import CONDITION_WORDS, STATES, fold, qualifier_words, units_spelt, word_of

Part = tuple[str, list[Token], Token | None]

MEASURED = frozenset({"cyl", "part", "bolt", "bearing", "any", "one", "bank", "slots", "pull"})
_PLACED = frozenset({"cyl", "part", "bolt", "bearing", "any"})
_RANGE = frozenset({"-", "..", "to", "±", "+-", "+/-"})
_CYLINDER = frozenset({"cyl", "cylinder", "#"})
_WHEN = frozenset({"when", "if", "while", "after"})
_FROM = frozenset({"out", "of", "from", "at", "in", "the"})
_CONDITIONS = frozenset(map(fold, CONDITION_WORDS))
_MOST_PLACE = 16
_LONGEST_UNIT = 4  # tokens


def sorted_out(parts: list[Part], kind: Kind, measure: Measure, places: int) -> list[Part]:
    """The clauses of a line with every '@' cut up: '@' for conditions, 'seen' for a result, '' for more readings."""
    found: list[Part] = []
    for at, (name, group, opener) in enumerate(parts):
        if name != "@" or kind.subjects not in MEASURED or not group:
            found.append((name, group, opener))
            continue
        another = at + 1 < len(parts) and parts[at + 1][0] == "@"
        cut = len(found)
        for sort, comma, tokens in _cut_up(group, kind, measure, places, another):
            if len(found) > cut and found[-1][0] == sort and sort != "seen":
                found[-1][1].extend([*comma, *tokens])
            else:
                found.append((sort, tokens, None if sort == "" else opener))
    return found


def _cut_up(
    group: list[Token], kind: Kind, measure: Measure, places: int, another: bool
) -> Iterator[tuple[str, list[Token], list[Token]]]:
    """What each piece is, the comma before it, and its tokens."""
    pieces = list(_pieces(group))
    for number, (comma, piece) in enumerate(pieces):
        if not piece:
            yield "@", comma, []
            continue
        brackets = [t for t in piece if t.kind == "bracket" and words_in(t.text, kind.words)]
        piece = [t for t in piece if t not in brackets]
        last = another and number + 1 == len(pieces)
        if number and "temperature" in measure.dimensions and _comes_at(piece):
            yield "", comma, piece[-1:]
            yield "@", [], piece[:-2]
        elif number and _is_reading(piece, kind, measure, places, last):
            link = next((i for i, t in enumerate(piece) if i and t.text.casefold() == "at"), len(piece))
            yield "", comma, piece[:link]
            if link + 1 < len(piece):
                yield "@", [], piece[link + 1 :]
        elif _is_seen(piece, kind):
            yield "seen", comma, piece
        else:
            behind = _seen_behind(piece, kind)
            yield "@", comma, piece[:behind]
            if behind < len(piece):
                yield "seen", [], piece[behind:]
        for bracket in brackets:
            yield "seen", [], [bracket]


def _pieces(group: list[Token]) -> Iterator[tuple[list[Token], list[Token]]]:
    """The comma before each piece, and the piece."""
    comma: list[Token] = []
    piece: list[Token] = []
    for token in group:
        if token.kind == "sign" and token.text in SEPARATORS:
            yield comma, piece
            comma, piece = [token], []
        else:
            piece.append(token)
    yield comma, piece


def _is_reading(piece: list[Token], kind: Kind, measure: Measure, places: int, another: bool) -> bool:
    """Whether what stands behind a comma is a reading of its own; ``another``: an '@' of its own follows it."""
    first = piece[0] if piece else None
    if first is None:
        return False
    named = {*qualifier_words(kind), *(fold(n) for s in kind.slots for n in (s.name, *s.synonyms))}
    if first.kind == "word" and fold(first.text) in named and len(piece) > 1 and piece[1].kind == "number":
        dimensions, _ = _unit_behind(piece, 1)
        return not dimensions or bool(kind.slots) or bool(dimensions & set(measure.dimensions))
    if kind.subjects in _PLACED:
        return _names_and_says(piece, kind, places)
    if first.kind != "number" or not measure.numeric:
        return False
    dimensions, end = _unit_behind(piece, 0)
    plain = all(fold(t.text) in named or word_of(t.text, kind.words) or t.text == "?" for t in piece[end:])
    link = any(t.text.casefold() == "at" for t in piece[1:])
    return another or link or (plain and bool(dimensions & set(measure.dimensions)))


def _comes_at(piece: list[Token]) -> bool:
    """'fan on at 97': the temperature at which something came."""
    ends = len(piece) > 2 and piece[-1].kind == "number" and piece[-2].text.casefold() == "at"
    return ends and all(t.kind == "word" for t in piece[:-1])


def _names_and_says(piece: list[Token], kind: Kind, places: int) -> bool:
    """'4 dead', '5 70 rpm', 'rest 80': a cylinder or more and what it reads; '3 bar' is none."""
    at = 1 if piece[0].text.casefold() in _CYLINDER else 0
    if at + 1 >= len(piece):
        return False
    who, said = piece[at], piece[at + 1]
    place = who.kind == "number" and who.text.isdigit() and 1 <= int(who.text) <= (places or _MOST_PLACE)
    if not place and fold(who.text) not in SUBJECT_WORDS:
        return False
    if said.kind == "number":
        return not said.glued
    return bool(word_of(said.text, (*kind.words, *STATES))) and not units_spelt(said.text)


def _unit_behind(piece: list[Token], at: int) -> tuple[set[str], int]:
    """The dimensions of the unit behind the number at ``at``, and where it ends."""
    at += 1
    while at + 1 < len(piece) and piece[at].text.casefold() in _RANGE and piece[at + 1].kind == "number":
        at += 2
    for length in range(_LONGEST_UNIT, 0, -1):
        group = piece[at : at + length]
        if len(group) == length and (units := units_spelt(" ".join(t.text for t in group))):
            return {u.dimension for u in units}, at + length
    return set(), at


def _is_seen(piece: list[Token], kind: Kind) -> bool:
    """'intake' at a leak-down, 'drops when hot': a result of the kind and no condition."""
    if not piece or any(t.kind != "word" for t in piece) or not kind.words:
        return False
    whole = "".join(t.text for t in piece)
    if fold(whole) in _CONDITIONS:
        return False
    if word_of(whole, kind.words) in kind.words:
        return True
    return any(
        word_of("".join(t.text for t in piece[:n]), kind.words) in kind.words and piece[n].text.casefold() in _WHEN
        for n in (1, 2)
        if len(piece) > n
    )


def _seen_behind(piece: list[Token], kind: Kind) -> int:
    """Where '100 psi, air out of the intake' without its comma turns to what was seen; else where it ends."""
    if not piece or piece[0].kind != "number" or not kind.words:
        return len(piece)
    dimensions, end = _unit_behind(piece, 0)
    says = end + 1 < len(piece) and word_of(piece[-1].text, kind.words) in kind.words
    return end if dimensions and says and piece[-2].text.casefold() in _FROM else len(piece)
