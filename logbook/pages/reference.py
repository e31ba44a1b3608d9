"""How to write a log: five minutes on one page, then a page a group of kinds, made from the table that reads them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from logbook.pages import frame
from logbook.pages.frame import Copy, Link, Sheet
from logbook.pages.values import unit_sign
from logbook.pages.words import listed
from logbook.text.kinds import TABLE, Kind
from logbook.text.vocabulary import PART_WORDS
from logbook.units import UNITS

TASTE = """\
job: Parcel van, shakes at the lights
units: metric
engine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug
symptom: shakes at idle since the rain

2026-05-04 looked it over
cut-out: 1 70, 2 65, 3 70, 4 0, 5 60, 6 70
swap coil 2 4: now same
  Boots look fine. *Nobody* was in here before.

2026-05-05
compression: 1 12.1, 2 12.0, 3 11.8, 4 11.9?, 5 12.2, 6 stopped (battery flat) @ warm
swap injector 4 6: now 6 dead, 4 fires
"""


@dataclass(frozen=True, slots=True)
class Rule:
    """One habit of the language: a sentence and lines that show it."""

    title: str
    text: str
    lines: tuple[str, ...]


RULES: tuple[Rule, ...] = (
    Rule(
        "Two rules",
        "A line that starts at the edge is an entry. A line that starts with a space is a note to the line above.",
        ("spark: 3 none, 4 strong", "  The plug of 3 smells of fuel."),
    ),
    Rule(
        "A day has its own line",
        "Year, month, day; a title may follow. What stands before the first day is the card.",
        ("2026-05-04 looked it over",),
    ),
    Rule(
        "Place, then reading",
        "A comma between readings. A row of bare values goes by place, from 1 to the last. "
        "‘rest’ and ‘all’ save writing.",
        ("cut-out: 1 70, 2 65, 3 0, 4 70", "cut-out: 70 65 0 70", "firing: 3 dead, rest fires"),
    ),
    Rule(
        "Write what was seen, not what was concluded",
        "After an action, ‘now’ says what changed. ‘same’ and ‘moved’ are enough.",
        ("swap coil 2 4: now 4 dead, 2 fires", "swap injector 1 3: now same", "put back coil: 2 4"),
    ),
    Rule(
        "Old, new, and parts with a tag",
        "‘old 2’ is the part that stood at 2 when the log began. A tag is a letter and a number, declared once.",
        ("fit coil: new in 3, now all fires", "parts injector: A1-A4 used", "fit injector: A2 in 4"),
    ),
    Rule(
        "Conditions go after @",
        "They hold for the whole line, numbers with their unit.",
        ("compression wet: 3 140 psi @ warm, throttle open", "resistance injector: all 14.4 ohm @ 20 C"),
    ),
    Rule(
        "Doubt, range, not done",
        "A question mark doubts a value; ‘about’, ‘over’ and a range say how well it is known; ‘-’ was not done.",
        ("compression: 1 131 psi, 2 118? psi, 3 about 120 psi, 4 -", "battery: 12.1-12.4 V"),
    ),
    Rule(
        "What you want it to be",
        "‘spec’ before an entry holds for the whole log, behind a value for that line. Limits come from you alone.",
        ("spec main clearance: .0015-.0025 in", "battery: 12.4 V, spec 12.2-12.8"),
    ),
    Rule(
        "Correct a slip",
        "‘correct’ replaces the latest reading of the same kind and subject; with a day, the one of that day. "
        "‘-’ withdraws it.",
        ("correct cut-out: 4 60", "correct 2026-05-04 cut-out: 4 60"),
    ),
    Rule(
        "The repair, and its proof",
        "‘cause’ names the part or the place. ‘proved’ before a test that had failed makes it the proof.",
        ("cause coil: old 4 (split boot)", "proved cut-out: 70 65 68 70"),
    ),
    Rule(
        "Private",
        "‘private’ before any entry, or at the start of a note, keeps it out of the public copy. "
        "Owner, contact and money are private by themselves.",
        ("private: owes me for the last one", "private photo: plate.jpg"),
    ),
)  # fmt: skip

_UNITS = "Parts and units"

_SUBJECTS = {
    "text": "free words",
    "word": "one word",
    "file": "a file beside the log, then free words",
    "engine": "the engine’s card",
    "facts": "free words",
    "cyl": "cylinders and banks",
    "part": "parts: by place, tag, ‘old 3’, ‘new’",
    "one": "one value",
    "many": "values, each with its words",
    "bank": "banks, or the whole engine",
    "group": "groups of cylinders",
    "stock": "parts by tag",
    "swap": "two parts or places",
    "fit": "a part ‘in’ a place",
    "codes": "trouble codes",
    "any": "cylinders, parts or banks",
    "bolt": "bolts by number, 1a and 1b too",
    "bearing": "main bearings by number",
    "slots": "the words below, each with its value",
    "free slots": "your own words, each with its value",
    "pull": "a quantity a line, in the order of the speeds",
    "row": "as many values as there are, in order",
}
_CLASSES = {
    "PART": "a part",
    "ORDER": "the name of an order",
    "TAG": "a tag",
    "RUN": "number of the run",
    "STEP": "name of the step",
}


@dataclass(frozen=True, slots=True)
class KindView:
    id: str
    word: str
    means: str
    example: str
    facts: tuple[tuple[str, str], ...]
    private: bool
    caution: str
    search: str  # every word by which it is found


@dataclass(frozen=True, slots=True)
class Guide:
    """The first page: the log in five minutes, and where every kind of entry is explained."""

    sheet: Sheet
    taste: str
    rules: tuple[Rule, ...]
    doors: tuple[tuple[Link, str], ...]
    kinds: tuple[tuple[KindView, Link], ...]  # by word, each with its place


@dataclass(frozen=True, slots=True)
class KindsPage:
    """One group of kinds."""

    sheet: Sheet
    kinds: tuple[KindView, ...]


@dataclass(frozen=True, slots=True)
class UnitsPage:
    sheet: Sheet
    parts: tuple[tuple[str, str], ...]
    units: tuple[tuple[str, str], ...]


def guide(shop: str = "", copy: Copy = "shop") -> Guide:
    """The same for every site but for the shop's name."""
    doors = [(Link(h, group_path(h)), _some(h)) for h in _headings()]
    doors.append((Link(_UNITS, group_path(_UNITS)), "every spelling that is read"))
    kinds = sorted(((_kind(k), Link(k.word, group_path(k.heading), _id("kind", k.word))) for k in TABLE),
                   key=lambda found: found[0].word)  # fmt: skip
    sheet = replace(
        _sheet("How to write a log", frame.WRITE, shop, copy),
        description="The log in five minutes, and where to look up every kind of entry.",
        state="Jot what you saw, one thing a line, under the day you saw it.",
    )
    return Guide(sheet, TASTE, RULES, tuple(doors), tuple(kinds))


