"""What a log says that is private, as values to be looked for in everything that is written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

from logbook.job.ordinary import is_ordinary
from logbook.job.privacy import is_private
from logbook.job.trading import money_in
from logbook.text.entries import Day, Entry, Note
from logbook.text.kinds.row import words
from logbook.text.vocabulary import KINDS, kind_named, part_named

Sort = Literal["name", "code", "phone", "amount", "words"]

NAMING = frozenset({"owner", "contact", "registration", "identification"})  # the card's own: their words are looked for
_CODES = frozenset({"registration", "identification"})
_PRIVATE_LINE = re.compile(r"^\s*private\s*:(.*)$", re.IGNORECASE | re.MULTILINE)
_MAIL = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
_PHONE = re.compile(r"(?<!\w)\+?\(?\d(?:[ ./()-]{0,3}\d){5,}(?!\w)")
_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")
_PRICE = re.compile(r"\b(?:bought|paid|price|cost|for)\b[^,;\d]*(\d+(?:[.,]\d{1,2})?)", re.IGNORECASE)
# Words of a name that name nobody, and the pieces of addresses that everybody has.
_JOINING = frozenset(
    words(
        "and com der des dr example family for from info les los mail miss mr mrs ms net of org the und van von "
        "www zum zur"
    )
)
_FEWEST_DIGITS = 6  # of a telephone number; shorter ones stand everywhere
_SHORTEST_CODE = 4  # letters and digits


class PrivateValue(NamedTuple):
    """One thing that no public page may show.

    ``kind`` is the kind of the entry that says it ('owner', 'order', 'private' for a private note), ``text`` the value
    as written, ``path`` and ``line`` where. ``sort`` says in which spellings it is looked for: a *name* in any case,
    ending or transliteration, and word by word; a *code* (plate, frame number) and a *phone* in any spacing, and by
    their last digits; an *amount* beside its currency; *words* as they stand together.
    """

    kind: str
    sort: Sort
    text: str
    path: str = ""
    line: int = 0


def values_of(entries: Iterable[Entry], days: Iterable[Day], path: str = "") -> tuple[PrivateValue, ...]:
    """Every private value that a log or a shop file says, each once, in the order of its lines."""
    found: dict[tuple[str, str, str], PrivateValue] = {}
    for value in _all(entries, days, path):
        if value.text:
            found.setdefault((value.kind, value.sort, value.text), value)
    return tuple(found.values())


def pooled(values: Iterable[PrivateValue]) -> tuple[PrivateValue, ...]:
    """The values of several logs, each once, in an order of their own."""
    found: dict[tuple[str, str, str], PrivateValue] = {}
    for value in sorted(values):
        found.setdefault((value.kind, value.sort, value.text), value)
    return tuple(found.values())


def _all(entries: Iterable[Entry], days: Iterable[Day], path: str) -> Iterator[PrivateValue]:
    for entry in entries:
        hidden = is_private(entry)
        for kind, sort, text in (*(_of_entry(entry) if hidden else ()), *_of_order(entry), *_of_donor(entry)):
            yield PrivateValue(kind, sort, text, path, entry.line)
        for note in entry.notes:
            yield from _of_note(note, entry.kind if hidden else "private", hidden, path)
    for day in days:
        for note in day.notes:
            yield from _of_note(note, "private", False, path)


_Found = tuple[str, Sort, str]


def _of_entry(entry: Entry) -> Iterator[_Found]:
    kind = entry.kind
    if kind in _CODES:
        yield from ((kind, sort, text) for sort, text in _codes(entry.text))
    elif kind == "contact":
        yield from ((kind, sort, text) for sort, text in (*_contacts(entry.text), *_names(entry.text)))
    elif kind == "owner":
        yield from ((kind, sort, text) for sort, text in (*_contacts(entry.text), *_names(entry.text)))
        yield from ((kind, "name", piece) for piece in [entry.text.strip()] if len(_WORD.findall(piece)) > 1)
    elif _is_for_figures(entry):
        yield from ((kind, "amount", text) for text in _amounts(entry))
    else:
        if not _names_order(entry):
            yield from ((kind, "words", piece) for piece in _said(entry))
        for piece in _said(entry):
            yield from ((kind, sort, text) for sort, text in (*_contacts(piece), *_unknown_names(piece)))
        yield from ((kind, "amount", text) for text in _amounts(entry))


def _of_order(entry: Entry) -> Iterator[_Found]:
    if entry.name and _names_order(entry) and not part_named(entry.name) and kind_named(entry.name) is None:
        yield from (("order", sort, text) for sort, text in _names(entry.name, lower=True))


def _of_donor(entry: Entry) -> Iterator[_Found]:
    if entry.kind == "donor":
        amounts = [match[1] for match in _PRICE.finditer(entry.text)]
        amounts += [re.sub(r"[^\d.]", "", money) for money in money_in(entry.text)]
        yield from (("donor", "amount", amount) for amount in amounts)


def _of_note(note: Note, kind: str, hidden: bool, path: str) -> Iterator[PrivateValue]:
    said = note.text.split("\n") if note.private or hidden else [m[1] for m in _PRIVATE_LINE.finditer(note.text)]
    for line in said:
        text = (found[1] if (found := _PRIVATE_LINE.match(line)) else line).strip()
        if text and not _is_everyday(text):
            yield PrivateValue(kind, "words", text, path, note.line)
        for sort, value in (*_contacts(text), *_unknown_names(text)):
            yield PrivateValue(kind, sort, value, path, note.line)


def _codes(text: str) -> Iterator[tuple[Sort, str]]:
    for piece in re.split(r"[,;()]", text):
        plain = re.sub(r"[\W_]", "", piece)
        if any(c.isdigit() for c in plain):
            yield "code", piece.strip()
        else:
            yield from _names(piece)


def _contacts(text: str) -> Iterator[tuple[Sort, str]]:
    for mail in _MAIL.findall(text):
        yield "words", mail
    for match in _PHONE.finditer(_MAIL.sub(" ", text)):
        if len(re.sub(r"\D", "", match.group())) >= _FEWEST_DIGITS:
            yield "phone", match.group().strip()


def _names(text: str, lower: bool = False) -> Iterator[tuple[Sort, str]]:
    """The words that name somebody; ordinary ones only where they are written with a capital, or where ``lower``."""
    for word in _WORD.findall(text):
        digits = any(c.isdigit() for c in word)
        for piece in (word, *re.split(r"['’-]", word)) if not digits else (word,):
            if piece.casefold() in _JOINING or len(piece) < 2:
                continue
            if digits:
                if len(piece) >= _SHORTEST_CODE and not piece.isdigit():
                    yield "code", piece
            elif lower or piece != piece.lower() or not is_ordinary(piece):
                yield "name", piece


def _unknown_names(text: str) -> Iterator[tuple[Sort, str]]:
    """Words with a capital that are no ordinary ones: in a private remark, mostly somebody's name."""
    for word in _WORD.findall(text):
        if len(word) > 3 and word.isalpha() and word != word.lower() and not is_ordinary(word):
            yield "name", word
        elif len(word) > 5 and any(c.isdigit() for c in word) and any(c.isalpha() for c in word):
            yield "code", word


