"""Money and hours: what went out, what came in, what is asked, and how long it took."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from logbook.text.hearing.lexer import Number, Token, lex
from logbook.text.hearing.model import Candidate, Context

_YEARS = (Decimal(1930), Decimal(2060))
_TOTAL = frozenset({"=", "came to", "comes to", "total", "makes"})
_TIMES = frozenset({"x", "@", "at"})
_PARTS_OF_SENTENCE = frozenset(
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
_MEASURING = frozenset(
    {
        "compression",
        "leak-down",
        "cut-out",
        "resistance",
        "fuel pressure",
        "vacuum",
        "timing",
        "flow",
        "torque",
        "main clearance",
        "rod clearance",
        "ring gap",
        "lash",
        "plug gap",
        "points gap",
        "deck",
        "bore",
        "hours",
        "codes",
        "firing",
        "pull",
        "swap",
        "dwell",
        "trims",
        "mixture",
    }
)
_CENT = Decimal("0.01")


def money(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Amounts with their direction; none where the line is about something else."""
    if any(t.says("irreal") for t in found) and not any(t.says("got", "spent", "quote", "asked") for t in found[:3]):
        return []
    pieces = _pieces(found)
    amounts = [a for piece in _with_count(pieces) for a in [_amount(piece, line)] if a is not None]
    if not amounts:
        return []
    found = _cents(found)
    pieces = _pieces(found)
    amounts = _with_the_rest(_with_count(pieces), line)
    signed = any(t.number and t.number.money for t in found)
    kinds = _directions(found)
    if not kinds:
        if (
            not signed
            and not _priced(found)
            and not any(
                t.says("each") or (t.key == "x" and found[at + 1 : at + 2] and found[at + 1].number)
                for at, t in enumerate(found)
            )
        ):
            return []
        if any(
            t.says("kind")
            and t.key != "set"
            and t.of("kind") in _MEASURING
            and not t.says("part", "age", "fill", "link", "got", "spent")
            for t in found
        ):
            return []
        if any(t.says("out") and not t.says("fill", "age", "verdict", "part", "link", "cond") for t in found):
            return []
        if any(t.key in _SOMEBODY for t in found):
            return []  # somebody's words, not a price that was paid
        kinds = ["spent"]
    donors = [t.text.upper() for t in found if t.sort == "tag" and t.text.upper() in context.donors]
    out = []
    for n, kind in enumerate(dict.fromkeys(kinds)):
        if kind == "asked":
            out += _asked(amounts, found, line, context)
            continue
        if kind == "spent" and donors:
            total = sum((a for a, _ in amounts), Decimal(0))
            out.append(Candidate((f"bought: {donors[0]} {_plain(total)}",), 0.1))
            continue
        body = ", ".join(_printed(a, words) for a, words in amounts)
        out.append(Candidate((f"{kind}: {body}",), 0.1 + 0.01 * n))
    done = any(
        v in ("remove", "cut", "swap", "clean", "repair")
        for t in found
        for v in t.all_of("verb")
        if not t.says("spent", "got")
    ) or any(t.key in ("tested", "test", "returned") for t in found)
    done = done or any(
        t.says("kind") and any(k in ("sent", "returned", "scrap", "picked") for k in t.all_of("kind")) for t in found
    )
    done = done or (kinds == ["asked"] and any(t.of("age") == "new" for t in found))
    done = done or any(
        not any(t.number for t in piece)
        and any(t.says("out", "cond") and not t.says("fill", "age") for t in piece)
        and any(t.says("part", "thing") for t in piece)
        for piece in pieces
    )
    if out and any(t.key == "sold" for t in found):
        tags = [t.text.upper() for t in found if t.sort == "tag" and t.text.upper() in context.tags]
        out = [c._replace(lines=(f"sent: {', '.join(tags)} (sold)", *c.lines)) for c in out] if tags else out
    if len(out) > 1 or done:
        out = [c._replace(sure=False) for c in out]
    return out


