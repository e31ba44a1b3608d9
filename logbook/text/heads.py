"""The head of an entry: time, marks, kind, qualifiers."""

from __future__ import annotations

import re
from datetime import date
from functools import lru_cache

from logbook.spans import Span
from logbook.text.kinds import Kind
from logbook.text.parsed import Head
from logbook.text.state import State
from logbook.text.unread import Unread
from logbook.text.vocabulary import (
    AMBIGUOUS,
    KINDS,
    LONGEST_KIND,
    QUALIFIER_SYNONYMS,
    fold,
    kind_named,
    kind_names,
    part_named,
    qualifier_words,
)

_TIME = re.compile(r"(?P<h>\d{1,2})(?:[:h](?P<m>\d{2}))?\s?(?P<half>[ap]\.?m\b\.?)?(?=[\s,]|$)", re.IGNORECASE)
_DATE = r"(?P<y>\d{4})[-/.](?P<m>\d{1,2})[-/.](?P<d>\d{1,2})(?=[\s:]|$)"
_WORDS = re.compile(r"[^\W\d_][\w'-]*")
_FIRST_WORDS = re.compile(rf"{_WORDS.pattern}(?:[ \t]*{_WORDS.pattern}){{0,{LONGEST_KIND - 1}}}")
_PART_FIRST = re.compile(rf"(?P<part>{_WORDS.pattern}) (?:{_WORDS.pattern} ?){{1,4}}:")
_OF_PARTS = frozenset({"part", "swap", "fit"})
_NAME = re.compile(r"[\w][\w-]*")
_TAG = re.compile(r"[A-Za-z]\d{1,3}\b")
_LAYOUT = r"[VvIiFfHhLlWwRr](?:[1-9]|1[0-6])"
_CODE = r"\b[PBCUpbcu]\d{4}\b"
_MARKS = frozenset({"private", "spec", "proved", "correct"})
_GAP = re.compile(r"[ \t]*")
_LONGEST_NAME = 60  # characters


class Marks:
    """What stood before the kind."""

    def __init__(self) -> None:
        self.time: str = ""
        self.private: bool = False
        self.spec: bool = False
        self.proved: bool = False
        self.correct: bool = False
        self.correct_day: date | None = None
        self.correct_time: str = ""


def read_time(state: State, at: int, end: int) -> tuple[str, int]:
    """'14:30' or '2:30 pm' as '14:30', and where it ends; '' where no time stands."""
    match = _TIME.match(state.normal, at, end) if state.normal[at : at + 1].isdigit() else None
    if not match or not (match["m"] or match["half"]):
        return "", at
    hour, minute = int(match["h"]), int(match["m"] or 0)
    half = (match["half"] or "").casefold()[:1]
    span = Span(match.start(), match.end())
    if minute > 59 or hour > 23 or (half and not 1 <= hour <= 12):
        raise Unread(118, span, f"'{match.group().strip()}' is no time of the day.", "write 14:30 or 2:30 pm")
    if half == "p" and hour != 12:
        hour += 12
    if half == "a" and hour == 12:
        hour = 0
    return f"{hour:02d}:{minute:02d}", _skip(state, match.end(), end)


def _skip(state: State, at: int, end: int) -> int:
    match = _GAP.match(state.normal, at, end)
    return match.end() if match else at


def read_marks(state: State, at: int, end: int) -> tuple[Marks, int]:
    """Time and marks, and where the kind begins."""
    marks = Marks()
    marks.time, at = read_time(state, at, end)
    while match := _WORDS.match(state.normal, at, end):
        word = match.group().casefold()
        if word not in _MARKS:
            break
        after = _skip(state, match.end(), end)
        colon = after < end and state.normal[after] == ":"
        if word == "private" and (colon or not _kind_follows(state, after, end)):
            break
        setattr(marks, word, True)
        at = after
        if word == "correct":
            at = _correct_when(state, at, end, marks)
            colon = at < end and state.normal[at] == ":"
        if colon and state.normal[at] == ":":
            at = _skip(state, at + 1, end)
        if at >= end:
            raise Unread(
                218,
                Span(match.start(), match.end()),
                f"'{word}' stands before an entry, and none follows.",
                f"write for example '{word} compression: 1 130'",
            )
    return marks, at


