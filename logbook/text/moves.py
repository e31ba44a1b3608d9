"""Parts that change places: swap, move, fit."""

from __future__ import annotations

from itertools import pairwise

from logbook.spans import Span
from logbook.text.clauses import Item
from logbook.text.entries import Subject, Written
from logbook.text.lexing import Token
from logbook.text.limits import MOST_MEMBERS
from logbook.text.place_lists import without_glued_commas
from logbook.text.state import State
from logbook.text.subjects import Element, read_element, same_subject, shown, too_many
from logbook.text.unread import Unread
from logbook.text.vocabulary import MOVING_PARTS, STATES, part_named, word_of

_LINKS = frozenset({"in", "to", "with", "and", "into", "at", "on", "for", "&", "<>", "/", "-", "x", "<", ">", "="})


def _no_subject(state: State, span: Span) -> Unread:
    said = state.said(span)
    if said.startswith(":"):
        mend = "write what was seen behind a 'now': ', now 4 dead, 3 fires', or on an indented line below"
        return Unread(208, span, f"'{said}' is no place and no part.", mend)
    moved = "write ', now moved' where the trouble went along; else " if "moved" in said.split() else ""
    return Unread(
        208,
        span,
        f"'{said}' is no place and no part.",
        f"{moved}put it into a bracket: '({said})', or on an indented line below",
    )


def _sides(item: Item, state: State) -> list[Element]:
    """All subjects of an item, links left out."""
    elements: list[Element] = []
    at = 0
    found = without_glued_commas(item.tokens)
    while at < len(found):
        token = found[at]
        if elements and token.text.casefold() in _LINKS:
            while at < len(found) and found[at].text.casefold() in _LINKS:
                at += 1
            continue
        element = _single(found, at)
        if element is None:
            raise _no_subject(state, Span(token.start, item.end))
        elements.append(element)
        at = element.end
    members = sum(len(e.members) for e in elements)
    if members > MOST_MEMBERS or state.too_many(members):
        raise too_many(item.span)
    return elements


def _single(found: list[Token], at: int) -> Element | None:
    token = found[at]
    if token.kind == "word" and token.text.casefold() == "cylinder":
        return _single(found, at + 1) if at + 1 < len(found) else None
    if token.kind == "number" and at + 2 < len(found) and found[at + 1].text == "-" and found[at + 2].kind == "number":
        # '3-4' in a swap is a pair, never a run; a run in a fit is told by its count
        return (
            Element((Subject("place", Span(token.start, token.end), number=int(token.text)),), at, at + 1)
            if token.text.isdigit()
            else None
        )
    return read_element(found, at, letters=False)


def without_what_was_seen(items: list[Item], state: State) -> tuple[list[Item], list[Token]]:
    """The moves alone, and what was seen after them where its 'now' is missing, as in 'swap coil: 3 4, 4 dead'."""
    moves: list[Item] = []
    seen: list[Token] = []
    for item in items:
        colon = next((i for i, t in enumerate(item.tokens) if t.text == ":" and i), 0)
        colon = colon or _before_no_change(item.tokens)
        tail = item.tokens[colon + (item.tokens[colon].text == ":") :] if colon else item.tokens
        if not tail or not _is_seen(tail):
            moves.append(item)
            continue
        if seen:
            seen.append(Token("sign", ",", tail[0].start, tail[0].start, False))
        seen.extend(tail)
        if item.bracketed:
            seen.append(Token("bracket", item.remark, item.end, item.end, False))
        if colon:
            head = item.tokens[:colon]
            moves.append(Item(head, item.remark, item.bracketed, item.start, head[-1].end))
    if seen:
        span = Span(seen[0].start, seen[-1].end)
        said = state.said(span)
        state.tell(Unread(227, span, f"'{said}' lacks its 'now'; it is read with it.", f"write ', now {said}'"))
    return moves, seen


def _before_no_change(found: list[Token]) -> int:
    """Where '3 with 4 no change' turns from places to what was seen, or 0."""
    for length in (2, 1):
        tail = "".join(t.text for t in found[-length:])
        if len(found) > length and (word_of(tail, ()) == "same" or tail.casefold() == "moved"):
            return len(found) - length
    return 0


def _is_seen(tail: list[Token]) -> bool:
    """Whether a piece tells a state: '4 dead', 'all fires', 'no change', 'moved'."""
    whole = "".join(t.text for t in tail)
    return bool(word_of(tail[-1].text, STATES) in STATES or word_of(whole, ()) == "same" or whole.casefold() == "moved")


def read_swap(items: list[Item], word: str, part: str, engine: str, state: State) -> tuple[Written, ...]:
    """Pairs that change places; an item that cannot be read is told and left out."""
    found: list[Written] = []
    for item in items:
        try:
            found.append(_swap_item(item, word, part, engine, state))
        except Unread as fault:
            state.tell(fault)
    if word == "swap":
        _check_chain(found, part, state)
    return tuple(found)


