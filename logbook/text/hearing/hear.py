"""A jotted line to the canonical lines that it may be: none, one, or a few that are all offered."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import timedelta
from decimal import Decimal
from difflib import get_close_matches
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from logbook.text.hearing import actions, heads, trade
from logbook.text.hearing.echo import lines_of
from logbook.text.hearing.laws import (
    TEXTS,
    is_aside,
    loose_number,
    lost_act,
    may_be_offered,
    passes_over,
    unsaid,
    uses_tags,
)
from logbook.text.hearing.lexer import Token, lex, plain
from logbook.text.hearing.lexicon import Frame, atoms_key, frames, phrases
from logbook.text.hearing.model import Candidate, Context, Fact, Refused
from logbook.text.hearing.readings import ways
from logbook.units import UNITS

MOST_CHOICES = 3
_CLOSE = 0.25  # candidates whose costs differ by less are not chosen between
_TIME = re.compile(
    r"(?P<time>\d{1,2}:\d{2}(?:\s?[ap]m)?|\d{1,2}\s?[ap]m)\b[\s,:-]*(?!\s*(?:to|till|until|-)\b)", re.IGNORECASE
)
_PROOF = re.compile(r"(?:(?:proved|proof|verified)\s*[:,-]?|to prove it\b[^:,\d]*[:,])\s+", re.IGNORECASE)
_RETEST = re.compile(
    r"(?:re-?test(?:ed)?|re-?check(?:ed)?|tested again|after (?:the |that )?(?:repair|fix|work)|"
    r"now(?: they)?(?= all\b))\b[:,]?\s*",
    re.IGNORECASE,
)
_ALL_FINE = re.compile(r"(?:cut-out: all (?:fires|[\d-]+)|firing: all fires)")
_CORRECTION = re.compile(
    r"(?:scratch that|hold on|wait|no wait|correction|correct|oops|sorry|actually|i meant|meant|my mistake|mistake|"
    r"typo|wrong)\b\s*[:,-]?\s*",
    re.IGNORECASE,
)
_NOT = re.compile(
    r"\b(?P<verb>was|is|flowed|read|reads|measured|were)\s+(?:really\s+)?(?P<new>[\d.,]+)\s*(?P<unit>[a-z%]{0,4})\s*,?\s+not\s+(?P<old>[\d.,]+)(?:\s*(?P=unit))?",
    re.IGNORECASE,
)
_HOURS_BEHIND = re.compile(
    r"^(?P<said>.+?),\s*(?P<hours>\d+(?:[.,]\d+)?\s*(?:h|hr|hrs|hour|hours|min|mins|minutes))\.?$", re.IGNORECASE
)
_OTHER_PLACE = re.compile(
    r"(?:the\s+)?(?P<value>[\d.,]+)\s*(?P<unit>[a-z%]{0,4})\s+(?:was|is|belongs to|goes to)\s+(?:on\s+)?"
    r"(?:#|no\.?\s*|cyl(?:inder)?\s*|number\s+)?(?P<place>\d{1,2})\s*[.!]?$",
    re.IGNORECASE,
)
_MEANT = re.compile(r"(?:i\s+)?(?:meant|mean)\s+#?(?P<new>\d+)\s*,?\s+not\s+#?(?P<old>\d+)\s*$", re.IGNORECASE)
_AGAIN = re.compile(
    r"(?:scratch|forget|redo)\b[^,]*\bswap\b[^,]*,?\s*it was\s+(\d+)\s*(?:and|with|&|,)\s*(\d+)\s*$", re.IGNORECASE
)
_QUESTION = re.compile(
    r"(?:did|do|does|is|was|were|are|why|what|when|where|who|how|should|could|can|would)\b.*\?\s*$", re.IGNORECASE
)
_DIGITS = dict(
    zip(
        ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "oh", "o"],
        "012345678900",
        strict=True,
    )
)
_SPOKEN_CODE = re.compile(
    rf"\b(p|pee|c|see|b|bee|u)((?:\s+(?:{'|'.join(_DIGITS)}|hundred|\d)){{2,4}})\b", re.IGNORECASE
)
_SOUNDS_LIKE = {"for": "four", "fore": "four", "to": "two", "too": "two", "won": "one", "ate": "eight", "tree": "three"}
_YESTERDAY = re.compile(r"yesterday'?s?\s+", re.IGNORECASE)
CLEAN, DOUBTED = 2, 1  # how lines are read: without a word, or with a doubt
_READS = Callable[[tuple[str, ...]], int]
_UNIT_KINDS = {"torque": "torque", "ohm": "resistance", "volt": "feed", "amp": "current"}
_LOOSE = frozenset({"pull", "idle", "bought", "spent", "got", "order", "plan", "look", "crank", "plug look"})
_DONE = frozenset({"swap", "fit", "replace", "move", "back", "clean", "repair", "reconnect", "remove"})


class Heard(NamedTuple):
    """What came of a line: ``choices`` are whole lines (or several, with line ends), the likeliest first.

    ``sure``: the first one is what was meant, and is read; else all are offered.
    """

    choices: tuple[str, ...] = ()
    sure: bool = False


def hear(line: str, context: Context, reads: _READS) -> Heard:
    """The canonical lines that a jotted line may be. ``reads`` tells how they are read: ``CLEAN``, ``DOUBTED`` or 0."""
    return _heard(line, context, reads) or _sounding(line, context, reads) or Heard()


def _sounding(line: str, context: Context, reads: _READS) -> Heard | None:
    """A dictated line in which a number was written as the word that sounds like it: only offered."""
    if any(c.isdigit() for c in line):
        return None
    words = re.split(r"(\W+)", line)
    at = [i for i, w in enumerate(words) if w.casefold() in _SOUNDS_LIKE][:4]
    found: list[str] = []
    for some in [*([i] for i in at), *([at] if len(at) > 1 else [])]:
        said = "".join(_SOUNDS_LIKE[w.casefold()] if i in some else w for i, w in enumerate(words))
        heard = _heard(said, context, reads)
        if heard is not None and heard.sure and heard.choices[0] not in found:
            found.append(heard.choices[0])
    return Heard(tuple(found[:MOST_CHOICES])) if found else None


_CLAUSE_END = re.compile(r"((?:[,;]|(?<=[a-z])\.|!|(?<=\s)-)\s+(?:and\s+|but\s+)?|\s+(?:and|but)\s+)", re.IGNORECASE)


def _without_asides(line: str) -> tuple[str, str]:
    """The line without the clauses that tell nothing but a story ('like my dad taught me'), and those clauses."""
    pieces = _CLAUSE_END.split(line)
    clauses, ends = pieces[0::2], ["", *pieces[1::2]]
    asides = [n for n, c in enumerate(clauses) if is_aside(c)]
    if not asides or len(asides) == len(clauses):
        return line, ""
    told = "".join(f"{ends[n]}{c}" for n, c in enumerate(clauses) if n not in asides)
    return re.sub(r"^[\s,;.-]+(?:and |but )?", "", told), ", ".join(clauses[n].strip(" .!,;") for n in asides)


def _with_aside(candidate: Candidate, aside: str, reads: _READS) -> Candidate:
    """The candidate with an aside in a bracket at its end, or before what was seen."""
    last = candidate.lines[-1]
    body, at, how = last.partition(" @ ")
    done, now, seen = body.partition(", now ")
    joined = f"{body[:-1]}, {aside})" if body.endswith(")") else f"{body} ({aside})"
    ways = [f"{joined}{at}{how}", f"{done} ({aside}){now}{seen}{at}{how}"]
    for way in ways:
        lines = (*candidate.lines[:-1], way)
        if reads(lines):
            return candidate._replace(lines=lines)
    return candidate._replace(sure=False)


def _heard(line: str, context: Context, reads: _READS) -> Heard | None:
    told, aside = _without_asides(line)
    if aside:
        heard = _heard(told, context, reads)
        if heard is not None and heard.sure and not heard.choices[0].startswith(TEXTS):
            lines = tuple(heard.choices[0].split("\n"))
            whole = _with_aside(Candidate(lines), re.sub(r"[():@]", " ", aside), reads)
            if whole.sure and not passes_over(_spelt(plain(line).strip()), whole.lines):
                return Heard(("\n".join(whole.lines),), True)
    found = _candidates(plain(line).strip(), context)
    kept: list[Candidate] = []
    for candidate in sorted(found, key=lambda c: (not c.sure, c.cost)):
        if any(_same(k, candidate) for k in kept) or len(kept) >= MOST_CHOICES:
            continue
        read = reads(candidate.lines)
        if read:
            strange = read == DOUBTED
            kept.append(
                candidate._replace(sure=candidate.sure and not strange, cost=candidate.cost + 0.3 * (read == DOUBTED))
            )
    if not kept:
        return None
    kept = [c if _keeps_head(line, c) else c._replace(sure=False) for c in kept if not _other_head(line, c)]
    kept = [c if not passes_over(_spelt(plain(line).strip()), c.lines) else c._replace(sure=False) for c in kept]
    found_again = lex(line)
    kept = [
        c for c in kept if not (lost_act(found_again, c.lines) or loose_number(c.lines) or unsaid(found_again, c.lines))
    ]
    kept = [c if uses_tags(line, c.lines, context.tags) else c._replace(sure=False) for c in kept]
    if not kept:
        return None
    kept.sort(key=lambda c: (not c.sure, c.cost))
    sure = kept[0].sure and not any(k.sure and k.cost - kept[0].cost < _CLOSE for k in kept[1:])
    if not sure:
        kept = [k for k in kept if may_be_offered(found_again, k.lines) and reads(k.lines) == CLEAN]
    choices = tuple("\n".join(k.lines) for k in kept)
    return Heard(choices[:1] if sure else choices, sure) if choices else None


def _other_head(line: str, candidate: Candidate) -> bool:
    """Whether a line that opens with a kind and a colon was heard as another kind of another sort."""
    head = line.partition(":")[0].strip().casefold()
    return (
        head != line.strip().casefold()
        and head in frames()
        and frames()[head].sort == "action"
        and not any(said.startswith(head) for said in candidate.lines)
    )


def _keeps_head(line: str, candidate: Candidate) -> bool:
    """Whether what stands before a colon names the kind that was heard, or no kind at all."""
    head, colon, _ = line.partition(":")
    kinds = {v for c, v in phrases().get(atoms_key(head), ()) if c == "kind"} if colon and len(head) < 32 else set()
    return not kinds or any(said.startswith(kind) for kind in kinds for said in candidate.lines) or bool(kinds & _LOOSE)


def _same(one: Candidate, other: Candidate) -> bool:
    """Whether two say the same, in whatever order."""
    return (
        sorted(re.findall(r"[^\s,]+", " ".join(one.lines))) == sorted(re.findall(r"[^\s,]+", " ".join(other.lines)))
        and len(one.lines) == len(other.lines) == 1
    ) or one.lines == other.lines


def _candidates(line: str, context: Context) -> list[Candidate]:
    if days := heads.day_line(line, context):
        return days
    if _QUESTION.match(line):
        return []
    prefix = ""
    time = _TIME.match(line)
    if (
        time
        and line[time.end() :].strip()
        and not re.match(r"\s*(?:to|till|until|-)\b", line[time.end() - 1 :], re.IGNORECASE)
    ):
        prefix, line = f"{time['time']} ", line[time.end() :]
    proof = _PROOF.match(line)
    if proof:
        prefix, line = f"{prefix}proved ", line[proof.end() :]
    retest = _RETEST.match(line) if not proof and context.last.kind in _DONE | {"adjust", "put back"} else None
    if retest:
        line = line[retest.end() :]
    if corrected := _corrections(_in_digits(line), context):
        return _prefixed(corrected, prefix)
    line = _spelt(_SPOKEN_CODE.sub(_as_code, line))
    found = lex(line)
    if not found:
        return []
    behind = _HOURS_BEHIND.match(line)
    if behind and (told := _with_hours(behind["said"], behind["hours"], context)):
        return _prefixed(told, prefix)
    meant = _meant(found, line, context)
    if retest:  # the same test again, all fine behind the work: the proof
        meant = [
            c._replace(lines=tuple(f"proved {said}" for said in c.lines))
            if len(c.lines) == 1 and _ALL_FINE.match(c.lines[0])
            else c._replace(sure=False)
            for c in meant
        ]
    return _prefixed(meant, prefix)


def _in_digits(line: str) -> str:
    """'that was five not three' in figures, as a correction is read."""
    for token in reversed(lex(line)) if re.search(r"\bnot\b", line, re.IGNORECASE) else ():
        if token.number and token.number.worded:
            line = f"{line[: token.start]}{token.number.text}{line[token.end :]}"
    return line


def _as_code(match: re.Match[str]) -> str:
    """'p zero three zero four' as P0304."""
    digits = "".join("00" if d == "hundred" else _DIGITS.get(d, d) for d in match[2].casefold().split())
    return match[1][0].upper().replace("S", "C") + digits if len(digits) == 4 else match.group()


def _with_hours(said: str, hours: str, context: Context) -> list[Candidate]:
    """'pulled the injectors, 1.5 hr': what was done, and how long it took."""
    tokens, clock = lex(said), lex(hours)
    done = [c for c in _done(tokens, said, context) if c.sure] if tokens else []
    took = trade.hours(clock, hours, context)
    return [done[0]._replace(lines=(*done[0].lines, *took[0].lines))] if done and took else []


def _spelt(line: str) -> str:
    """The line with its first word put right where it is a kind's name that was misspelt; never a word of the body."""
    first = re.match(r"[A-Za-z]{5,}", line)
    if first is None or first.group().casefold() in phrases() or not re.search(r"\d", line):
        return line
    near = get_close_matches(first.group().casefold(), _heads(), 1, 0.86)
    return (
        f"{near[0]}{line[first.end() :]}"
        if near and near[0][0] in (first.group()[0].casefold(), "ck"["kc".find(first.group()[0].casefold())])
        else line
    )


