"""Amounts of a line about money: each, a dozen of, and their sums."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from logbook.text.hearing.lexer import Number, Token

_TIMES = frozenset({"x", "@", "at"})

PARTS_OF_SENTENCE = frozenset(
    {
        "for",
        "to",
        "on",
        "of",
        "from",
        "the",
        "a",
        "an",
        "at",
        "my",
        "some",
        "him",
        "her",
        "it",
        "is",
        "was",
        "in",
        "and",
        "plus",
        "call it",
        "off",
        "that",
    }
)
CENT = Decimal("0.01")


_TOTAL = frozenset({"=", "came to", "comes to", "total", "makes"})


_YEARS = (Decimal(1930), Decimal(2060))


def is_price(number: Number) -> bool:
    return bool(number.money) or (number.clock < 0 and not number.pair and number.low > 16 and "/" not in number.text)


def cents(found: Sequence[Token]) -> list[Token]:
    """'forty one ninety' is 41.90."""
    out: list[Token] = []
    for token in found:
        before = out[-1] if out else None
        said = token.number if token.number and token.number.worded else None
        last = before.number if before is not None and before.number and before.number.worded else None
        if said and last and before is not None and last.whole and said.whole and 10 <= said.low <= 99:
            text = f"{last.low}.{said.low}"
            number = last._replace(text=text, low=Decimal(text), high=Decimal(text))
            out[-1] = before._replace(text=f"{before.text} {token.text}", end=token.end, number=number)
            continue
        out.append(token)
    return out


def with_the_rest(pieces: Sequence[list[Token]], line: str) -> list[tuple[Decimal, str]]:
    """The amounts of the pieces; words of a piece without one go with the amount before it, or behind."""
    amounts: list[tuple[Decimal, str]] = []
    waiting: list[str] = []
    for piece in pieces:
        amount = amount_of(piece, line)
        if amount is None:
            words = _words(piece, False, piece[0], piece, line)
            if amounts and words:
                amounts[-1] = (amounts[-1][0], f"{amounts[-1][1]} {words}".strip())
            elif words:
                waiting.append(words)
            continue
        amounts.append((amount[0], " ".join([*waiting, amount[1]]).strip()))
        waiting = []
    return amounts


def with_count(pieces: list[list[Token]]) -> list[list[Token]]:
    """'3 used coils, 20 each' in two pieces is one amount."""
    out: list[list[Token]] = []
    for piece in pieces:
        each = any(t.says("each") for t in piece) and sum(bool(t.number) for t in piece) == 1
        if (
            each
            and out
            and sum(bool(t.number) for t in out[-1]) == 1
            and any(t.number and t.number.whole and t.number.low <= 40 for t in out[-1])
        ):
            out[-1] = [*out[-1], *piece]
        else:
            out.append(piece)
    return out


def for_what_it_cost(behind: Sequence[Token]) -> bool:
    """'got a valve off Lester for 10 bucks': a thing, and then what was given for it."""
    at = next((i for i, t in enumerate(behind) if t.number and (t.number.money or t.number.low > 4)), 0)
    return at > 1 and behind[at - 1].key == "for"


def pieces_of(found: Sequence[Token]) -> list[list[Token]]:
    """The line at its separators: each piece has one amount, but 'plugs $32 wires 45' is two."""
    pieces: list[list[Token]] = [[]]
    for _at, t in enumerate(found):
        ends = t.text in (",", ";", "+", "&") or t.key in ("plus", "and")
        if ends and (t.text in (",", ";") or any(x.number for x in pieces[-1])):
            pieces.append([])
            continue
        pieces[-1].append(t)
    out: list[list[Token]] = []
    for piece in pieces:
        numbers = [i for i, t in enumerate(piece) if t.number]
        cut = (
            len(numbers) > 1
            and any(t.number.money for t in piece if t.number)
            and not any(t.says("each") or t.key in _TIMES for t in piece)
        )
        if cut and all(i and not piece[i - 1].number for i in numbers) and not _counted(piece, numbers):
            start = 0
            for i in numbers:
                out.append(piece[start : i + 1])
                start = i + 1
            if start < len(piece):
                out[-1] = out[-1] + piece[start:]
        else:
            out.append(piece)
    return [p for p in out if p]


def _counted(piece: list[Token], numbers: list[int]) -> bool:
    """'4l60e $350', '2 doors $120': only the number with its sign is money."""
    signed = [i for i in numbers if piece[i].number.money]  # type: ignore[union-attr]
    return (len(signed) == 1 and signed[0] == numbers[-1] and any(i < signed[0] for i in numbers)) or (
        len(signed) == 1 and numbers[0] < 2 and signed[0] != numbers[0]
    )


def amount_of(piece: Sequence[Token], line: str) -> tuple[Decimal, str] | None:
    """The amount of a piece and its words; None where it has none."""
    numbers = [(i, t) for i, t in enumerate(piece) if t.number and not _not_money(piece, i)]
    if not numbers:
        return None
    total = next((t for i, t in enumerate(piece) if i and t.number and piece[i - 1].key in _TOTAL), None)
    if total is not None and total.number:
        return total.number.low, line[piece[0].start : piece[-1].end].strip()
    if len(numbers) == 1 and _is_count(piece, numbers[0][0]):
        return None
    signed = [(i, t) for i, t in numbers if t.number and t.number.money]
    each = any(t.says("each") for t in piece) or any(t.key == "x" for t in piece)
    times = next((i for i, t in enumerate(piece) if t.key in ("x",)), -1)
    chosen = signed or numbers
    if len(signed) > 1:
        return None
    at, token = chosen[-1]
    assert token.number
    amount = token.number.low
    words = [t for i, t in enumerate(piece) if i != at]
    product = False
    others = [t.number.low for i, t in numbers if i != at and t.number and t.number.whole]
    tags = [t for t in piece if t.sort == "tag"]
    if each and tags and not others:
        amount *= len(tags)
        product = True
    elif (each or times >= 0) and others:
        amount *= others[0]
        product = True
    elif (each or times >= 0) and any(t.of("place") == "both" or t.key in ("pair", "a pair", "pair of") for t in piece):
        amount *= 2
        product = True
    elif len(numbers) > 1 and not signed:
        first = numbers[0][1].number
        assert first
        if at == len(piece) - 1 or not first.whole or first.low > 40:
            pass
        if len(numbers) > 2:
            return None
    if token.number.high != token.number.low or amount <= 0:
        return None
    said = _words(words, product, token, piece, line)
    return amount.quantize(CENT) if amount != amount.to_integral_value() else amount, said


def _is_count(piece: Sequence[Token], at: int) -> bool:
    """'2 inj' counts things; it costs nothing."""
    number = piece[at].number
    behind = piece[at + 1] if at + 1 < len(piece) else None
    if number is None or number.money or not number.whole or number.low > 16 or behind is None or behind.sort != "word":
        return False
    return (
        not behind.says("link", "fill", "each", "money", "got", "spent")
        and not any(t.says("each") for t in piece)
        and (behind.says("part") or behind.text.endswith("s"))
    )


def _words(words: Sequence[Token], product: bool, token: Token, piece: Sequence[Token], line: str) -> str:
    if product:
        return line[piece[0].start : piece[-1].end].strip()
    kept = [t for t in words if not (t.says("got", "spent", "asked", "quote") and t.key not in ("deposit",))]
    while kept and kept[0].key in PARTS_OF_SENTENCE:
        kept.pop(0)
    while kept and kept[-1].key in ("for", "at", "@", "the", "was", "is", "a", "about", "around", "call it", ":", "="):
        kept.pop()
    return " ".join(t.text for t in kept if t.text not in ":=,!-").strip()


def _not_money(piece: Sequence[Token], at: int) -> bool:
    token = piece[at]
    number = token.number
    assert number
    if number.money:
        return False
    if number.clock >= 0 or number.pair or "/" in number.text or number.signed:
        return True
    behind = piece[at + 1] if at + 1 < len(piece) else None
    if behind is not None and behind.says("unit") and not behind.says("link", "money", "each", "fill"):
        return True
    times = behind is not None and behind.key in _TIMES and any(t.number for t in piece[at + 2 : at + 3])
    if (
        behind is not None
        and not times
        and behind.glued
        and behind.sort in ("word", "sign", "tag")
        and behind.text not in ".!"
    ):
        return True
    if number.whole and _YEARS[0] <= number.low <= _YEARS[1] and "." not in number.text and behind is not None:
        return True
    if token.text[:1] == "0":
        return True
    point = number.text.partition(".")[2]
    return len(point) == 1 or (len(point) > 2 and number.text.partition(".")[0] != "")


def printed(amount: Decimal, words: str) -> str:
    said = words.replace("(", "").replace(")", "").strip(" .-")
    if not said:
        return plainly(amount)
    if (
        len(said.split()) > 4
        or any(c.isdigit() for c in said)
        or any(c in said for c in ",;?:")
        or said.split()[0].casefold() in ("now", "spec", "at", "from", "over", "under", "about")
    ):
        return f"{plainly(amount)} ({said})"
    return f"{plainly(amount)} {said}"


def plainly(amount: Decimal) -> str:
    text = format(amount, "f")
    return text.rstrip("0").rstrip(".") if "." in text and text.endswith("00") else text
