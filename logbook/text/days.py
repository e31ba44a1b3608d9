"""Day lines: ISO dates, and the other shapes that people write, each with its mend."""

from __future__ import annotations

import re
from datetime import date

from logbook.spans import Span
from logbook.text.unread import Unread

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
_OPENINGS = ("monday", "tue", "wednes", "thur", "friday", "saturday", "sunday", "today", "yesterday", "day")
_FIRST = re.compile(r"[A-Za-z]*")
_MARKED = r"[#*=>-]+\s*(?=\d{4}-\d{1,2}-\d{1,2})"


class DayFound(tuple[date, int, bool]):
    """The day, where its title begins, and whether it was written with other signs than the tidy form's."""


def read_day(normal: str, start: int, end: int) -> DayFound | None:
    """The day of a line, None where the line is no day line. Raises ``Unread`` for a day that cannot be used."""
    first = normal[start]
    if not (first.isdigit() or first in "#*=>-" or first.isalpha()):
        return None
    if first.isdigit() and first.isascii():
        return _numeric(normal, start, end)
    if first.isalpha():
        opens = _FIRST.match(normal, start, end)
        word = opens.group().casefold() if opens else ""
        return _worded(normal, start, end) if word in _MONTH_WORDS or word.startswith(_OPENINGS) else None
    if (mark := re.compile(_MARKED).match(normal, start, end)) and (day := _ISO.match(normal, mark.end(), end)):
        raise Unread(
            113,
            Span(start, day.end()),
            f"A sign stands before the day {day.group()}.",
            f"write the bare date: {_iso(day)}",
        )
    return None


def _iso(match: re.Match[str]) -> str:
    return f"{match['y']}-{int(match['m']):02d}-{int(match['d']):02d}"


def _numeric(normal: str, start: int, end: int) -> DayFound | None:
    if match := _ISO.match(normal, start, end):
        span = Span(start, match.end())
        try:
            day = date(int(match["y"]), int(match["m"]), int(match["d"]))
        except ValueError:
            raise Unread(
                111, span, f"The calendar has no {match.group()}.", "write the day as year-month-day: 2026-04-30"
            ) from None
        return DayFound((day, _title(normal, match.end(), end), match.group() != day.isoformat()))
    if match := re.compile(_OTHER).match(normal, start, end):
        mends = _both(match)
        can = "can be read as two days" if ", or " in mends else "is not written as year-month-day"
        raise Unread(110, Span(start, match.end()), f"{match.group()} {can}.", f"write {mends}")
    if match := re.compile(_COMPACT).match(normal, start, end):
        raise Unread(
            110, Span(start, match.end()), f"{match.group()} is a day without its hyphens.", f"write {_iso(match)}"
        )
    if match := re.compile(_SHORT).match(normal, start, end):
        raise Unread(
            119,
            Span(start, match.end()),
            f"{match.group()} lacks its year.",
            "write the day as year-month-day: 2026-05-04",
        )
    return _worded(normal, start, end)


def _title(normal: str, at: int, end: int) -> int:
    while at < end and normal[at] in " ":
        at += 1
    if at < end and normal[at] in ":,-":
        at += 1
    while at < end and normal[at] in " ":
        at += 1
    return at


def _both(match: re.Match[str]) -> str:
    year = match["y"] if len(match["y"]) == 4 else f"20{match['y']}"
    a, b = int(match["a"]), int(match["b"])
    shown = [
        f"{year}-{month:02d}-{day:02d} for {day} {_MONTHS[month - 1].capitalize()}"
        for month, day in dict.fromkeys(((b, a), (a, b)))
        if 1 <= month <= 12 and 1 <= day <= 31
    ]
    return ", or ".join(shown) or "the day as year-month-day: 2026-05-04"


def _worded(normal: str, start: int, end: int) -> DayFound | None:
    if match := re.compile(_WORDED, re.IGNORECASE).match(normal, start, end):
        number = match["d"] or match["d2"]
        month = _NAMES[(match["month"] or match["month2"])[:3].casefold()]
        year = match["y"] or match["y2"]
        rest = normal[match.end() : end].strip()
        if ":" in rest or (match["month2"] and not year and len(rest.split()) > 4):
            return None
        if not year:
            raise Unread(
                119,
                Span(start, match.end()),
                f"{match.group().strip()} lacks its year.",
                f"write the day as year-month-day: 2026-{month:02d}-{int(number):02d}",
            )
        raise Unread(
            112,
            Span(start, match.end()),
            f"{match.group().strip()} is a day in words.",
            f"write {year}-{month:02d}-{int(number):02d}",
        )
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
