"""What opens with a head of its own: free text, days, codes, photos, parts that left."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from logbook.text.hearing.lexer import Token, lex
from logbook.text.hearing.lexicon import frames
from logbook.text.hearing.model import Candidate, Context

_MONTHS = {
    m: n
    for n, m in enumerate(("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), start=1)
}
_MONTH = (
    r"(?P<month>jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|"
    r"oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.?"
)
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_WEEKDAY = r"(?:(?P<week>mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?,?\s+)?"
_NUMERIC = re.compile(
    _WEEKDAY + r"(?P<a>\d{1,2})(?P<sep>[./-])(?P<b>\d{1,2})(?:(?P=sep)(?P<y>\d{4}|\d{2}))?\.?(?=[\s:,]|$)", re.I
)
_OTHER_MONTH = _MONTH.replace("month", "month2")
_WORDED = re.compile(
    _WEEKDAY
    + rf"(?:{_MONTH}\s+(?P<d>\d{{1,2}})(?:st|nd|rd|th)?|"
    + rf"(?P<d2>\d{{1,2}})(?:st|nd|rd|th)?\s+(?:of\s+)?{_OTHER_MONTH})"
    + r"(?:,?\s+(?P<y>\d{4}))?(?=[\s:,]|$)",
    re.I,
)
_TO_DO = frozenset(
    {
        "check",
        "swap",
        "order",
        "pull",
        "clean",
        "replace",
        "look",
        "test",
        "fit",
        "try",
        "get",
        "change",
        "do",
        "put",
        "measure",
        "buy",
        "call",
    }
)
_DROVE_WELL = re.compile(r"\b(?:no|not a single|not one|zero) (?:more )?(?:miss\w*|shak\w*|stumbl\w*)\b", re.IGNORECASE)
_WORK = frozenset({"swap", "move", "fit", "clean", "repair", "adjust", "reconnect", "put back"})
_NEAR, _FAR = 14, 45  # days from the day above: of two dates that one is meant
_TEXT_BEFORE = frozenset(
    {
        "the",
        "i",
        "we",
        "a",
        "my",
        "still",
        "now",
        "ok",
        "and",
        "so",
        "also",
        "then",
        "just",
        "finally",
        "all",
        "new",
        "both",
        "his",
        "her",
    }
)


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


def text_entry(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """A head of free text at the front, or 'gaskets came' with it at the end."""
    start = next((i for i, t in enumerate(found) if t.key not in _TEXT_BEFORE), 0)
    if start >= len(found):
        return []
    token = found[start]
    kinds = [k for k in token.all_of("kind") if frames()[k].sort == "text"]
    rest = line[token.end :].strip(" :-,.")
    if (
        "plan" in kinds
        and token.key in ("will", "ill", "i will", "later", "needs", "need", "must", "here", "remember", "remind")
        and start
    ):
        kinds.remove("plan")
    if "handed over" in kinds and token.key == "picked up" and any(t.number or t.says("age") for t in found):
        kinds.remove("handed over")
    if "arrived" in kinds and token.key in ("here", "came", "landed"):
        kinds.remove("arrived")
    if "handed over" in kinds and token.key in ("delivered", "picked up by", "went home", "handed over") and not rest:
        rest = ""
    if "order" in kinds and re.search(
        r"\b(?:still not here|not here yet|still waiting|not here|no sign|hasnt come|hasn't come|still nothing|late)\b",
        line.casefold(),
    ):
        return [Candidate((f"waiting: {rest}",), 0.1)]
    if (
        "came back" in kinds
        and any(
            t.number
            and t.number.whole
            and not (found[i + 1 : i + 2] and found[i + 1].says("unit"))
            and t.number.low <= 16
            for i, t in enumerate(found)
            if not (
                found[i + 1 : i + 2]
                and found[i + 1].key in ("days", "weeks", "months", "day", "week", "month", "times")
            )
        )
        and not any(t.says("out") for t in found[start + 1 :])
    ):
        return []  # what 5 does is not understood
    if "symptom" in kinds and token.key in ("customer said", "owner said") and "clue" in kinds:
        kinds.remove("symptom")
    if "symptom" in kinds and re.match(r"(?:it |has |had |it's )*(?:been )?(?:sat|sitting|parked|stood)\b", rest):
        return [Candidate((f"clue: {line.strip()}",), 0.1)]
    if kinds:
        kind = kinds[0]
        if kind in ("order",) and token.key == "order" and not rest:
            return []
        if not rest and kind not in ("handed over", "waiting", "came back", "road"):
            return []
        text = rest or ""
        if (
            (kind in ("waiting", "came back", "clue") and not rest)
            or kind == "clue"
            or (
                kind == "waiting"
                and token.key in ("backordered", "back ordered", "on backorder", "delayed", "on back order")
            )
        ):
            text = line.strip()
        proved = kind == "road" and _DROVE_WELL.search(line) and context.last.kind in _WORK
        if proved:
            return [Candidate((f"proved road: {_safe(line.strip())}",), 0.1)]
        if kind == "road" and token.key not in ("road test", "road tested", "test drive", "test drove"):
            text = line.strip()
        if kind == "handed over" and not text:
            return [Candidate(("handed over",), 0.1)]
        return [Candidate((f"{kind}: {_safe(text or line.strip())}",), 0.1)]
    last = found[-1]
    if (
        last.key in ("tomorrow", "tmrw", "next time", "later")
        and found[0].key in _TO_DO
        and not any(t.says("out") for t in found)
    ):
        return [Candidate((f"plan: {_safe(line.strip())}",), 0.15)]
    return _tail(found, line)


def _tail(found: Sequence[Token], line: str) -> list[Candidate]:
    """'coils came in', 'flange is backordered', 'van came back with a miss': the thing first."""
    if len(found) < 2 or any(t.says("irreal") and not t.says("kind") for t in found):
        return []
    few = list(found[:6])
    for at, token in enumerate(few):
        if at == 0 or not token.says("kind"):
            if token.number or token.text in ",;:" or (token.says("verb") and at == 0):
                if token.number and at == 0:
                    continue
                return []
            continue
        kinds = [k for k in token.all_of("kind") if frames()[k].sort == "text"]
        if not kinds:
            continue
        before = line[: token.start].strip(" ,-:")
        behind = [t for t in found[at + 1 :] if t.text not in "!.,"]
        if (
            "arrived" in kinds
            and token.key
            in (
                "came in",
                "arrived",
                "showed up",
                "turned up",
                "got here",
                "came",
                "here",
                "were delivered",
                "was delivered",
                "finally came",
                "came today",
                "arrived today",
                "came in today",
                "landed",
            )
            and not any(t.says("out") and not t.says("fill") for t in behind)
            and token.key != "here"
        ):
            if (
                token.key == "came"
                and behind
                and behind[0].key not in ("today", "in the mail", "finally", "this morning")
            ):
                return []
            said = f"{before} {line[token.end :].strip(' .!')}".strip()
            return [Candidate((f"arrived: {_safe(said)}",), 0.15)]
        if "waiting" in kinds:
            return [Candidate((f"waiting: {_safe(line.strip())}",), 0.15)]
        if (
            "came back" in kinds
            and token.key
            in ("came back", "its back", "is back", "back again", "come back", "comes back", "back in the shop")
            and before.split()[-1:]
            and before.split()[-1].casefold()
            in (
                "customer",
                "truck",
                "van",
                "car",
                "he",
                "she",
                "it",
                "pickup",
                "owner",
                "tractor",
                "bus",
                "wagon",
                "job",
            )
        ):
            return [Candidate((f"came back: {_safe(line.strip())}",), 0.15)]
        if "handed over" in kinds and token.key in (
            "picked up by",
            "went home",
            "handed over",
            "delivered",
            "handed back",
            "gone home",
        ):
            return [Candidate((f"handed over: {_safe(line.strip())}",), 0.2)]
        return []
    return []


def _safe(text: str) -> str:
    return text.strip() or "-"


_BESIDE_CODES = frozenset({"none", "rich", "lean", "dead"})
_HOW_CODES = frozenset({"after clearing", "pending", "stored", "hot", "cold"})
_ONLY_SET = frozenset({"set", "threw", "stored", "scan", "scanned", "cel", "mil"})  # name codes only beside one
_WIPED = frozenset({"deleted", "erased", "cleared", "reset", "wiped"})


class _Clause(NamedTuple):
    """A clause about codes: those it names, how they were met, and what else it says."""

    codes: tuple[str, ...]
    how: tuple[str, ...]
    rest: tuple[str, ...]
    sure: bool


def codes(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Trouble codes, or that there are none; three or four digits count where codes are named."""
    if any(t.says("irreal") and not t.says("out", "weak") for t in found):
        return []
    named = any("codes" in t.all_of("kind") and t.key not in _ONLY_SET for t in found)
    clauses = [_clause(tokens, named) for tokens in _apart(found)]
    if any(c is None for c in clauses):
        return []
    told = [c for c in clauses if c is not None]
    if not any(c.codes for c in told):
        return _without_codes(found, told, named)
    if not named and any(
        t.says("verb", "part") and not t.says("fill") and t.of("verb") not in ("adjust", "cut", "remove") for t in found
    ):
        return []
    wiped = any(t.key in _WIPED for t in found) and not named_after(found)
    if wiped and not any(t.key in ("came back", "back") for t in found):
        said = ", ".join(dict.fromkeys(c for clause in told for c in clause.codes))
        return [Candidate((f"codes cleared: {said}",), 0.1)] if not any(c.rest for c in told) else []
    if any("gone" in t.key.split(" ") for t in found):
        return []
    body = _told_codes(told)
    return [Candidate((f"codes: {', '.join(body)}",), 0.1, all(c.sure for c in told))] if body else []


