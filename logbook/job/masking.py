"""Private values found again in any text, in every spelling that gives them away, and masked there.

A text is taken apart into words and figures. Each word is looked up in tables made once of all values, so the time
grows with the text alone, however many values there are.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any, NamedTuple

from logbook.job.ordinary import MONTHS, is_ordinary
from logbook.job.private_values import PrivateValue
from logbook.text.vocabulary import KINDS, units_spelt

MASK = "[private]"
SHORTEST = 4  # letters of a name that is looked for without regard to its case
_WIDEST_GAP = 3  # characters of separators between two words or groups of figures of a value
_LONGEST_ENDING = 4  # letters that case, number or family may put behind a name: -s -en -ow -owna
_COMPOUND = 5  # letters of a name that is looked for inside longer words
_LAST_FIGURES = (4, 5)  # of a plate, frame or telephone number, standing alone
_LONGEST_PREFIX = 6  # figures of a country, '00' before them
_MOST_GROUPS = 14  # of figures that a number is written in
_FEWEST_FIGURES = 6  # that stand for a whole telephone number, prefix and area left out
_LOOSE = 6  # letters and figures from which a code is found in any case and spacing

_TOKEN = re.compile(r"[^\W\d_][^\W\d_\u0300-\u036f]*(?:[\u0300-\u036f]+[^\W\d_\u0300-\u036f]*)*|\d+")
_MONEY = (
    r"(?:€|£|\$|\b(?:"
    + "|".join([*KINDS["money"].words, "euros?", "dollars?", "bucks?", "quid", "cash"])
    + r")(?![^\W_]))"
)
_NUMBER = r"\d[\d.,]*(?<=\d)(?:,-|\.-)?"
_PRICE = re.compile(rf"(?:{_MONEY}\s?)(?P<after>{_NUMBER})|(?<![\w.,])(?P<before>{_NUMBER})\s?{_MONEY}", re.IGNORECASE)
_FIGURE = re.compile(r"(?<![\w,#])(?<!\d\.)\d+(?:[.,]\d+)?(?![\w]|[.,]\d)")
_UNIT = re.compile(r"\s?([^\W\d_]+(?:/[^\W\d_]+)?|%|°)")
_PAYING = re.compile(
    r"\b(?:paid|pays?|costs?|price|bill|billed|spent|got|gave|gives|asked|asks|asking|wants?|sold|bought|money|invoice|"
    r"owes?|worth|took)\b[^.;\d]{0,20}$",
    re.IGNORECASE,
)
_DATE = re.compile(r"\d{4}-\d\d-\d\d|\d{1,2}[./]\d{1,2}[./]\d{2,4}|\d{1,2}:\d\d(?::\d\d)?")
_PHONE_GAP = frozenset(" \u00a0\u202f-./()_")
_TWO = {"ae": "a", "oe": "o", "ue": "u", "aa": "a"}
_LETTERS = str.maketrans({"ß": "ss", "æ": "ae", "ø": "o", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"})

Range = tuple[int, int]


class Hit(NamedTuple):
    """A range of a text and the value that stands there."""

    start: int
    stop: int
    value: PrivateValue


class _Token(NamedTuple):
    text: str
    start: int
    stop: int


class Masker:
    """Finds and masks private values. ``public`` is what the shop says of itself on every page: it is never masked."""

    def __init__(self, values: Iterable[PrivateValue], public: Iterable[str] = ()) -> None:
        self.values = tuple(values)
        self._public = tuple(text for text in dict.fromkeys(public) if text)
        self._names: dict[str, PrivateValue] = {}  # by canonical spelling
        self._stems: dict[str, PrivateValue] = {}  # the same without the vowel at the end
        self._ordinary: dict[str, PrivateValue] = {}  # names that are words too, or too short to stand alone
        self._beside: dict[str, set[str]] = {}  # the other words of the same name
        self._phrases = _Tries()
        self._codes = _Tries()
        self._phones = _Tries()
        self._last: dict[str, PrivateValue] = {}
        self._amounts: dict[Decimal, PrivateValue] = {}
        add: dict[str, Callable[[PrivateValue], None]] = {
            "name": self._add_name, "code": self._add_code, "phone": self._add_phone, "amount": self._add_amount,
            "words": self._add_phrase,
        }  # fmt: skip
        for value in self.values:
            add[value.sort](value)
        self._lengths = tuple(sorted({len(name) for name in self._names if len(name) >= _COMPOUND}))
        self._known: dict[str, PrivateValue | None] = {}

    def mask(self, text: str, keep: Sequence[Range] = (), strict: bool = False) -> str:
        """The text with each value replaced; ranges of ``keep`` (readings) are left as they are.

        ``strict``: in the name of a file or folder, where case tells nothing.
        """
        pieces: list[str] = []
        end = 0
        for start, stop in self.found(text, keep, strict):
            pieces += [text[end:start], MASK]
            end = stop
        return "".join([*pieces, text[end:]]) if pieces else text

    def found(self, text: str, keep: Sequence[Range] = (), strict: bool = False) -> list[Range]:
        """Where values stand in a text: ranges that rise and don't overlap."""
        hits = [(hit.start, hit.stop) for hit in self.hits(text, strict)]
        prices = [m.span(m.lastgroup or 0) for m in _PRICE.finditer(text)] if text and not text.isalpha() else []
        return _rising([*hits, *prices], keep) if hits or prices else []

    def of_ours(self, text: str) -> str:
        """A sentence of the report itself, masked: its figures are worked out, an ordinary first word is ours."""
        found = [
            (h.start, h.stop)
            for h in self.hits(text)
            if h.value.sort not in ("amount",)
            and not self._is_last(h, text)
            and not (h.start == 0 and self._is_word(h, text))
        ]
        pieces: list[str] = []
        end = 0
        for start, stop in _rising(found, ()):
            pieces += [text[end:start], MASK]
            end = stop
        return "".join([*pieces, text[end:]]) if pieces else text

    def hits(self, text: str, strict: bool = False) -> list[Hit]:
        """Every value in a text, in the order of their places; they may overlap."""
        if not self.values or not text:
            return []
        tokens = [_Token(m.group(), m.start(), m.end()) for m in _TOKEN.finditer(text)]
        found = list(self._in_words(text, tokens, strict))
        if any(c.isdigit() for c in text):
            found += self._in_figures(text, tokens)
        if self._public:
            found = _outside(
                found, [(m.start(), m.end()) for p in self._public for m in re.finditer(re.escape(p), text)]
            )
        return sorted(found, key=lambda hit: (hit.start, -hit.stop))

    # What is looked for

    def _add_name(self, value: PrivateValue) -> None:
        words = _TOKEN.findall(value.text)
        if len(words) > 1:
            self._add_phrase(value)
            parts = [canonical(word) for word in words]
            for part in parts:
                self._beside.setdefault(part, set()).update(p for p in parts if p != part)
            whole = "".join(parts)
            if len(words) <= 3 and len(whole) >= _COMPOUND and whole.isalpha():
                self._names.setdefault(whole, value)
        elif words and words[0].isalpha():
            name = canonical(words[0])
            if len(name) < SHORTEST or is_ordinary(plain(words[0])):
                self._ordinary.setdefault(name, value)
            else:
                self._names.setdefault(name, value)
                if len(name) > SHORTEST and name[-1] in "aeiouy":
                    self._stems.setdefault(name[:-1], value)

    def _add_phrase(self, value: PrivateValue) -> None:
        words = tuple(canonical(word) for word in _TOKEN.findall(value.text))
        if sum(map(len, words)) >= SHORTEST:
            self._phrases.add(words, value)

    def _add_code(self, value: PrivateValue) -> None:
        code = "".join(plain(word) for word in _TOKEN.findall(value.text))
        if len(code) < SHORTEST:
            return
        self._codes.add(code, value)
        for length in range(_LOOSE, len(code)):
            if any(c.isdigit() for c in code[-length:]):
                self._codes.add(code[-length:], value)
        if found := re.search(r"\d+$", code):
            self._add_last(found.group(), value)

    def _add_phone(self, value: PrivateValue) -> None:
        digits = re.sub(r"\D", "", value.text)
        for spelt in _phone_spellings(digits, value.text.strip().startswith("+")):
            self._phones.add(spelt, value)
        self._add_last(digits, value)

    def _add_last(self, digits: str, value: PrivateValue) -> None:
        for count in _LAST_FIGURES:
            if len(digits) >= count:
                self._last.setdefault(digits[-count:], value)

    def _add_amount(self, value: PrivateValue) -> None:
        amount = _decimal(value.text)
        if amount is not None and amount > 0:
            self._amounts.setdefault(amount, value)

    # Where it stands

    def _in_words(self, text: str, tokens: Sequence[_Token], strict: bool) -> Iterator[Hit]:
        words = [canonical(token.text) for token in tokens]
        for i, token in enumerate(tokens):
            value = self._name(token.text, words[i])
            if value is not None:
                yield Hit(token.start, token.stop, value)
            elif words[i] in self._ordinary and (strict or self._is_named(text, tokens, words, i)):
                yield Hit(token.start, token.stop, self._ordinary[words[i]])
            if words[i] not in self._phrases.root:
                continue
            if (phrase := self._phrases.longest_by_word(text, tokens, words, i)) is not None:
                last, value = phrase
                yield Hit(token.start, tokens[last].stop, value)

    def _name(self, written: str, word: str) -> PrivateValue | None:
        """The name that a word is, begins with, or holds; None for ordinary words."""
        if written not in self._known:
            self._known[written] = None if len(word) < SHORTEST or not word.isalpha() else self._name_in(written, word)
        return self._known[written]

    def _name_in(self, written: str, word: str) -> PrivateValue | None:
        if word in self._names:
            return self._names[word]
        if is_ordinary(plain(written)):
            return None
        for cut in range(_LONGEST_ENDING + 1):
            stem = word[: len(word) - cut]
            if len(stem) < SHORTEST:
                break
            found = self._names.get(stem) or self._stems.get(stem)
            if found is not None:
                return found
        for length in self._lengths:
            for start in range(len(word) - length + 1):
                if word[start : start + length] in self._names:
                    return self._names[word[start : start + length]]
        return None

    def _is_named(self, text: str, tokens: Sequence[_Token], words: Sequence[str], i: int) -> bool:
        """Whether a word that may be a name is one here: it has a capital, or stands beside more of the same name."""
        token = tokens[i]
        others: set[str] = self._beside.get(words[i], set())
        for j in (i - 1, i + 1):
            if 0 <= j < len(tokens) and _gap(tokens, min(i, j)) <= _WIDEST_GAP:
                beside = words[j]
                if beside in others or (len(beside) == 1 and any(o.startswith(beside) for o in others)):
                    return True
        if not token.text[:1].isupper():
            return False
        if plain(token.text) in MONTHS:
            around = [tokens[j].text for j in (i - 1, i + 1) if 0 <= j < len(tokens)]
            return not any(word.isdigit() for word in around)
        return True

    def _in_figures(self, text: str, tokens: Sequence[_Token]) -> Iterator[Hit]:
        plains = [plain(token.text) for token in tokens]
        for i, token in enumerate(tokens):
            if (code := self._codes.longest(tokens, plains, i, _WIDEST_GAP)) is not None:
                last, value = code
                if _at_edges(text, token.start, tokens[last].stop) and _is_code(text, token.start, tokens[last].stop):
                    yield Hit(token.start, tokens[last].stop, value)
            if token.text.isdigit():
                yield from self._phone(text, tokens, plains, i)
        if self._last or self._amounts:
            yield from self._alone(text)

    def _phone(self, text: str, tokens: Sequence[_Token], plains: Sequence[str], i: int) -> Iterator[Hit]:
        """A telephone number, its figures in any groups, with or without a country's prefix."""
        token = tokens[i]
        found = self._phones.longest(tokens, plains, i, _WIDEST_GAP, text)
        for skipped in range(1, min(_LONGEST_PREFIX, len(token.text))) if found is None else ():
            rest = (token.text[skipped:], *plains[i + 1 : i + _MOST_GROUPS])
            there = self._phones.longest((token, *tokens[i + 1 : i + _MOST_GROUPS]), rest, 0, _WIDEST_GAP, text)
            if there is not None and sum(map(len, rest[: there[0] + 1])) > _FEWEST_FIGURES:
                found = there[0] + i, there[1]
                break
        if found is not None:
            yield Hit(token.start, tokens[found[0]].stop, found[1])

    def _alone(self, text: str) -> Iterator[Hit]:
        """Figures by themselves: the last ones of a number, or an amount of money; not a date, not a measure."""
        dates = [m.span() for m in _DATE.finditer(text)]
        for match in _FIGURE.finditer(text):
            start, stop = match.span()
            if any(a < stop and start < b for a, b in dates) or _has_unit(text, stop):
                continue
            if (value := self._last.get(match.group())) is not None:
                yield Hit(start, stop, value)
            amount = _decimal(match.group())
            if amount is not None and (value := self._amounts.get(amount)) is not None:
                figures = len(match.group())
                pays = figures > 1 and _PAYING.search(text[max(0, start - 40) : start])
                if pays or figures >= SHORTEST:
                    yield Hit(start, stop, value)

    def _is_last(self, hit: Hit, text: str) -> bool:
        return text[hit.start : hit.stop] in self._last

    def _is_word(self, hit: Hit, text: str) -> bool:
        return canonical(text[hit.start : hit.stop]) in self._ordinary