def _kind_follows(state: State, at: int, end: int) -> bool:
    match = _WORDS.match(state.normal, at, end)
    return match is not None and (match.group().casefold() in _MARKS or find_kind(state, at, end) is not None)


def _correct_when(state: State, at: int, end: int, marks: Marks) -> int:
    match = re.compile(_DATE).match(state.normal, at, end)
    if match:
        try:
            marks.correct_day = date(int(match["y"]), int(match["m"]), int(match["d"]))
        except ValueError:
            raise Unread(
                111,
                Span(match.start(), match.end()),
                f"The calendar has no {match.group()}.",
                "write the day of the entry that is corrected",
            ) from None
        at = _skip(state, match.end(), end)
    time, at = read_time(state, at, end)
    marks.correct_time = time
    return at


def find_kind(state: State, at: int, end: int) -> tuple[Kind, int] | None:
    """The longest name of the table at ``at``, and where it ends."""
    words = _FIRST_WORDS.match(state.normal, at, end)
    if words is None:
        return None
    stop = _skip(state, words.end(), end)
    found = _longest_kind(words.group(), stop < end and state.normal[stop] == ":")
    return found and (found[0], at + found[1])


def _part_first(state: State, at: int, end: int) -> tuple[str, tuple[Kind, int] | None]:
    """'coil resistance: 2 0.7' as 'resistance coil: 2 0.7': a part, a kind that takes parts, words, and the colon."""
    words = _PART_FIRST.match(state.normal, at, end)
    part = part_named(words["part"]) if words else ""
    if words is None or not part:
        return "", None
    found = find_kind(state, words.end("part") + 1, end)
    takes_parts = found is not None and "PART" in found[0].qualifiers and found[0].subjects in _OF_PARTS
    return (part, found) if takes_parts else ("", None)


@lru_cache(maxsize=20_000)
def _longest_kind(said: str, colon: bool) -> tuple[Kind, int] | None:
    """The longest name of the table that these words open with, and its length; ``colon``: one stands behind them."""
    for word in reversed(list(_WORDS.finditer(said))):
        stop = word.end()
        if stop <= _LONGEST_NAME and (kind := kind_named(said[:stop], colon and stop == len(said))):
            return kind, stop
    return None


def read_head(state: State, at: int, end: int, marks: Marks) -> tuple[Head, int]:
    """Kind and qualifiers, and where the body begins."""
    part = ""
    found = find_kind(state, at, end)
    if found is None or part_named(found[0].word):  # 'sensor resistance: 2 820' is no entry 'sensor'
        part, other = _part_first(state, at, end)
        if other and found and other[0].word in qualifier_words(found[0]):
            part, other = "", None  # 'hose feed: 7.9 mm'
        found = other or found
    if found is None:
        raise _unknown(state, at, end)
    kind, stop = found
    span = Span(at, stop)
    if fold(state.normal[at:stop]) in QUALIFIER_SYNONYMS.get(kind.word, {}):
        stop = at  # 'LTFT: +12': kind and qualifier in one word
    at = _skip(state, stop, end)
    if state.normal[at : at + 2] in ("- ", "| "):  # 'compression - wet: 1 12.5', 'compression | 1 165 | 2 160'
        at = _skip(state, at + 1, end)
    colon = at < end and state.normal[at] == ":"
    if colon:
        at = _skip(state, at + 1, end)
        kind, at = _continued(state, kind, at, end)
    head, at, late = _qualifiers(state, kind, at, end, colon, span, marks.spec, part)
    colon = colon or late
    if colon or at >= end:
        return head, at
    about_owner = kind.private and kind.heading == "The card"
    everyday = about_owner or fold(state.normal[span.start : span.end]) != fold(kind.word)
    if kind.subjects in ("text", "facts") and everyday:
        said = state.said(Span(at, end))
        raise Unread(
            205,
            Span(span.start, end),
            f"Is this an entry '{kind.word}' or a sentence?",
            f"write '{kind.word}: {said}' for the entry, or indent the line for a note",
        )
    if ":" not in state.normal[at:end]:
        state.tell(
            Unread(
                204,
                Span(max(span.end - 1, span.start), span.end),
                f"No colon stands behind '{state.said(Span(span.start, at))}'.",
                "write a colon there; the tidy form adds it",
            )
        )
    return head, at


