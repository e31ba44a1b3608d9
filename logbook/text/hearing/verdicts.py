"""What it was: a part to blame, a cause, what is left unplugged on purpose."""

from __future__ import annotations

import re
from collections.abc import Sequence

from logbook.text.hearing.lexer import Token, lex
from logbook.text.hearing.model import Candidate, Context
from logbook.text.hearing.seen import remark

_CAUSES = re.compile(
    r"\s*(?:the cause was|the cause is|cause was|"
    r"cause|root cause|culprit|found it|found the problem|found the cause|find|turned out to be|turned out|"
    r"was|it turned out|problem was|the problem was|fault was|the fault was)\b\s*[:,-]?\s*",
    re.IGNORECASE,
)


def on_purpose(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """'injector 3 stays disconnected on purpose': unplugged, and left so."""
    if not re.search(r"\bon purpose\b", line, re.IGNORECASE) or not any("unplug" in t.all_of("verb") for t in found):
        return []
    parts = [t.of("part") or t.of("connof") for t in found if t.of("part") or t.of("connof")]
    numbers = [t.number for t in found if t.number]
    if len(parts) != 1 or not numbers or not all(n.whole and 1 <= n.low <= (context.places or 16) for n in numbers):
        return []
    behind = line[re.search(r"\bon purpose\b", line, re.IGNORECASE).start() :].strip(" .")  # type: ignore[union-attr]
    return [Candidate((f"unplug {parts[0]}: {' '.join(n.text for n in numbers)} ({behind})",), 0.1)]


def blamed(told: Candidate, found: Sequence[Token]) -> str:
    """'... miss went to 8. bad injector': the part that the trouble went along with, by where it stood."""
    words = told.lines[-1].split(":")
    part = next((t.of("part") for t in found if t.of("part")), "")
    if (
        not words[0].startswith("swap ")
        or part != words[0].removeprefix("swap ")
        or not any(t.says("junk") for t in found)
        or any(t.number for t in found)
    ):
        return ""
    first, second = words[1].split(",")[0].split()[:2]
    dead = words[1].partition("now ")[2].split(" ")[0]
    other = {first: second, second: first}.get(dead, "")
    return f"cause {part}: old {other}" if other else ""


def verdict(found: Sequence[Token], context: Context) -> list[Candidate]:
    """'coil 3 is junk', 'it was coil 3 all along': a cause, where the part and its place are there."""
    junk = [t for t in found if t.says("junk")]
    it_was = (len(found) > 2 and found[0].key == "it" and found[1].key in ("was", "is")) or any(
        t.key == "was the" for t in found
    )
    at = next((i for i, t in enumerate(found[:-1]) if i and t.key == "it" and found[i + 1].key == "was"), 0)
    told = found[at + 2 :] if at and found[at + 2 : at + 3] and found[at + 2].text in ",;." else []
    if at and (told or at + 2 == len(found)) and not any(t.number for t in told):  # 'coil 5 it was. old one cracked'
        blame = verdict([*lex("it was"), *found[:at]], context)
        said = " ".join(t.text for t in told if t.text not in ",;.")
        return [
            c._replace(lines=(c.lines[0] + (f" ({said})" if said and "(" not in c.lines[0] else ""),)) for c in blame
        ]
    parts = [t.of("part") for t in found if t.of("part")]
    if (
        junk
        and parts
        and any(t.says("doubt") for t in found)
        and not any(t.says("irreal", "verb") and not t.says("doubt") for t in found)
    ):
        return [Candidate((f"guess: {' '.join(t.text for t in found)}",), 0.2)]
    if not (junk or it_was) or len(set(parts)) != 1 or any(t.says("irreal", "doubt", "verb", "age") for t in found):
        return []
    if any(t.says("place") for t in found):
        return []
    places: list[str] = []
    rest: list[str] = []
    for at, t in enumerate(found):
        if t.number:
            if not (t.number.whole and 1 <= t.number.low <= (context.places or 16)):
                return []
            if found[at + 1 : at + 2] and found[at + 1].says("unit") and not found[at + 1].says("link", "fill"):
                return []
            places.append(t.number.text)
        elif t.sort == "tag" and t.text.upper() in context.tags:
            places.append(t.text.upper())
        elif t.says("part", "fill", "link", "mark", "sep") or t.text in ",.!#:-":
            continue
        elif t.says("junk"):
            rest.append(t.text)
        elif t.says("out", "kind", "cond"):
            return []
        else:
            rest.append(t.text)
    if not places:
        return []
    thing = " harness" if any(t.of("thing") == "harness" for t in found) else ""
    return [Candidate((f"cause {parts[0]}{thing}: {' '.join(places)}{remark(rest)}",), 0.2, True)]


def cause(line: str, context: Context) -> list[Candidate]:
    """'cause: broken wire in inj harness at 4': the part and the thing, where, and the words about it."""
    opened = _CAUSES.match(line)
    if opened is None:
        return []
    found = lex(line[opened.end() :])
    parts = [t.of("part") or t.of("connof") for t in found if t.of("part") or t.of("connof")]
    if len(parts) > 1 and parts[0] == "lead":
        parts = parts[1:]  # the wire of an injector
    things = [t.of("thing") for t in found if t.of("thing") in ("harness", "connector", "rings", "ground")]
    things += ["connector" for t in found if t.of("connof")]
    tags = [t for t in found if t.sort == "tag" and t.text.upper() in context.tags]
    if tags and not parts:
        parts = [context.tags[tags[0].text.upper()]]
    places = tags or [t for t in found if t.number and t.number.whole and 1 <= t.number.low <= (context.places or 16)]
    comma = next((i for i, t in enumerate(found) if i and t.text in (",", ";") and i < len(found) - 1), 0)
    more = _then_fitted(found[comma + 1 :], parts, line, context) if comma else []
    if more:
        found = found[:comma]
        places = [t for t in places if t.end <= found[-1].end]
        parts = parts[:1]
    if comma and not more and not any(t.number or t.sort == "tag" for t in found[comma:]):  # '..., whose boot split'
        parts = [p for t in found[:comma] if (p := t.of("part") or t.of("connof"))]
    if len(set(parts)) != 1 or (len(places) != len([t for t in found if t.number or t in tags])) or not places:
        return []
    words = [
        t.text
        for t in found
        if not (t.number or t in tags or t.says("link", "fill", "mark", "sep") or t.text in ",.:;-#")
    ]
    head = " ".join(["cause", parts[0], *dict.fromkeys(things)])
    return [Candidate((f"{head}: {' '.join(t.text for t in places)}{remark(words)}", *more), 0.1)]


def _then_fitted(found: Sequence[Token], parts: Sequence[str], line: str, context: Context) -> list[str]:
    """'..., new one in 7': the part that the cause was, fitted new."""
    if not parts or not found or found[0].of("age") not in ("new", "used", "rebuilt"):
        return []
    numbers = [t for t in found if t.number]
    known = all(
        t.number
        or t.says("age", "link", "fill", "mark", "place", "number", "part", "verb")
        or t.text in ",.;"
        or t.key in ("one", "done")
        for t in found
    )
    if len(numbers) != 1 or not known or numbers[0].number is None or not numbers[0].number.whole:
        return []
    return [f"fit {parts[0]}: {found[0].of('age')} in {numbers[0].number.text}"]
