"""The words of the pages by name, from one file that a native speaker can correct; units decide spelling and dates."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files

from logbook.pages import words

_SPELLED = "spelling"
_PRACTICE = re.compile(r"\bcommon practice\b")
_DATE = re.compile(rf"\b(\d{{1,2}}) ({'|'.join(words.MONTHS)})\b")


@cache
def catalogue() -> Mapping[str, str]:
    """Every phrase by its name, such as 'done.cleaned'; the table of spellings is left out."""
    tables = _tables()
    return {f"{head}.{name}": text for head, rows in tables.items() if head != _SPELLED for name, text in rows.items()}


@cache
def _tables() -> Mapping[str, Mapping[str, str]]:
    return tomllib.loads(files("logbook.pages").joinpath("phrases.toml").read_text(encoding="utf-8"))


@cache
def _respelled(us: bool) -> tuple[re.Pattern[str], Mapping[str, str]]:
    rows = _tables()[_SPELLED].items()
    table = {metric: american for american, metric in rows} if us else dict(rows)
    return re.compile(rf"\b({'|'.join(sorted(table))})", re.IGNORECASE), table


@cache
def _phrase(name: str, us: bool) -> str:
    text = catalogue()[name]
    return text if us else spelled(text, us=False)


def spelled(text: str, *, us: bool) -> str:
    """The trade's words as they are spelled there: 'vapor' in the US, else 'vapour'."""
    pattern, table = _respelled(us)

    def other(found: re.Match[str]) -> str:
        word = table[found[1].casefold()]
        return words.capital(word) if found[1][:1].isupper() else word

    return pattern.sub(other, text)


@dataclass(frozen=True, slots=True)
class Voice:
    """How one job is told: ``us`` gives American spelling and dates."""

    us: bool = False

    def say(self, name: str, /, **given: object) -> str:
        """The phrase of this name, filled in. What is filled in keeps its own spelling: it may be the writer's."""
        return _phrase(name, self.us).format(**given)

    def retell(self, text: str) -> str:
        """A sentence of the tool's own, made without knowing the job: with its dates and spelling, and for a reader."""
        text = spelled(_PRACTICE.sub(self.say("numbers.practice"), text), us=self.us)
        return _DATE.sub(r"\2 \1", text) if self.us else text

    def day(self, day: date | None) -> str:
        """'July 18' or '18 July'."""
        return words.short_date(day, us=self.us)

    def date(self, day: date | None) -> str:
        """'July 18, 2026' or '18 July 2026'."""
        return words.date_words(day, us=self.us)


def voice_of(units: str) -> Voice:
    """The voice of a job in these units."""
    return Voice(units == "us")