def _continued(state: State, kind: Kind, at: int, end: int) -> tuple[Kind, int]:
    """'fuel: pressure 55', 'codes: cleared': the colon stands within the name of another kind."""
    for match in reversed(list(_WORDS.finditer(state.normal, at, min(end, at + _LONGEST_NAME)))[:2]):
        said = f"{kind.word} {state.normal[at : match.end()]}"
        longer = kind_named(said)
        if longer is not None and fold(longer.word) == fold(said):
            return longer, _skip(state, match.end(), end)
    return kind, at


def _qualifiers(
    state: State, kind: Kind, at: int, end: int, colon: bool, span: Span, spec: bool, part: str
) -> tuple[Head, int, bool]:
    qualifiers: list[str] = []
    name = engine = ""
    late = False
    while at < end:
        if not colon and not late and state.normal[at] == ":":
            late = True
            at = _skip(state, at + 1, end)
            continue
        step = _one_qualifier(state, kind, at, end, qualifiers, part, name, colon or late)
        if step is None:
            break
        sort, value, at = step
        if sort == "word":
            qualifiers.append(value)
        elif sort == "part":
            part = value
        elif sort == "engine":
            engine = value
        else:
            name = value
        at = _skip(state, at, end)
    if name and kind.word in ("engine",):
        engine, name = name, ""
    return Head(kind, tuple(qualifiers), part, name, engine, spec, colon or late, span), at, late


def _one_qualifier(
    state: State, kind: Kind, at: int, end: int, qualifiers: list[str], part: str, name: str, after_colon: bool
) -> tuple[str, str, int] | None:
    word = _WORDS.match(state.normal, at, end)
    if word:
        found = _word_qualifier(state, kind, at, end, word, qualifiers, part, after_colon)
        if found:
            return found
    if not after_colon and not name:
        named = _name_qualifier(state, kind, at, end)
        if named:
            return named
        tag = _TAG.match(state.normal, at, end)
        if (
            tag
            and kind.subjects not in ("text", "facts", "stock")
            and tag.group().upper() in state.donors | set(state.engines)
        ):
            return "engine", tag.group().upper(), tag.end()
    return None


def _word_qualifier(
    state: State,
    kind: Kind,
    at: int,
    end: int,
    word: re.Match[str],
    qualifiers: list[str],
    part: str,
    after_colon: bool,
) -> tuple[str, str, int] | None:
    known = qualifier_words(kind)
    parts = "PART" in kind.qualifiers and not part and kind.subjects != "text" and kind.word != "asked"
    if not known and not parts:
        return None
    two = _WORDS.match(state.normal, _skip(state, word.end(), end), end)
    for stop in (two.end(), word.end()) if two else (word.end(),):
        said = state.normal[at:stop]
        qualifier = known.get(fold(said), "")
        if qualifier and qualifier not in qualifiers:
            several = after_colon and _several_qualifiers(state, kind, at, end)
            return None if several else ("word", qualifier, stop)
        if parts and (named := part_named(said)):
            if after_colon and _several_qualifiers(state, kind, at, end):
                return None
            if kind.subjects != "stock" or not _several_parts(state, at, end):
                return "part", named, stop
    return None


def _several_qualifiers(state: State, kind: Kind, at: int, end: int) -> bool:
    """'battery: rest 12.6, cranking 10.2': each value has its own, none is for the whole line."""
    pieces = state.normal[at:end].split(",")
    if len(pieces) < 2:
        return False
    folded = {fold(q) for q in (*kind.qualifiers, *qualifier_words(kind), *(s.name for s in kind.slots))}
    opened = [piece.split(maxsplit=1)[0] for piece in pieces[1:] if piece.strip()]
    return any(fold(word) in folded for word in opened)


def _several_parts(state: State, at: int, end: int) -> bool:
    """'scrap: injector old 2, coil X1': the part's kind belongs to each item."""
    pieces = state.normal[at:end].split(",")
    if len(pieces) < 2:
        return False
    firsts = [piece.split(maxsplit=1)[:1] for piece in pieces[1:]]
    return any(first and part_named(first[0]) for first in firsts)


