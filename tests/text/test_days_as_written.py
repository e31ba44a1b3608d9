"""Days in the order and the words of a shop: read with a hint, and never guessed where they can be two."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.problems import Weight
from logbook.text.entries import Log
from logbook.text.reader import read
from logbook.text.tidy import tidy


def days(*lines: str, units: str = "us") -> Log:
    return read("x.txt", "\n".join([f"units: {units}", "engine: inline 4", *lines, ""]).encode(), hearing=False)


def errors(log: Log) -> list[int]:
    return [p.number for p in log.problems if p.weight is Weight.ERROR]


@pytest.mark.parametrize(
    ("written", "day"),
    [
        ("5/13/2026", "2026-05-13"),
        ("6/5/2026", "2026-06-05"),
        ("6/5/26", "2026-06-05"),
        ("13.5.2026", "2026-05-13"),
        ("20260513", "2026-05-13"),
        ("May 13, 2026", "2026-05-13"),
        ("13 May 2026", "2026-05-13"),
        ("Wed May 13 2026", "2026-05-13"),
        ("Wednesday, 5/13/2026", "2026-05-13"),
        ("# 2026-05-13", "2026-05-13"),
    ],
)
def test_a_day_of_the_shop_is_read_with_a_hint(written: str, day: str) -> None:
    log = days(f"{written} looked at wiring", "battery: 12.4")
    assert [d.day for d in log.days] == [date.fromisoformat(day)] and not errors(log)
    assert log.days[0].title == "looked at wiring"
    assert [p.mend for p in log.problems] == [f"write {day}"]
    assert f"{day} looked at wiring" in tidy(log)


@pytest.mark.parametrize("written", ["May 13", "13 May", "5/13", "Wed May 13"])
def test_a_day_without_a_year_takes_that_of_the_day_above(written: str) -> None:
    log = days("2025-05-12", written, "battery: 12.4")
    assert [d.day for d in log.days] == [date(2025, 5, 12), date(2025, 5, 13)] and not errors(log)
    assert errors(days(written, "battery: 12.4")) == [119], "no day above, so no year"


def test_one_day_that_can_be_read_in_one_way_settles_the_others() -> None:
    log = days("6/5/2026", "battery: 12.4", "13/5/2026", "battery: 12.5", units="metric")
    assert [d.day for d in log.days] == [date(2026, 5, 6), date(2026, 5, 13)] and not errors(log)
    turned = days("5/6/2026", "battery: 12.4", "5/13/2026", "battery: 12.5", units="metric")
    assert [d.day for d in turned.days] == [date(2026, 5, 6), date(2026, 5, 13)]


def test_what_can_be_two_days_is_asked() -> None:
    log = days("6/5/2026", units="metric")
    assert errors(log) == [110] and log.days[0].day is None
    assert log.problems[0].mend == "write 2026-05-06 for 6 May, or 2026-06-05 for 5 June"
    assert errors(days("6.5.2026", units="us")) == [110], "points say day first, the units month first"
    assert errors(days("6/5/2026", "5/13/2026", "13/5/2026", units="metric")) == [110]


def test_a_day_that_is_not_in_the_calendar_is_refused() -> None:
    assert errors(days("6/31/2026")) == [111]


@pytest.mark.parametrize("line", ["sat 6 years", "money: usd", "monitor: 3", "1/2 turn out", "friday"])
def test_what_only_looks_like_a_day_is_none(line: str) -> None:
    assert not [d for d in days("2026-05-12", line).days[1:] if d.day]
