"""The commonest reading, '3 70' or '3 dead', taken at once. All else is left to the full reading."""

from __future__ import annotations

from functools import lru_cache

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.clauses import Item
from logbook.text.entries import Subject, Value, Written
from logbook.text.kinds import Kind
from logbook.text.numbers import ABOUT, BOUNDS, lone_number
from logbook.text.reading_checks import check_subjects
from logbook.text.subjects import SUBJECT_WORDS, too_many
from logbook.text.vocabulary import fold, part_named, qualifier_words, values_of, word_of

_PLACED = frozenset({"cyl", "part", "bolt", "bearing"})
_LONGEST_PLACE = 9  # digits


def read_plain(item: Item, about: About) -> Written | None:
    """A place and its reading with nothing beside them; None for every other item. Raises ``Unread``."""
    if len(item.tokens) != 2 or item.bracketed or about.kind.subjects not in _PLACED:
        return None
    place, said = item.tokens
    if place.kind != "number" or said.glued or not place.text.isdigit() or len(place.text) > _LONGEST_PLACE:
        return None
    if said.kind == "number":
        value = lone_number(said, about.measure)
    else:
        word = _plain_words(about.kind).get(fold(said.text)) if said.kind == "word" else None
        value = Value(Span(said.start, said.end), None, word) if word else None
    if value is None:
        return None
    if about.state.too_many(1):
        raise too_many(item.span)
    subjects = (Subject("place", Span(place.start, place.end), int(place.text)),)
    check_subjects(about, subjects)
    return Written(item.span, subjects, value)


@lru_cache(maxsize=512)
def _plain_words(kind: Kind) -> dict[str, str]:
    """The words of results, by folded spelling, that mean nothing else where they stand behind a place."""
    others = {fold(w) for w in (*SUBJECT_WORDS, *ABOUT, *BOUNDS, "old")} | set(qualifier_words(kind))
    return {s: word_of(s, kind.words) for s in values_of(kind.words) if s not in others and not part_named(s)}
