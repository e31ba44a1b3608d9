"""A cause as one says it: the part or the thing, where, and words about it that need no bracket."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.clauses import Item
from logbook.text.kinds import Kind
from logbook.text.lexing import Token, tokens
from logbook.text.parsed import Body, Head
from logbook.text.state import State
from logbook.text.subjects import read_elements
from logbook.text.unread import Unread
from logbook.text.vocabulary import fold, part_named, qualifier_words

_LINKS = frozenset({"at", "in", "on", "of", "for", "to", "from", "between", "number", "is", "are", "was", "were"})
_OPENING = 60  # characters that tell a sentence from a part and its place


def read_sentence(head: Head, state: State, start: int, end: int) -> Body | None:
    """'blown fuse': the writer's own words, kept to the letter, with a hint; None where a part or a thing stands first.

    One word and a number may be a part that was misspelt, so that is none.
    """
    first = tokens(state.normal, start, min(end, start + _OPENING))[:2]
    if head.part or head.qualifiers or len(first) < 2 or any(t.kind != "word" for t in first):
        return None
    if read_elements(first, 0, letters=False):
        return None
    said = "The cause is kept as written, but no part and no place can be told from it."
    state.tell(Unread(229, Span(start, end), said, f"name the part or the thing first, as in '{head.kind.example}'"))
    return Body(state.text[start:end])


def _is_other_thing(kind: Kind, token: Token) -> bool:
    return token.kind == "word" and not part_named(token.text) and fold(token.text) in qualifier_words(kind)


def _parted(found: Sequence[Token]) -> tuple[list[Token], list[Token]]:
    """The places or parts that stand first, behind links or none, and what stands behind them."""
    start = next((i for i, token in enumerate(found) if token.text.casefold() not in _LINKS), len(found))
    stop = next((i for i, token in enumerate(found) if _is_age(token, found[i + 1 : i + 2])), len(found))
    elements = read_elements(list(found[:stop]), start, letters=True)
    end = elements[-1].end if elements else start
    return list(found[start:end]), list(found[end:])


def _is_age(token: Token, behind: Sequence[Token]) -> bool:
    """'old' of a thing, not of a part by the place where it stood."""
    return token.text.casefold() == "old" and not (behind and behind[0].text.isdigit())


def with_its_part(body: Body) -> Body:
    """'wiring to injector 3' is of the injectors as a whole, as 'injector wiring 3' is."""
    parts = {written.part for written in body.readings}
    if len(parts) == 1 and (part := parts.pop()):
        body.part, body.readings = part, tuple(w._replace(part="") for w in body.readings)
    return body


def as_remarks(items: Sequence[Item], about: About) -> list[Item]:
    """The items with the words behind the places put into their brackets: 'at 3 burnt' is '3 (burnt)'."""
    found: list[Item] = []
    for item in items:
        try:
            told = _as_remark(item, about)
        except Unread as fault:
            about.state.tell(fault)
            continue
        if found and not told.tokens:  # '3 burnt, lash closed up'
            last = found.pop()
            told = Item(last.tokens, f"{last.remark}, {told.remark}".lstrip(", "), True, last.start, told.end)
        found.append(told)
    return found


def _as_remark(item: Item, about: About) -> Item:
    """Raises ``Unread`` for what may be another cause, and for what has numbers."""
    places, behind = _parted(item.tokens)
    behind = behind[next((i for i, t in enumerate(behind) if t.text.casefold() not in _LINKS), len(behind)) :]
    if behind and _opens_another(behind[0], about.kind):
        raise _left_over(behind[0], item, about, "write a line for each cause")
    if any(token.kind != "word" for token in behind):
        if places:
            raise _left_over(behind[0], item, about, "put it into a bracket: '({})'")
        return item
    said = " ".join(about.state.text[t.start : t.end] for t in behind)
    remark = ", ".join(filter(None, (said, item.remark)))
    return Item(places, remark, bool(remark), item.start, item.end)


def _opens_another(token: Token, kind: Kind) -> bool:
    return bool(part_named(token.text)) or _is_other_thing(kind, token) or token.text.casefold() == "and"


def _left_over(first: Token, item: Item, about: About, mend: str) -> Unread:
    span = Span(first.start, item.end)
    said = about.state.said(span)
    return Unread(208, span, f"'{said}' is left over.", mend.format(said))
