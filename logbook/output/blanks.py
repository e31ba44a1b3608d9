"""Hard blanks on the way out: a number keeps its unit and a name its number, whatever the width of the screen."""

from __future__ import annotations

import re
from functools import lru_cache

from logbook.units import UNITS

_HARD = "\u00a0"
_STRETCH = 1 << 16  # characters
_KEPT = "pre|code|script|style|title|textarea"  # what is copied, run or shown elsewhere stays to the letter
_TO_THE_LETTER = re.compile(rf"<({_KEPT})\b.*?</\1>", re.DOTALL)
_DIGIT = re.compile(r"\d")
_MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"
_COUNTED = {"minutes", "entries", "entry", "days", "lines", "jobs", "drops", "times", "revs"}
_UNITS = "|".join(
    re.escape(word)
    for word in sorted({u.symbol or u.name for u in UNITS.values()} | _COUNTED, key=lambda w: (-len(w), w))
    if word
)
_NAMES = "cylinders?|coils?|leads?|plugs?|injectors?|places?|bolts?|bearings?|line|column|page|at|old|engine|donor"

_NAME_THEN_NUMBER = re.compile(rf"\b({_NAMES}|about|under|over) (?=(?:old )?[A-Z]?\d)", re.IGNORECASE)
_NUMBER_THEN_UNIT = re.compile(
    rf"(?<=\d) (?=(?:{_UNITS})(?![\w/]))"  # 68 rpm
    r"|(?<=[\d%°]) (?=±)|(?<=±) (?=\d)|(?<=[×÷≥≤−]) (?=\d)"  # 68 ± 6, × 4.8
    rf"|(?<=\d) (?=(?:{_MONTHS})\b)|(?<=\d) (?=in 100\b)|(?<=\d.in) (?=100\b)"  # 4 May, 68 in 100
)


def bind(text: str) -> str:
    """Put hard blanks between number and unit, name and number, day and month."""
    if not _DIGIT.search(text):
        return text
    return _NUMBER_THEN_UNIT.sub(_HARD, _NAME_THEN_NUMBER.sub(rf"\1{_HARD}", text))


def bind_html(html: str) -> str:
    """The same in the text of a page: never in tags, in what is copied to the letter, or in the title."""
    bound, done = [], 0
    for kept in _TO_THE_LETTER.finditer(html):
        bound += [_bind_between(html[done : kept.start()]), kept[0]]
        done = kept.end()
    return "".join([*bound, _bind_between(html[done:])])


def _bind_between(html: str) -> str:
    """In stretches, so that the tags of a long page are never all apart at once."""
    bound, done = [], 0
    while done < len(html):
        end = html.find("<", done + _STRETCH)
        end = len(html) if end < 0 else end
        bound.append("<".join(map(_bind_after_tag, html[done:end].split("<"))))
        done = end
    return "".join(bound)


@lru_cache(maxsize=1 << 12)  # most of a page is what the last one held
def _bind_after_tag(piece: str) -> str:
    """A tag without its '<', and the text after it."""
    tag, end, text = piece.partition(">")
    return f"{tag}>{bind(text)}" if end else bind(piece)