def _amounts(entry: Entry) -> Iterator[str]:
    """The money of an entry, as written."""
    row = KINDS.get(entry.kind)
    for written in entry.readings if row is not None and row.dimension == "money" else ():
        quantity = written.value.quantity if written.value else None
        if quantity is not None:
            yield quantity.text


def _is_for_figures(entry: Entry) -> bool:
    """Whether an entry is private by the table for its amounts alone: what they were paid for is no secret."""
    row = KINDS.get(entry.kind)
    return row is not None and row.dimension in ("money", "hours") and not entry.private


def _names_order(entry: Entry) -> bool:
    row = KINDS.get(entry.kind)
    return row is not None and "ORDER" in row.qualifiers


def _said(entry: Entry) -> list[str]:
    """What a private entry says, piece by piece; bare figures tell nothing by themselves and stay out."""
    pieces = [entry.text, entry.file]
    for written in (*entry.readings, *entry.now):
        pieces += [written.text, written.remark, written.value.remark if written.value else ""]
    said = dict.fromkeys(piece.strip() for piece in pieces)
    return [p for p in said if p and not re.fullmatch(r"[\d.,\s-]*", p) and not _is_everyday(p)]


def _is_everyday(text: str) -> bool:
    """Whether a value is a word of the language itself: masking those would garble every page."""
    return bool(re.fullmatch(r"[^\W\d_]+", text)) and is_ordinary(text)
