"""Whom a reading is about: cylinders, parts, banks, runs."""

from __future__ import annotations

import re
from typing import NamedTuple

from logbook.spans import Span
from logbook.text.entries import Subject, SubjectKind
from logbook.text.lexing import Token
from logbook.text.limits import MOST_MEMBERS, MOST_RUN
from logbook.text.unread import Unread
from logbook.text.vocabulary import SPARES, part_named

_TAG = re.compile(r"[A-Za-z][0-9]{1,9}\Z")
_LOOKALIKE = re.compile(r"[^\W\d_][0-9]{1,9}\Z")
SUBJECT_WORDS: dict[str, tuple[SubjectKind, str]] = {
    "all": ("all", ""),
    "each": ("all", ""),
    "every": ("all", ""),
    "both": ("all", ""),
    "rest": ("rest", ""),
    "others": ("rest", ""),
    "left": ("bank", "left"),
    "right": ("bank", "right"),
    "front": ("bank", "front"),
    "rear": ("bank", "rear"),
    "odd": ("odd", ""),
    "even": ("even", ""),
    **{spare: ("spare", spare) for spare in SPARES},
}
_CYLINDER = frozenset({"cyl", "cyls", "cylinder", "cylinders"})
_REST = frozenset({"rest", "others", "other"})
_JOINS = frozenset({"and", "&", "+"})
_RUNS = frozenset({"-", ".."})


class Element(NamedTuple):
    """One subject or run as written: ``members`` opened; ``bare`` for a plain number that could be a value as well."""

    members: tuple[Subject, ...]
    start: int  # index of its first token
    end: int  # index behind its last token
    bare: bool = False
    joined: bool = False  # an 'and' stood before it
    part: str = ""  # the part's kind, written before it: 'coil C2'


def read_elements(found: list[Token], at: int, letters: bool) -> list[Element]:
    """All subjects from ``at`` on, greedily. ``letters``: '1a' is a place."""
    elements: list[Element] = []
    members = 0
    joined = False
    part = ""
    while at < len(found):
        token = found[at]
        if elements and token.text.casefold() in _JOINS and token.text != "+":
            joined, at = True, at + 1
            continue
        if (
            token.kind == "word"
            and (name := part_named(token.text))
            and at + 1 < len(found)
            and not _is_link(found[at + 1])
        ):
            nxt = read_element(found, at + 1, letters, False, name)
            if nxt is None:
                break
            part = name
            at += 1
        element = read_element(found, at, letters, joined, part)
        if element is None:
            break
        elements.append(element)
        members += len(element.members)
        if members > MOST_MEMBERS:
            raise too_many(Span(found[0].start, found[-1].end))
        at, joined = element.end, False
    return elements


def _is_link(token: Token) -> bool:
    return token.text.casefold() in ("and", "with", "to", "in")


def read_element(found: list[Token], at: int, letters: bool, joined: bool = False, part: str = "") -> Element | None:
    """The subject or run that begins at ``at``, or None."""
    token = found[at]
    named = token.text == "#" or token.text.casefold() in _CYLINDER
    if named and at + 1 < len(found) and found[at + 1].kind == "number":
        inner = read_element(found, at + 1, letters, joined, part)
        return inner and Element(inner.members, at, inner.end, False, joined, part)
    if token.kind == "number":
        return _number(found, at, letters, joined, part)
    if token.kind == "path":
        return Element((Subject("tag", _span(token), name=token.text),), at, at + 1, False, joined, part)
    if token.kind != "word":
        return None
    glued = token.glued and at > 0 and found[at - 1].kind == "number"  # a unit, not a tag
    if _TAG.match(token.text) and not glued:
        return _tag(found, at, joined, part)
    if _LOOKALIKE.match(token.text) and not token.text.isascii():
        raise Unread(
            421,
            _span(token),
            f"The letter of '{token.text}' only looks like a plain one.",
            "write the tag with a plain letter A to Z",
        )
    folded = token.text.casefold()
    if folded in ("all", "the") and (end := _others(found, at)):
        span = Span(token.start, found[end - 1].end)
        return Element((Subject("rest", span),), at, end, False, joined, part)
    if folded == "old":
        return _old(found, at, joined, part)
    known = SUBJECT_WORDS.get(folded)
    if known is None:
        return None
    return Element((Subject(known[0], _span(token), name=known[1]),), at, at + 1, False, joined, part)


def _others(found: list[Token], at: int) -> int:
    """Where 'all others', 'all the others' or 'the rest' ends; 0 where it is none of them."""
    end = at + 1
    if end < len(found) and found[end].text.casefold() == "the":
        end += 1
    return end + 1 if end < len(found) and found[end].text.casefold() in _REST else 0


