"""Strict reading of values: quantities, units, words of results."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple, TypeVar

from logbook.spans import Span
from logbook.text.entries import Bound, Quantity, Value
from logbook.text.kinds import Kind, Slot
from logbook.text.lexing import Token
from logbook.text.limits import MOST_DIGITS
from logbook.text.unread import Unread
from logbook.text.vocabulary import units_spelt, word_of
from logbook.units import UNITS

_Number = TypeVar("_Number", float, Decimal)

ABOUT = frozenset({"about", "approx", "circa", "ca", "roughly", "~"})
BOUNDS: dict[str, Bound] = {
    "over": "over",
    "above": "over",
    ">": "over",
    "under": "under",
    "below": "under",
    "<": "under",
}
MONEY_SIGNS = {"$": "usd", "€": "eur", "£": "gbp"}
MONEY_WORDS = frozenset({"usd", "eur", "gbp", "cad", "aud", "chf", "nzd", "sek"})
_POUNDS = frozenset({"lb", "lbs", "pound", "pounds"})
_EXPONENT = r"[eE][0-9]*"
_INCH_PARTS = frozenset({2, 4, 8, 16, 32, 64})
_PARTS_OF_A_TURN = frozenset({2, 3, 4, 6, 8})
_LONGEST_UNIT = 4  # tokens
_FROM_TOP = frozenset({"btdc", "atdc"})
_SLOWEST_IDLE = 300  # rpm; no idle is moved by so much, and none is set below
_STEPS = tuple(Decimal(1).scaleb(-digits) for digits in range(MOST_DIGITS + 1))


class Measure(NamedTuple):
    """How the numbers of a kind or slot are measured. ``unit`` is the usual one, '' where a bare number has none."""

    words: tuple[str, ...]
    dimensions: tuple[str, ...] = ()
    unit: str = ""
    us: str = ""
    metric: str = ""
    sign: bool = False
    money: str = ""

    @property
    def numeric(self) -> bool:
        return bool(self.dimensions)

    @property
    def usual(self) -> str:
        """The unit of a bare number, '' where it has none."""
        return self.money if "money" in self.dimensions else self.unit


@lru_cache(maxsize=1024)
def measure_of(row: Kind | Slot, units: str, money: str = "", words: tuple[str, ...] = ()) -> Measure:
    """The measure of a kind or slot in a log that keeps to these units ('us', 'metric' or '')."""
    known = row.words if isinstance(row, Kind) else words
    if not row.dimension:
        return Measure(known)
    unit = row.us if row.us == row.metric else {"us": row.us, "metric": row.metric}.get(units, "")
    return Measure(known, (row.dimension, *row.also), unit, row.us, row.metric, row.sign, money)


def is_value_start(token: Token, measure: Measure) -> bool:
    """Whether a value other than a bare number can begin here."""
    if token.kind == "word":
        folded = token.text.casefold()
        return folded in ABOUT or folded in BOUNDS or bool(word_of(token.text, measure.words))
    return token.text in BOUNDS or token.text in ABOUT or token.text in MONEY_SIGNS or token.text == "-"


def says_where(found: list[Token], at: int) -> bool:
    """Whether an unsigned number of an adjustment is where a thing was set to, no change: '12 btdc', '850 rpm'."""
    number = found[at]
    if number.kind != "number" or number.text[0] in "+-":
        return False
    behind = {t.text.casefold() for t in found[at + 1 : at + 3]}
    return bool(behind & _FROM_TOP) or ("rpm" in behind and Decimal(number.text) >= _SLOWEST_IDLE)


def in_unit(value: Value, unit: str) -> Value:
    """The value with its number in another unit than its own, one that stands elsewhere on the line."""
    q = value.quantity
    if q is None:
        return value
    quantity = Quantity(q.text, q.low, q.high, unit, q.unit_written, q.plus_minus, q.about, q.bound, q.resolution)
    return Value(value.span, quantity, value.word, value.doubted, value.remark, value.remark_words)


def middle_of(values: Iterable[_Number]) -> _Number:
    """The median. The library's own would load five modules for it."""
    row = sorted(values)
    half = len(row) // 2
    return row[half] if len(row) % 2 else (row[half - 1] + row[half]) / 2


def lone_number(token: Token, measure: Measure) -> Value | None:
    """A bare number with nothing behind it; None where there is more to say about it."""
    quantity = lone_quantity(token.text, measure)
    return None if quantity is None else Value(Span(token.start, token.end), quantity)


def lone_quantity(text: str, measure: Measure) -> Quantity | None:
    """The quantity of a bare number; None where it needs a closer look."""
    if not measure.dimensions or len(text) > MOST_DIGITS or (measure.sign and text[0] not in "+-"):
        return None
    return _bare(text, measure.usual)