def _name_qualifier(state: State, kind: Kind, at: int, end: int) -> tuple[str, str, int] | None:
    match = _NAME.match(state.normal, at, end)
    if not match:
        return None
    text = match.group()
    if kind.subjects == "many" and part_named(text):
        return None  # 'got coil: A1 15' is about a coil, not about an order of that name
    colon = state.normal[_skip(state, match.end(), end) : end][:1] == ":"
    layout = (
        kind.word == "engine" and not colon and re.fullmatch(_LAYOUT, text)
    )  # 'engine v8 fires ...' without its colon
    if "TAG" in kind.qualifiers and _TAG.fullmatch(text) and not layout:
        return "name", text.upper(), match.end()
    if "ORDER" in kind.qualifiers and (colon or (any(c.isdigit() for c in text) and kind.subjects == "text")):
        return "name", text, match.end()
    if "RUN" in kind.qualifiers and text[0].isdigit():
        return "name", text, match.end()
    if "STEP" in kind.qualifiers:
        if text.casefold() == "step" and (number := _NAME.match(state.normal, _skip(state, match.end(), end), end)):
            return "name", number.group(), number.end()
        if colon:
            return "name", text, match.end()
    return None


def _unknown(state: State, at: int, end: int) -> Unread:
    line = state.normal[at:end]
    span = Span(at, end)
    if codes := re.findall(_CODE, line):
        mend = f"write 'codes: {', '.join(code.upper() for code in codes)}', or indent the line for a note"
        return Unread(206, span, "The entry lacks its kind.", mend)
    if line[:1] == "#":
        said = state.said(Span(at + 1, end)).strip()
        return Unread(
            206,
            span,
            "'#' opens no remark: '#3' is cylinder 3.",
            f"write 'firing: {said}' for what a cylinder does, or indent the line for a note"
            if said[:1].isdigit()
            else f"write 'job: {said}' for the title of the job, or '  {said}', indented, for a note",
        )
    first = _WORDS.match(state.normal, at, end)
    everyday = kind_named(first.group(), before_colon=True) if first else None
    if everyday and first and ":" not in line[:40]:
        said = state.said(Span(first.end(), end))
        return Unread(
            205,
            span,
            f"Is this an entry '{everyday.word}' or a sentence?",
            f"write '{everyday.word}: {said}' for the entry, or indent the line for a note",
        )
    colon = line.find(":")
    head = line[:colon].strip() if 0 <= colon <= 40 else ""
    key = fold(head) if head else fold(first.group()) if first else ""
    few = len(line.split()) <= 3
    if key in AMBIGUOUS and (head or few or re.search(r"\d", line)):
        mends = " or ".join(f"'{name}'" for name in AMBIGUOUS[key])
        return Unread(
            203,
            Span(at, at + len(head or (first.group() if first else ""))),
            f"'{head or (first.group() if first else '')}' has more than one meaning.",
            f"write {mends}",
        )
    if head and (homes := _kinds_with_slot(key)):
        mends = " or ".join(f"'{kind}: {head.casefold()} ...'" for kind in homes)
        return Unread(201, Span(at, at + len(head)), f"'{head}' is told in an entry with others.", f"write {mends}")
    if head and len(head.split()) <= 4:
        fault = Unread(
            201,
            Span(at, at + len(head)),
            f"'{state.said(Span(at, at + colon))}' is no kind of entry.",
            "take a kind from the table, or indent the line for a note",
        )
        fault.near = kind_names()
        return fault
    return Unread(
        202,
        span,
        "The line opens with no kind of entry; it reads like a note.",
        "indent it by a blank for a note, or write a kind and a colon before it",
    )


def _kinds_with_slot(key: str) -> list[str]:
    """The kinds that take a reading of this name among others, as 'idle' and 'pull' take 'boost'."""
    rows = [row for row in KINDS.values() if row.subjects in ("slots", "pull")]
    return [row.word for row in rows if any(key in map(fold, (slot.name, *slot.synonyms)) for slot in row.slots)]