def _apart(found: Sequence[Token]) -> list[list[Token]]:
    """The clauses of a line; a code behind a comma or an 'and' begins one only where something was said of the last."""
    out: list[list[Token]] = [[]]
    for token in found:
        if token.text in ",;." or token.key in ("and", "also", "then"):
            out.append([])
        else:
            out[-1].append(token)
    return [clause for clause in out if clause]


def _clause(found: Sequence[Token], named: bool) -> _Clause | None:
    """What a clause says of codes; None where it is about something else."""
    said: list[str] = []
    how: list[str] = []
    rest: list[str] = []
    sure = True
    skip = False
    for at, t in enumerate(found):
        behind = found[at + 1] if at + 1 < len(found) else None
        if skip:
            skip = False
        elif t.sort == "code":
            said.append(t.text.upper())
        elif t.number and behind is not None and behind.says("unit") and not behind.says("link"):
            how.append(f"{t.number.text} {behind.of('unit')}")
            skip = True
        elif t.number and t.number.whole and named and len(t.text) in (3, 4) and t.text.isdigit():
            said.append(f"P{t.text.zfill(4)}")
            sure = sure and len(t.text) == 4
        elif t.number and len(t.text) > 2:
            return None  # a code that was shortened, or a reading
        elif t.says("cond") and t.of("cond") in _HOW_CODES:
            how.append(t.of("cond"))
        elif not (
            t.says("fill", "sep", "link", "mark", "got", "verb", "now")
            or t.text in ":&+/=-!"
            or "codes" in (*t.all_of("kind"), *t.all_of("weak"))
        ):
            if t.says("out") and "came back" not in t.all_of("kind") and not set(t.all_of("out")) & _BESIDE_CODES:
                return None  # what runs, beside what is stored
            rest.append(t.text)
    if any(t.key in _WIPED for t in found) and "after clearing" not in how:
        how.insert(0, "after clearing")
    return _Clause(tuple(dict.fromkeys(said)), tuple(how), tuple(rest), sure)


