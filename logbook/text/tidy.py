"""The tidy form of a log: the same entries, written evenly. Notes stay to the letter, lines with errors to the byte."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from logbook.problems import Weight
from logbook.spans import Span
from logbook.text.entries import Day, Entry, Log, Note, Subject, Value, Written
from logbook.text.forms import entry_line
from logbook.text.reader import read
from logbook.text.source import decode

States = Mapping[int, Sequence[tuple[int, str]]]  # cylinders and how they were then, by the index of an entry
NOTHING_STATED: States = MappingProxyType({})
_LANGUAGE = "language: 1"
_PLACES = frozenset({"span", "index", "line", "unit_written", "heard"})  # what may differ without a change of meaning


class LeftAlone(Exception):
    """A file that the tidy form does not touch; the text says why."""


def tidy(log: Log, shop: Log | None = None, states: States = NOTHING_STATED) -> str:
    """The whole text in its tidy form. Read again it holds the same entries; what would not is left as it was.

    ``shop`` is the shop's file that the log was read with; ``states`` are written out for 'now same' and 'now moved'.
    """
    left: frozenset[int] = frozenset()
    for _ in range(3):
        said = _with_states(_with_originals(log, left), states, left)
        new = _written(said, left)
        changed = _changed_lines(said, read(log.path, new.encode("utf-8"), shop))
        if not changed:
            return new
        left |= changed
    return log.text


def _with_originals(log: Log, left: frozenset[int]) -> Log:
    """Heard entries whose line had words that the canonical form has no place for keep that line as a note."""
    if not any(e.heard for e in log.entries):
        return log
    from logbook.text.hearing.laws import leaves_words

    lines = log.text.split("\n")
    last = {e.line: e.index for e in log.entries if e.heard}
    entries = list(log.entries)
    for line, index in last.items():
        said = [e.heard for e in log.entries if e.line == line]
        if line not in left and leaves_words(lines[line - 1], said):
            note = Note(entries[index].span, line, f"as jotted: {lines[line - 1].strip()}")
            entries[index] = entries[index]._replace(notes=(note, *entries[index].notes))
    return log._replace(entries=tuple(entries))


def _with_states(log: Log, states: States, left: frozenset[int]) -> Log:
    if not states:
        return log
    entries = [
        e._replace(now=_stated(states[e.index], e.span), now_word="") if e.index in states and e.line not in left else e
        for e in log.entries
    ]
    return log._replace(entries=tuple(entries))


def _stated(states: Sequence[tuple[int, str]], span: Span) -> tuple[Written, ...]:
    """The readings of a 'now' clause, one for each state."""
    places: dict[str, list[Subject]] = {}
    for number, word in states:
        places.setdefault(word, []).append(Subject("place", span, number))
    return tuple(Written(span, tuple(subjects), Value(span, word=word)) for word, subjects in places.items())


def _written(log: Log, left: frozenset[int]) -> str:
    """The text with every line in its tidy form but those in ``left``."""
    pieces = log.text.split("\n")
    if pieces and pieces[-1] == "":
        pieces.pop()
    forms = _forms(log, left, pieces)
    out: list[str] = []
    blanks = 0
    days = {day.line for day in log.days}
    in_notes = False
    for number, piece in enumerate(pieces, start=1):
        line = forms.get(number, piece)
        if number not in forms and not _plain(piece).strip():
            blanks += 1
            continue
        indented = _plain(piece)[:1] == " "
        if out:
            between = 1 if number in days else blanks if indented and in_notes else min(blanks, 1)
            out.extend([""] * between)
        out.append(line)
        blanks, in_notes = 0, indented
    if log.entries and not any(entry.kind == "language" for entry in log.entries) and _may_open(pieces):
        out[:0] = [_LANGUAGE, ""] if _first_written(pieces) in days else [_LANGUAGE]
    # a lone CR at the very end would become a line end of the other kind
    return "\n".join(out) + ("" if not out or out[-1].endswith("\r") else "\n")


def _plain(piece: str) -> str:
    return decode(piece.encode("utf-8", "replace")).normal if not piece.isascii() else piece.replace("\t", " ")


def _may_open(pieces: list[str]) -> bool:
    """Whether a line may be put on top without taking up a note that belongs to nothing."""
    first = _first_written(pieces)
    return bool(first) and not _plain(pieces[first - 1])[:1].isspace()


def _first_written(pieces: list[str]) -> int:
    """The number of the first line that is not blank; 0 where there is none."""
    return next((number for number, piece in enumerate(pieces, start=1) if _plain(piece).strip()), 0)


def _forms(log: Log, left: frozenset[int], pieces: list[str]) -> dict[int, str]:
    starts = [0]
    for piece in pieces[:-1]:
        starts.append(starts[-1] + len(piece) + 1)
    wrong = {bisect_right(starts, p.span.start) for p in log.problems if p.weight is Weight.ERROR} | log.error_lines
    forms: dict[int, str] = {}
    for entry in log.entries:
        if entry.line not in wrong and entry.line not in left:
            before = f"{forms[entry.line]}\n" if entry.line in forms else ""
            jotted = next((n.text for n in entry.notes if n.line == entry.line), "")
            forms[entry.line] = before + entry_line(entry) + (f"\n  {jotted}" if jotted else "")
    for day in log.days:
        if day.day is not None and day.line not in wrong and day.line not in left:
            forms[day.line] = f"{day.day.isoformat()} {day.title}".rstrip()
    return forms


def _changed_lines(before: Log, after: Log) -> frozenset[int]:
    """Lines of the old text whose entry or day means something else in the new one; all where they do not match up."""
    old = list(before.entries)
    new = [e for e in after.entries if e.kind != "language" or any(o.kind == "language" for o in old)]
    everything = frozenset(e.line for e in old) | frozenset(d.line for d in before.days)
    if len(old) != len(new) or len(before.days) != len(after.days):
        return _first_difference(old, new) or everything
    entries = {o.line for o, n in zip(old, new, strict=True) if meaning(o) != meaning(n)}
    days = {o.line for o, n in zip(before.days, after.days, strict=True) if meaning(o) != meaning(n)}
    return frozenset(entries | days)


def _first_difference(old: list[Entry], new: list[Entry]) -> frozenset[int]:
    for at, entry in enumerate(old):
        if at >= len(new) or meaning(entry) != meaning(new[at]):
            return frozenset({entry.line})
    return frozenset()


def meaning(value: Entry | Day | object) -> object:
    """A value without its places in the text: equal for lines that say the same."""
    if isinstance(value, tuple):
        names = getattr(value, "_fields", ("",) * len(value))
        return tuple(meaning(member) for name, member in zip(names, value, strict=True) if name not in _PLACES)
    return value


def tidied(raw: bytes, name: str, shop: Log | None = None, form: Callable[[Log, Log | None], str] = tidy) -> bytes:
    """The bytes of a file in its tidy form, with its own line ends and byte-order mark.

    Raises ``LeftAlone`` for what is not UTF-8 with line ends of the usual kind.
    """
    source = decode(raw)
    if source.bad_bytes or source.wide or source.carriage_returns:
        where = f" (line {source.bad_bytes[0].line}, byte {source.bad_bytes[0].byte})" if source.bad_bytes else ""
        raise LeftAlone(f"it is not UTF-8 with line ends of the usual kind{where}")
    return _encoded(form(read(name, raw, shop), shop), raw)


def _encoded(text: str, raw: bytes) -> bytes:
    body = text.encode("utf-8")
    if raw.count(b"\r\n") * 2 > raw.count(b"\n"):
        body = body.replace(b"\n", b"\r\n")
    return b"\xef\xbb\xbf" + body if raw.startswith(b"\xef\xbb\xbf") else body
