"""A jotted line to the canonical lines that it may be: none, one, or a few that are all offered."""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import cache
from typing import NamedTuple

from logbook.text.hearing import actions, codes, days, heads, hours, stages, stock, trade, verdicts
from logbook.text.hearing.asides import READS, with_aside, without_asides
from logbook.text.hearing.corrections import corrections
from logbook.text.hearing.framing import DONE, all_numbers, readings
from logbook.text.hearing.laws import (
    TEXTS,
    entry_head,
    loose_number,
    lost_act,
    may_be_offered,
    passes_over,
    unsaid,
    uses_tags,
)
from logbook.text.hearing.lexer import Token, lex, plain
from logbook.text.hearing.lexicon import atoms_key, fold, frames, phrases, spelt_out
from logbook.text.hearing.model import Candidate, Context
from logbook.text.hearing.writings import rewritten

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


_HOURS_BEHIND = re.compile(
    r"^(?P<said>.+?),\s*(?P<hours>\d+(?:[.,]\d+)?\s*(?:h|hr|hrs|hour|hours|min|mins|minutes))\.?$", re.IGNORECASE
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


CLEAN, DOUBTED = 2, 1  # how lines are read: without a word, or with a doubt


_LOOSE = frozenset({"pull", "idle", "bought", "spent", "got", "order", "plan", "look", "crank", "plug look"})


class Heard(NamedTuple):
    """What came of a line: ``choices`` are whole lines (or several, with line ends), the likeliest first.

    ``sure``: the first one is what was meant, and is read; else all are offered.
    """

    choices: tuple[str, ...] = ()
    sure: bool = False


def hear(line: str, context: Context, reads: READS) -> Heard:
    """The canonical lines that a jotted line may be. ``reads`` tells how they are read: ``CLEAN``, ``DOUBTED`` or 0."""
    spelt = _SHORTENED.sub(_at_length, line)
    heard = _heard(spelt, context, reads)
    if spelt != line and (heard is None or heard.choices[0].startswith(TEXTS)):  # a story keeps its own words
        heard = _heard(line, context, reads) or heard
    return heard or _sounding(line, context, reads) or Heard()


def _at_length(match: re.Match[str]) -> str:
    word = fold(match.group())
    return match.group() if spelt_out(word) == word else spelt_out(word)


_SHORTENED = re.compile(r"(?<![\w'.-])[A-Za-z][a-z']+(?![\w'.-])")


def _sounding(line: str, context: Context, reads: READS) -> Heard | None:
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


def _heard(line: str, context: Context, reads: READS) -> Heard | None:
    told, aside = without_asides(line)
    if aside:
        heard = _heard(told, context, reads)
        if heard is not None and heard.sure and not heard.choices[0].startswith(TEXTS):
            lines = tuple(heard.choices[0].split("\n"))
            whole = with_aside(Candidate(lines), re.sub(r"[():@]", " ", aside), reads)
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
    if dated := days.day_line(line, context):
        return dated
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
    retest = _RETEST.match(line) if not proof and context.last.kind in DONE | {"adjust", "put back"} else None
    if retest:
        line = line[retest.end() :]
    if corrected := corrections(_in_digits(line), context):
        return _prefixed(corrected, prefix)
    jotted = line
    line = rewritten(_spelt(_SPOKEN_CODE.sub(_as_code, line)), context)
    found = lex(line)
    if not found:
        return []
    whole = [Candidate((line,))] if line != jotted and ":" in line else []
    behind = _HOURS_BEHIND.match(line)
    if behind and (told := _with_hours(behind["said"], behind["hours"], context)):
        return _prefixed(told, prefix)
    meant = whole + _meant(found, line, context)
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


def _with_hours(said: str, time: str, context: Context) -> list[Candidate]:
    """'pulled the injectors, 1.5 hr': what was done, and how long it took."""
    tokens, clock = lex(said), lex(time)
    done = [c for c in _done(tokens, said, context) if c.sure] if tokens else []
    took = hours.hours(clock, time, context)
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
        stock.photo(found, line)
        or trade.donor(found, line, context)
        or stock.parts_named(found, context)
        or stock.stock(found, line, context)
        or codes.codes(found, line, context)
        or stages.stages(found, line, context)
        or verdicts.on_purpose(found, line, context)
        or verdicts.cause(line, context)
        or verdicts.verdict(found, context)
    )
    if special:
        return special
    traded = [*hours.hours(found, line, context), *trade.money(found, line, context)]
    if traded:
        return traded
    stop = next((at for at, t in enumerate(found) if t.text == "." and 0 < at < len(found) - 1), 0)
    first = [c for c in _done(found[:stop], line[: found[stop].start], context) if c.sure] if stop else []
    if first and (blame := verdicts.blamed(first[0], found[stop + 1 :])):
        return [first[0]._replace(lines=(*first[0].lines, blame))]
    whole = [*readings(found, line, context), *_done(found, line, context)]
    parted = _parted(found, line, context) if _several_tests(found) or not any(c.sure for c in whole) else []
    if parted and parted[0].sure and len({entry_head(said) for said in parted[0].lines}) > 1:
        return parted  # each clause names its own test
    if whole and (whole[0].sure or any(c.sure for c in whole)):
        return whole
    return [*parted, *whole] if parted else whole