def _check_chain(found: list[Written], part: str, state: State) -> None:
    """'1 to 2, 2 to 3' moves each part on; two exchanges one after the other end otherwise. Raises ``Unread``."""
    for one, next_one in pairwise(found):
        if same_subject(one.to[0]) != same_subject(next_one.subjects[0]) or one.to[0].kind != "place":
            continue
        span = Span(found[0].span.start, found[-1].span.end)
        pairs = [f"{shown(w.subjects[0])} {shown(w.to[0])}" for w in found]
        moves = ", ".join(pair.replace(" ", " to ") for pair in pairs)
        said = (
            f"'move {part}: {moves}' where each went on by one, or a line for each exchange: 'swap {part}: {pairs[0]}'"
        )
        raise Unread(
            416, span, f"{shown(one.to[0])} is named twice: in a ring, or one after the other?", f"write {said}"
        )


def _swap_item(item: Item, word: str, part: str, engine: str, state: State) -> Written:
    elements = _sides(item, state)
    subjects = [s for e in elements for s in e.members]
    for subject in subjects:
        state.check_place(subject, engine)
    if len(subjects) == 1:
        one = shown(subjects[0])
        raise Unread(
            406,
            item.span,
            f"Only {one} is named, and a swap is between two.",
            f"write '{word} {part}: {one} 4', or 'fit {part}: new in {one}'",
        )
    if len(subjects) > 2 and word == "swap":
        names = [shown(s) for s in subjects]
        ring = ", ".join(f"{a} to {b}" for a, b in zip(names, (*names[1:], names[0]), strict=True))
        raise Unread(
            416,
            item.span,
            f"{len(subjects)} parts are named, and a swap is between two.",
            f"write 'move {part}: {ring}', or commas between the pairs",
        )
    if len(subjects) != 2:
        raise Unread(416, item.span, "A move is from one place to one other.", "write '1 to 2, 2 to 3'")
    first, second = subjects
    if same_subject(first) == same_subject(second):
        raise Unread(408, item.span, f"{shown(first)} cannot change places with itself.", "name the other place")
    if (
        word == "swap"
        and {first.kind == "place", second.kind == "place"} == {True, False}
        and "old" not in (first.kind, second.kind)
    ):
        tag, place = (first, second) if second.kind == "place" else (second, first)
        raise Unread(
            407,
            item.span,
            f"{shown(tag)} is a part and {shown(place)} a place.",
            f"write 'fit {part}: {shown(tag)} in {shown(place)}', or name two places",
        )
    return Written(item.span, (first,), None, (second,), item.remark)


def read_fit(items: list[Item], part: str, engine: str, state: State) -> tuple[Written, ...]:
    """Parts into places; an item that cannot be read is told and left out."""
    found = []
    for item in items:
        try:
            found.append(_fit_item(item, part, engine, state))
        except Unread as fault:
            state.tell(fault)
    return tuple(found)


def _fit_item(item: Item, part: str, engine: str, state: State) -> Written:
    elements, links = _fit_sides(item, part, state)
    split = links[0] if links else _turn(elements)
    left = [s for e in elements[:split] for s in e.members]
    right = [s for e in elements[split:] for s in e.members]
    if (
        left
        and right
        and left[0].kind in ("place", "all", "bank", "rest", "odd", "even")
        and right[0].kind in ("tag", "old", "spare")
    ):
        left, right = right, left
    for subject in (*left, *right):
        if part in ("", *MOVING_PARTS):
            state.check_place(subject, engine)
    if not right and part in MOVING_PARTS:
        said = " and ".join(shown(s) for s in left)
        if left and left[0].kind in ("place", "all", "bank"):
            raise Unread(
                413,
                item.span,
                f"What {part} went into {said}?",
                f"write 'fit {part}: new in {said}', used, rebuilt, unknown or its tag",
            )
        several = ", or 'in all'" if left and left[0].kind == "spare" else ""
        mend = f"write 'fit {part}: {said} in 3'{several}"
        raise Unread(413, item.span, f"Into which cylinder did the {part} go: {said}?", mend)
    spread = {"all", "rest", "bank", "odd", "even"} & {s.kind for s in right}
    spare = len(left) == 1 and left[0].kind == "spare"
    if right and not spread and not spare and len(left) != len(right):
        raise Unread(417, item.span, f"{len(left)} parts go into {len(right)} places.", "name as many parts as places")
    return Written(item.span, tuple(left), None, tuple(right), item.remark)


def _fit_sides(item: Item, part: str, state: State) -> tuple[list[Element], list[int]]:
    """Like ``_sides``, but 'and' joins subjects and '1-4' is a run."""
    elements: list[Element] = []
    links: list[int] = []
    at = 0
    found = without_glued_commas(item.tokens)
    while at < len(found):
        token = found[at]
        folded = token.text.casefold()
        if elements and folded in ("and", "&"):
            at += 1
            continue
        if elements and folded in _LINKS:
            links.append(len(elements))
            at += 1
            continue
        if at == 1 and token.kind == "word" and part_named(token.text) == part:
            at += 1
            continue
        element = read_element(found, at, letters=False)
        if element is None:
            raise _no_subject(state, Span(token.start, item.end))
        elements.append(element)
        at = element.end
    if state.too_many(sum(len(e.members) for e in elements)):
        raise too_many(item.span)
    return elements, links


def _turn(elements: list[Element]) -> int:
    """Where parts end and places begin, without a link between: 'new 3', '3 new'."""
    kinds = [e.members[0].kind in ("tag", "old", "spare") for e in elements]
    return next((i for i in range(1, len(kinds)) if kinds[i] != kinds[0]), len(kinds))
