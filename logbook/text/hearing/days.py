"""Day lines in every writing."""

from __future__ import annotations

import re
from datetime import date, timedelta

from logbook.text.hearing.lexer import lex
from logbook.text.hearing.model import Candidate, Context

_MONTH = (
    r"(?P<month>jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|"
    r"oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.?"
)


_OTHER_MONTH = _MONTH.replace("month", "month2")


_WEEKDAY = r"(?:(?P<week>mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?,?\s+)?"


_WORDED = re.compile(
    _WEEKDAY
    + rf"(?:{_MONTH}\s+(?P<d>\d{{1,2}})(?:st|nd|rd|th)?|"
    + rf"(?P<d2>\d{{1,2}})(?:st|nd|rd|th)?\s+(?:of\s+)?{_OTHER_MONTH})"
    + r"(?:,?\s+(?P<y>\d{4}))?(?=[\s:,]|$)",
    re.I,
)


_NUMERIC = re.compile(
    _WEEKDAY + r"(?P<a>\d{1,2})(?P<sep>[./-])(?P<b>\d{1,2})(?:(?P=sep)(?P<y>\d{4}|\d{2}))?\.?(?=[\s:,]|$)", re.I
)


_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


_MONTHS = {
    m: n
    for n, m in enumerate(("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), start=1)
}


_NEAR, _FAR = 14, 45  # days from the day above: of two dates that one is meant


def day_line(line: str, context: Context) -> list[Candidate]:
    """A day in another writing, as year-month-day; both where two days are meant by it."""
    said = line.strip()
    folded = said.casefold().rstrip(".:")
    if folded in ("next day", "the next day", "day after", "day later", "a day later"):
        return [Candidate(((context.day + timedelta(1)).isoformat(),), 0.1, False)] if context.day else []
    match = _NUMERIC.match(said)
    if match and (match["y"] or match["sep"] != "-"):
        rest = said[match.end() :].strip(" :-,")
        if any(t.number or t.says("out") for t in lex(rest)):
            return []  # an entry behind the day
        if not match["y"] and (rest or not context.day or int(match["b"]) > 31):
            return []
        year = _year(match["y"], context)
        a, b = int(match["a"]), int(match["b"])
        days = [d for d in (_date(year, b, a), _date(year, a, b)) if d is not None]
        days = list(dict.fromkeys(days))
        if len(days) == 2 and context.day and match["y"] and len(match["y"]) == 4:
            near = sorted(days, key=lambda d: abs((d - context.day).days))  # type: ignore[operator]
            apart = [abs((d - context.day).days) for d in near]
            days = near[:1] if apart[0] <= _NEAR and apart[1] > _FAR else days
        if match["sep"] == "/" and context.units == "us" and len(days) == 2:
            days = [d for d in [_date(year, a, b)] if d]
        if match["sep"] == "." and len(days) == 2:
            days = [d for d in [_date(year, b, a)] if d]
        return [Candidate((f"{d.isoformat()} {rest}".strip(),), 0.1, len(days) == 1) for d in days]
    match = _WORDED.match(said)
    if match:
        rest = said[match.end() :].strip(" :-,")
        month = (match["month"] or match["month2"])[:3].casefold()
        if month in ("may", "mar") and not match["d"] and not match["d2"]:
            return []
        if not match["y"] and not context.day:
            return []
        found = _date(_year(match["y"], context), _MONTHS[month], int(match["d"] or match["d2"]))
        return [Candidate((f"{found.isoformat()} {rest}".strip(),), 0.1)] if found else []
    match = re.match(r"(?P<week>mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\b[:.]?\s*$", said, re.I)
    if match and context.day:
        wanted = next(n for n, w in enumerate(_WEEKDAYS) if match["week"].casefold().startswith(w))
        ahead = (wanted - context.day.weekday()) % 7 or 7
        return [Candidate(((context.day + timedelta(ahead)).isoformat(),), 0.1, False)]
    return []


def _year(said: str | None, context: Context) -> int:
    if said:
        return int(said) if len(said) == 4 else 2000 + int(said)
    return context.day.year if context.day else 0


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