class _Tries:
    """Values by their characters or words: the longest one that begins somewhere is found step by step."""

    def __init__(self) -> None:
        self.root: dict[str, Any] = {}

    def add(self, steps: Iterable[str], value: PrivateValue) -> None:
        node = self.root
        for step in steps:
            node = node.setdefault(step, {})
        node.setdefault("", value)

    def longest_by_word(
        self, text: str, tokens: Sequence[_Token], words: Sequence[str], first: int
    ) -> tuple[int, PrivateValue] | None:
        """The last word of the longest value that begins with this one."""
        node, found = self.root, None
        for i in range(first, len(words)):
            if i > first and _gap(tokens, i - 1) > _WIDEST_GAP:
                break
            node = node.get(words[i]) or {}
            if not node:
                break
            if "" in node and _at_edges(text, tokens[first].start, tokens[i].stop):
                found = i, node[""]
        return found

    def longest(
        self, tokens: Sequence[_Token], plains: Sequence[str], first: int, gap: int, phone: str = ""
    ) -> tuple[int, PrivateValue] | None:
        """The same by characters: groups of figures may be cut anywhere. ``phone``: the text, for figures alone."""
        node, found = self.root, None
        for i in range(first, len(plains)):
            if i > first:
                between = tokens[i].start - tokens[i - 1].stop
                if between > gap or (phone and not _PHONE_GAP.issuperset(phone[tokens[i - 1].stop : tokens[i].start])):
                    break
            for char in plains[i]:
                node = node.get(char) or {}
                if not node:
                    return found
            if "" in node:
                found = i, node[""]
        return found


