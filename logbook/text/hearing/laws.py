"""What must hold between a jotted line and the lines it was heard as."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Sequence
from difflib import get_close_matches

from logbook.text.hearing.lexer import Token, lex
from logbook.text.hearing.lexicon import frames

TEXTS = ("plan:", "waiting:", "arrived:", "order:", "guess:", "photo:", "film:", "caution:", "road:", "symptom:")


_MONEY = ("quote:", "spent:", "got:", "agreed:", "asked ")
_NEGATIONS = frozenset({"no", "not", "never", "without", "didnt", "dont", "doesnt", "isnt", "wasnt", "cant", "couldnt"})
_DATED = frozenset(  # what a day, a clock or a correction is said with, and used up by it
    {
        "yesterdays",
        "worked",
        "work",
        "until",
        "till",
        "correction",
        "correct",
        "oops",
        "wed",
        "back",
        "half",
        "past",
        "quarter",
        "quarters",
        "retest",
        "repeated",
    }
)


_WORK = {  # a verb of work, and the kinds that say it was done
    "swap": {"swap", "fit", "move", "put back"},
    "fit": {"fit", "swap", "put back"},
    "move": {"move", "swap", "fit", "put back"},
    "replace": {"fit", "swap", "spent", "fill"},
    "clean": {"clean"},
    "remove": {"remove", "unplug", "cut-out"},
    "repair": {"repair"},
    "back": {"put back", "reconnect"},
    "unplug": {"unplug", "cut-out"},
    "reconnect": {"reconnect"},
}
_CLEANED = frozenset({"flow", "spray", "drip", "click", "pulse", "resistance"})  # read before and after cleaning
_MARKS_NUMBER = frozenset(
    {"into", "bank", "donor", "no", "every", "cylinder", "cyl", "nr", "from", "by", "limit", "max"}
)


def lost_act(found: Sequence[Token], heard: Sequence[str]) -> bool:
    """Whether work that was done stands in what was heard as words alone."""
    kinds = {entry_head(line) for line in heard}
    fitted = [t for t in found if t.of("verb") in ("replace", "fit", "swap") and not t.says("fill", "spent", "got")]
    if kinds == {"hours"} and fitted and any(t.says("part") for t in found):
        return True
    if kinds & {frame.kind for frame in frames().values() if frame.sort in ("text", "file", "money", "stock")}:
        return False
    for token in found:
        verbs = [v for v in token.all_of("verb") if v in _WORK]
        if not verbs or token.says("fill", "link", "now", "out", "part", "age") or set(token.all_of("kind")) & kinds:
            continue
        if "clean" in verbs and kinds & _CLEANED:
            continue
        if not any(_WORK[v] & kinds for v in verbs):
            return True
    return False


_ALSO_SAID = {  # senses, and what says them in the language
    "key on": "key-on", "key off": "rest", "before cleaning": "rest", "but": "rest", "both": "", "bank1": "",
    "bank2": "", "all": "", "rest": "", "odd": "", "even": "", "left": "", "right": "", "front": "", "rear": "",
}  # fmt: skip
_SAID_BY_NOW = frozenset({"moved-to", "moved", "stayed", "same", "rises", "smooth", "no-drop", "drops", "rough", "ok"})


def unsaid(found: Sequence[Token], heard: Sequence[str]) -> str:
    """What was seen, or a part, that stands nowhere in what was heard, not even in a remark."""
    said = " ".join(heard).casefold()
    kinds = [k for line in heard if (k := entry_head(line))]
    for token in found:
        if token.sort in ("sign", "number", "bracket", "tag") or token.says("fill", "link", "sep", "mark", "number"):
            continue
        if token.key == "scratch" and heard[0].startswith("correct "):
            continue
        if token.text.casefold() in said or token.key in said or not token.says("out", "part", "connof", "thing"):
            continue
        if token.says("kind", "weak", "now", "money", "got", "spent", "asked", "quote", "each", "verb", "age", "unit"):
            continue
        values = {v for _, v in token.senses}
        mapped = {frames()[k].out.get(v, v) for k in kinds for v in values}
        if (", now " in said and values & _SAID_BY_NOW) or (token.says("junk") and "cause" in kinds):
            continue
        if "drops" in values and "cut-out" in kinds:
            continue  # by how much stands there
        if "not done" in values and " -" in said:
            continue
        if not any(v.casefold() in said for v in mapped | {_ALSO_SAID.get(v, v) for v in values}):
            return token.text
    return ""


def entry_head(line: str) -> str:
    """The kind of a canonical line."""
    said = line.removeprefix("proved ").removeprefix("correct ").partition(":")[0]
    words = re.sub(r"^[\d:-]+ ", "", said).split(" ")
    known = frames()
    if words[0] == "hours":
        return "hours"
    return next((k for n in range(len(words), 0, -1) if (k := " ".join(words[:n])) in known), "")


def loose_number(heard: Iterable[str]) -> bool:
    """Whether a number that may be a place or a reading stands in a remark."""
    for line in heard:
        frame = frames().get(entry_head(line))
        if frame is None or frame.sort not in ("readings", "slots", "action") or frame.kind == "hours":
            continue
        for remark in re.findall(r"\(([^()]*)\)", line):
            found = lex(remark)
            for at, token in enumerate(found):
                before = found[at - 1].key if at else ""
                behind = found[at + 1] if at + 1 < len(found) else None
                unit = behind is not None and (behind.says("unit") or behind.key in ("every", "per", "each", "of"))
                if behind is not None and behind.key[-1:] == "s" and not behind.says("out", "place", "mark"):
                    continue  # '3 steps'
                if any(t.key.split(" ")[0] == "so" for t in found[:at]):
                    continue  # what was concluded
                if token.number and not unit and before not in _MARKS_NUMBER and "bank" not in token.key:
                    return True
    return False


def leaves_words(jotted: str, heard: Iterable[str]) -> bool:
    """Whether a word that no table knows, or a number, stands in the jotted line and not in what was heard."""
    said = " ".join(heard).casefold()
    return any(_counts(t) and t.text.casefold() not in said for t in lex(jotted))


def _counts(token: Token) -> bool:
    return bool(token.number) or (token.sort in ("word", "tag", "bracket") and not token.senses)


def uses_tags(jotted: str, heard: Iterable[str], tags: Container[str]) -> bool:
    """Whether every part that is named by its tag stands in what was heard, and not only in a remark or among words."""
    said = re.sub(r"\([^()]*\)", "", " ".join(heard)).upper()
    if any(line.startswith(TEXTS) for line in heard):
        return True
    return all(t.text.upper() in said for t in lex(jotted) if t.sort == "tag" and t.text.upper() in tags)


def passes_over(jotted: str, heard: Sequence[str]) -> bool:
    """Whether a word that no table knows, a sign that stands for nothing, or a 'no' is left out of what was heard."""
    if any(line.removeprefix("proved ").startswith(TEXTS) for line in heard):
        return False
    said = " ".join(heard).casefold()
    found = lex(jotted)
    for at, token in enumerate(found):
        behind = found[at + 1] if at + 1 < len(found) else None
        before = found[at - 1].text if at else ""
        marks = behind is not None and (behind.number is not None or (behind.text in ".#" and token.text != "#"))
        if token.text == "#" and not marks:
            return True
        aside = behind is not None and before in (",", "-", ";") and f"{token.text} {behind.text}".casefold() in said
        corrects = token.key == "not" and marks and heard[0].startswith(("correct ", "proved correct "))
        priced = token.text.casefold() in said.split() and heard[0].startswith(_MONEY)  # 'quote: 1800 no vat'
        told = (
            corrects or priced or (token.key == "no" and (marks or aside or "none" in said))
        )  # 'no 3', 'no gauge', 'no pulse'
        if token.key in _NEGATIONS and not told:
            return True
        if token.sort == "word" and not token.senses and token.key not in _DATED and token.text.casefold() not in said:
            return True
    return False


_EVIDENCE = ("part", "connof", "thing", "out", "weak", "junk", "money", "got", "spent", "asked", "quote", "agreed")


def only_tells(line: str) -> bool:
    """Whether a line has no number, place, part, outcome, work or kind in it, so that it can be evidence of nothing."""
    found = lex(line)
    if not found or ":" in line:
        return False
    for token in found:
        if token.number or token.sort in ("tag", "code", "file"):
            return False
        if token.says(*_EVIDENCE) and not token.says("fill", "link", "verdict"):
            return False
        if token.says("place") and (token.of("place") != "all" or any(t.says("out") for t in found)):
            return False
        if any(frames()[k].sort not in ("none", "text") for k in token.all_of("kind")) and not token.says("fill"):
            return False
        if any(v in _WORK or v in ("cut", "adjust") for v in token.all_of("verb")) and not token.says("fill"):
            return False
    first = found[0].key
    return not get_close_matches(first, frames(), 1, 0.8)


def concludes(found: Sequence[Token]) -> bool:
    """'so 5 is the sick one': what is thought of what was read; work and readings are told besides."""
    if found[0].key not in ("so", "so its", "so thats", "so rings", "so valve", "so valves") or len(found) < 2:
        return False
    if any(t.says("verb") and not t.says("fill", "out", "junk", "verdict", "age") for t in found[1:]):
        return False
    return sum(bool(t.number) for t in found) < 2 and not any(t.says("unit", "now", "cond", "money") for t in found[1:])


def is_aside(clause: str) -> bool:
    """Whether a clause is evidence of nothing, and neither denies, doubts nor puts off what stands beside it."""
    found = lex(clause)
    if found and (
        concludes(found)
        or (
            found[0].key == "which"
            and not any(t.number or (t.says("out") and not t.says("fill", "verdict")) for t in found)
        )
    ):
        return True
    if any(t.says("irreal", "doubt", "cond", "now", "place") or (t.says("out") and not t.says("link")) for t in found):
        return False
    return len(found) > 1 and only_tells(clause)


def may_be_offered(found: Sequence[Token], heard: Sequence[str]) -> bool:
    """Whether nothing that may turn the meaning is left in a remark: a word nobody knows, an outcome, another kind."""
    if any(line.startswith(TEXTS) for line in heard):
        return True
    remarks = " ".join(re.findall(r"\(([^()]*)\)", " ".join(heard))).casefold()
    first = {w for r in re.findall(r"\(([^()]*)\)", " ".join(heard)) for w in r.casefold().split(" ")[:1]}
    for token in found:
        if token.sort not in ("word", "code", "tag") or token.text.casefold() not in remarks:
            continue
        if token.key in _NEGATIONS - {"no"}:
            return False
        if not token.senses and token.key not in _DATED:
            return False
        state = set(token.all_of("out")) & _TURNS
        where = set(token.all_of("out")) & _WHERE or (token.text.casefold() in first and not state)
        if token.says("part", "thing") and not token.says("fill", "aside"):
            return False
        if token.says("kind") and not token.says("out", "fill", "link", "unit", "age", "aside"):
            return False
        told = token.says("out", "kind", "weak", "verb")
        if told and not where and not token.says("fill", "link", "verdict", "unit", "age", "aside"):
            return False
    return True


_TURNS = frozenset({"none", "dead", "fires", "weak", "same", "moved", "no-drop", "drops", "zero"})
_WHERE = frozenset({"exhaust", "intake", "oil-filler", "coolant", "neighbour", "fuel", "oil"})


def says_all(jotted: str, offered: str) -> bool:
    """Whether a whole line that is offered holds every word and number of the jotted one that says something."""
    there = {t.key for t in lex(offered)} | set(offered.casefold().split())
    numbers = [t.number.low for t in lex(offered) if t.number]
    for token in lex(jotted):
        if token.number:
            if token.number.low not in numbers:
                return False
            numbers.remove(token.number.low)
            continue
        tells = token.sort in ("word", "tag", "code", "file") and not token.says("fill", "link", "mark", "sep", "now")
        if tells and token.key not in there and token.text.casefold() not in offered.casefold():
            return False
    return True