_SOMEBODY = frozenset(
    {
        "i",
        "ive",
        "ill",
        "id",
        "he",
        "hes",
        "she",
        "shes",
        "they",
        "theyll",
        "lady",
        "him",
        "her",
        "itll",
        "wants",
        "want",
    }
)


def agreed(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """'customer said go ahead up to 400', 'ok'd 180, promised fri': what was agreed, and the day that was promised."""
    at = next((i for i, t in enumerate(found[:6]) if t.says("agreed")), -1)
    if at < 0 or any(t.says("irreal") for t in found[:at]):
        return []
    behind = found[at + 1 :]
    comma = next((i for i, t in enumerate(behind) if t.text in (",", ";")), len(behind))
    amounts = [t for t in behind[:comma] if t.number]
    if len(amounts) != 1 or amounts[0].number is None or not _is_price(amounts[0].number):
        return []
    words = [t.text for t in behind[:comma] if not t.number and not (t.says("fill", "link") and t.key != "up to")]
    lines = [f"agreed: {_printed(amounts[0].number.low, ' '.join(words))}"]
    rest = list(behind[comma + 1 :])
    if rest and "promised" in rest[0].all_of("kind"):
        lines.append(f"promised: {line[rest[0].end :].strip(' :,.')}")
    elif any(t.number or t.says("out", "verb", "kind") for t in rest):
        return []
    return [Candidate(tuple(lines), 0.1)]


def _is_price(number: Number) -> bool:
    return bool(number.money) or (number.clock < 0 and not number.pair and number.low > 16 and "/" not in number.text)


def _cents(found: Sequence[Token]) -> list[Token]:
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


def _with_the_rest(pieces: Sequence[list[Token]], line: str) -> list[tuple[Decimal, str]]:
    """The amounts of the pieces; words of a piece without one go with the amount before it, or behind."""
    amounts: list[tuple[Decimal, str]] = []
    waiting: list[str] = []
    for piece in pieces:
        amount = _amount(piece, line)
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


def _with_count(pieces: list[list[Token]]) -> list[list[Token]]:
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


def _directions(found: Sequence[Token]) -> list[str]:
    """Which way the money went, by who is said to do what."""
    kinds: list[str] = []
    for at, t in enumerate(found):
        said = [c for c in ("got", "spent", "asked", "quote") if t.says(c)]
        if not said:
            continue
        if t.key == "paid":
            before = {x.key for x in found[:at]} & {
                "customer",
                "he",
                "she",
                "they",
                "buyer",
                "owner",
                "cust",
                "client",
                "guy",
            }
            behind = found[at + 1 : at + 2]
            if before or any(
                x.key in ("the rest", "rest", "in full", "me", "down", "deposit", "balance", "cash") for x in found
            ):
                kinds.append("got")
            elif any(x.key in ("for", "to") for x in found[at:]) or (behind and not behind[0].number):
                kinds.append("spent")
            else:
                kinds += ["got", "spent"]
            continue
        if t.key in ("set me back", "dropped", "picked up", "got", "want", "est", "each", "told him") and not any(
            x.number and (x.number.money or x.number.low > 16) for x in found
        ):
            continue
        if t.key in ("got", "took in", "picked up") and _for_what_it_cost(found[at + 1 :]):
            kinds.append("spent")
            continue
        signed = any(x.number and x.number.money for x in found)
        if (
            t.key in ("got", "want", "each", "cost")
            and not signed
            and any(k in _MEASURING or k == "spark" for x in found for k in x.all_of("kind"))
        ):
            continue
        if t.key in ("dropped", "picked up") and not any(x.number and x.number.money for x in found):
            continue
        kinds.append(said[0])
    if "asked" in kinds and len(set(kinds)) > 1:
        kinds = [k for k in kinds if k != "asked"] if kinds[0] != "asked" else ["asked"]
    if "quote" in kinds:
        kinds = ["quote"]
    return list(dict.fromkeys(kinds))


def _for_what_it_cost(behind: Sequence[Token]) -> bool:
    """'got a valve off Lester for 10 bucks': a thing, and then what was given for it."""
    at = next((i for i, t in enumerate(behind) if t.number and (t.number.money or t.number.low > 4)), 0)
    return at > 1 and behind[at - 1].key == "for"


def _priced(found: Sequence[Token]) -> bool:
    """'new gasket set 86.40': things and a number with two places behind its point."""
    numbers = [t.number for t in found if t.number]
    return (
        len(numbers) == 1
        and len(numbers[0].text.partition(".")[2]) == 2
        and numbers[0].low >= 1
        and not any(t.says("unit", "cond", "link") and t.key not in ("from", "for", "at", "in") for t in found)
    )


def _pieces(found: Sequence[Token]) -> list[list[Token]]:
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


def _amount(piece: Sequence[Token], line: str) -> tuple[Decimal, str] | None:
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
    return amount.quantize(_CENT) if amount != amount.to_integral_value() else amount, said


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
    while kept and kept[0].key in _PARTS_OF_SENTENCE:
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
    if behind is not None and behind.glued and behind.sort in ("word", "sign", "tag") and behind.text not in ".!":
        return True
    if number.whole and _YEARS[0] <= number.low <= _YEARS[1] and "." not in number.text and behind is not None:
        return True
    if token.text[:1] == "0":
        return True
    point = number.text.partition(".")[2]
    return len(point) == 1 or (len(point) > 2 and number.text.partition(".")[0] != "")


def _printed(amount: Decimal, words: str) -> str:
    said = words.replace("(", "").replace(")", "").strip(" .-")
    if not said:
        return _plain(amount)
    if (
        len(said.split()) > 4
        or any(c.isdigit() for c in said)
        or any(c in said for c in ",;?:")
        or said.split()[0].casefold() in ("now", "spec", "at", "from", "over", "under", "about")
    ):
        return f"{_plain(amount)} ({said})"
    return f"{_plain(amount)} {said}"


def _plain(amount: Decimal) -> str:
    text = format(amount, "f")
    return text.rstrip("0").rstrip(".") if "." in text and text.endswith("00") else text


def _asked(amounts: list[tuple[Decimal, str]], found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    tags = [t.text.upper() for t in found if t.sort == "tag" and t.text.upper().split("-")[0] in context.tags]
    part = next((t.of("part") for t in found if t.of("part")), "") or next(
        (t.key for t in found if t.key in ("gearbox", "axle", "clutch")), ""
    )
    total = sum((a for a, _ in amounts), Decimal(0))
    if tags:
        each = " each" if any(t.says("each") for t in found) else ""
        return [Candidate((f"asked: {' '.join(tags)} {_plain(total)}{each}",), 0.1)]
    if part:
        return [Candidate((f"asked: {part} {_plain(total)}",), 0.1)]
    return []


# hours

_HALVES = {
    "half an hour": "0.5 h",
    "an hour and a half": "1.5 h",
    "hour and a half": "1.5 h",
    "half hour": "0.5 h",
    "quarter of an hour": "0.25 h",
    "three quarters of an hour": "0.75 h",
    "an hour": "1 h",
}
_HALF_AN_HOUR = re.compile(rf"(?<!and a )\b(?:{'|'.join(sorted(_HALVES, key=len, reverse=True))})\b", re.IGNORECASE)
_NAMED_HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_PAST = re.compile(
    rf"\b(?P<how>half past|half|quarter past|quarter after|quarter to|quarter till)\s+"
    rf"(?P<hour>\d{{1,2}}|{'|'.join(_NAMED_HOURS)})\b(?!\s*(?:h|hr|hrs|hours?)\b)",
    re.IGNORECASE,
)


def _as_clock(match: re.Match[str]) -> str:
    """'half past eight' as 8:30."""
    said = match["hour"].casefold()
    hour = int(said) if said.isdigit() else _NAMED_HOURS.index(said) + 1
    how = match["how"].casefold()
    minutes = hour * 60 + (-15 if how.startswith("quarter t") else 15 if how.startswith("quarter") else 30)
    return f"{minutes // 60}:{minutes % 60:02}"


_WORKED = frozenset({"worked", "hours", "hrs", "hour", "work", "labor", "labour", "time", "spent", "put in", "h"})


def hours(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Time worked: '4 hrs pulling engine', 'worked 9 to 3', '30 min chasing a ground'."""
    if any(t.says("irreal") for t in found) or any(t.number and t.number.money for t in found):
        return []
    said = _NOON.sub("12pm", _PAST.sub(_as_clock, line))
    said = _HALF_AN_HOUR.sub(lambda m: _HALVES[m.group().casefold()], said)
    if said != line:
        line, found = said, lex(said)
    worked = any(t.key in _WORKED and not t.number for t in found[:2])
    span = _clock_span(found, worked, context)
    if span:
        amount, used = span
        behind = [t for i, t in enumerate(found) if i > max(used)]
        if any(t.number for t in behind):  # 'and 13 till 17'
            more = _clock_span(behind, True, context)
            if more is None or any(t.number for i, t in enumerate(behind) if i not in more[1]):
                return []
            amount, used = amount + more[0], used | {max(used) + 1 + i for i in more[1]}
        words = _label([t for i, t in enumerate(found) if i not in used])
        return [Candidate((_hours_line([(amount, words)]),), 0.15)]
    return _durations(found, worked)


_NOON = re.compile(r"\b(?:noon|midday|lunch(?=\s*$))\b", re.IGNORECASE)


def _clock_span(found: Sequence[Token], worked: bool, context: Context) -> tuple[Decimal, set[int]] | None:
    for at, token in enumerate(found):
        if not token.number:
            continue
        clock = token.number.clock >= 0
        if token.number.pair and token.number.high > 100 and at == 0 and (span := _run_together(token.number)):
            return span, {at}
        if token.number.pair and (worked or (context.last.kind == "hours" and at == 0)):
            low, high = token.number.low, token.number.high
            if high <= 24:
                return _difference(low, high), {at}
        if (
            at + 2 < len(found)
            and found[at + 1].key in ("to", "till", "til", "until", "-")
            and (other := found[at + 2].number)
        ):
            low, high = _clocked(token.number), _clocked(other)
            if clock and token.number.clock >= 0 and other.clock >= 0:
                minutes = (other.clock - token.number.clock) % (24 * 60)
                return Decimal(minutes) / 60, {at, at + 1, at + 2}
            if (worked or clock or other.clock >= 0) and low <= 24 and high <= 24:
                return _difference(low, high), {at, at + 1, at + 2}
    return None


def _run_together(number: Number) -> Decimal | None:
    """'8-1130' is from eight to half past eleven."""
    low, high = (int(n) for n in (number.low, number.high))
    if not (1 <= low <= 24 or 100 <= low <= 2359) or not 100 <= high <= 2359 or high % 100 > 59 or low % 100 > 59:
        return None
    begun = low * 60 if low <= 24 else low // 100 * 60 + low % 100
    ended = high // 100 * 60 + high % 100
    return Decimal((ended - begun) % (12 * 60)) / 60


def _clocked(number: Number) -> Decimal:
    """'8.30' between two times is half past eight."""
    whole, point, rest = number.text.partition(".")
    return Decimal(whole) + Decimal(rest) / 60 if point and len(rest) == 2 and int(rest) < 60 else number.low


def _difference(low: Decimal, high: Decimal) -> Decimal:
    return high - low if high > low else high + 12 - low


_OF_IT = re.compile(r"\bof (?:it|that|this|them|which)\b|\bincl")


def _durations(found: Sequence[Token], worked: bool) -> list[Candidate]:
    """Amounts of hours or minutes, each with its sort of work."""
    spans: list[tuple[Decimal, list[Token]]] = []
    piece: list[Token] = []
    unit_seen = worked
    read: list[tuple[Decimal, list[Token]]] = []
    groups: list[list[Token]] = [[]]
    for t in found:
        if t.text in (",", ";", "+") or t.key in ("plus", "and"):
            groups.append([])
        else:
            groups[-1].append(t)
    for group in groups:
        numbers = [i for i, t in enumerate(group) if t.number]
        within = read and numbers and _OF_IT.search(" ".join(t.key for t in group))
        if not numbers or within:
            if read:
                read[-1][1].extend(group)
            else:
                piece += group
            continue
        if len(numbers) > 1:
            return []
        at = numbers[0]
        number = group[at].number
        assert number
        behind = group[at + 1] if at + 1 < len(group) else None
        unit = "h" if group[at].of("unit") == "h" else ""
        taken = {at}
        if behind is not None and behind.says("unit"):
            units = behind.all_of("unit")
            if "h" in units or "min" in units:
                unit = "h" if "h" in units else "min"
                taken.add(at + 1)
            elif not behind.says("link", "fill"):
                return []
        if not unit and not unit_seen:
            return []
        unit_seen = True
        amount = number.low / 60 if unit == "min" else number.low
        if amount > 24 or (number.clock >= 0 and number.text.endswith("m")):
            return []
        rest = [t for i, t in enumerate(group) if i not in taken]
        read.append((amount, [*piece, *rest]))
        piece = []
    spans = read
    if not spans:
        return []
    everything = [t for _, words in spans for t in words]
    first = found[0]
    opens = worked or (first.number is not None) or any(t.says("unit") and "h" in t.all_of("unit") for t in found)
    minutes_only = not worked and not any("h" in t.all_of("unit") for t in found)
    if not opens or any(
        t.says("out") and not t.says("fill", "verb", "age", "link", "part", "cond", "qual", "unit", "kind")
        for t in everything
    ):
        return []
    if minutes_only and (
        first.number is None
        or len(found) < 3
        or any(t.says("kind", "cond", "verb") and t.key not in ("fitting",) for t in found[2:3])
    ):
        return []
    if not worked and any(
        t.says("kind") and t.of("kind") in ("codes", "fuel pressure", "battery", "compression", "flow", "firing")
        for t in found[:1]
    ):
        return []
    return [Candidate((_hours_line([(a, _label(words)) for a, words in spans]),), 0.15)]


def _label(words: Sequence[Token]) -> str:
    kept = [t for t in words if t.text not in ",:;.-!" and t.key not in _WORKED]
    while kept and (kept[0].key in _PARTS_OF_SENTENCE or kept[0].key in ("spent", "on", "doing")):
        kept.pop(0)
    return " ".join(t.text for t in kept)


def _hours_line(spans: Sequence[tuple[Decimal, str]]) -> str:
    said = []
    for amount, label in spans:
        number = format(amount.quantize(_CENT).normalize(), "f")
        plain = label and not any(c.isdigit() or c in "(),;:?@" for c in label) and len(label.split()) <= 3
        said.append(f"{label} {number}" if plain else f"{number} ({label})" if label else number)
    return f"hours: {', '.join(said)}"


def donor(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """'donor D3: pickup, front smashed, $500': its price as a fact."""
    if not found or found[0].key != "donor" or len(found) < 3:
        return []
    second = found[1]
    tag = (
        second.text.upper()
        if second.sort == "tag"
        else f"D{second.number.text}"
        if second.number and second.number.whole and second.number.low < 100
        else ""
    )
    if not tag:
        return []
    prices = [t for t in found[2:] if t.number and t.number.money]
    if len(prices) != 1:
        return []
    price = prices[0]
    number = price.number
    assert number
    text = line[second.end : price.start].strip(" :-,"), line[price.end :].strip(" ,")
    said = ", ".join(p for p in (text[0], f"bought {number.text}", text[1]) if p)
    return [Candidate((f"donor {tag}: {said}",), 0.1)]