@lru_cache(maxsize=20_000)
def _bare(text: str, unit: str) -> Quantity:
    number = Decimal(text)
    return Quantity(text, number, number, unit, False, None, False, "", _step(text))


def is_negated(first: str, second: str, kind_words: tuple[str, ...]) -> bool:
    """'no good': a negation of a result, which no word of the table stands for."""
    both = word_of(first + second, kind_words)
    return first.casefold() in ("no", "not") and not both and bool(word_of(second, kind_words))


class ValueReader:
    """Reads one value from tokens; ``at`` is where it stopped. Raises ``Unread``."""

    def __init__(self, found: list[Token], at: int, measure: Measure, normal: str) -> None:
        self.tokens = found
        self.at = at
        self.measure = measure
        self.normal = normal
        self.early_doubt = False  # '118? psi'
        self.in_row = False

    def _peek(self, ahead: int = 0) -> Token | None:
        index = self.at + ahead
        return self.tokens[index] if index < len(self.tokens) else None

    def read(self) -> Value:
        """A quantity, or a word, '-' and the values that every kind knows."""
        first = self.tokens[self.at]
        if first.kind == "number":
            follow = self._peek(1)
            alone = follow is None or (follow.kind == "number" and not follow.glued)
            if alone and (lone := lone_number(first, self.measure)):
                self.at += 1
                return lone
        if first.text == "-" and not (
            (after := self._peek(1)) and after.kind == "number" and after.glued and self.measure.numeric
        ):
            self.at += 1
            return Value(Span(first.start, first.end), word="not done", doubted=self._doubt())
        if first.kind == "word" and self._unit_first(first):
            return self._lambda(first)
        if first.kind == "word" and first.text.casefold() not in ABOUT and first.text.casefold() not in BOUNDS:
            return self._word(first)
        start = first.start
        quantity = self._quantity()
        doubted = self._doubt() or self.early_doubt
        end = self.tokens[self.at - 1].end
        return Value(Span(start, end), quantity=quantity, doubted=doubted)

    def _unit_first(self, first: Token) -> bool:
        """'lambda 1.02' is said with its unit first."""
        after = self._peek(1)
        wanted = {"mixture", "mixture lambda"} & set(self.measure.dimensions)
        return bool(
            wanted and after and after.kind == "number" and {u.dimension for u in units_spelt(first.text)} & wanted
        )

    def _lambda(self, first: Token) -> Value:
        self.at += 1
        value = self.read()
        unit = next(u.name for u in units_spelt(first.text) if u.dimension in self.measure.dimensions)
        if value.quantity is None or value.quantity.unit_written:
            return value
        quantity = value.quantity._replace(unit=unit, unit_written=True)
        return value._replace(quantity=quantity)

    def _doubt(self) -> bool:
        token = self._peek()
        if token and token.text == "?":
            self.at += 1
            return True
        return False

    def _word(self, first: Token) -> Value:
        words = self.measure.words
        after = self._peek(1)
        if after and after.kind == "word" and is_negated(first.text, after.text, words):
            if word_of("none", words) == "none" and word_of(after.text, words) in words:
                self.at += 2  # 'no knock', where 'knock' is a result
                return Value(Span(first.start, after.end), word="none", doubted=self._doubt())
            raise Unread.word(Token("word", f"{first.text} {after.text}", first.start, after.end, first.glued), words)
        for length in (3, 2, 1):
            group = self.tokens[self.at : self.at + length]
            if len(group) < length or any(t.kind != "word" and t.text != "-" for t in group):
                continue
            found = word_of(self.normal[group[0].start : group[-1].end], words)
            if found:
                self.at += length
                span = Span(group[0].start, group[-1].end)
                return Value(span, word=found, doubted=self._doubt())
        if first.text.casefold() == "even":
            raise Unread(
                213,
                Span(first.start, first.end),
                "'even' names the even numbers, not a reading.",
                "write 'alike' where all read the same",
            )
        raise Unread.word(first, words)

    def _quantity(self) -> Quantity:
        token = self.tokens[self.at]
        about, bound = False, ""
        pieces: list[str] = []
        folded = token.text.casefold()
        if folded in ABOUT:
            about = True
            pieces.append("about ")
            self.at += 1
        elif folded in BOUNDS:
            bound = BOUNDS[folded]
            pieces.append(f"{bound} ")
            self.at += 1
        money = self._money_sign()
        number_token = self._peek()
        if number_token is None or number_token.kind != "number":
            raise self._no_number(token)
        if not self.measure.numeric:
            raise Unread(
                321,
                _span(number_token),
                f"'{number_token.text}' is a number, and this kind takes words.",
                self._word_mend(),
            )
        low = self._number(number_token)
        high, text, plus_minus = self._after_number(number_token, low)
        pieces.append(text)
        self._check_sign(number_token, low, high)
        step = _step(number_token.text)
        if "/" in text or ":" in text:  # 5/16 and 1:20 are one number in two pieces, not a range
            low, step = high, 1 / Decimal(text.partition("/")[2] or 60)
        unit, written = self._unit(number_token)
        if money:
            unit, written = money, True
        return Quantity(
            "".join(pieces),
            low,
            high,
            unit or self.measure.usual,
            written,
            plus_minus,
            about,
            bound if bound in ("over", "under") else "",  # type: ignore[arg-type]
            step,
        )

    def _word_mend(self) -> str:
        words = ", ".join(self.measure.words[:6])
        return f"write one of: {words}" if words else "leave the number out, or put it into a bracket"

    def _money_sign(self) -> str:
        token = self._peek()
        if token and token.text in MONEY_SIGNS and "money" in self.measure.dimensions:
            self.at += 1
            return MONEY_SIGNS[token.text]
        return ""

    def _no_number(self, token: Token) -> Unread:
        near = self._peek() or token
        if near.text == ":":
            mend = "an entry has one colon, behind its kind and the words that go with it: 'compression wet: 4 110'"
            return Unread(208, _span(near), "A colon stands where a reading should.", mend)
        if not self.measure.numeric:
            return Unread(208, _span(near), f"'{near.text}' is left over.", "put it into a bracket, or take it away")
        return Unread(
            315,
            _span(near),
            f"A number should stand here, not '{near.text}'.",
            "write plain digits with at most one point: 12.4",
        )

    def _number(self, token: Token) -> Decimal:
        if len(token.text.strip("+-").replace(".", "")) > MOST_DIGITS:
            raise Unread(705, _span(token), f"The number has more than {MOST_DIGITS} digits.", "check the number")
        self.at += 1
        follow = self._peek()
        if follow and follow.glued and follow.text == ",":
            after = self._peek(1)
            if after and after.glued and after.kind == "number":
                raise _comma(token, after)
        if (
            follow
            and follow.glued
            and (
                follow.kind == "number"
                or follow.text in ("_", "^")
                or re.fullmatch(_EXPONENT, follow.text)
                or (follow.text == ".")
            )
        ):
            whole = self.normal[token.start : (self._peek(1) or follow).end]
            raise Unread(
                315,
                Span(token.start, follow.end),
                f"'{whole}' is not a number.",
                "write plain digits with at most one point: 12.4",
            )
        return Decimal(token.text)

    def _after_number(self, first: Token, low: Decimal) -> tuple[Decimal, str, Decimal | None]:
        token, after = self._peek(), self._peek(1)
        if token is None or after is None or after.kind != "number":
            return low, first.text, None
        if token.text == "-" and self.in_row and not token.glued:
            return low, first.text, None  # '0 - 70' in a row: the middle one was not done
        if token.text in ("-", "..", "...") or token.text.casefold() == "to":
            return self._range(first, low, after)
        if token.text in ("±", "+-", "+/-"):
            self.at += 1
            return low, f"{first.text} +-{after.text}", self._number(after)
        if token.text == "/":
            return self._fraction(first, low, after)
        if token.text == ":" and after.text == "1" and {"mixture", "ratio"} & set(self.measure.dimensions):
            self.at += 2
            return low, first.text, None
        if token.text == ":" and token.glued and "hours" in self.measure.dimensions and len(after.text) == 2:
            self.at += 1
            hours = low + self._number(after) / 60
            return hours, f"{first.text}:{after.text}", None
        return low, first.text, None

    def _range(self, first: Token, low: Decimal, after: Token) -> tuple[Decimal, str, Decimal | None]:
        self.at += 1
        high = self._number(after)
        if high < low:
            raise falling_range(Span(first.start, after.end), f"{first.text}-{after.text}")
        return high, f"{first.text}-{after.text}", None

    def _fraction(self, first: Token, low: Decimal, after: Token) -> tuple[Decimal, str, Decimal | None]:
        span = Span(first.start, after.end)
        self.at += 1
        below = self._number(after)
        token = self._peek()
        while token and token.text == "/" and (after_that := self._peek(1)) and after_that.kind == "number":
            span = Span(first.start, after_that.end)
            self.at += 2
            token, below = self._peek(), Decimal(0)
        if below in self._parts() and low == low.to_integral_value():
            return low / below, f"{first.text}/{after.text}", None
        raise _repeats(span, self.normal)

    def _parts(self) -> frozenset[int]:
        """Into how many parts one of the unit is cut by who measures or counts it."""
        if "length" in self.measure.dimensions:
            return _INCH_PARTS
        turns = self.measure.us == "turn" or "hours" in self.measure.dimensions
        return _PARTS_OF_A_TURN if turns else frozenset()

    def _check_sign(self, token: Token, low: Decimal, high: Decimal) -> None:
        if self.measure.sign and token.text[0] not in "+-" and low != 0 and low == high:
            raise Unread(
                305,
                _span(token),
                f"'{token.text}' has no sign, and this goes both ways.",
                f"write +{token.text} or -{token.text}",
            )

    def _unit(self, number: Token) -> tuple[str, bool]:
        token = self._peek()
        if token and token.text == "?" and (after := self._peek(1)) and after.kind != "number":
            self.early_doubt = True
            self.at += 1
            token = after
        if token is None or token.text == "?":
            return "", False
        dims = self.measure.dimensions
        if "money" in dims and token.text.casefold() in MONEY_WORDS:
            self.at += 1
            return token.text.casefold(), True
        spelt = ""
        for length in range(_LONGEST_UNIT, 0, -1):
            group = self.tokens[self.at : self.at + length]
            if len(group) < length or any(t.kind in ("number", "bracket") for t in group):
                continue
            written = " ".join(self.normal[group[0].start : group[-1].end].split())
            units = units_spelt(written)
            right = next((u for u in units if u.dimension in dims), None)
            if right is None and "vacuum" in dims and written.casefold() == "kpa":
                right = UNITS["kPa vac"]
            if written == "M" and "ohm" in dims:
                right = UNITS["Mohm"]  # '1.2M' on a meter
            if written == "°" and "temperature" in dims and self.measure.unit:
                right = UNITS[self.measure.unit]  # degrees of the usual kind
            if right is not None:
                self.at += length
                return right.name, True
            if units and not spelt:
                spelt = written
                wrong = units[0]
                wrong_span = Span(group[0].start, group[-1].end)
        folded = token.text.casefold()
        if folded in _POUNDS and token.kind == "word":
            raise Unread(
                309,
                _span(token),
                "'lb' may be a force, a mass or short for a torque.",
                "write lbft for a torque, lbf for a force, lb/h for a flow",
            )
        if folded == "min" and not word_of(token.text, self.measure.words):
            raise Unread(
                310,
                _span(token),
                "'min' may be minutes or the least.",
                f"write 'over {number.text}' for the least, or '@ {number.text} min' for a time",
            )
        if spelt and not word_of(token.text, self.measure.words):
            raise self._wrong(wrong.dimension, wrong.name, wrong_span)
        return "", False

    def _wrong(self, dimension: str, name: str, span: Span) -> Unread:
        wanted = " or ".join(dict.fromkeys(u for u in (self.measure.us, self.measure.metric) if u)) or "a bare number"
        pair = {dimension, *self.measure.dimensions}
        if {"pressure", "absolute pressure"} <= pair:
            return Unread(
                314,
                span,
                f"'{name}' counts from nothing; this kind is read by a gauge, above the air outside.",
                f"write the gauge reading in {wanted}",
            )
        return Unread(
            307,
            span,
            f"'{name}' measures {dimension}; this kind measures {self.measure.dimensions[0]}.",
            f"write it in {wanted}, or put it behind '@' if it is a condition",
        )