def _done(found: list[Token], line: str, context: Context) -> list[Candidate]:
    done = actions.candidates(found, line, context)
    return [c for c in done if all_numbers(found, c, context)]


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
                [c for c in [*codes.codes(tokens, rest, context), *readings(tokens, rest, context)] if c.sure]
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


def _begins(found: list[Token], at: int) -> bool:
    """Whether another test is named here, behind one that has its readings: 'points .016 dwell 49'."""
    kinds = [k for k in found[at].all_of("kind") if frames()[k].sort == "readings"]
    ahead = {k for t in found[:at] for k in t.all_of("kind")}
    return (
        bool(kinds and ahead)
        and not set(kinds) & ahead
        and any(t.number for t in found[:at])
        and any(t.number for t in found[at:])
    )


def _several_tests(found: list[Token]) -> bool:
    """Whether clauses between commas name a test each."""
    clauses: list[list[Token]] = [[]]
    for token in found:
        if token.text == ",":
            clauses.append([])
        else:
            clauses[-1].append(token)
    return len(clauses) > 1 and all(map(_names_a_test, clauses))


def _names_a_test(found: list[Token]) -> bool:
    """Whether a clause says by itself what was tested; how a cylinder works may be told of what stands before."""
    if any(t.of("now") == "now" for t in found):
        return False
    kinds = [k for t in found[:4] for k in (*t.all_of("kind"), *t.all_of("weak"))]
    return any(frames()[k].sort == "readings" and k != "firing" for k in kinds)


def _parted(found: list[Token], line: str, context: Context) -> list[Candidate]:
    """Two entries on one line, where each half is heard by itself; cut where it is cut deepest."""
    deepest = sorted(enumerate(found), key=lambda item: item[1].text not in (";", "."))
    for at, token in deepest:
        begins = at > 0 and _begins(found, at)
        if at == 0 or not (begins or token.text in (",", ";", ".", "-") or token.key in ("and", "then", "and then")):
            continue
        first, second = line[: token.start].strip(" ,"), line[token.start if begins else token.end :].strip(" ,")
        heard: list[Candidate] = []
        for half in (first, second):
            tokens = lex(half)
            if len(half.split()) < 2:
                break
            several = [c for c in _whole(tokens, half, context) if c.sure]
            if not several and heard and tokens[0].says("cond", "qual"):  # 'cold 1 12 2 11; hot 1 13 2 12'
                half = f"{entry_head(heard[0].lines[0])} {half}"
                several = [c for c in _whole(lex(half), half, context) if c.sure]
            if not several and heard and token.text == ",":
                several = [c for c in _parted(tokens, half, context) if c.sure]  # a third clause, and a fourth
            if not several:
                break
            heard.append(several[0])
        if len(heard) == 2:
            lines = (*heard[0].lines, *heard[1].lines)
            alike = entry_head(lines[0]) == entry_head(lines[1]) and lex(second)[0].says("cond")
            named = all(_names_a_test(lex(half)) for half in (first, second))
            listed = token.text == "," and ((len(lines) == 2 and alike) or named)
            sure = begins or token.text in (".", ";") or listed
            return [Candidate(lines, heard[0].cost + heard[1].cost + 0.3, sure)]
    return []


def _whole(found: list[Token], line: str, context: Context) -> list[Candidate]:
    special = [
        *heads.text_entry(found, line, context),
        *codes.codes(found, line, context),
        *verdicts.verdict(found, context),
    ]
    return (
        special
        or [*hours.hours(found, line, context), *trade.money(found, line, context)]
        or [*readings(found, line, context), *_done(found, line, context)]
    )
