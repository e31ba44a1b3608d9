"""Days, notes, and how lines are counted."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text.lines import recount
from logbook.text.reader import read


def test_card_days_and_unknown_days() -> None:
    log = read("log.txt", b"job: a\n2026-05-04 first look\nroad: b\n4/5/2026\nroad: c\n2026-05-06\nroad: d\n")
    assert [(e.part_of, e.day) for e in log.entries] == [
        ("card", None),
        ("day", date(2026, 5, 4)),
        ("unknown day", None),
        ("day", date(2026, 5, 6)),
    ]
    assert [d.title for d in log.days if d.day] == ["first look", ""]
    assert (log.lines.day, log.lines.entry, log.lines.problem) == (2, 4, 1)


@pytest.mark.parametrize("title", ["road test", "compression, second go", "fit and finish", "14 days of rain"])
def test_titles_that_are_no_entries(title: str) -> None:
    log = read("log.txt", f"job: a\n2026-05-04 {title}\n".encode())
    assert [p.number for p in log.problems] == []
    assert log.days[0].title == title


@pytest.mark.parametrize(
    "title", ["compression: 1 12", "battery 12.4", "proved cut-out: all 70", "14:30 swap coil: 1 2"]
)
def test_titles_that_read_as_entries(title: str) -> None:
    log = read("log.txt", f"job: a\n2026-05-04 {title}\n".encode())
    assert [p.number for p in log.problems] == [114]
    assert log.days[0].day == date(2026, 5, 4)


def test_notes_belong_to_the_line_above() -> None:
    log = read("log.txt", b"job: a\n  one\n    two\n\n  three\n2026-05-04\n\tof the day\nroad: b\n")
    assert [n.text for n in log.entries[0].notes] == ["one\n  two", "three"]
    assert [n.text for n in log.days[0].notes] == ["of the day"]
    assert log.entries[1].notes == ()
    assert log.lines.note == 4


def test_a_remark_is_private_to_the_end_of_its_line() -> None:
    log = read("log.txt", b"job: a\n  shown private: kept\n  shown too\n  PRIVATE: all of it\n")
    assert [(n.text, n.private) for n in log.entries[0].notes] == [
        ("shown", False),
        ("kept", True),
        ("shown too", False),
        ("all of it", True),
    ]


def test_a_note_under_a_lost_line_is_not_given_to_another() -> None:
    log = read("log.txt", b"job: a\ngizmo: 3\n  of the gizmo\n")
    assert log.entries[0].notes == ()
    assert log.lines.note == 1


def test_a_line_with_an_error_is_not_used_at_all() -> None:
    """What is left of it may mean something else: 'rest' would take in the cylinder whose own reading was lost."""
    log = read("log.txt", b"units: us\nengine: inline 4\ncompression: 1 130, 9 128, 3 131\n")
    assert [e.kind for e in log.entries] == ["units", "engine"]
    assert log.error_lines == {3}
    assert log.lines.problem == 1


def test_a_row_is_read_whole_or_not_at_all() -> None:
    log = read("log.txt", b"units: us\nengine: inline 4\ncompression: 130 128 12,4 131\n", hearing=False)
    assert len(log.entries) == 2
    assert log.error_lines == {3}


def test_later_errors_turn_their_lines_into_problem_lines() -> None:
    log = read("log.txt", b"job: a\n2026-05-04\nroad: b\n  note\n")
    at = log.entries[1].span
    more = [Problem(520, Weight.ERROR, at, "m", "m"), Problem(521, Weight.DOUBT, log.entries[0].span, "m", "m")]
    lines = recount(log, more)
    assert (lines.entry, lines.problem, lines.total) == (1, 1, log.lines.total)
    assert recount(log, [*more, Problem(522, Weight.ERROR, Span(at.start, at.end), "n", "n")]) == lines


def test_the_same_line_again_is_the_same_entry_elsewhere() -> None:
    line = b"swap coil 2 4: now 2 dead, 4 fires @ warm\n"
    log = read("log.txt", b"engine: inline 4\n2026-05-04\n" + line + b"2026-05-05\n" + line)
    first, second = log.entries[1:]
    assert second.day == date(2026, 5, 5) and second.index == first.index + 1
    move = second.span.start - first.span.start
    assert second.readings[0].span == Span(first.readings[0].span.start + move, first.readings[0].span.end + move)
    assert log.text[second.now[0].span.start : second.now[0].span.end] == "2 dead"