@cache
def _heads() -> tuple[str, ...]:
    return tuple(
        k for k, senses in phrases().items() if k.isalpha() and len(k) > 5 and any(c == "kind" for c, _ in senses)
    )


def _prefixed(found: list[Candidate], prefix: str) -> list[Candidate]:
    if not prefix:
        return found
    return [c._replace(lines=tuple(f"{prefix}{said}" for said in c.lines)) for c in found]


def _meant(found: list[Token], line: str, context: Context) -> list[Candidate]:
    """Every frame that has something to say, the special ones first."""
    if said := trade.agreed(found, line, context):
        return said
    if told := heads.text_entry(found, line, context):
        return [_with_what_followed(told[0], found, line, context), *told[1:]]
    special = (
        heads.photo(found, line)
        or trade.donor(found, line, context)
        or heads.parts_named(found, context)
        or heads.stock(found, line, context)
        or heads.codes(found, line, context)
        or actions.on_purpose(found, line, context)
        or actions.cause(line, context)
        or actions.verdict(found, context)
    )
    if special:
        return special
    traded = [*trade.hours(found, line, context), *trade.money(found, line, context)]
    if traded:
        return traded
    stop = next((at for at, t in enumerate(found) if t.text == "." and 0 < at < len(found) - 1), 0)
    first = [c for c in _done(found[:stop], line[: found[stop].start], context) if c.sure] if stop else []
    if first and (blame := actions.blamed(first[0], found[stop + 1 :])):
        return [first[0]._replace(lines=(*first[0].lines, blame))]
    whole = [*_readings(found, line, context), *_done(found, line, context)]
    if whole and (whole[0].sure or any(c.sure for c in whole)):
        return whole
    parted = _parted(found, line, context)
    return [*parted, *whole] if parted else whole


