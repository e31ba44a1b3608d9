"""Anchors of entries and days: made of day, kind, subject and an ordinal among equals, never of a line number."""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterable

from logbook.job.resolving import label_of
from logbook.text.entries import Entry

_MOST_SUBJECTS = 4  # beyond, the kind alone names the entry
_LONGEST = 60


def slug(text: str) -> str:
    """Lower-case ASCII letters and digits with single hyphens between them."""
    plain = unicodedata.normalize("NFKD", text.translate(_LETTERS)).casefold()
    kept = "".join(c if c.isascii() and c.isalnum() else "" if unicodedata.combining(c) else "-" for c in plain)
    return "-".join(word for word in kept.split("-") if word)


# Letters that do not come apart into a letter and a mark.
_LETTERS = str.maketrans({"ß": "ss", "æ": "ae", "Æ": "ae", "ø": "o", "Ø": "o", "œ": "oe", "ł": "l", "Ł": "l", "đ": "d"})


def anchors(entries: Iterable[Entry]) -> tuple[str, ...]:
    """The anchor of each entry, unique in the job; equals are counted in file order ('...--2')."""
    return _counted(_base(entry) for entry in entries)


def _counted(bases: Iterable[str]) -> tuple[str, ...]:
    seen: Counter[str] = Counter()
    found = []
    for base in bases:
        seen[base] += 1
        found.append(base if seen[base] == 1 else f"{base}--{seen[base]}")
    return tuple(found)


def _base(entry: Entry) -> str:
    when = entry.day.isoformat() if entry.day else "card" if entry.part_of == "card" else "unknown-day"
    marks = [mark for mark, there in (("proved", entry.proved), ("correct", entry.correct)) if there]
    subjects = [label_of(s) for w in entry.readings for s in (*w.subjects, *w.to)]
    about = subjects if len(subjects) <= _MOST_SUBJECTS else []
    words = [when, *marks, entry.kind, entry.part, *entry.qualifiers, entry.engine, entry.name, *about]
    return slug("-".join(words))[:_LONGEST].rstrip("-")
