"""Parts by their tags, and pictures by their files."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.text.hearing.lexer import Token
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Candidate, Context


def parts_named(found: Sequence[Token], context: Context) -> list[Candidate]:
    """'C1-C4 coils off D2': tags for parts that came from a donor."""
    tags = [t.text.upper() for t in found if t.sort == "tag" and not t.senses]
    parts = [t.of("part") for t in found if t.of("part")]
    donors = [t for t in tags if t in context.donors]
    new = [t for t in tags if t not in context.donors]
    away = any(t.key in ("off", "from", "out of") for t in found)
    if len(donors) != 1 or len(new) != 1 or len(set(parts)) != 1 or not away or any(t.number for t in found):
        return []
    if new[0].split("-")[0] in context.tags:
        return []
    return [Candidate((f"parts {parts[0]}: {new[0]} from {donors[0]}",), 0.1)]


def photo(found: Sequence[Token], line: str) -> list[Candidate]:
    """A picture by its file; without a file the whole line is only offered."""
    file = next((t for t in found if t.sort == "file"), None)
    named = any("photo" in t.all_of("kind") for t in found)
    if file is not None:
        around = f"{line[: file.start].strip()} {line[file.end :].strip()}".strip(" :-")
        head = next((t for t in found if "photo" in t.all_of("kind")), None)
        if head is not None and head.start == found[0].start:
            around = f"{line[head.end : file.start].strip()} {line[file.end :].strip()}".strip(" :-")
        if file.text.rsplit(".", 1)[-1].casefold() in ("csv", "wav"):
            return []
        if file.text.rsplit(".", 1)[-1].casefold() in ("mp4", "mov"):
            return []
        return [Candidate((f"photo: {file.text} {around}".strip(),), 0.1)]
    if named and found[0].says("kind") and "photo" in found[0].all_of("kind"):
        rest = line[found[0].end :].strip(" :-").removeprefix("of ")
        return [Candidate((f"photo: FILE.jpg {rest}".strip(),), 0.3, False)]
    return []


def _paid(found: Sequence[Token], line: str, context: Context) -> list[str]:
    """'..., refund 15': the money behind the comma."""
    comma = next((t for t in found if t.text in (",", ";")), None)
    behind = [t for t in found if comma is not None and t.start >= comma.end]
    amounts = [t for t in behind if t.number]
    if len(amounts) != 1 or not behind or behind[0].key not in ("refund", "refunded", "got", "money back", "credit"):
        return []
    number = amounts[0].number
    assert number
    return [f"got: {number.text} refund"] if len(behind) == 2 and number.clock < 0 and not number.pair else []


def stock(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Parts by tag that left, came back or were thrown away: 'shipped A3 to buyer'."""
    for token in found:
        kinds = [k for k in token.all_of("kind") if frames()[k].sort == "stock"]
        if not kinds and token.key in ("came back",) and any(t.text.upper() in context.tags for t in found):
            kinds = ["returned"]
        if not kinds:
            continue
        tags = [t.text.upper() for t in found if t.sort == "tag" and t.text.upper() in context.tags]
        paid = _paid(found, line, context) if kinds[0] in ("returned", "sent") else []
        if paid:
            found = found[: next(i for i, t in enumerate(found) if t.text in (",", ";"))]
        if not tags or any(t.says("irreal") for t in found) or any(t.number for t in found):
            return []
        words = [
            t.text
            for t in found
            if t is not token and t.text.upper() not in tags and t.text not in ",:;-." and not t.says("sep")
        ]
        said = " ".join(words)
        return [Candidate((f"{kinds[0]}: {', '.join(tags)}{f' ({said})' if said else ''}", *paid), 0.15)]
    return []