def _done(found: list[Token], line: str, context: Context) -> list[Candidate]:
    done = actions.candidates(found, line, context)
    return [c for c in done if _all_numbers(found, c, context)]


def _with_what_followed(told: Candidate, found: list[Token], line: str, context: Context) -> Candidate:
    """'came back 3 weeks later, miss on 7 again': the entry, and the state in its sentence."""
    if told.lines[0].startswith(("handed over", "arrived")):
        return _with_payment(told, line, context)
    if not told.lines[0].startswith("came back"):
        return told
    for at, token in enumerate(found):
        if (
            token.text in (",", ";", "-")
            or (at and token.says("out") and "dead" in token.all_of("out"))
            or token.key in ("with",)
        ):
            start = token.end if token.text in (",", ";", "-") or token.key == "with" else token.start
            rest = line[start:].strip(" ,-")
            rest = re.sub(r"^(?:says|and|now|he says|she says|with)\s+", "", rest)
            tokens = lex(rest)
            more = (
                [c for c in [*heads.codes(tokens, rest, context), *_readings(tokens, rest, context)] if c.sure]
                if tokens
                else []
            )
            if more and more[0].lines[0].split(":")[0].split(" ")[0] in ("firing", "codes", "cut-out"):
                head = line[: token.start].strip(" ,-")
                return told._replace(lines=(f"came back: {head}", *more[0].lines))
    return told