def _told_codes(clauses: Sequence[_Clause]) -> list[str]:
    """Each code with what its own clause says of it, and what was said before the first; [] where that is not clear."""
    first = next(n for n, c in enumerate(clauses) if c.codes)
    lead = [h for c in clauses[:first] for h in (*c.how, *((" ".join(c.rest),) if c.rest else ()))]
    several = sum(len(c.codes) for c in clauses) > 1
    if several and any(not c.codes and (c.rest or c.how) for c in clauses[first:]):
        return []  # said of which?
    tail = [h for c in clauses[first:] if not c.codes for h in (*c.how, " ".join(c.rest))]
    body: dict[str, str] = {}
    for clause in clauses:
        for n, code in enumerate(clause.codes):
            own = (*clause.how, *((" ".join(clause.rest),) if clause.rest and n == 0 else ()))
            note = ", ".join(dict.fromkeys(h for h in (*lead, *own, *tail) if h))
            if body.get(code, note) != note:
                return []  # one code met twice
            body[code] = note
    return [f"{code} ({note})" if note else code for code, note in body.items()]


def _without_codes(found: Sequence[Token], clauses: Sequence[_Clause], named: bool) -> list[Candidate]:
    """'codes cleared', 'no codes after 20 miles'."""
    how = [h for c in clauses for h in c.how]
    rest = [w for c in clauses for w in c.rest]
    about = any(t.key in ("codes", "code", "cleared codes", "cleared code", "dtcs", "codes cleared") for t in found)
    if "after clearing" in how and about and not any(t.says("out") for t in found):
        return [Candidate(("codes cleared",), 0.1)] if not rest else []
    nothing = any("codes" in t.all_of("weak") for t in found) or (
        named and any("none" in t.all_of("out") for t in found) and not any(t.number and t.text in rest for t in found)
    )
    if not nothing:
        return []
    words = " ".join(w for w in rest if w.casefold() not in ("none", "no codes"))
    note = ", ".join(x for x in (*how, words) if x)
    return [Candidate((f"codes: none{f' ({note})' if note else ''}",), 0.15)]


