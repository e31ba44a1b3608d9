"""Private values found again in free text: whole words, folded for case, accents and separators."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

MASK = "[private]"
SHORTEST = 4  # characters; shorter values stand everywhere and are not masked

_WORD = re.compile(r"\d+|[^\W\d_]+")
_GAP = r"[\W_]{0,3}"


@dataclass(frozen=True, slots=True)
class Masker:
    """Masks a set of private values. Build it with ``masker``."""

    pattern: re.Pattern[str] | None

    def mask(self, text: str, keep: Sequence[tuple[int, int]] = ()) -> str:
        """The text with each value replaced; ranges of ``keep`` (readings) are left as they are."""
        pieces, end = [], 0
        for start, stop in self.found(text):
            if any(start < k_stop and k_start < stop for k_start, k_stop in keep) or start < end:
                continue
            pieces += [text[end:start], MASK]
            end = stop
        return "".join([*pieces, text[end:]]) if pieces else text

    def found(self, text: str) -> list[tuple[int, int]]:
        """Where values stand in a text."""
        if self.pattern is None or not text:
            return []
        folded, where = _folded(text)
        hits = ((match.start(), match.end()) for match in self.pattern.finditer(folded))
        return [(where[start], where[stop - 1] + 1) for start, stop in hits if stop > start]


def masker(values: Iterable[str]) -> Masker:
    """A masker of all values of at least four characters."""
    patterns = {_pattern(value) for value in values if len(value.strip()) >= SHORTEST}
    rows = sorted(patterns - {""}, key=lambda row: (-len(row), row))
    return Masker(re.compile("|".join(rows)) if rows else None)


def _pattern(value: str) -> str:
    """A value as a pattern over folded text: its words with anything short, or nothing, between them."""
    folded, _ = _folded(value.strip())
    words = [re.escape(word) for word in _WORD.findall(folded)]
    if not words:
        return re.escape(folded)
    return rf"(?<![^\W_]){_GAP.join(words)}(?![^\W_])"


def _folded(text: str) -> tuple[str, Sequence[int]]:
    """The text without case and accents, and for each character of it the index it came from."""
    if text.isascii():
        return text.lower(), range(len(text))
    kept: list[str] = []
    where: list[int] = []
    for i, char in enumerate(text):
        for plain in unicodedata.normalize("NFKD", char).casefold():
            if not unicodedata.combining(plain):
                kept.append(plain)
                where.append(i)
    return "".join(kept), where