def _with_payment(told: Candidate, line: str, context: Context) -> Candidate:
    """'customer picked it up, paid the rest 1300': the entry, and the money."""
    head, comma, rest = line.partition(",")
    paid = [c for c in trade.money(lex(rest), rest, context) if c.sure] if comma else []
    if not paid:
        return told
    return told._replace(lines=(*(heads.text_entry(lex(head), head, context) or [told])[0].lines, *paid[0].lines))


# readings


def _readings(found: list[Token], line: str, context: Context) -> list[Candidate]:
    out: list[Candidate] = []
    for frame, cost in _frames_for(found, context):
        try:
            best = ways(frame, found, line, context)
        except (Refused, IndexError, KeyError):
            continue
        for way in best:
            part = way.part or (frame.part if "PART" in frame.row.qualifiers else "")
            tags = {context.tags[p] for f in way.facts for p in f.places if p in context.tags}
            part = part or (tags.pop() if len(tags) == 1 and "PART" in frame.row.qualifiers else "")
            if frame.named and not (part or (way.part and tags)) and "PART" in frame.row.qualifiers:
                continue
            facts = tuple(_opened_rest(f, way.facts, frame, context) for f in way.facts)
            if not _enough(frame, facts, context, cost < 0.3, found[0].says("kind")):
                continue
            things = [t for t in way.things if t in frame.row.qualifiers]
            if frame.kind == "cut-out" and (cut := [t for t in way.things if t not in things]):
                facts = tuple(f._replace(conditions=(*f.conditions, f"{cut[0]} unplugged")) for f in facts)
            candidate = Candidate(lines_of(frame, facts, part, things, way.name), way.cost + cost, way.sure)
            if way.worked_out or _all_numbers(found, candidate, context):
                out.append(candidate)
    out.sort(key=lambda c: (not c.sure, c.cost))
    return out


