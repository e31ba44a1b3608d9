"""The commonest readings, '3 70' or '3 dead', taken at once. All else is left to the full reading."""

from __future__ import annotations

from functools import lru_cache

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.clauses import Item
from logbook.text.entries import Subject, Value, Written
from logbook.text.kinds import Kind
from logbook.text.lexing import Token
from logbook.text.limits import MOST_DIGITS
from logbook.text.numbers import ABOUT, BOUNDS, ValueReader, is_value_start, lone_number
from logbook.text.reading_checks import check_subjects
from logbook.text.remarks import words_in
from logbook.text.subjects import SUBJECT_WORDS, too_many
from logbook.text.vocabulary import fold, part_named, qualifier_words, units_spelt, values_of, word_of

PLACED = frozenset({"cyl", "part", "bolt", "bearing"})
_LONGEST_PLACE = 9  # digits


def read_plain(item: Item, about: About) -> Written | None:
    """A place and its reading, '=' between or not, its unit and a bracket behind it; None for every other item.

    Raises ``Unread``.
    """
    found = item.tokens
    if not 2 <= len(found) <= 3 or about.kind.subjects not in PLACED:
        return None
    place, at = found[0], 2 if found[1].text == "=" else 1
    if place.kind != "number" or not place.text.isdigit() or len(place.text) > _LONGEST_PLACE:
        return None
    if at == len(found) or (at == 1 and found[1].glued):
        return None
    value = _value(found, at, about)
    if value is None:
        return None
    if about.state.too_many(1):
        raise too_many(item.span)
    subjects = (Subject("place", Span(place.start, place.end), int(place.text)),)
    check_subjects(about, subjects)
    if item.remark:
        value = value._replace(remark=item.remark, remark_words=words_in(item.remark, about.measure.words))
    return Written(item.span, subjects, value)


def _value(found: list[Token], at: int, about: About) -> Value | None:
    said, measure = found[at], about.measure
    if said.kind == "word" and at + 1 == len(found):
        word = plain_words(about.kind).get(fold(said.text))
        return Value(Span(said.start, said.end), None, word) if word else None
    if said.kind != "number":
        return None
    if at + 1 == len(found):
        return lone_number(said, measure)
    last = found[-1]
    right = any(unit.dimension in measure.dimensions for unit in units_spelt(last.text))
    if not right or is_value_start(last, measure) or (measure.sign and said.text[0] not in "+-"):
        return None
    reader = ValueReader(found, at, measure, about.state.normal)
    return reader.read() if len(said.text) <= MOST_DIGITS else None


@lru_cache(maxsize=512)
def plain_words(kind: Kind) -> dict[str, str]:
    """The words of results, by folded spelling, that mean nothing else where they stand behind a place."""
    others = {fold(w) for w in (*SUBJECT_WORDS, *ABOUT, *BOUNDS, "old")} | set(qualifier_words(kind))
    return {s: word_of(s, kind.words) for s in values_of(kind.words) if s not in others and not part_named(s)}
