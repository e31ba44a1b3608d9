"""Private values found again in free text: whole words, folded for case, accents and separators."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

MASK = "[private]"
SHORTEST = 4  # characters; shorter values stand everywhere and are not masked
_WIDEST_GAP = 3  # characters of separators between two words of a value

_WORD = re.compile(r"\d+|[^\W\d_]+")


class _Node:
    """Where a value has come to, word by word; ``ends`` where a value may be whole here."""

    def __init__(self) -> None:
        self.ends: bool = False
        self.then: dict[str, _Node] = {}


class Masker:
    """Finds and masks a set of values of at least four characters, in time that grows with the text alone."""

    def __init__(self, values: Iterable[str]) -> None:
        self._root = _Node()
        signs: set[str] = set()
        for value in values:
            if len(value.strip()) < SHORTEST:
                continue
            folded, _ = _folded(value.strip())
            words = _WORD.findall(folded)
            node = self._root
            for word in words:
                node = node.then.setdefault(word, _Node())
            if words:
                node.ends = True
            else:
                signs.add(re.escape(folded))
        self._signs = re.compile("|".join(sorted(signs, key=lambda s: (-len(s), s)))) if signs else None

    def mask(self, text: str, keep: Sequence[tuple[int, int]] = ()) -> str:
        """The text with each value replaced; ranges of ``keep`` (readings) are left as they are."""
        pieces: list[str] = []
        end = 0
        for start, stop in self.found(text):
            if any(start < k_stop and k_start < stop for k_start, k_stop in keep):
                continue
            pieces += [text[end:start], MASK]
            end = stop
        return "".join([*pieces, text[end:]]) if pieces else text

    def found(self, text: str) -> list[tuple[int, int]]:
        """Where values stand in a text: ranges that rise and don't overlap."""
        if not text or (not self._root.then and self._signs is None):
            return []
        folded, where = _folded(text)
        hits = self._words(folded)
        if self._signs is not None:
            hits += [(m.start(), m.end()) for m in self._signs.finditer(folded)]
        rising: list[tuple[int, int]] = []
        for start, stop in sorted(hits):
            if not rising or start >= rising[-1][1]:
                rising.append((start, stop))
        return [(where[start], where[stop - 1] + 1) for start, stop in rising]

    def _words(self, folded: str) -> list[tuple[int, int]]:
        if not self._root.then:
            return []
        words = [(m.group(), m.start(), m.end()) for m in _WORD.finditer(folded)]
        hits = []
        i = 0
        while i < len(words):
            last = self._longest(folded, words, i) if _at_edge(folded, words[i][1] - 1) else None
            if last is None:
                i += 1
            else:
                hits.append((words[i][1], words[last][2]))
                i = last + 1
        return hits

    def _longest(self, folded: str, words: Sequence[tuple[str, int, int]], first: int) -> int | None:
        """The last word of the longest value that begins with this one."""
        node, found = self._root, None
        for i in range(first, len(words)):
            word, start, end = words[i]
            if i > first and start - words[i - 1][2] > _WIDEST_GAP:
                break
            after = node.then.get(word)
            if after is None:
                break
            node = after
            if node.ends and _at_edge(folded, end):
                found = i
        return found


def _at_edge(text: str, i: int) -> bool:
    """Whether no letter or digit stands at this index."""
    return not 0 <= i < len(text) or not text[i].isalnum()


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