def _enough(frame: Frame, facts: Sequence[Fact], context: Context, strong: bool, opens: bool) -> bool:
    """Whether each reading says something, and of a place where its kind needs one."""
    for fact in facts:
        value, words, remark = fact.value, fact.words, fact.remark
        if not (value or words) and frame.kind != "look":
            return False
        if frame.kind == "look" and not (words or remark):
            return False
        places = fact.places
        if frame.row.subjects in ("cyl", "part") and not places and not frame.all:
            return False
        if places == ("rest",) and len(facts) == 1:
            return False
        if frame.kind == "look" and not words and not (strong and (opens or not places)):
            return False
        if "both" in places:
            return False
    return bool(facts)


def _opened_rest(fact: Fact, facts: Sequence[Fact], frame: Frame, context: Context) -> Fact:
    """'the others 165' alone on its line: all that the line before did not read, by number."""
    last = context.last
    if fact.places != ("rest",) or len(facts) > 1 or last.kind != frame.kind:
        return fact
    if not last.places or not all(p.isdigit() for p in last.places) or not context.places:
        return fact._replace(places=("both",))
    return fact._replace(places=tuple(str(n) for n in range(1, context.places + 1) if str(n) not in last.places))


def _frames_for(found: list[Token], context: Context) -> list[tuple[Frame, float]]:
    """The kinds that a line may be about, each with what it costs to think so."""
    known = frames()
    strong: dict[str, float] = {}
    weak: dict[str, float] = {}
    first = next((t for t in found if t.number or t.says("verb")), None)
    if first is not None and first.of("verb") == "adjust":
        named = {k for t in found for k in t.all_of("kind") if known[k].sort in ("readings", "slots")}
        if named <= {"idle", "timing", "cranking speed"}:
            return []
    for at, token in enumerate(found):
        for kind in token.all_of("kind"):
            if known[kind].sort in ("readings", "slots"):
                how = 0.4 if at and strong and token.says("cond") else 0.0
                strong.setdefault(kind, how + 0.05 * min(at, 4) * (len(strong) > 0))
        for kind in token.all_of("weak"):
            weak.setdefault(kind, 0.2)
        if "cut" in token.all_of("verb") and any(t.says("out") for t in found):
            strong.setdefault("cut-out", 0.1)
    if any(t.of("part") == "injector" for t in found) and any(
        t.of("cond") in ("before cleaning", "after cleaning") for t in found
    ):
        weak.setdefault("flow", 0.3)
    pressed = any(u in ("psi", "bar", "kPa") for t in found for u in t.all_of("unit"))
    numbers = sum(bool(t.number) for t in found)
    if (numbers and any(t.of("cond") in ("wet", "dry") for t in found)) or (numbers > 1 and pressed and not strong):
        weak.setdefault("compression", 0.35)
    parts = {t.of("part") or t.of("connof") for t in found if t.of("part") or t.of("connof")}
    units = {
        UNITS[u].dimension
        for t in found
        for u in t.all_of("unit")
        if u in UNITS and not t.says("link", "fill", "qual", "verdict")
    }
    for dimension, kind in _UNIT_KINDS.items():
        bolts = any(t.says("qual") and t.of("qual") in known["torque"].qual for t in found) or any(
            t.of("unit") in ("lbft", "lbin", "Nm") for t in found
        )
        if dimension in units and (bolts if dimension == "torque" else parts) and kind not in strong:
            weak.setdefault(kind, 0.15)
    done = any(v in _DONE for t in found for v in t.all_of("verb") if not t.says("fill")) or any(
        t.says("age") and after.says("part") for t, after in pairwise(found)
    )
    if done:
        strong.pop("firing", None)
        weak = {k: c for k, c in weak.items() if k not in ("firing", "look", "plug look")}
    else:
        if not strong and any(o in ("no-drop", "drops") for t in found for o in t.all_of("out")):
            weak.setdefault("cut-out", 0.2)
        if any(t.of("part") or t.of("thing") for t in found):
            weak.setdefault("look", 0.4)
        weak.setdefault("firing", 0.25)
    chosen = strong | {k: c + 0.4 for k, c in weak.items() if k not in strong} if strong else weak
    last = context.last.kind
    acted = any(t.says("verb", "part", "age") and not t.says("fill", "kind") for t in found)
    if (
        not strong
        and not acted
        and last in known
        and known[last].sort == "readings"
        and last not in ("cut-out", "firing")
    ) and all(t.senses or t.number or t.sort != "word" for t in found):  # nothing unknown, which might name another
        chosen.setdefault(last, 0.3)
    return [(known[k], c) for k, c in sorted(chosen.items(), key=lambda kc: kc[1])[:6]]