def named_after(found: Sequence[Token]) -> bool:
    """'cleared codes, got P0304': whether the codes stand behind the clearing, and so came after it."""
    at = next(
        (
            i
            for i, t in enumerate(found)
            if t.key in ("deleted", "erased", "cleared") or t.of("cond") == "after clearing"
        ),
        len(found),
    )
    return any(t.sort == "code" or (t.number and len(t.text) == 4) for t in found[at + 1 :])


def parts_named(found: Sequence[Token], context: Context) -> list[Candidate]:
    """'C1-C4 coils off D2': tags for parts that came from a donor."""
    tags = [t.text.upper() for t in found if t.sort == "tag" and not t.senses]
    parts = [t.of("part") for t in found if t.of("part")]
    donors = [t for t in tags if t in context.donors]
    new = [t for t in tags if t not in context.donors]
    away = any(t.key in ("off", "from", "out of") for t in found)
    if len(donors) != 1 or len(new) != 1 or len(set(parts)) != 1 or not away or any(t.number for t in found):
        return []
    if new[0].split("-")[0] in context.tags:
        return []
    return [Candidate((f"parts {parts[0]}: {new[0]} from {donors[0]}",), 0.1)]


def photo(found: Sequence[Token], line: str) -> list[Candidate]:
    """A picture by its file; without a file the whole line is only offered."""
    file = next((t for t in found if t.sort == "file"), None)
    named = any("photo" in t.all_of("kind") for t in found)
    if file is not None:
        around = f"{line[: file.start].strip()} {line[file.end :].strip()}".strip(" :-")
        head = next((t for t in found if "photo" in t.all_of("kind")), None)
        if head is not None and head.start == found[0].start:
            around = f"{line[head.end : file.start].strip()} {line[file.end :].strip()}".strip(" :-")
        if file.text.rsplit(".", 1)[-1].casefold() in ("csv", "wav"):
            return []
        if file.text.rsplit(".", 1)[-1].casefold() in ("mp4", "mov"):
            return []
        return [Candidate((f"photo: {file.text} {around}".strip(),), 0.1)]
    if named and found[0].says("kind") and "photo" in found[0].all_of("kind"):
        rest = line[found[0].end :].strip(" :-").removeprefix("of ")
        return [Candidate((f"photo: FILE.jpg {rest}".strip(),), 0.3, False)]
    return []


def _paid(found: Sequence[Token], line: str, context: Context) -> list[str]:
    """'..., refund 15': the money behind the comma."""
    comma = next((t for t in found if t.text in (",", ";")), None)
    behind = [t for t in found if comma is not None and t.start >= comma.end]
    amounts = [t for t in behind if t.number]
    if len(amounts) != 1 or not behind or behind[0].key not in ("refund", "refunded", "got", "money back", "credit"):
        return []
    number = amounts[0].number
    assert number
    return [f"got: {number.text} refund"] if len(behind) == 2 and number.clock < 0 and not number.pair else []


def stock(found: Sequence[Token], line: str, context: Context) -> list[Candidate]:
    """Parts by tag that left, came back or were thrown away: 'shipped A3 to buyer'."""
    for token in found:
        kinds = [k for k in token.all_of("kind") if frames()[k].sort == "stock"]
        if not kinds and token.key in ("came back",) and any(t.text.upper() in context.tags for t in found):
            kinds = ["returned"]
        if not kinds:
            continue
        tags = [t.text.upper() for t in found if t.sort == "tag" and t.text.upper() in context.tags]
        paid = _paid(found, line, context) if kinds[0] in ("returned", "sent") else []
        if paid:
            found = found[: next(i for i, t in enumerate(found) if t.text in (",", ";"))]
        if not tags or any(t.says("irreal") for t in found) or any(t.number for t in found):
            return []
        words = [
            t.text
            for t in found
            if t is not token and t.text.upper() not in tags and t.text not in ",:;-." and not t.says("sep")
        ]
        said = " ".join(words)
        return [Candidate((f"{kinds[0]}: {', '.join(tags)}{f' ({said})' if said else ''}", *paid), 0.15)]
    return []
