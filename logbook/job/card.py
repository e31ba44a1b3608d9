"""The engine card: 'V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug' and the many ways to write it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from logbook.job.model import Bank, Engine, Fuelling, Group, Ignition, Layout

MOST_CYLINDERS = 16
_Word = TypeVar("_Word")

_NUMBER_WORDS = {
    word: number
    for number, words in enumerate(
        (
            "single",
            "twin two",
            "triple three",
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
        ),
        start=1,
    )
    for word in words.split()
} | {"one": 1}
_COUNT = r"(?P<n>\d{1,2}|" + "|".join(sorted(_NUMBER_WORDS, key=len, reverse=True)) + r")"

# First that is found wins; 'v' needs its number, so that a stray letter is no engine.
_LAYOUTS: tuple[tuple[str, Layout], ...] = (
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

_IGNITION: tuple[tuple[str, Ignition], ...] = (
    (r"\bdiesel|\bglow|\bcompression[ -]ignition|\b(?:coil|ignition)[ -:]*none|\bno (?:ignition|spark)", "none"),
    (r"\bwaste\w*[ -]*spark|\bpairs?\b|\bcoil[ -]?packs?\b|\bdouble[ -]ended", "pair"),
    (r"\bnear[ -]?(?:the[ -])?plugs?\b|\bcoil (?:each )?(?:and|with|plus) (?:a )?(?:short )?leads?\b", "near-plug"),
    (r"\bon[ -]?(?:the[ -])?plugs?\b|\bcop\b|\bcoil (?:per|each|a) (?:plug|cylinder)", "on-plug"),
    (r"\bdistributor|\bdizzy|\b(?:one|single) coil\b|\bcoil[ :]+one\b|\bmagneto|\bpoints\b", "one"),
    (r"\bcoil[ :]+(?:each|per|a) ", "on-plug"),
)

_FUELLING: tuple[tuple[str, Fuelling], ...] = (
    (r"\bcarb(?:s|y|ur\w*)?\b|\binjection[ :]+none\b|\bno injectors?\b|\bno injection\b", "carburettor"),
    (
        r"\bsingle[ -]point|\bthrottle[ -]body[ -]inj\w*|\btbi\b|\b(?:one|single) injector\b|\bmono[ -]?point",
        "single-point",
    ),
    (r"\bdirect\b|\bdiesel\b|\bcommon[ -]rail", "direct"),
    (r"\bport\b|\bmulti[ -]?point|\binjection\b|\binjectors?\b", "port"),
)

_LIST = r"(?P<list>\d{1,2}(?:[ ,/&+]*(?:-|to|\.\.|and)?[ ,/&+]*\d{1,2}\b(?![.]\d))*)"
_BANK = re.compile(
    rf"\b(?P<name>left|right|front|rear)(?: (?:hand|side|bank|side bank|to back))*[ :=]*"
    rf"(?:{_LIST}|(?P<parity>odds?|evens?)\b)"
)
_PARITY_BANK = re.compile(
    r"\b(?P<parity>odds?|evens?)(?: numbers?| ones?)? (?:on |at )?(?:the )?(?P<name>left|right|front|rear)\b"
)
_FIRES = re.compile(rf"\b(?:fires|firing order|firing|fire order|order)[ :=]*{_LIST}")
_FIRST_AT = re.compile(r"\b1 (?:is )?(?:at|on|by|to) (?:the )?(?P<end>\w+)")
_MAINS = re.compile(r"\bmains?(?: bearings?)?[ :=]*(?P<after>\d)\b|\b(?P<before>\d|[a-z]+) main(?:s\b| bearings?)")
_PAIRS = re.compile(r"\bpairs?[ :=]*(?P<list>\d{1,2}[ +&/-]+\d{1,2}(?:(?:[ ,;]|and)+\d{1,2}[ +&/-]+\d{1,2})*)")
_OTHER_SIDE = {"left": "right", "right": "left", "front": "rear", "rear": "front"}
_REAR_ENDS = frozenset({"rear", "back", "flywheel", "gearbox", "clutch", "bulkhead", "transmission"})


@dataclass(frozen=True, slots=True)
class CardFault:
    """Something of a card that the reader must be told: ``slug`` is a row of ``faults``, ``words`` fill it in."""

    slug: str
    words: tuple[tuple[str, str], ...] = ()


def parse_engine(text: str, name: str = "") -> tuple[Engine, tuple[CardFault, ...]]:
    """The engine that a card describes, and what could not be understood of it.

    An engine without a readable count of cylinders has no banks. Inline engines count 1..N from the front;
    a V or flat engine without banks takes odd numbers on the left, and says so as a doubt.
    """
    said = _plain(text)
    faults: list[CardFault] = []
    count, layout = _count_and_layout(said)
    banks = _written_banks(said, count)
    standing = sorted(c for bank in banks for c in bank.cylinders)
    if banks and not count:
        count = len(standing)
        layout = layout or ("inline" if len(banks) == 1 else "v")
    if not 1 <= count <= MOST_CYLINDERS:
        return Engine(name, text=text), (CardFault("engine unread", (("text", text.strip()), ("count", str(count)))),)
    if banks and standing != list(range(1, count + 1)):
        faults.append(CardFault("banks wrong", (("count", str(count)), ("banks", _said_banks(banks)))))
        banks = _usual_banks(layout, count, said)
    elif not banks:
        banks = _usual_banks(layout, count, said)
        if layout in ("v", "flat") and count > 1:
            faults.append(CardFault("banks unknown", (("banks", _said_banks(banks)),)))
    order = _firing_order(said, count, faults)
    ignition, fuelling = _ignition(said), _first(said, _FUELLING)
    fuel: Fuelling = fuelling or "port"
    if not ignition:
        ignition = "one" if fuel == "carburettor" else "near-plug" if re.search(r"\bleads?\b", said) else "on-plug"
    leads = ignition in ("near-plug", "pair", "one") and not re.search(
        r"\bno (?:plug )?leads\b|\bleads[ :]+none\b", said
    )
    groups = _pairs(said, layout, count, order, faults) if ignition == "pair" else ()
    mains = _mains(said)
    return Engine(name, layout, banks, order, ignition, fuel, leads, mains, groups, text=text), tuple(faults)


def _plain(text: str) -> str:
    dashes = {ord(sign): "-" for sign in "\u2010\u2011\u2012\u2013\u2014\u2212"} | {0xA0: " ", 0x202F: " "}
    return re.sub(r"\s+", " ", text.translate(dashes).casefold()).strip().rstrip(".")


def _first(said: str, table: Iterable[tuple[str, _Word]]) -> _Word | None:
    return next((word for pattern, word in table if re.search(pattern, said)), None)


def _ignition(said: str) -> Ignition:
    return _first(said, _IGNITION) or ""


def _number(word: str) -> int:
    return int(word) if word.isdigit() else _NUMBER_WORDS.get(word, 1)


def _count_and_layout(said: str) -> tuple[int, Layout]:
    bare = re.sub(r"\b\d+[.,]\d+\s*(?:l|litres?|liters?)?\b", " ", said).strip(" ,;")
    for pattern, layout in _LAYOUTS:
        if found := re.search(pattern, bare):
            return _number(found["n"]), layout
    return 0, ""


def _numbers(written: str, ranges: bool) -> tuple[int, ...]:
    """The numbers of a list; '1-4' alone is a run where ``ranges``, '1-3-4-2' never is."""
    if ranges and (run := re.fullmatch(r"(\d+) ?(?:-|to|\.\.) ?(\d+)", written.strip())):
        first, last = int(run[1]), int(run[2])
        return tuple(range(first, last + 1)) if 0 < last - first < MOST_CYLINDERS else (first, last)
    return tuple(int(number) for number in re.findall(r"\d+", written))


def _written_banks(said: str, count: int) -> tuple[Bank, ...]:
    found: dict[str, tuple[int, ...]] = {}
    for match in [*_BANK.finditer(said), *_PARITY_BANK.finditer(said)]:
        groups = match.groupdict()
        if groups.get("parity"):
            first = 1 if groups["parity"].startswith("odd") else 2
            cylinders = tuple(range(first, count + 1, 2))
        else:
            cylinders = _numbers(groups["list"], ranges=True)
        found.setdefault(match["name"], cylinders)
    banks = tuple(Bank(name, cylinders) for name, cylinders in found.items() if cylinders)
    if len(banks) == 1 and len(banks[0].cylinders) < count:  # one bank said, the other follows
        rest = tuple(c for c in range(1, count + 1) if c not in banks[0].cylinders)
        return *banks, Bank(_OTHER_SIDE[banks[0].name], rest)
    return banks


def _usual_banks(layout: Layout, count: int, said: str) -> tuple[Bank, ...]:
    if layout in ("v", "flat") and count > 1:
        return Bank("left", tuple(range(1, count + 1, 2))), Bank("right", tuple(range(2, count + 1, 2)))
    rising = tuple(range(1, count + 1))
    first = _FIRST_AT.search(said)
    return (Bank("", rising[::-1] if first and first["end"] in _REAR_ENDS else rising),)


def _said_banks(banks: tuple[Bank, ...]) -> str:
    return ", ".join(f"{bank.name} {' '.join(map(str, bank.cylinders))}".strip() for bank in banks)


def _firing_order(said: str, count: int, faults: list[CardFault]) -> tuple[int, ...]:
    found = _FIRES.search(said)
    if not found:
        return ()
    written = found["list"]
    order = _numbers(written, ranges=False)
    if len(order) == 1 and len(written) == count:  # 1342, written in one go
        order = tuple(int(digit) for digit in written)
    order = order[:count] if sorted(order[:count]) == list(range(1, count + 1)) else order
    if sorted(order) != list(range(1, count + 1)):
        faults.append(CardFault("firing order wrong", (("order", " ".join(map(str, order))), ("count", str(count)))))
        return ()
    return order


def _pairs(said: str, layout: Layout, count: int, order: tuple[int, ...], faults: list[CardFault]) -> tuple[Group, ...]:
    """Waste-spark pairs: as written, else those a whole turn apart in the firing order, else the inline rule."""
    if written := _PAIRS.search(said):
        numbers = _numbers(written["list"], ranges=False)
        pairs = [tuple(sorted(numbers[i : i + 2])) for i in range(0, len(numbers) - 1, 2)]
        if sorted(c for pair in pairs for c in pair) == list(range(1, count + 1)):
            return tuple(Group("coil", pair) for pair in sorted(pairs))
    half = count // 2
    if order and count % 2 == 0:
        return tuple(sorted((Group("coil", tuple(sorted((order[i], order[i + half])))) for i in range(half)), key=_low))
    if layout == "inline" and count in (2, 4, 6):
        return tuple(Group("coil", (i, count + 1 - i)) for i in range(1, half + 1))
    if count > 1:
        faults.append(CardFault("pairs unknown"))
    return ()


def _low(group: Group) -> int:
    return group.cylinders[0]


def _mains(said: str) -> int:
    found = _MAINS.search(said)
    if not found:
        return 0
    word = found["after"] or found["before"]
    return int(word) if word.isdigit() else _NUMBER_WORDS.get(word, 0)
