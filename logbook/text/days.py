"""Day lines: ISO dates, and the other shapes that people write, each with its mend."""

from __future__ import annotations

import re
from datetime import date
from typing import Literal, NamedTuple

from logbook.spans import Span
from logbook.text.unread import Unread
from logbook.text.vocabulary import units_spelt

_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_NAMES = {name[:3]: number for number, name in enumerate(_MONTHS, start=1)}
_MONTH = r"(?P<month>" + "|".join(f"{m[:3]}(?:{m[3:]})?" for m in _MONTHS) + r"|sept)\.?"
_ISO = re.compile(r"(?P<y>\d{4})(?P<sep>[-/.])(?P<m>\d{1,2})(?P=sep)(?P<d>\d{1,2})(?=[\s:,]|$)")
# The shapes that are mended are compiled when first met.
_OTHER = r"(?P<a>\d{1,2})[./-](?P<b>\d{1,2})(?:[./-](?P<y>\d{4}|\d{2}))(?=[\s:,]|$)"
_SHORT = r"(?P<a>\d{1,2})[./](?P<b>\d{1,2})\.?(?=[\s:]|$)(?!\s*\d)"
_YEAR = r"(?:st|nd|rd|th)?(?:,?\s+(?P<y{0}>\d{{4}}))?(?=[\s:,]|$)"
_WORDED = (
    rf"(?P<d>\d{{1,2}})(?:st|nd|rd|th)?\.?\s+(?:of\s+)?{_MONTH}{_YEAR.format('')}"
    rf"|{_MONTH.replace('month', 'month2')}\s+(?P<d2>\d{{1,2}}){_YEAR.format('2')}"
)
_COMPACT = r"(?P<y>(?:19|20)\d{2})(?P<m>\d{2})(?P<d>\d{2})(?=[\s:]|$)"
_WEEKDAY = r"(?:mon|tues?|wednes|thurs?|fri|satur|sun)day|(?:today|yesterday|day \d+)(?=[\s:,]|$)"
_MONTH_WORDS = frozenset({*_NAMES, *_MONTHS, "sept"})
_OPENINGS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun", "today", "yesterday", "day")
_WEEK = r"(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?[.,]?\s+)?"
_LINES = re.IGNORECASE | re.MULTILINE
_FIRST = re.compile(r"[A-Za-z]*")
_MARKED = r"[#*=>-]+\s*(?=\d{4}-\d{1,2}-\d{1,2})"


First = Literal["month", "day", ""]


class DayFound(NamedTuple):
    """The day, where its title begins, and what to say of the way it was written, with the number of that hint."""

    day: date
    title_at: int
    loose: str = ""  # '' where it is written as the tidy form has it
    hint: int = 117


class Order(NamedTuple):
    """What the days of a log are read by: whether 5/4 is 'month first' or 'day first', '' where nobody knows; and the
    last day above, whose year holds where none is written.
    """

    first: First = ""
    last: date | None = None


def order_of_days(normal: str, units: str) -> First:
    """Which comes first in the days of a log: one that can be read in one way only settles the others."""
    found = [(int(m["a"]), int(m["b"])) for m in re.finditer(rf"^{_WEEK}{_OTHER}", normal, _LINES)]
    month_first = any(a <= 12 < b <= 31 for a, b in found)
    day_first = any(b <= 12 < a <= 31 for a, b in found)
    if month_first != day_first:
        return "month" if month_first else "day"
    return "month" if units == "us" and not month_first else ""


def read_day(normal: str, start: int, end: int, order: Order) -> DayFound | None:
    """The day of a line, None where the line is no day line. Raises ``Unread`` for a day that cannot be used."""
    first = normal[start]
    if not (first.isdigit() or first in "#*=>-" or first.isalpha()):
        return None
    if first.isdigit() and first.isascii():
        return _numeric(normal, start, start, end, order)
    if first.isalpha():
        return _in_words(normal, start, end, order)
    if mark := re.compile(_MARKED).match(normal, start, end):
        found = _numeric(normal, start, mark.end(), end, order)
        return found and found._replace(loose=f"A sign stands before the day {found.day.isoformat()}.", hint=113)
    return None


def _in_words(normal: str, start: int, end: int, order: Order) -> DayFound | None:
    opens = _FIRST.match(normal, start, end)
    word = opens.group().casefold() if opens else ""
    if word not in _MONTH_WORDS and not word.startswith(_OPENINGS):
        return None
    week = re.compile(_WEEK, re.IGNORECASE).match(normal, start, end)
    at = week.end() if week else start
    if at > start and at < end:
        if normal[at].isdigit() and (found := _numeric(normal, start, at, end, order)):
            return found
        if found := _worded(normal, at, end, order):
            return found
    return _worded(normal, start, end, order)


def _date(year: str, month: int, day: int, span: Span, written: str) -> date:
    try:
        return date(int(year) if len(year) == 4 else 2000 + int(year), month, day)
    except ValueError:
        mend = "write the day as year-month-day: 2026-04-30"
        raise Unread(111, span, f"The calendar has no {written}.", mend) from None