def kinds_pages(shop: str = "", copy: Copy = "shop") -> tuple[KindsPage, ...]:
    """A page a group of kinds, in the order of the table."""
    return tuple(
        KindsPage(_sheet(h, group_path(h), shop, copy), tuple(_kind(k) for k in TABLE if k.heading == h))
        for h in _headings()
    )


def units_page(shop: str = "", copy: Copy = "shop") -> UnitsPage:
    """Parts and units with every spelling."""
    return UnitsPage(_sheet(_UNITS, group_path(_UNITS), shop, copy), _parts(), _units())


def group_path(heading: str) -> str:
    """'how-to-write-tests-at-a-cylinder.html'."""
    return f"{frame.GUIDE}{_slug(heading)}.html"


def _headings() -> tuple[str, ...]:
    return tuple(dict.fromkeys(kind.heading for kind in TABLE))


def _some(heading: str) -> str:
    """The first kinds of a group: 'cut-out, compression, leak-down'."""
    return ", ".join([k.word for k in TABLE if k.heading == heading][:3])


def _sheet(title: str, path: str, shop: str, copy: Copy) -> Sheet:
    ways = () if path == frame.WRITE else (Link("How to write a log", frame.WRITE),)
    return Sheet(
        path=path,
        title=title,
        page_title=f"{title}, {shop}" if shop else title,
        description=f"{title}: how to write it, with an example of each.",
        shop=shop,
        copy=copy,
        kicker="guide",
        ways=ways,
        ways_label="Elsewhere",
        foot="Made from the table that reads the logs",
        scripts=("sift.js", "reload.js"),
    )


def _slug(words: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")


def _id(prefix: str, words: str) -> str:
    return f"{prefix}-{_slug(words)}"


def _kind(kind: Kind) -> KindView:
    synonyms = (*kind.synonyms, *kind.colon_synonyms)
    facts = [
        ("takes", _SUBJECTS.get(kind.subjects, kind.subjects)),
        ("may follow", listed((_CLASSES.get(q, q) for q in kind.qualifiers), "or")),
        ("unit", _unit(kind.us, kind.metric)),
        ("words", ", ".join(kind.words)),
        ("slots", ", ".join(_slot(s.name, s.us, s.metric) for s in kind.slots)),
        ("also called", ", ".join(kind.synonyms)),
        ("and with a colon", ", ".join(kind.colon_synonyms)),
    ]
    searched = [kind.word, kind.means, kind.heading, *kind.qualifiers, *kind.words, *synonyms]
    searched += [w for s in kind.slots for w in (s.name, *s.synonyms)]
    return KindView(
        _id("kind", kind.word),
        kind.word,
        kind.means,
        kind.example,
        tuple((label, text) for label, text in facts if text),
        kind.private,
        kind.caution,
        " ".join(searched),
    )


def _unit(us: str, metric: str) -> str:
    if us == metric:
        return unit_sign(us)
    return f"{unit_sign(us)} (us), {unit_sign(metric)} (metric)"


def _slot(name: str, us: str, metric: str) -> str:
    signs = list(dict.fromkeys(s for s in (unit_sign(us), unit_sign(metric)) if s))
    return f"{name} ({' or '.join(signs)})" if signs else name


def _parts() -> tuple[tuple[str, str], ...]:
    return tuple((word, ", ".join(others)) for word, others in PART_WORDS.items())


def _units() -> tuple[tuple[str, str], ...]:
    """Each measure with the units that may be written for it."""
    rows: dict[str, list[str]] = {}
    for unit in UNITS.values():
        rows.setdefault(unit.dimension, []).append(unit.name)
    return tuple((dimension, ", ".join(names)) for dimension, names in rows.items())