def _all_numbers(found: Sequence[Token], candidate: Candidate, context: Context) -> bool:
    """Every number of the line stands in the lines that are heard, as often as it was written."""
    said = "\n".join(candidate.lines)
    there = Counter(_value(n) for n in re.findall(r"(?<![A-Za-z\d.])[\d.]*\d", said))
    for token in found:
        if not token.number or token.number.pair or "/" in token.number.text:
            continue
        whole = token.number.low == context.places and "all" in said
        if (
            there[abs(token.number.low)] < 1
            and not whole
            and token.number.high == token.number.low
            and token.sort != "tag"
        ):
            return False
    return True


def _value(said: str) -> Decimal:
    try:
        return Decimal(said)
    except ArithmeticError:
        return Decimal(-1)


# two things on one line


def _parted(found: list[Token], line: str, context: Context) -> list[Candidate]:
    """Two entries on one line, where each half is heard by itself."""
    for at, token in enumerate(found):
        if not (token.text in (",", ";", ".", "-") or token.key in ("and", "then", "and then")) or at == 0:
            continue
        first, second = line[: token.start].strip(" ,"), line[token.end :].strip(" ,")
        heard = []
        for half in (first, second):
            tokens = lex(half)
            if len(tokens) < 2:
                break
            several = [c for c in _whole(tokens, half, context) if c.sure]
            if not several:
                break
            heard.append(several[0])
        if len(heard) == 2:
            lines = (*heard[0].lines, *heard[1].lines)
            return [Candidate(lines, heard[0].cost + heard[1].cost + 0.3, token.text in (".", ";"))]
    return []


