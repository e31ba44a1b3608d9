"""Entries back to lines: the tidy form of one entry."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.text.entries import Entry, Quantity, Subject, Value, Written
from logbook.text.kinds import Kind
from logbook.text.subjects import shown
from logbook.text.vocabulary import KINDS, units_spelt

_SHORTEST_RUN = 3


def entry_line(entry: Entry) -> str:
    """The tidy form of an entry's line."""
    kind = KINDS[entry.kind]
    body = _body(entry, kind)
    return f"{_head(entry, kind)}: {body}" if body else _head(entry, kind)


def _head(entry: Entry, kind: Kind) -> str:
    words = [entry.time] if entry.time else []
    marks = ("private", entry.private), ("spec", entry.spec_mark), ("proved", entry.proved), ("correct", entry.correct)
    words.extend(mark for mark, there in marks if there)
    if entry.correct_day:
        words.append(entry.correct_day.isoformat())
    if entry.correct_time:
        words.append(entry.correct_time)
    words.append(kind.word)
    name = [entry.name] if entry.name else []
    part = [entry.part] if entry.part else []
    middle = [*name, *entry.qualifiers] if kind.subjects == "pull" else [*part, *entry.qualifiers, *name]
    engine = [entry.engine] if entry.engine else []
    return " ".join((*words, *middle, *engine))


def _body(entry: Entry, kind: Kind) -> str:
    readings = _readings(entry, kind)
    pieces = [readings] if readings else []
    if entry.source:
        pieces.append(f"from {entry.source}")
    if entry.at:
        pieces.append(f"at {_subjects(entry.at, ' and ')}")
    body = " ".join(pieces)
    if entry.spec is not None:
        unit = entry.spec.quantity is not None and entry.spec.quantity.unit_written
        body = f"{body}, spec {_value(entry.spec, unit)}".removeprefix(", ")
    now = entry.now_word or _list(entry.now, "cyl")
    if now:
        body = f"{body}, now {now}".removeprefix(", ")
    if entry.conditions:
        body = f"{body} @ {', '.join(c.text for c in entry.conditions)}".lstrip()
    return body


def _readings(entry: Entry, kind: Kind) -> str:
    if entry.text:
        return entry.text
    sort = kind.subjects
    if sort == "many":
        return ", ".join(_amount(w) for w in entry.readings)
    if sort == "group":
        return ", ".join(f"{_subjects(w.subjects, ' ')}{_bracket(w.remark)}" for w in entry.readings)
    if sort == "row" or (sort == "pull" and not any(w.subjects for w in entry.readings)):
        return _in_a_row(entry.readings)
    if sort in ("swap", "fit"):
        return ", ".join(_move(w, entry.kind) for w in entry.readings)
    return _list(entry.readings, sort)


def _in_a_row(readings: Sequence[Written]) -> str:
    last = _last_with_unit(readings)
    plain = all(w.value and not w.value.remark for w in readings[:-1])
    return (" " if plain else ", ").join(
        _value(w.value, w is last if _same_units(readings) else _written(w)) for w in readings if w.value
    )


_BARE_WORDS = frozenset(
    {"slots", "one", "stock", "pull", "bank"}
)  # where words of the row stand beside a number without bracket


def _list(readings: Sequence[Written], sort: str) -> str:
    """Readings with commas between; the unit once, at the end, where all have the same."""
    bare = sort in _BARE_WORDS
    if sort in ("slots", "free slots", "pull"):
        return ", ".join(_reading(w, _written(w), bare) for w in readings)
    once = _same_units(readings)
    last = _last_with_unit(readings)
    return ", ".join(_reading(w, w is last if once else _written(w), bare) for w in readings)


def _written(reading: Written) -> bool:
    return bool(reading.value and reading.value.quantity and reading.value.quantity.unit_written)


def _same_units(readings: Iterable[Written]) -> bool:
    quantities = [w.value.quantity for w in readings if w.value and w.value.quantity]
    return len({q.unit for q in quantities}) == 1


def _last_with_unit(readings: Sequence[Written]) -> Written | None:
    written = [w for w in readings if w.value and w.value.quantity]
    if not any(w.value and w.value.quantity and w.value.quantity.unit_written for w in written):
        return None
    return written[-1]