# Spellings


@lru_cache(maxsize=50_000)
def canonical(word: str) -> str:
    """A word as it is compared: without case and accents, 'oe' and 'ö' both as 'o', 'ß' as 'ss'."""
    found = plain(word)
    for two, one in _TWO.items():
        found = found.replace(two, one)
    return found


@lru_cache(maxsize=50_000)
def plain(word: str) -> str:
    """A word without case and accents."""
    if word.isascii():
        return word.lower()
    low = word.lower().translate(_LETTERS)
    return "".join(c for c in unicodedata.normalize("NFKD", low).casefold() if not unicodedata.combining(c))


def _phone_spellings(digits: str, abroad: bool) -> Iterator[str]:
    """A telephone number with and without what may stand before it, and all ends of it that give it away."""
    yield digits
    if digits.startswith("00"):
        digits, abroad = digits[2:], True
    home = [digits[n:] for n in (1, 2, 3)] if abroad else [digits.lstrip("0")]
    for number in home:
        yield f"0{number}"
    for length in range(_FEWEST_FIGURES, len(digits) + 1):
        yield digits[-length:]


def _decimal(text: str) -> Decimal | None:
    try:
        return Decimal(text.replace(",", ".")).normalize()
    except InvalidOperation:
        return None


def _gap(tokens: Sequence[_Token], i: int) -> int:
    return tokens[i + 1].start - tokens[i].stop


