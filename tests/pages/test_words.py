"""Dates, chances, weights and counts as words."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.pages.words import (
    date_span,
    date_words,
    hundredths,
    listed,
    minutes_short,
    percent,
    shortened,
    weekday_date,
)


def test_dates_are_said_in_full() -> None:
    assert date_words(date(2026, 5, 4)) == "4 May 2026"
    assert weekday_date(date(2026, 5, 4)) == "Monday 4 May 2026"  # 4 May 2026 is a Monday in any calendar
    assert date_words(None) == "day unknown"


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2026, 5, 4), date(2026, 5, 9), "4 to 9 May 2026"),
        (date(2025, 12, 30), date(2026, 1, 2), "30 December 2025 to 2 January 2026"),
        (date(2026, 5, 4), date(2026, 5, 4), "4 May 2026"),
    ],
)
def test_a_span_names_the_year_once(first: date, last: date, said: str) -> None:
    assert date_span(first, last) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.684, "68%"), (0.0, "under 1%"), (0.004, "under 1%"), (0.006, "1%"), (0.994, "99%"), (0.999, "over 99%")],
)
def test_chances_are_never_said_to_be_certain(chance: float, said: str) -> None:
    assert percent(chance) == said


@given(st.floats(0, 1))
def test_hundredths_stay_within_half_of_the_chance(chance: float) -> None:
    assert 1 <= hundredths(chance) <= 99
    if 0.015 <= chance <= 0.985:
        assert abs(hundredths(chance) - 100 * chance) <= 0.5 + 1e-9


@given(st.floats(0.1, 117))
def test_minutes_are_rounded_as_people_say_them(minutes: float) -> None:
    said = int(minutes_short(minutes).split()[0])
    assert said >= 1
    assert math.isclose(said, minutes, rel_tol=0.5, abs_tol=2.6) or minutes < 1


def test_long_jobs_are_said_in_hours_too() -> None:
    assert minutes_short(12) == "10 minutes"
    assert minutes_short(200) == "3 h 15 min"


def test_lists_end_with_and() -> None:
    assert [listed("1"), listed("12"), listed("123"), listed([])] == ["1", "1 and 2", "1, 2 and 3", ""]


@given(st.text(max_size=80), st.integers(5, 40))
def test_shortened_text_fits(text: str, limit: int) -> None:
    assert len(shortened(text, limit)) <= limit
    assert shortened(text, 200) == text
