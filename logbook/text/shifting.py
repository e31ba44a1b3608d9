"""The same line again, further down: what was read of it, moved to its new place in the text."""

from __future__ import annotations

from datetime import date
from typing import Literal

from logbook.problems import Problem
from logbook.spans import Span
from logbook.text.entries import Condition, Entry, Subject, Value, Written

PartOf = Literal["card", "day", "unknown day"]


def moved_entry(entry: Entry, by: int, index: int, line: int, day: date | None, part_of: PartOf) -> Entry:
    """The entry with all its places moved by so many characters, as another line of another day. Notes are left out."""
    e = entry
    if not by and (e.index, e.line, e.day, e.part_of) == (index, line, day, part_of):
        return e  # a line above the one that was edited
    return Entry(
        index,
        line,
        _span(e.span, by),
        e.kind,
        day,
        part_of,
        e.time,
        e.private,
        e.spec_mark,
        e.proved,
        e.correct,
        e.correct_day,
        e.correct_time,
        e.qualifiers,
        e.part,
        e.name,
        e.engine,
        e.text,
        tuple([_written(w, by) for w in e.readings]) if e.readings else (),
        tuple([_written(w, by) for w in e.now]) if e.now else (),
        e.now_word,
        None if e.spec is None else _value(e.spec, by),
        e.source,
        tuple([_subject(s, by) for s in e.at]) if e.at else (),
        _conditions(e.conditions, by) if e.conditions else (),
        (),
        e.words,
        e.file,
    )


def moved_problem(fault: Problem, by: int) -> Problem:
    """The problem, moved by so many characters; its related places lie on the same line."""
    related = tuple(_span(s, by) for s in fault.related)
    return Problem(fault.number, fault.weight, _span(fault.span, by), fault.message, fault.mend, related)


def _span(span: Span, by: int) -> Span:
    return Span(span.start + by, span.end + by)


def _subject(s: Subject, by: int) -> Subject:
    return Subject(s.kind, Span(s.span.start + by, s.span.end + by), s.number, s.letter, s.name)


def _value(v: Value, by: int) -> Value:
    return Value(Span(v.span.start + by, v.span.end + by), v.quantity, v.word, v.doubted, v.remark, v.remark_words)


def _conditions(found: tuple[Condition, ...], by: int) -> tuple[Condition, ...]:
    return tuple([Condition(_span(c.span, by), c.text, c.quantity, c.words) for c in found])


def _written(w: Written, by: int) -> Written:
    return Written(
        Span(w.span.start + by, w.span.end + by),
        tuple([_subject(s, by) for s in w.subjects]),
        None if w.value is None else _value(w.value, by),
        tuple([_subject(s, by) for s in w.to]) if w.to else (),
        w.remark,
        w.remark_words,
        w.part,
        w.text,
        _conditions(w.conditions, by) if w.conditions else (),
        w.pieces,
    )
