"""The engine card: 'V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug' and the many ways to write it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple, TypeVar

from logbook.job.model import Bank, Engine, Fuelling, Group, Ignition, Layout
from logbook.text.card_words import FUELLING, IGNITION, LIST, NUMBER_WORDS, count_and_layout, numbers, written_banks
from logbook.text.limits import MOST_CYLINDERS

_Word = TypeVar("_Word")

_FIRES = rf"\b(?:fires|firing order|firing|fire order|order)[ :=]*(?:(?P<run>\d{{3,9}})\b|{LIST})"
_FIRST_AT = r"\b1 (?:is )?(?:at|on|by|to) (?:the )?(?P<end>\w+)"
_MAINS = r"\bmains?(?: bearings?)?[ :=]*(?P<after>\d)\b|\b(?P<before>\d|[a-z]+) main(?:s\b| bearings?)"
_PAIRS = r"\bpairs?[ :=]*(?P<list>\d{1,2}[ +&/-]+\d{1,2}(?:(?:[ ,;]|and)+\d{1,2}[ +&/-]+\d{1,2})*)"
_REAR_ENDS = frozenset({"rear", "back", "flywheel", "gearbox", "clutch", "bulkhead", "transmission"})


class CardFault(NamedTuple):
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
    count, layout = count_and_layout(said)
    banks = tuple(Bank(name, cylinders) for name, cylinders in written_banks(said, count).items())
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
    ignition, fuelling = _ignition(said), _first(said, FUELLING)
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
    return _first(said, IGNITION) or ""


def _usual_banks(layout: Layout, count: int, said: str) -> tuple[Bank, ...]:
    if layout in ("v", "flat") and count > 1:
        return Bank("left", tuple(range(1, count + 1, 2))), Bank("right", tuple(range(2, count + 1, 2)))
    rising = tuple(range(1, count + 1))
    first = re.search(_FIRST_AT, said)
    return (Bank("", rising[::-1] if first and first["end"] in _REAR_ENDS else rising),)


def _said_banks(banks: tuple[Bank, ...]) -> str:
    return ", ".join(f"{bank.name} {' '.join(map(str, bank.cylinders))}".strip() for bank in banks)


def _firing_order(said: str, count: int, faults: list[CardFault]) -> tuple[int, ...]:
    found = re.search(_FIRES, said)
    if not found:
        return ()
    run = found["run"]  # 1342, written in one go
    order = tuple(int(digit) for digit in run) if run else numbers(found["list"], ranges=False)
    order = order[:count] if sorted(order[:count]) == list(range(1, count + 1)) else order
    if sorted(order) != list(range(1, count + 1)):
        faults.append(CardFault("firing order wrong", (("order", " ".join(map(str, order))), ("count", str(count)))))
        return ()
    return order


def _pairs(said: str, layout: Layout, count: int, order: tuple[int, ...], faults: list[CardFault]) -> tuple[Group, ...]:
    """Waste-spark pairs: as written, else those a whole turn apart in the firing order, else the inline rule."""
    if written := re.search(_PAIRS, said):
        listed = numbers(written["list"], ranges=False)
        pairs = [tuple(sorted(listed[i : i + 2])) for i in range(0, len(listed) - 1, 2)]
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
    found = re.search(_MAINS, said)
    if not found:
        return 0
    word = found["after"] or found["before"]
    return int(word) if word.isdigit() else NUMBER_WORDS.get(word, 0)
