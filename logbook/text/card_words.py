"""The words of an engine card: one table for the reader, which needs places and banks, and for the job.

Patterns are searched in a card in lower case with single blanks, and compiled when first searched for.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from logbook.text.limits import MOST_CYLINDERS

Layout = Literal["inline", "v", "flat", ""]
Ignition = Literal["on-plug", "near-plug", "pair", "one", "none", ""]
Fuelling = Literal["port", "direct", "single-point", "carburettor", ""]

_IN_ORDER = (
    "single", "twin two", "triple three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen",
)  # fmt: skip
NUMBER_WORDS: Mapping[str, int] = MappingProxyType(
    {word: number for number, words in enumerate(_IN_ORDER, start=1) for word in words.split()} | {"one": 1}
)
_COUNT = r"(?P<n>\d{1,3}|" + "|".join(sorted(NUMBER_WORDS, key=len, reverse=True)) + r")"

# First that is found wins; 'v' needs its number, so that a stray letter is no engine.
LAYOUTS: tuple[tuple[str, Layout], ...] = (
    (rf"\b(?:flat|boxer|opposed)[ -]*{_COUNT}\b", "flat"),
    (rf"\b{_COUNT}[ -]*(?:cyl\w*)?[ -]*(?:flat|boxer|opposed)\b", "flat"),
    (rf"\b(?:v|vee)[ -]*{_COUNT}\b", "v"),
    (rf"\b{_COUNT}[ -]*(?:cyl\w*)?[ -]*in[ -]+a[ -]+(?:v|vee)\b", "v"),
    (rf"\b(?:inline|in[ -]line|straight|upright|slant|row|i|l|r)[ -]*{_COUNT}\b", "inline"),
    (rf"\b{_COUNT}[ -]*(?:cyl\w*)?[ -]*(?:in[ -]*(?:a[ -]*)?(?:line|row)|inline|straight|upright)\b", "inline"),
    (r"\b(?:single|1)[ -]*cyl\w*(?P<n>)", "inline"),
    (rf"\b{_COUNT}[ -]*(?:cyl\w*|pots?)\b", "inline"),
    (rf"^(?:an? |the )?{_COUNT}\b(?![.,]?\d|[ -]*(?:mains?|main bearings))", "inline"),
)

IGNITION: tuple[tuple[str, Ignition], ...] = (
    (r"\bdiesel|\bglow|\bcompression[ -]ignition|\b(?:coil|ignition)[ -:]*none|\bno (?:ignition|spark)", "none"),
    (r"\bwaste\w*[ -]*spark|\bpairs?\b|\bcoil[ -]?packs?\b|\bdouble[ -]ended", "pair"),
    (r"\bnear[ -]?(?:the[ -])?plugs?\b|\bcoil (?:each )?(?:and|with|plus) (?:a )?(?:short )?leads?\b", "near-plug"),
    (r"\bon[ -]?(?:the[ -])?plugs?\b|\bcop\b|\bcoil (?:per|each|a) (?:plug|cylinder)", "on-plug"),
    (r"\bdistributor|\bdizzy|\b(?:one|single) coil\b|\bcoil[ :]+one\b|\bmagneto|\bpoints\b", "one"),
    (r"\bcoil[ :]+(?:each|per|a) ", "on-plug"),
)

FUELLING: tuple[tuple[str, Fuelling], ...] = (
    (r"\bcarb(?:s|y|ur\w*)?\b|\binjection[ :]+none\b|\bno injectors?\b|\bno injection\b", "carburettor"),
    (
        r"\bsingle[ -]point|\bthrottle[ -]body[ -]inj\w*|\btbi\b|\b(?:one|single) injector\b|\bmono[ -]?point",
        "single-point",
    ),
    (r"\bdirect\b|\bdiesel\b|\bcommon[ -]rail", "direct"),
    (r"\bport\b|\bmulti[ -]?point|\binjection\b|\binjectors?\b", "port"),
)

LIST = r"(?P<list>\d{1,2}(?:[ ,/&+]*(?:-|to|\.\.|and)?[ ,/&+]*\d{1,2}\b(?![.]\d))*)"
_BANK = (
    rf"\b(?P<name>left|right|front|rear)(?: (?:hand|side|bank|side bank|to back))*[ :=]*"
    rf"(?:{LIST}|(?P<parity>odds?|evens?)\b)"
)
_PARITY_BANK = r"\b(?P<parity>odds?|evens?)(?: numbers?| ones?)? (?:on |at )?(?:the )?(?P<name>left|right|front|rear)\b"
_OTHER_SIDE = {"left": "right", "right": "left", "front": "rear", "rear": "front"}

# What else a piece of a card may speak of; a piece without a word of these tables is no part of a card.
_BESIDES = (
    r"^[\s\d/&+.-]*$|\b(?:v|vee|flat|boxer|opposed|in-?line|line|straight|upright|slant|row|cyl\w*|pots?|engine|motor|[vil]-?\d+|"
    r"left|right|front|rear|odds?|evens?|bank|fires?|firing|order|coils?|coilpack|leads?|plugs?|"
    r"ignition|spark|waste\w*|injected|single|multi|mono|throttle|"
    r"common|rail|mains?|bearings?|litres?|liters?|cc|ci|cu|valves?|ohv|ohc|dohc|sohc|cams?|camshafts?|pushrods?|turbo\w*|"
    r"supercharg\w*|blower|petrol|gas|gasoline|water|air|cooled|from|numbered|counted|number|and|1 at|none|no|"
    + "|".join(NUMBER_WORDS)
    + r")\b|\d+(?:\.\d+)? ?l\b"
)


def understood(said: str) -> bool:
    """Whether a piece of a card holds a word that an engine card is made of."""
    known = (_BESIDES, *(pattern for pattern, _ in (*FUELLING, *IGNITION, *LAYOUTS)))
    return any(re.search(pattern, said) for pattern in known)


def count_and_layout(said: str) -> tuple[int, Layout]:
    """How many cylinders a card speaks of and how they stand; 0 and '' where it does not say."""
    bare = re.sub(r"\b\d+[.,]\d+\s*(?:l|litres?|liters?)?\b", " ", said).strip(" ,;")
    for pattern, layout in LAYOUTS:
        if found := re.search(pattern, bare):
            return _number(found["n"]), layout
    return 0, ""


def _number(word: str) -> int:
    return int(word) if word.isdigit() else NUMBER_WORDS.get(word, 1)


def numbers(written: str, ranges: bool) -> tuple[int, ...]:
    """The numbers of a list; '1-4' alone is a run where ``ranges``, '1-3-4-2' never is."""
    if ranges and (run := re.fullmatch(r"(\d+) ?(?:-|to|\.\.) ?(\d+)", written.strip())):
        first, last = int(run[1]), int(run[2])
        return tuple(range(first, last + 1)) if 0 < last - first < MOST_CYLINDERS else (first, last)
    return tuple(int(number) for number in re.findall(r"\d+", written))


def written_banks(said: str, count: int) -> dict[str, tuple[int, ...]]:
    """The banks that a card names, in its order; where it names one, the other follows."""
    found: dict[str, tuple[int, ...]] = {}
    for match in [*re.finditer(_BANK, said), *re.finditer(_PARITY_BANK, said)]:
        groups = match.groupdict()
        if groups.get("parity"):
            first = 1 if groups["parity"].startswith("odd") else 2
            cylinders = tuple(range(first, count + 1, 2))
        else:
            cylinders = numbers(groups["list"], ranges=True)
        found.setdefault(match["name"], cylinders)
    banks = {name: cylinders for name, cylinders in found.items() if cylinders}
    if len(banks) == 1:
        name, cylinders = next(iter(banks.items()))
        rest = tuple(c for c in range(1, count + 1) if c not in cylinders)
        if len(cylinders) < count:
            banks[_OTHER_SIDE[name]] = rest
    return banks
