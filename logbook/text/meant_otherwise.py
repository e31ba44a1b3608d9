"""Lines that read as one kind and mean another: the owner's complaint as his name, a state inside free text.

Each row is a pattern and what to write instead. A line that it fits is refused, or only pointed out where nothing of it
is read wrongly.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from logbook.spans import Span
from logbook.text.clauses import Item
from logbook.text.kinds import Kind
from logbook.text.parsed import Head
from logbook.text.state import State
from logbook.text.unread import Unread
from logbook.text.vocabulary import fold

_I = re.IGNORECASE
_STATE = r"(?:dead|weak|miss(?:es|ing)?|misfires?|misfiring|fires|firing)"
_TURNED = r"(?:bumped|set|changed|turned|moved|advanced|retarded|brought)"
_CYL = r"(?:cyl(?:inder)?\.?\s*|#)?"


class _Row(NamedTuple):
    """``named``: only under these names of the kind, folded; any where empty. ``mend`` takes {body} and groups."""

    kinds: frozenset[str]
    pattern: re.Pattern[str]
    message: str
    mend: str
    named: frozenset[str] = frozenset()
    number: int = 232
    nameless: bool = False  # only where no tag or order stands in the head


def _kinds(text: str) -> frozenset[str]:
    return frozenset(text.split(", "))


_BODIES = (
    _Row(
        _kinds("owner"),
        re.compile(r"[a-z]\S*(?:\s+\S+){2,}"),
        "Is this the owner's name, or something about the job?",
        "write 'symptom: {body}' for a complaint, 'private: {body}' for talk, or 'owner: ...' with the name",
        frozenset({"customer"}),
    ),
    _Row(
        _kinds("contact"),
        re.compile(r"[^\d@]*\s[^\d@]*"),
        "No number and no address stand here: is it talk?",
        "write 'private: {body}' for talk, or 'contact: ...' with the number",
        frozenset({"phone", "mail"}),
    ),
    _Row(
        _kinds("came back, road, handed over"),
        re.compile(rf".*?(?P<cut>(?<![\d.]){_CYL}(?P<at>\d{{1,2}})\s+(?:is\s+)?(?P<word>{_STATE})\b"
                   rf"|\b(?P<word2>{_STATE})\s+(?:is\s+)?on\s+{_CYL}(?P<at2>\d{{1,2}})(?![\w.])).*", _I),
        "What a cylinder does is not heard inside free text.",
        "write '{kind}: {rest}' and below it 'firing: {at} {word}'",
    ),
    _Row(
        _kinds("came back, road, handed over"),
        re.compile(r".*?(?P<cut>(?:\bcodes?:?\s+)?\b(?P<code>[PBCU]\d[0-9A-F]{3})\b).*", _I),
        "A code is not heard inside free text.",
        "write '{kind}: {rest}' and below it 'codes: {code}', or 'codes: none' where it is gone",
    ),
    _Row(
        _kinds("firing"),
        re.compile(r"order\b[:\s]*(?P<order>\d+(?:[\s,\-]+\d+)*).*", _I),
        "The firing order stands on the engine card.",
        "write it there: 'engine: ..., fires {order}'",
    ),
    _Row(
        _kinds("donor"),
        re.compile(r"(?P<tag>\d{1,2})\s*[-:,.]?\s+(?P<rest>.+)"),
        "A donor has a letter and a number for a name.",
        "write 'donor D{tag}: {rest}'",
        nameless=True,
    ),
    _Row(
        _kinds("order, arrived, waiting"),
        re.compile(r".*?(?P<money>[$€£]\s?\d+(?:\.\d+)?|\b\d+\.\d\d\b(?!\.)|\b\d+(?:\.\d+)?\s?"
                   r"(?:usd|eur|gbp|cad|aud|chf|nzd|sek|dollars|bucks|euros)\b).*", _I),
        "{money} is kept as words and counted nowhere.",
        "write 'spent: {money} ...' on a line of its own when it is paid",
        number=233,
    ),
)  # fmt: skip
_BRACKETS = (
    _Row(
        frozenset(), re.compile(r"[-–]\s*\d.*"), "Does a range end in this bracket?",
        "write both ends with a dash between and no bracket: '1.2-1.8'",
    ),
    _Row(
        frozenset(), re.compile(r"(?:not|instead of)\s+\d.*|correct(?:ed|ion)\b.*", _I),
        "Does this correct an earlier line?", "write 'correct {line}', or a note below",
    ),
    _Row(
        frozenset(),
        re.compile(rf"(?:.*\s)?{_TURNED}\s+(?:it\s+)?to\s+(?P<to>[\d.]+).*", _I),
        "Two values stand here, before and after: which one holds?",
        "write '{line}' and below it '{kind}: {to}'",
    ),
    _Row(
        _kinds("timing"), re.compile(r"(?P<way>advanced|retarded)", _I),
        "Is this the setting, or by how much it was turned?",
        "write 'adjust timing: +5 deg' for a change, or '{kind}: 5 deg btdc' for the setting",
    ),
)  # fmt: skip
_CHECKED = frozenset(kind for row in _BODIES for kind in row.kinds)
_DEAD = re.compile(r"mis\w*", _I)


def check_body(head: Head, state: State, start: int, end: int) -> None:
    """Raises where the body means another kind of entry; points out what is kept as words alone."""
    if head.kind.word not in _CHECKED:
        return
    body = state.normal[start:end]
    name = fold(state.normal[head.span.start : head.span.end])
    for row in _BODIES:
        if head.kind.word not in row.kinds or (row.named and name not in row.named) or (row.nameless and head.name):
            continue
        match = row.pattern.fullmatch(body)
        if match is None:
            continue
        words = {key.rstrip("2"): value for key, value in match.groupdict().items() if value is not None}
        if not _fits_engine(words.get("at", ""), state, head.engine):
            continue
        words["word"] = _DEAD.sub("dead", words.get("word", ""))
        words["order"] = " ".join(re.findall(r"\d+", words.get("order", "")))
        words |= {"kind": head.kind.word, "body": state.said(Span(start, end))}
        if cut := words.get("cut"):
            words["rest"] = re.sub(r"\s+", " ", body.replace(cut, "")).strip(" ,;") or "again"
        fault = Unread(row.number, Span(start, end), row.message.format(**words), row.mend.format(**words))
        if row.number != 233:
            raise fault
        state.tell(fault)


def _fits_engine(at: str, state: State, engine: str) -> bool:
    places = state.places(engine)
    return not at or not places or 1 <= int(at) <= places


def check_brackets(items: list[Item], head: Head, state: State) -> None:
    """Raises where a bracket holds what changes the meaning of the reading before it."""
    for item in items:
        if not item.bracketed:
            continue
        for row in _BRACKETS:
            if row.kinds and head.kind.word not in row.kinds:
                continue
            match = row.pattern.fullmatch(item.remark)
            if match and item.tokens:
                line = " ".join((head.kind.word, *filter(None, (head.part, *head.qualifiers))))
                line = f"{line}: {state.said(Span(item.tokens[0].start, item.tokens[-1].end))}"
                words = {"to": "", "way": "", **match.groupdict()}
                mend = row.mend.format(line=line, kind=head.kind.word, **words)
                raise Unread(234, item.span, row.message, mend)


_PRESSURE = re.compile(
    r"(?:(?P<lead>psi|bar|kpa|press(?:ure)?|pres|rail)\b[:\s]*)*(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>psi|bar|kpa)?\b.*",
    _I,
)


_PRESSED = re.compile(r"(?:psi|bar|kpa|press(?:ure)?|pres)\b.*\d", _I)


def fuel_is_pressure(head: Head, state: State, start: int, end: int, pressure: Kind) -> tuple[Head, int]:
    """'fuel: 55 psi', 'fuel psi 55 holds': the unit says that it is no sort of fuel."""
    match = _PRESSURE.fullmatch(state.normal[start:end])
    if match is None and _PRESSED.match(state.normal[start:end]):
        raise Unread(232, Span(start, end), "A pressure is no sort of fuel.", "write 'fuel pressure: ...'")
    if match is None or not (match["lead"] or match["unit"]):
        return head, start
    lead = (match["lead"] or "").casefold()
    usual = {"us": "psi", "metric": "bar"}.get(state.units, "")
    if lead in ("psi", "bar", "kpa") and not match["unit"] and lead != usual:
        unit = {"kpa": "kPa"}.get(lead, lead)
        mend = f"write 'fuel pressure: {match['number']} {unit}'"
        raise Unread(232, Span(start, end), "A pressure is no sort of fuel.", mend)
    return head._replace(kind=pressure), start + match.start("number")