def _whole(found: list[Token], line: str, context: Context) -> list[Candidate]:
    special = [
        *heads.text_entry(found, line, context),
        *heads.codes(found, line, context),
        *actions.verdict(found, context),
    ]
    return (
        special
        or [*trade.hours(found, line, context), *trade.money(found, line, context)]
        or [*_readings(found, line, context), *_done(found, line, context)]
    )


# corrections


def _corrections(line: str, context: Context) -> list[Candidate]:
    """'correction: comp on 6 was 110 not 90', 'oops 3 was 0 not 70', 'that was 5 not 3', 'scratch that last line'."""
    again = _AGAIN.match(line)
    if again and (swap := next((said for kind, said, _ in context.lines if kind == "swap"), "")):
        return [Candidate((f"correct {swap.partition(':')[0]}: {again[1]} {again[2]}",), 0.1)]
    marked = _CORRECTION.match(line)
    rest = line[marked.end() :] if marked else line
    if re.match(
        r"(?:scratch|forget|ignore|strike|disregard)\b.*\b(?:that|last|line|above|it|this)\b", rest, re.IGNORECASE
    ) and not re.search(r"\d", rest):
        return _withdrawn(context)
    yesterday = _YESTERDAY.match(rest)
    day = ""
    if yesterday and context.day:
        rest = rest[yesterday.end() :]
        day = f"{(context.day - timedelta(1)).isoformat()} "
    if marked and (other := _OTHER_PLACE.match(rest)):
        return _value_elsewhere(other["value"], other["place"], context)
    if meant := _MEANT.match(rest) or (_MEANT.match(line) if marked else None):
        return _other_place(meant["new"], meant["old"], context, set())
    wrong = _NOT.search(rest)
    if wrong is None:
        if not marked:
            return []
        tokens = lex(rest)
        if not tokens:
            return []
        return [
            c._replace(lines=tuple(f"correct {day}{_like_latest(said, context)}" for said in c.lines))
            for c in _readings(tokens, rest, context)
            if len(c.lines) == 1
        ]
    said = f"{rest[: wrong.start()]} {wrong['verb']} {wrong['new']} {wrong['unit']} {rest[wrong.end() :]}"
    subject = rest[: wrong.start()].strip().casefold()
    if subject in ("that", "it", "this", "that one", "the last one", ""):
        named = {k for t in lex(rest[wrong.end() :]) for k in t.all_of("kind")}
        return _other_place(wrong["new"], wrong["old"], context, named)
    tokens = lex(said)
    found = [c for c in _readings(tokens, said, context) if len(c.lines) == 1]
    old, new = wrong["old"], wrong["new"]
    out = []
    for candidate in found:
        out.append(candidate._replace(lines=(f"correct {day}{_like_latest(candidate.lines[0], context)}",)))
    if not out and (last := context.last.kind) and re.fullmatch(r"(?:#|cyl\s*|no\.?\s*)?\d{1,2}", subject):
        out = [Candidate((f"correct {last}: {re.sub(r'[^0-9]', '', subject)} {new}",), 0.2, True)]
    del old
    return out


