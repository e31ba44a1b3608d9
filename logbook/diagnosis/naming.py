"""Words for lists, days and entries."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.job.model import Engine, Job

_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def joined(items: Sequence[object]) -> str:
    """'3', '3 and 4', '1, 3 and 5'."""
    words = [str(i) for i in items]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def cylinders_said(cylinders: Sequence[int], engine: Engine | None) -> str:
    """'3 and 4'; 'all' where they are the whole engine."""
    whole = engine is not None and len(cylinders) > 2 and tuple(cylinders) == engine.cylinders
    return "all" if whole else joined(cylinders)


def day_words(job: Job, entry: int) -> str:
    """'4 May', or '' where the day is not known."""
    day = job.entries[entry].entry.day if 0 <= entry < len(job.entries) else None
    return f"{day.day} {_MONTHS[day.month - 1]}" if day else ""


def entry_words(job: Job, entry: int) -> str:
    """'the coil swap of 4 May', 'the cut-out of 5 May', 'the clue on the card'."""
    if not 0 <= entry < len(job.entries):
        return "an entry"
    if job.copy == "public" and job.entries[entry].private:
        return "an entry kept private"
    e = job.entries[entry].entry
    name = f"{e.part} {e.kind}" if e.part else e.kind
    if e.qualifiers and e.kind in ("compression", "fuel pressure", "look", "trims", "battery"):
        name = " ".join([*e.qualifiers, name]) if e.kind != "look" else f"look at the {e.part} {' '.join(e.qualifiers)}"
    day = day_words(job, entry)
    return f"the {name} of {day}" if day else f"the {name}"