def _numeric(normal: str, start: int, at: int, end: int, order: Order) -> DayFound | None:
    """A day in figures from ``at`` on; the line begins at ``start``."""
    if match := _ISO.match(normal, at, end):
        day = _date(match["y"], int(match["m"]), int(match["d"]), Span(start, match.end()), match.group())
        plain = match.group() == day.isoformat() and at == start
        return _found(day, normal, match, end, "" if plain else _OTHER_SIGNS)
    if match := re.compile(_OTHER).match(normal, at, end):
        day = _ordered(match, match["y"], start, order)
        said = f"{day.day} {_MONTHS[day.month - 1].capitalize()} {day.year}"
        return _found(day, normal, match, end, f"The date stands there with other signs; it is read as {said}.")
    if match := re.compile(_COMPACT).match(normal, at, end):
        day = _date(match["y"], int(match["m"]), int(match["d"]), Span(start, match.end()), match.group())
        return _found(day, normal, match, end, _OTHER_SIGNS)
    match = re.compile(_SHORT).match(normal, at, end)
    if match and not units_spelt(normal[match.end() : end].strip().partition(" ")[0]):  # '14.2 volts' is no day
        if order.last is None or _title(normal, match.end(), end) < end:
            mend = "write the day as year-month-day: 2026-05-04"
            raise Unread(119, Span(start, match.end()), f"{match.group()} lacks its year.", mend)
        day = _ordered(match, _year(order.last), start, order)
        return _found(day, normal, match, end, f"{match.group()} lacks its year; that of the day above is taken.")
    return _worded(normal, at, end, order)


_OTHER_SIGNS = "The date stands there with other signs."


def _found(day: date, normal: str, match: re.Match[str], end: int, loose: str) -> DayFound:
    return DayFound(day, _title(normal, match.end(), end), loose)


def _year(last: date) -> str:
    return f"{last.year:04d}"


def _ordered(match: re.Match[str], year: str, start: int, order: Order) -> date:
    """The day of '5/13/2026'. Raises ``Unread`` where it can be two and nothing in the log says which."""
    a, b = int(match["a"]), int(match["b"])
    span = Span(start, match.end())
    ways: dict[First, tuple[int, int]] = {"month": (a, b), "day": (b, a)}
    good = {first: way for first, way in ways.items() if 1 <= way[0] <= 12 and 1 <= way[1] <= 31}
    dotted = "." in match.group()
    first: First = order.first if order.first in good else ""
    if dotted and "day" in good:
        first = "" if order.first == "month" else "day"  # points are for the day first, whoever writes 5/13
    if len(good) == 1 or (a == b and good):
        first = next(iter(good))
    if not first:
        mends = _both(year, a, b)
        can = "can be read as two days" if ", or " in mends else "is no day of the calendar"
        raise Unread(110, span, f"{match.group()} {can}.", f"write {mends}")
    return _date(year, *good[first], span, match.group())


def _title(normal: str, at: int, end: int) -> int:
    while at < end and normal[at] in " ":
        at += 1
    if at < end and normal[at] in ":,-":
        at += 1
    while at < end and normal[at] in " ":
        at += 1
    return at


def _both(year: str, a: int, b: int) -> str:
    year = year if len(year) == 4 else f"20{year}"
    shown = [
        f"{year}-{month:02d}-{day:02d} for {day} {_MONTHS[month - 1].capitalize()}"
        for month, day in dict.fromkeys(((b, a), (a, b)))
        if 1 <= month <= 12 and 1 <= day <= 31
    ]
    return ", or ".join(shown) or "the day as year-month-day: 2026-05-04"


def _worded(normal: str, start: int, end: int, order: Order) -> DayFound | None:
    if match := re.compile(_WORDED, re.IGNORECASE).match(normal, start, end):
        number = int(match["d"] or match["d2"])
        month = _NAMES[(match["month"] or match["month2"])[:3].casefold()]
        year = match["y"] or match["y2"]
        rest = normal[match.end() : end].strip()
        if ":" in rest or (match["month2"] and not year and len(rest.split()) > 4):
            return None
        said, span = match.group().strip(), Span(start, match.end())
        if not year and order.last is None:
            mend = f"write the day as year-month-day: 2026-{month:02d}-{number:02d}"
            raise Unread(119, span, f"{said} lacks its year.", mend)
        day = _date(year or _year(order.last or date.min), month, number, span, said)
        loose = f"{said} is a day in words." if year else f"{said} lacks its year; that of the day above is taken."
        return _found(day, normal, match, end, loose)._replace(hint=112)
    if (
        (match := re.compile(_WEEKDAY, re.IGNORECASE).match(normal, start, end))
        and len(normal[start:end].split()) <= 4
        and ":" not in normal[start:end]
    ):
        raise Unread(
            119,
            Span(start, match.end()),
            f"'{match.group()}' does not say which day.",
            "write the day as year-month-day: 2026-05-04",
        )
    return None
