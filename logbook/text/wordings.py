"""Bodies of free text, single words, files, the engine card and codes."""

from __future__ import annotations

import re

from logbook.spans import Span
from logbook.text.body_tokens import items_of, tokens_of
from logbook.text.card import engine_card, unread_pieces
from logbook.text.conditions import read_conditions
from logbook.text.entries import Subject, Value, Written
from logbook.text.lexing import Token
from logbook.text.parsed import Body, Head
from logbook.text.remarks import words_in
from logbook.text.state import State
from logbook.text.unread import Unread
from logbook.text.vocabulary import kind_named, word_of

_FILE = (
    r"(?P<quote>\"(?P<quoted>[^\"]+)\")|(?P<name>[^\s\"](?:[^\"\n]{0,120}?[^\s\"])?\."
    r"(?i:jpe?g|png|webp|gif|heic|heif|svg|tiff?|bmp|csv|wav|toml|txt|pdf)\b)|(?P<bare>\S+\.\w{2,5})(?=\s|$)"
)
_CODE = r"[PBCUpbcu][0-9][0-9A-Fa-f]{3}\Z"


def read_text(head: Head, state: State, start: int, end: int) -> Body:
    text = state.text[start:end]
    return Body(text, words=words_in(state.normal[start:end], head.kind.words) if head.kind.words else ())


def read_word(head: Head, state: State, start: int, end: int) -> Body:
    said = state.normal[start:end].rstrip(".").strip()
    word = next((w for w in head.kind.words if w == said.casefold()), "")
    if not word:
        word = {
            "imperial": "",
            "usa": "us",
            "si": "metric",
            "dollars": "",
            "euro": "eur",
            "euros": "eur",
            "€": "eur",
            "pounds": "gbp",
            "£": "gbp",
        }.get(said.casefold(), "")
    if not word or word not in head.kind.words:
        raise Unread(
            216,
            Span(start, end),
            f"'{state.said(Span(start, end))}' is not a word for '{head.kind.word}'.",
            f"write one of: {', '.join(head.kind.words)}",
        )
    return Body(word)


def read_file(head: Head, state: State, start: int, end: int) -> Body:
    match = re.compile(_FILE).match(state.normal, start, end)
    if not match:
        raise Unread(222, Span(start, end), "No file is named.", f"write the file's name first: '{head.kind.example}'")
    group = "quoted" if match["quote"] else "name" if match["name"] else "bare"
    file = state.text[match.start(group) : match.end(group)]
    at = state.normal.find("@", match.end(), end) if head.kind.word == "trace" else -1
    if at < 0:
        return Body(state.text[start:end], file=file)
    found = tokens_of(state, at + 1, end)
    if not found:
        raise Unread(211, Span(at, end), "Nothing stands behind '@'.", "write what belongs there, or take it away")
    return Body(state.text[start:at].rstrip(), file=file, conditions=read_conditions(found, state))


def read_facts(head: Head, state: State, start: int, end: int) -> Body:
    """Free text whose pieces may open with a slot word."""
    readings: list[Written] = []
    position = start
    for piece in state.normal[start:end].split(","):
        lead = len(piece) - len(piece.lstrip())
        word = piece.split(maxsplit=1)
        slot = next((s for s in head.kind.slots if word and word[0].casefold() in (s.name, *s.synonyms)), None)
        if slot and len(word) == 2:
            at = position + lead
            span = Span(at, position + len(piece.rstrip()))
            told = state.text[at + len(word[0]) : span.end].strip()
            readings.append(Written(span, (Subject("slot", Span(at, at + len(word[0])), name=slot.name),), text=told))
        position += len(piece) + 1
    return Body(state.text[start:end], tuple(readings))


def read_engine(head: Head, state: State, start: int, end: int) -> Body:
    text = state.text[start:end]
    card = engine_card(state.normal[start:end])
    if card.too_many:
        raise Unread(
            708, Span(start, end), f"The card speaks of {card.too_many} cylinders; 16 are the most.", "check the count"
        )
    state.engines[head.engine] = card
    for piece in unread_pieces(state.normal[start:end]):
        at = start + piece.start
        state.tell(
            Unread(
                220,
                Span(at, start + piece.end),
                f"'{piece.text}' is no part of an engine card.",
                f"write it on a line of its own: '{_line_for(piece.text)}', or as an indented note",
            )
        )
    return Body(text)


def _line_for(said: str) -> str:
    """'bore: all 79 mm' for 'bore 79 mm' on an engine card where the first word is a kind; else where words stand."""
    word, _, value = said.partition(" ")
    kind = kind_named(word)
    if kind is None or not value[:1].isdigit():
        return "vehicle: ..."
    return f"{kind.word}: {'all ' if kind.subjects == 'cyl' else ''}{value}"


def read_codes(head: Head, state: State, start: int, end: int) -> Body:
    readings: list[Written] = []
    for item in items_of(state, start, end):
        unread: list[Token] = []
        for token in item.tokens:
            span = Span(token.start, token.end)
            if token.text == "-":
                readings.append(Written(span, (), Value(span, word="not done")))
            elif re.match(_CODE, token.text):
                readings.append(Written(span, (), Value(span, word=token.text.upper(), remark=item.remark)))
            elif word := word_of(token.text, head.kind.words):
                readings.append(Written(span, (), Value(span, word=word, remark=item.remark)))
            elif token.text not in (".", "and", "&"):
                unread.append(token)
        if unread or not item.tokens:
            span = Span(unread[0].start, unread[-1].end) if unread else item.span
            mend = "write a letter P, B, C or U and four digits: P0302; words go into a bracket behind a code"
            state.tell(Unread(223, span, f"'{state.said(span)}' is not a trouble code.", mend))
    return Body(readings=tuple(readings))
