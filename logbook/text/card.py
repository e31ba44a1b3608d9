"""What the reader itself must know of an engine card: how many places there are, and which banks."""

from __future__ import annotations

import re
from dataclasses import dataclass

from logbook.text.limits import MOST_CYLINDERS

_WORDS = [
    "single",
    "twin",
    "triple",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
]
_NUMBERS = {word: number for number, word in enumerate(_WORDS, start=1)} | {"one": 1, "two": 2, "three": 3}
_COUNT = r"(\d{1,3}|" + "|".join(sorted(_NUMBERS, key=len, reverse=True)) + r")\b"
_LAYOUT = re.compile(
    r"\b(?P<layout>v|vee|flat|boxer|inline|in-line|in line|straight|upright|slant|i|l)[ -]{0,2}"
    + _COUNT
    + r"|\b"
    + _COUNT
    + r"[ -]{1,2}(?:cylinders?|cyl|pots?|in (?:line|a row)|in-line|inline|flat|boxer|straight)|^"
    + _COUNT
)
_BANK = re.compile(r"\b(left|right|front|rear)\b(?: (?:bank|side))?[ :=]*((?:\d{1,2}\b[ ,/&+-]*)+|odds?\b|evens?\b)")


@dataclass(frozen=True, slots=True)
class EngineCard:
    """``places`` is 0 where the card does not say; ``banks`` are names of banks, '' never among them."""

    places: int
    banks: frozenset[str]
    too_many: int = 0


def engine_card(text: str) -> EngineCard:
    """Count of cylinders and names of banks in the words of an engine card."""
    said = " ".join(text.casefold().split())[:600]
    banks: dict[str, list[int]] = {}
    for match in _BANK.finditer(said):
        banks.setdefault(match[1], [int(n) for n in re.findall(r"\d+", match[2])])
    counted = 0
    layout = _LAYOUT.search(re.sub(r"\b\d+\.\d+(?: ?l\b| ?litres?\b| ?liters?\b)?", " ", said))
    layout_word = ""
    if layout:
        word = next(g for g in layout.groups()[1:] if g)
        counted = int(word) if word.isdigit() else _NUMBERS[word]
        layout_word = layout["layout"] or ("flat" if "flat" in said or "boxer" in said else "")
    listed = sorted({n for numbers in banks.values() for n in numbers})
    if not counted and listed:
        counted = listed[-1]
    if counted > MOST_CYLINDERS:
        return EngineCard(0, frozenset(banks), counted)
    if not banks and layout_word in ("v", "vee", "flat", "boxer"):
        return EngineCard(counted, frozenset({"left", "right"}))
    return EngineCard(counted, frozenset(banks))


_PIECE = re.compile(r"[^,;]+")
_UNDERSTOOD = re.compile(
    r"^[\s\d/&+.-]*$|\b(?:v|vee|flat|boxer|opposed|in-?line|line|straight|upright|slant|row|cyl\w*|pots?|engine|motor|[vil]-?\d+|"
    r"left|right|front|rear|odds?|evens?|bank|fires?|firing|order|coils?|coilpack|cop|leads?|plugs?|distributor|dizzy|magneto|points|"
    r"ignition|spark|pairs?|waste\w*|injection|injectors?|injected|port|direct|single|multi|mono|tbi|throttle|carb\w*|diesel|glow|"
    r"common|rail|mains?|bearings?|litres?|liters?|cc|ci|cu|valves?|ohv|ohc|dohc|sohc|cams?|camshafts?|pushrods?|turbo\w*|"
    r"supercharg\w*|blower|petrol|gas|gasoline|water|air|cooled|from|numbered|counted|number|and|1 at|none|no|one|"
    + "|".join(_NUMBERS)
    + r")\b|\d+(?:\.\d+)? ?l\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a card between commas; ``start`` and ``end`` count from the beginning of the card."""

    text: str
    start: int
    end: int


def unread_pieces(text: str) -> tuple[Piece, ...]:
    """The pieces of a card that hold no word an engine card is made of."""
    found = []
    for match in _PIECE.finditer(text):
        said = match.group().strip()
        if said and not _UNDERSTOOD.search(said):
            start = match.start() + len(match.group()) - len(match.group().lstrip())
            found.append(Piece(said, start, start + len(said)))
    return tuple(found)