def _at_edges(text: str, start: int, stop: int) -> bool:
    """Whether no letter or figure stands before or behind."""
    return not text[start - 1 : start].isalnum() and not text[stop : stop + 1].isalnum()


def _is_code(text: str, start: int, stop: int) -> bool:
    """A short code is one only in capitals or in one piece: 'an 12 V' is no plate."""
    said = text[start:stop]
    return sum(c.isalnum() for c in said) >= _LOOSE or said == said.upper() or said.isalnum() or " " not in said


def _has_unit(text: str, stop: int) -> bool:
    found = _UNIT.match(text, stop)
    if found is None:
        return False
    units = units_spelt(found[1])
    return found[1] in "%°" or any(unit.dimension != "money" for unit in units)


def _rising(found: Iterable[Range], keep: Sequence[Range]) -> list[Range]:
    """Ranges in their order, those that touch one another joined, those on ``keep`` left out."""
    rising: list[Range] = []
    for start, stop in sorted(found):
        if any(start < k_stop and k_start < stop for k_start, k_stop in keep):
            continue
        if rising and start < rising[-1][1]:
            rising[-1] = rising[-1][0], max(stop, rising[-1][1])
        else:
            rising.append((start, stop))
    return rising


def _outside(hits: Iterable[Hit], ranges: Sequence[Range]) -> list[Hit]:
    return [hit for hit in hits if not any(a <= hit.start and hit.stop <= b for a, b in ranges)]