def _number(found: list[Token], at: int, letters: bool, joined: bool, part: str) -> Element | None:
    token = found[at]
    if not token.text.isdigit() or len(token.text) > 9:
        return None
    number = int(token.text)
    nxt = found[at + 1] if at + 1 < len(found) else None
    if nxt and nxt.glued and nxt.text in _RUNS and at + 2 < len(found):
        last = found[at + 2]
        if last.kind == "number" and last.glued:
            if not last.text.isdigit() or (len(last.text) > 1 and "." in last.text):
                return None
            numbers = _run(number, last.text, Span(token.start, last.end))
            span = Span(token.start, last.end)
            return Element(tuple(Subject("place", span, number=n) for n in numbers), at, at + 3, False, joined, part)
    if letters and nxt and nxt.glued and nxt.kind == "word" and len(nxt.text) == 1 and nxt.text.isascii():
        span = Span(token.start, nxt.end)
        return Element(
            (Subject("place", span, number=number, letter=nxt.text.lower()),), at, at + 2, True, joined, part
        )
    return Element((Subject("place", _span(token), number=number),), at, at + 1, True, joined, part)


def _tag(found: list[Token], at: int, joined: bool, part: str) -> Element:
    token = found[at]
    letter, number = token.text[0].upper(), int(token.text[1:])
    nxt = found[at + 1] if at + 1 < len(found) else None
    if nxt and nxt.glued and nxt.text in _RUNS and at + 2 < len(found) and found[at + 2].glued:
        last = found[at + 2]
        digits = last.text[1:] if last.kind == "word" and _TAG.match(last.text) else last.text
        same = last.kind == "number" or last.text[0].upper() == letter
        if digits.isdigit():
            span = Span(token.start, last.end)
            if not same:
                raise Unread(
                    415,
                    span,
                    f"The run goes from {letter} to {last.text[0].upper()}.",
                    f"write one run a letter: {letter}{number}-{letter}{digits}",
                )
            numbers = _run(number, digits, span, letter)
            return Element(
                tuple(Subject("tag", span, name=f"{letter}{n}") for n in numbers), at, at + 3, False, joined, part
            )
    return Element((Subject("tag", _span(token), name=f"{letter}{number}"),), at, at + 1, False, joined, part)


def _run(first: int, last_digits: str, span: Span, letter: str = "") -> range:
    last = int(last_digits) if len(last_digits) <= 12 else 10**12
    if last <= first:
        raise Unread(
            415,
            span,
            f"The run from {letter}{first} to {letter}{last} does not rise.",
            f"write {letter}{last}-{letter}{first}" if last < first else f"write {letter}{first}",
        )
    if last - first >= MOST_RUN:
        raise Unread(
            703, span, f"The run has {last - first + 1} members; {MOST_RUN} are the most.", "write a shorter run"
        )
    return range(first, last + 1)


def _old(found: list[Token], at: int, joined: bool, part: str) -> Element:
    token = found[at]
    nxt = found[at + 1] if at + 1 < len(found) else None
    if nxt is None or nxt.kind != "number" or not nxt.text.isdigit() or len(nxt.text) > 9:
        raise Unread(
            419,
            _span(token),
            "'old' needs the cylinder where the part stood when the log began.",
            "write for example 'old 2'; an unknown spare is 'unknown'",
        )
    span = Span(token.start, nxt.end)
    follow = found[at + 2] if at + 2 < len(found) else None
    if (
        follow
        and follow.glued
        and follow.text in _RUNS
        and at + 3 < len(found)
        and found[at + 3].text.isdigit()
        and found[at + 3].glued
    ):
        span = Span(token.start, found[at + 3].end)
        numbers = _run(int(nxt.text), found[at + 3].text, span)
        return Element(tuple(Subject("old", span, number=n) for n in numbers), at, at + 4, False, joined, part)
    return Element((Subject("old", span, number=int(nxt.text)),), at, at + 2, False, joined, part)


def _span(token: Token) -> Span:
    return Span(token.start, token.end)


def too_many(span: Span) -> Unread:
    """The fault of an entry that names more than an entry may."""
    return Unread(
        704,
        span,
        f"The entry holds more than {MOST_MEMBERS} cylinders, parts or values.",
        "split it over several lines",
    )


def same_subject(subject: Subject) -> tuple[object, ...]:
    """What makes two subjects the same, wherever they are written."""
    return (subject.kind, subject.number, subject.letter, subject.name)


def shown(subject: Subject) -> str:
    """The subject as the tidy form writes it."""
    if subject.kind == "place":
        return f"{subject.number}{subject.letter}"
    if subject.kind == "old":
        return f"old {subject.number}"
    return subject.name or subject.kind
