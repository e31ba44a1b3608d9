"""Amounts of money as they are jotted: '2 doors 120 each', 'engine 1850 plus 140 tow', 'gearbox 4 speed $350'."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from typing import NamedTuple

from logbook.spans import Span
from logbook.text.clauses import Item
from logbook.text.entries import Value
from logbook.text.lexing import Token
from logbook.text.numbers import MONEY_SIGNS, MONEY_WORDS, Measure, ValueReader
from logbook.text.state import State
from logbook.text.unread import Unread

_EACH = frozenset({"each", "ea", "apiece", "per"})
_TIMES = frozenset({"x", "×", "*"})
_AT = frozenset({"@", "at", "a"})
_PLUS = frozenset({"plus", "+", "and", "&"})
_LESS = frozenset({"less", "minus"})
_OTHER_WAY = frozenset({"cost", "costs", "paid", "spent", "gave", "owes"})  # money that went the other way
_NAMED = {"both": 2, "pair": 2}
_MOST_PIECES = Decimal(1000)


class Amount(NamedTuple):
    """``value`` is for one of ``pieces`` where ``each``; ``told`` are the words beside it, numbers and all."""

    value: Value
    told: str
    pieces: int = 0
    each: bool = False


class _Number(NamedTuple):
    """A number of the item: where it stands, where its money ends, and whether money is said beside it."""

    start: int
    end: int
    value: Value
    marked: bool


def read_amount(item: Item, measure: Measure, state: State) -> Amount:
    """The one amount of an item. Raises ``Unread`` where no number, or more than one, may be the money."""
    found = [t for t in item.tokens if t.kind != "bracket"]
    numbers = _numbers(found, measure, state)
    if not numbers:
        raise Unread(320, item.span, f"'{state.said(item.span)}' has no number.", "write how much: '41.90 coil'")
    each = next((i for i, t in enumerate(found) if t.text.casefold() in _EACH), -1)
    if sum_of := _sum(found, numbers, item, state):
        return sum_of
    if each >= 0 or _priced(found, numbers):
        return _each(found, numbers, each, item, state)
    money = _money(found, numbers, item, state)
    return Amount(money.value, _told(found, [money], item, state))


def _numbers(found: list[Token], measure: Measure, state: State) -> list[_Number]:
    """All numbers but those that are part of a name: the 4 of '4l60e', the 5 of '5w30'."""
    numbers: list[_Number] = []
    at = 0
    while at < len(found):
        token = found[at]
        sign = token.text in MONEY_SIGNS
        start = at + sign
        if start >= len(found) or found[start].kind != "number":
            at += 1
            continue
        behind = found[start + 1] if start + 1 < len(found) else None
        name = behind is not None and behind.glued and behind.kind == "word" and not _is_money(behind)
        after = found[start + 2] if start + 2 < len(found) else None
        if name and behind and behind.text.casefold() in _TIMES and after is not None and after.kind == "number":
            name = False  # '4x 6.50'
        if (name and not sign) or (found[start].glued and start and found[start - 1].kind == "word"):
            at = start + 1
            continue
        reader = ValueReader(found, at, measure, state.normal)
        try:
            value = reader.read()
        except Unread as fault:
            if fault.number not in _OTHER_UNIT:
                raise
            at = start + 1  # the 12 of '12 V'
            continue
        end = reader.at
        if end < len(found) and found[end].text.casefold() in _SPOKEN:
            end += 1
        quantity = value.quantity
        marked = sign or (quantity is not None and quantity.unit_written) or end > reader.at
        numbers.append(_Number(at, end, value, marked))
        at = max(end, at + 1)
    return numbers


_OTHER_UNIT = frozenset({307, 309, 310})
_SPOKEN = frozenset({"bucks", "dollars", "dollar", "euros", "euro", "quid"})


def _is_money(token: Token) -> bool:
    folded = token.text.casefold()
    return folded in MONEY_WORDS or folded in _SPOKEN or folded in _EACH


def _sum(found: list[Token], numbers: list[_Number], item: Item, state: State) -> Amount | None:
    """'1850 plus 140 tow' and '275 less 85 shipping': a sum, its pieces kept among the words."""
    if len(numbers) < 2:
        return None
    if any(_counts(n, found) for n in numbers):
        return None  # '2 injectors + labor 180' counts injectors
    joints = [_joint(found[a.end : b.start]) for a, b in pairwise(numbers)]
    if not all(joints):
        return None
    total = _low(numbers[0]) + sum((_low(n) * sign for n, sign in zip(numbers[1:], joints, strict=True)), Decimal(0))
    first = numbers[0].value
    unit = next((n.value.quantity for n in numbers if n.value.quantity and n.value.quantity.unit_written), None)
    assert first.quantity is not None
    quantity = first.quantity._replace(text=f"{total:f}", low=total, high=total)
    if unit is not None:
        quantity = quantity._replace(unit=unit.unit, unit_written=True)
    return Amount(first._replace(quantity=quantity), state.text[item.start : found[-1].end].strip())


def _counts(number: _Number, found: list[Token]) -> bool:
    """Whether a small whole number stands before a thing, while another amount stands behind its own."""
    low = _low(number)
    behind = found[number.end] if number.end < len(found) else None
    named = behind is not None and behind.kind == "word" and behind.text.casefold() not in _PLUS | _LESS
    last_named = found[-1].kind == "number" and found[-2].kind == "word" and found[-2].text.casefold() not in _PLUS
    return not number.marked and named and last_named and low <= 16 and low == low.to_integral_value()


def _joint(between: list[Token]) -> int:
    """+1, -1, or 0 where what stands between two amounts joins them in no way."""
    words = {t.text.casefold() for t in between}
    return 1 if words & _PLUS else -1 if words & _LESS else 0


def _low(number: _Number) -> Decimal:
    quantity = number.value.quantity
    return quantity.low if quantity else Decimal(0)


def _priced(found: list[Token], numbers: list[_Number]) -> bool:
    """'8 x 3.99' and '8 plugs @ 3.99'."""
    if len(numbers) != 2:
        return False
    between = {t.text.casefold() for t in found[numbers[0].end : numbers[1].start]}
    return bool(between & (_TIMES | _AT))


def _each(found: list[Token], numbers: list[_Number], each: int, item: Item, state: State) -> Amount:
    """An amount for each of so many. Raises ``Unread`` where nobody says how many."""
    marked = [n for n in numbers if n.marked]
    before = [n for n in numbers if n.end <= each] or numbers
    behind = [n for n in numbers if n.start > each >= 0]
    price = marked[0] if len(marked) == 1 else behind[0] if len(behind) == 1 and len(numbers) > 1 else before[-1]
    others = [n for n in numbers if n is not price]
    named = [(i, _NAMED[t.text.casefold()]) for i, t in enumerate(found) if t.text.casefold() in _NAMED]
    count = _count(others[0]) if len(others) == 1 else named[0][1] if named and not others else 0
    if not count:
        said = state.said(item.span)
        amount = state.said(Span(found[price.start].start, found[price.end - 1].end))
        words = _told(found, [price, *others], item, state)
        mend = f"write the count before the price: '2 x {amount} {words}'"
        raise Unread(325, item.span, f"How many are '{said}'?", mend)
    left = [*others, *(_Number(i, i + 1, price.value, False) for i, _ in named if not others)]
    return Amount(price.value, _told(found, [price, *left], item, state), count, True)


def _count(number: _Number) -> int:
    low = _low(number)
    return int(low) if 0 < low <= _MOST_PIECES and low == low.to_integral_value() else 0


def _money(found: list[Token], numbers: list[_Number], item: Item, state: State) -> _Number:
    """The number that is the money: the one with a sign, with cents, or last behind a count and a name."""
    marked = [n for n in numbers if n.marked]
    if len(marked) == 1:
        return marked[0]
    if len(numbers) == 1:
        return numbers[0]
    cents = [n for n in numbers if (q := n.value.quantity) and q.resolution == Decimal("0.01")]
    if len(cents) == 1 and not marked:
        return cents[0]
    first, last = numbers[0], numbers[-1]
    if not marked and first.start == 0 and first.end < len(found) and found[first.end].text.casefold() == "for":
        return first  # '120 for 2 doors'
    two_ways = any(t.text.casefold() in _OTHER_WAY for t in found[numbers[0].end :])
    named = all(found[n.end].kind == "word" for n in numbers[:-1] if n.end < len(found))
    if (
        not marked
        and len(numbers) == 2
        and named
        and not two_ways
        and last.end == len(found)
        and last.start > numbers[0].end
    ):
        return last
    said = state.said(item.span)
    raise Unread(
        326,
        item.span,
        f"Which number of '{said}' is the money?",
        "write one amount, as '41.90 coil', and each other one on a line of its own",
    )


def _told(found: list[Token], numbers: list[_Number], item: Item, state: State) -> str:
    """The words beside the amount; those for 'each' and its joints are said by the amount."""
    left = {i for i, t in enumerate(found) if t.text == ":"}
    left |= {i for n in numbers for i in range(n.start, n.end)}
    several = len(numbers) > 1
    skip = _EACH | _TIMES | ({"@", "at"} if several else set())
    kept = [t for i, t in enumerate(found) if i not in left and not (several and t.text.casefold() in skip)]
    pieces: list[str] = []
    for i, token in enumerate(kept):
        glued = i > 0 and kept[i - 1].end == token.start
        text = state.text[token.start : token.end]
        pieces.append(text if glued or not pieces else f" {text}")
    return "".join(pieces).strip(" :")
