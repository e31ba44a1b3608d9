"""Money: what went out, what came in, what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from logbook.text.hearing.amounts import (
    amount_of,
    cents,
    for_what_it_cost,
    is_price,
    pieces_of,
    plainly,
    printed,
    with_count,
    with_the_rest,
)
from logbook.text.hearing.lexer import Token
from logbook.text.hearing.model import Candidate, Context

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


def money(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Amounts with their direction; none where the line is about something else."""
    if any(t.says("irreal") for t in found) and not any(t.says("got", "spent", "quote", "asked") for t in found[:3]):
        return []
    pieces = pieces_of(found)
    amounts = [a for piece in with_count(pieces) for a in [amount_of(piece, line)] if a is not None]
    if not amounts:
        return []
    found = cents(found)
    pieces = pieces_of(found)
    amounts = with_the_rest(with_count(pieces), line)
    if any(t.key in _OWED for t in found) or _rated(found):
        return []
    if any(t.key in ("together", "altogether") for t in found) and len(amounts) > 1:
        return []  # '2 doors, 60 together': which of them is the sum
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
            out.append(Candidate((f"bought: {donors[0]} {plainly(total)}",), 0.1))
            continue
        body = ", ".join(printed(a, words) for a, words in amounts)
        out.append(Candidate((f"{kind}: {body}",), 0.1 + 0.01 * n))
    done = any(
        v in ("remove", "cut", "swap", "clean", "repair")
        for t in found
        for v in t.all_of("verb")
        if not t.says("spent", "got")
    ) or any(t.key in ("tested", "test", "returned") for t in found)
    done = done or any(
        t.says("kind")
        and any(k in ("sent", "returned", "scrap", "picked") for k in t.all_of("kind"))
        and not (t.key == "scrap" and at and found[at - 1].says("got"))  # 'sold scrap steel'
        for at, t in enumerate(found)
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
    if done:
        return []  # the money is not all that the line tells
    return [c._replace(sure=False) for c in out] if len(out) > 1 else out


_OWED = frozenset({"owes", "owe", "owing", "owed", "due", "balance", "outstanding"})


def _rated(found: Sequence[Token]) -> bool:
    """'6 h x 75' is a time and what an hour costs."""
    timed = any(t.number and b.says("unit") and b.of("unit") in ("h", "min") for t, b in pairwise(found))
    return timed and sum(bool(t.number) for t in found) > 1


_SHOPS = frozenset(
    {"counter", "store", "dealer", "online", "yard", "junkyard", "scrapyard", "breakers", "autoparts", "supplier"}
)


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
    if len(amounts) != 1 or amounts[0].number is None or not is_price(amounts[0].number):
        return []
    words = [t.text for t in behind[:comma] if not t.number and not (t.says("fill", "link") and t.key != "up to")]
    lines = [f"agreed: {printed(amounts[0].number.low, ' '.join(words))}"]
    rest = list(behind[comma + 1 :])
    if rest and "promised" in rest[0].all_of("kind"):
        lines.append(f"promised: {line[rest[0].end :].strip(' :,.')}")
    elif any(t.number or t.says("out", "verb", "kind") for t in rest):
        return []
    return [Candidate(tuple(lines), 0.1)]


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
        if t.key in ("got", "took in", "picked up") and (
            for_what_it_cost(found[at + 1 :]) or any(x.key in _SHOPS for x in found[at + 1 :])
        ):
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


def _priced(found: Sequence[Token]) -> bool:
    """'new gasket set 86.40': things and a number with two places behind its point."""
    numbers = [t.number for t in found if t.number]
    return (
        len(numbers) == 1
        and len(numbers[0].text.partition(".")[2]) == 2
        and numbers[0].low >= 1
        and not any(t.says("unit", "cond", "link") and t.key not in ("from", "for", "at", "in") for t in found)
    )


def _asked(amounts: list[tuple[Decimal, str]], found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    tags = [t.text.upper() for t in found if t.sort == "tag" and t.text.upper().split("-")[0] in context.tags]
    part = next((t.of("part") for t in found if t.of("part")), "") or next(
        (t.key for t in found if t.key in ("gearbox", "axle", "clutch")), ""
    )
    total = sum((a for a, _ in amounts), Decimal(0))
    if tags:
        each = " each" if any(t.says("each") for t in found) else ""
        return [Candidate((f"asked: {' '.join(tags)} {plainly(total)}{each}",), 0.1)]
    if part:
        return [Candidate((f"asked: {part} {plainly(total)}",), 0.1)]
    return []


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