def _span(token: Token) -> Span:
    return Span(token.start, token.end)


def _comma(token: Token, after: Token) -> Unread:
    span = Span(token.start, after.end)
    one, two = token.text, after.text
    if len(two) == 3 and "." not in two:
        return Unread(
            302, span, f"'{one},{two}' may be {one}{two} or {one}.{two}.", f"write {one}{two}, or {one}.{two}"
        )
    return Unread(
        301,
        span,
        f"'{one},{two}' may be {one}.{two} or two readings.",
        f"write {one}.{two}, or '{one}, {two}' with a blank",
    )


def falling_range(span: Span, written: str) -> Unread:
    """The fault of a range that goes down: a wobble written the wrong way round, or a fall over time?"""
    turned = "-".join(reversed(written.replace("..", "-").split("-")))
    mend = (
        f"write {turned} where it wobbled between the two; for a fall over time two lines, with '@ 0 min' and '@ 5 min'"
    )
    return Unread(304, span, f"The range {written} falls.", mend)


def _repeats(span: Span, normal: str) -> Unread:
    written = normal[span.start : span.end]
    return Unread(
        303,
        span,
        f"'{written}' is no fraction of an inch.",
        f"repeats stand on lines of their own: write {written.count('/') + 1} lines of this kind",
    )


def _step(digits: str) -> Decimal:
    """One step of the last written digit."""
    return _STEPS[len(digits.partition(".")[2])]
