"""Which tools the shop has, and which are lent or lost."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from logbook.job.model import Job
from logbook.text.entries import Entry

_BRACKET = r"\([^()]*\)"


def listed_tools(text: str) -> list[str]:
    """'multimeter, pulse light (the small one)' -> the names, without their brackets."""
    plain = re.sub(_BRACKET, " ", text)
    return [" ".join(word.split()) for word in re.split(r"[,;]", plain) if word.strip()]


def lent_tools(entries: Iterable[Entry]) -> tuple[str, ...]:
    """The tools that are away after these entries, in the order in which they left."""
    away: dict[str, str] = {}
    for entry in entries:
        for tool in listed_tools(entry.text) if entry.kind in ("lent", "tool back") else ():
            key = tool.casefold()
            if entry.kind == "lent":
                away.setdefault(key, tool)
            else:
                away.pop(key, None)
    return tuple(away.values())


def lacking(job: Job, tools: Sequence[str]) -> str:
    """Why a step waits: a tool that is lent, or that the shop's list does not have; '' where nothing is missing."""
    away = next((tool for tool in tools for lent in job.lent if _names(lent, tool)), "")
    if away:
        return f"needs a {away}, which is lent or missing"
    if not job.tools:
        return ""
    have = " ".join(job.tools).casefold()
    missing = [tool for tool in tools if tool.casefold() not in have]
    return f"needs a {missing[0]}, which is not among the tools" if missing else ""


def _names(lent: str, tool: str) -> bool:
    """Whether one name stands within the other, word by word: 'the compression gauge' is a 'compression gauge'."""
    one, other = f" {lent.casefold()} ", f" {tool.casefold()} "
    return one in other or other in one