def _reading(written: Written, unit: bool, bare: bool = False) -> str:
    slots = [s for s in written.subjects if s.kind == "slot"]
    others = tuple(s for s in written.subjects if s.kind != "slot")
    number = written.value is not None and written.value.quantity is not None
    who = _subjects(others, " and " if number else " ")
    words = [w for w in (written.part, who, *(s.name for s in slots)) if w]
    if written.value is None:
        return f"{' '.join(words)}{_bracket(written.remark)}".lstrip()
    if "each" in written.value.remark_words and written.pieces:
        return _amount(written)
    at = f" @ {', '.join(c.text for c in written.conditions)}" if written.conditions else ""
    return " ".join((*words, _value(written.value, unit or bool(at and _written(written)), bare))) + at


def _value(value: Value, unit: bool, bare: bool = False) -> str:
    doubt = "?" if value.doubted else ""
    words = f" {value.remark}" if bare and value.remark == " ".join(value.remark_words) and value.remark else ""
    if value.quantity is None:
        said = "-" if value.word == "not done" else value.word
        return f"{said}{words}" if words and not doubt else f"{said}{doubt}{_bracket(value.remark)}"
    if value.remark == "set to" or value.remark.endswith(", set to"):
        told = value.remark.removesuffix("set to").removesuffix(", ")
        return f"to {_quantity(value.quantity, unit)}{doubt}{' ' if told else ''}{told}"
    return f"{_quantity(value.quantity, unit)}{doubt}{words or _bracket(value.remark)}"


def _quantity(quantity: Quantity, unit: bool) -> str:
    if not (unit and quantity.unit) or quantity.unit in ("count", "ratio"):
        return quantity.text
    return f"{quantity.text} {quantity.unit}"


def _bracket(remark: str) -> str:
    return f" ({remark})" if remark else ""


def _amount(written: Written) -> str:
    value = written.value
    if value is None or value.quantity is None:
        return ""
    number = f"{_quantity(value.quantity, value.quantity.unit_written)}{'?' if value.doubted else ''}"
    if "each" in value.remark_words:
        number = f"{written.pieces} x {number}"
    plain = value.remark and not any(c in value.remark for c in "(),;?") and not any(c.isdigit() for c in value.remark)
    plain = plain and not units_spelt(value.remark.split()[0])  # '100 h ...' would be hours
    return f"{number} {value.remark}" if plain else f"{number}{_bracket(value.remark)}"


def _move(written: Written, word: str) -> str:
    first, second = _subjects(written.subjects, " and "), _subjects(written.to, " and ")
    if not second:
        return f"{first}{_bracket(written.remark)}"
    places = all(s.kind == "place" for s in (*written.subjects, *written.to))
    link = {"move": " to ", "fit": " in "}.get(word, " " if places else " with ")
    return f"{first}{link}{second}{_bracket(written.remark)}"


def _subjects(subjects: Sequence[Subject], between: str) -> str:
    """Subjects, three or more in a row as a run."""
    pieces: list[str] = []
    at = 0
    while at < len(subjects):
        run = _run_length(subjects, at)
        if run >= _SHORTEST_RUN:
            first, last = subjects[at], subjects[at + run - 1]
            pieces.append(f"{shown(first)}-{last.number if first.kind == 'old' else shown(last)}")
            at += run
        else:
            pieces.append(shown(subjects[at]))
            at += 1
    return between.join(pieces)


def _run_length(subjects: Sequence[Subject], at: int) -> int:
    first = subjects[at]
    length = 1
    while at + length < len(subjects) and _follows(first, subjects[at + length], length):
        length += 1
    return length


def _follows(first: Subject, other: Subject, by: int) -> bool:
    if first.kind != other.kind or first.kind not in ("place", "old", "tag") or first.letter or other.letter:
        return False
    if first.kind == "tag":
        same = first.name[:1] == other.name[:1] and "/" not in first.name + other.name
        return same and int(other.name[1:]) == int(first.name[1:]) + by
    return other.number == first.number + by