def _like_latest(said: str, context: Context) -> str:
    """A corrected reading is of the sort that it corrects: 'compression dry', where that was read last."""
    head, _, body = said.partition(":")
    place = body.split()[0] if body.split() else ""
    for _, line, _ in context.lines:
        latest, _, read = line.partition(":")
        if latest.split(" ")[0] == head and re.search(rf"(?<![\d.]){re.escape(place)}(?![\d.])", read):
            return f"{latest}:{body}"
    return said


def _other_place(new: str, old: str, context: Context, named: set[str]) -> list[Candidate]:
    """'that was 5 not 3': the latest line with a 3 in it, with a 5 there."""
    for kind, said, _ in context.lines:
        head, colon, body = said.partition(":")
        pattern = rf"(?<![\d.]){re.escape(old)}(?![\d.])"
        if not colon or not re.search(pattern, body) or (named and kind not in named):
            continue
        if kind in ("swap",):
            return [Candidate((f"correct {head}:{re.sub(pattern, new, body, count=1)}",), 0.3, False)]
        value = re.search(rf"{pattern} (\S+?)(?:,|$| @)", body)
        if kind in named and value and kind in ("cut-out", "compression", "leak-down"):
            return [Candidate((f"correct {head}: {new} {value[1]}, {old} -",), 0.1)]
        if kind in ("cut-out", "compression", "leak-down", "firing") and value:
            return [
                Candidate((f"correct {head}: {new} {value[1]}",), 0.3, False),
                Candidate((f"correct {head}: {new} {value[1]}, {old} -",), 0.35, False),
            ]
        return []
    return []


def _value_elsewhere(value: str, place: str, context: Context) -> list[Candidate]:
    """'the 95 was #6': the latest line that reads 95, at 6; where it stood nothing was read."""
    for kind, said, _ in context.lines:
        head, colon, body = said.partition(":")
        at = re.search(rf"(?<![\d.])(\d{{1,2}}) {re.escape(value)}(?![\d.])", body)
        if colon and at and kind in ("cut-out", "compression", "leak-down"):
            return [Candidate((f"correct {head}: {place} {value}, {at[1]} -",), 0.1)]
    return []


def _withdrawn(context: Context) -> list[Candidate]:
    if not context.lines:
        return []
    kind, said, _ = context.lines[0]
    head = said.partition(":")[0]
    if kind in ("swap", "fit"):
        return [Candidate((f"correct {head}: -",), 0.3, False)]
    return [Candidate((f"correct {head}: all -",), 0.3, False), Candidate((f"correct {head}: -",), 0.35, False)]
