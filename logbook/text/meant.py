"""Sentences that a builder jots where an entry is due, and the entry that each of them means: never read, only told."""

from __future__ import annotations

import re

_SENTENCES = (  # what a line says, and the entry that it means
    (re.compile(r"(?:all|every)(?: \w+){0,2} fir(?:e|es|ing)\b.*"), "firing: all fires"),
    (re.compile(r"all(?: \w+){0,2} (?P<what>dead|weak)\b.*"), "firing: all {what}"),
    (re.compile(r"(?:it )?(?:runs?|running|idling) (?P<what>smooth|rough)(?:ly)?\b.*"), "idle: {what}"),
    (
        re.compile(r"(?P<what>new|used|rebuilt) (?P<part>coil|lead|plug|injector)s? (?:in|at|on|to|for) (?P<where>.*)"),
        "fit {part}: {what} in {where}",
    ),
)
_DROP = re.compile(
    r"(?<![\d.])(?P<place>1[0-6]|[1-9])(?!\d)\D{0,12}?\b(?:no drop|drop(?:s|ped)?\b\D{0,12}(?P<rpm>\d{1,3})(?!\d))"
)
_BRACKET = re.compile(r"\([^()]*\)")


def entry_meant(line: str) -> str:
    """'all cylinders fire' as 'firing: all fires'; '' where it is none of the sentences that are known."""
    said = line.casefold().rstrip(".")
    found = next(((m, entry) for pattern, entry in _SENTENCES if (m := pattern.fullmatch(said))), None)
    return found[1].format(**found[0].groupdict()) if found else cut_out_meant(line)


def cut_out_meant(line: str) -> str:
    """'unplugged 3, drops 75' as 'cut-out: 3 75': by how much the speed fell when a cylinder was off.

    What stands in a bracket is a remark, and says nothing.
    """
    said = _BRACKET.sub("", line.casefold())
    told = [f"{m['place']} {m['rpm'] or 0}" for m in _DROP.finditer(said)]
    return f"cut-out: {', '.join(told)}" if told else ""
