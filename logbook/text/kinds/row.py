"""What one row of the table of kinds says."""

from __future__ import annotations

from typing import Literal, NamedTuple

Subjects = Literal[
    "text",  # the body is free text
    "word",  # the body is one word of the row
    "file",  # a file's name, then free text
    "engine",  # the engine card
    "facts",  # free text whose pieces may open with a slot word
    "cyl",  # cylinders and banks
    "part",  # parts: by place, tag, 'old 3' or spare
    "one",  # one value
    "many",  # values, each with the words beside it as its remark
    "bank",  # banks, or the whole engine
    "group",  # groups of cylinders
    "stock",  # parts by tag, with an amount where there is one
    "swap",  # parts that change places
    "fit",  # a part into a place
    "codes",  # trouble codes
    "any",  # cylinders, parts, banks or nothing at all
    "bolt",  # numbered bolts, '1a' too
    "bearing",  # main bearings
    "slots",  # slot words of the row
    "free slots",  # any words as slots
    "pull",  # a run at full throttle: a slot each line, or slots
    "row",  # as many values as there are, in order
]


class Slot(NamedTuple):
    """One thing of a glance: its word, dimension, usual units and what is believable (in the us unit)."""

    name: str
    dimension: str = ""
    us: str = ""
    metric: str = ""
    low: str = ""
    high: str = ""
    sign: bool = False
    means: str = ""
    synonyms: tuple[str, ...] = ()
    also: tuple[str, ...] = ()  # other dimensions that may be written


class Kind(NamedTuple):
    """One row of the table.

    ``qualifiers`` holds words and the classes PART, ORDER, TAG, RUN, STEP. ``words`` are the words of results.
    ``low`` and ``high`` bound what is believable, in ``bound_unit``; ``asks`` is what to ask beyond them.
    ``unique`` lists synonyms that are also everyday words and therefore count only before a colon.
    """

    word: str
    heading: str
    subjects: Subjects
    means: str
    example: str
    qualifiers: tuple[str, ...] = ()
    dimension: str = ""
    us: str = ""
    metric: str = ""
    words: tuple[str, ...] = ()
    synonyms: tuple[str, ...] = ()
    colon_synonyms: tuple[str, ...] = ()
    slots: tuple[Slot, ...] = ()
    low: str = ""
    high: str = ""
    bound_unit: str = ""
    asks: str = ""
    sign: bool = False
    private: bool = False
    caution: str = ""
    also: tuple[str, ...] = ()
    bare: bool = False  # may stand without a body ('remove head')
    action: bool = False  # something done: takes a 'now' clause
    by_qualifier: tuple[Slot, ...] = ()  # other measures under a qualifier: a lash is a length, an idle a speed


for _row in (Slot, Kind):  # a row is itself and nothing else: something is looked up by it at every line
    for _name in ("__eq__", "__ne__", "__hash__"):
        setattr(_row, _name, getattr(object, _name))


def words(text: str) -> tuple[str, ...]:
    """The words of a row, written with blanks between them."""
    return tuple(text.split())


def names(text: str) -> tuple[str, ...]:
    """Names of several words, written with commas between them."""
    return tuple(part.strip() for part in text.split(",") if part.strip())
