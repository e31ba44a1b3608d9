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
    in_hundred,
    in_hundred_short,
    listed,
    minutes_words,
    shortened,
    times_words,
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
    ("chance", "said", "short"),
    [
        (0.684, "68 in 100", "68"),
        (0.0, "under 1 in 100", "< 1"),
        (0.004, "under 1 in 100", "< 1"),
        (0.006, "1 in 100", "1"),
        (0.994, "99 in 100", "99"),
        (0.999, "over 99 in 100", "> 99"),
    ],
)
def test_chances_are_never_said_to_be_certain(chance: float, said: str, short: str) -> None:
    assert (in_hundred(chance), in_hundred_short(chance)) == (said, short)


@given(st.floats(0, 1))
def test_hundredths_stay_within_half_of_the_chance(chance: float) -> None:
    assert 1 <= hundredths(chance) <= 99
    if 0.015 <= chance <= 0.985:
        assert abs(hundredths(chance) - 100 * chance) <= 0.5 + 1e-9


@given(st.floats(-60, 60))
def test_a_weight_has_the_sign_of_its_decibans(decibans: float) -> None:
    said = times_words(decibans)
    assert (said == "") == (10 ** (abs(decibans) / 10) < 1.05)
    if said:
        assert said[0] == ("×" if decibans > 0 else "÷")


def test_a_ban_is_ten_times() -> None:
    """One ban is a factor of ten (Good, 1950)."""
    assert times_words(10) == "×\u00a010"
    assert times_words(-3.0103) == "÷\u00a02.0"
    assert times_words(50) == "×\u00a0over 1000"


@given(st.floats(0.1, 1000))
def test_minutes_are_rounded_as_people_say_them(minutes: float) -> None:
    said = int(minutes_words(minutes).split()[1])
    assert said >= 1
    assert math.isclose(said, minutes, rel_tol=0.5, abs_tol=2.6) or minutes < 1


def test_long_jobs_are_said_in_hours_too() -> None:
    assert minutes_words(12) == "about 10"
    assert minutes_words(200) == "about 195 (3 h 15 min)"


def test_lists_end_with_and() -> None:
    assert [listed("1"), listed("12"), listed("123"), listed([])] == ["1", "1 and 2", "1, 2 and 3", ""]


@given(st.text(max_size=80), st.integers(5, 40))
def test_shortened_text_fits(text: str, limit: int) -> None:
    assert len(shortened(text, limit)) <= limit
    assert shortened(text, 200) == text
