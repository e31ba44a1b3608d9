"""How pages say dates, chances, weights and counts: rounded once, here, without minus zero."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import date

HARD = "\u00a0"
_PAIR = re.compile(r"(?<=[ ,;])(#?[A-Z]?\d+[a-z]?) (?=[\d.+−-]+(?:[,; ]|$))")
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


_WHEN = {"load": "under load", "idle": "at idle", "any": "now and then", "now and then": "now and then"}


def when_words(condition: str) -> str:
    """'when warm', 'under load', 'now and then' where no condition brings it out."""
    return _WHEN.get(condition, f"when {condition}")


def date_words(day: date | None, *, us: bool = False) -> str:
    """'4 May 2026', 'May 4, 2026' in the US; 'day unknown' without one."""
    if day is None:
        return "day unknown"
    return f"{short_date(day, us=us)}{',' if us else ''} {day.year}"


def short_date(day: date | None, *, us: bool = False) -> str:
    """'4 May', 'May 4' in the US: for places where the year is said elsewhere."""
    if day is None:
        return "day unknown"
    month = MONTHS[day.month - 1]
    return f"{month} {day.day}" if us else f"{day.day} {month}"


def brief_date(day: date) -> str:
    """'16 Sep', for a drawing as small as a stamp; a month of few letters stays whole."""
    month = MONTHS[day.month - 1]
    return f"{day.day} {month if len(month) <= 5 else month[:3]}"


def weekday_date(day: date | None, *, us: bool = False) -> str:
    """'Monday 4 May 2026', 'Monday, May 4, 2026' in the US."""
    return f"{_WEEKDAYS[day.weekday()]}{',' if us else ''} {date_words(day, us=us)}" if day else "Day unknown"


def date_span(first: date | None, last: date | None, *, us: bool = False) -> str:
    """'4 to 9 May 2026', 'May 4 to June 9, 2026': month and year once where both have the same."""
    if first is None or last is None or first == last:
        return date_words(first or last, us=us)
    if (first.year, first.month) == (last.year, last.month):
        if us:
            return f"{short_date(first, us=True)} to {last.day}, {last.year}"
        return f"{first.day} to {date_words(last)}"
    start = short_date(first, us=us) if first.year == last.year else date_words(first, us=us)
    return f"{start} to {date_words(last, us=us)}"


def hundredths(probability: float) -> int:
    """Whole hundredths, half up, never 0 or 100 where the chance is neither."""
    return min(99, max(1, math.floor(probability * 100 + 0.5)))


def _rounded(minutes: float) -> int:
    step = 1 if minutes < 10 else 5 if minutes < 120 else 15
    return max(step, int(step * math.floor(minutes / step + 0.5)))


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def pairs_bound(text: str) -> str:
    """'1 70, 2 52' with each place bound to its reading, where readings are told apart by commas."""
    return _PAIR.sub(f"\\1{HARD}", f" {text}")[1:] if "," in text else text


def sentence(text: str) -> str:
    """With a capital at its start and a stop at its end."""
    told = capital(text.strip())
    return told if not told or told[-1] in ".!?" else f"{told}."


def listed(words: Iterable[str], last: str = "and") -> str:
    """'1', '1 and 2', '1, 2 and 3'."""
    items = list(words)
    return f"{', '.join(items[:-1])} {last} {items[-1]}" if len(items) > 1 else "".join(items)


def counted(number: int, one: str, many: str = "") -> str:
    """'1 entry', '14 entries', 'no entry'."""
    if number == 0:
        return f"no {one}"
    return f"{number} {one if number == 1 else many or one + 's'}"


def spelled(number: int) -> str:
    """'three' up to twelve, then figures."""
    return _SMALL[number] if 0 <= number < len(_SMALL) else str(number)


def capital(text: str) -> str:
    """The first letter large, the rest as it is."""
    return text[:1].upper() + text[1:]


def shortened(text: str, limit: int) -> str:
    """At most ``limit`` characters, cut between words."""
    if len(text) <= limit:
        return text
    head = text[: limit - 1]
    cut = head.rsplit(" ", 1)[0]
    return (cut if len(cut) > limit // 2 else head).rstrip(" ,;:") + "…"


def percent(probability: float) -> str:
    """'38%', 'under 1%', 'over 99%'."""
    if probability < 0.005:
        return "under 1%"
    return "over 99%" if probability > 0.995 else f"{hundredths(probability)}%"


def minutes_short(minutes: float) -> str:
    """'5 minutes', '2 h 45 min'."""
    rounded = _rounded(minutes)
    return counted(rounded, "minute") if rounded < 120 else _hours(rounded)
