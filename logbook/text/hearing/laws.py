"""What must hold between a jotted line and the lines it was heard as."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Sequence

from logbook.text.hearing.lexer import Token, lex

_WORDS = ("plan:", "waiting:", "arrived:", "order:", "guess:", "photo:", "film:", "caution:", "road:", "symptom:")


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


def leaves_words(jotted: str, heard: Iterable[str]) -> bool:
    """Whether a word that no table knows, or a number, stands in the jotted line and not in what was heard."""
    said = " ".join(heard).casefold()
    return any(_counts(t) and t.text.casefold() not in said for t in lex(jotted))


def _counts(token: Token) -> bool:
    return bool(token.number) or (token.sort in ("word", "tag", "bracket") and not token.senses)


def uses_tags(jotted: str, heard: Iterable[str], tags: Container[str]) -> bool:
    """Whether every part that is named by its tag stands in what was heard, and not only in a remark or among words."""
    said = re.sub(r"\([^()]*\)", "", " ".join(heard)).upper()
    if any(line.startswith(_WORDS) for line in heard):
        return True
    return all(t.text.upper() in said for t in lex(jotted) if t.sort == "tag" and t.text.upper() in tags)


def passes_over(jotted: str, heard: Sequence[str]) -> bool:
    """Whether a word that no table knows, a sign that stands for nothing, or a 'no' is left out of what was heard."""
    if any(line.removeprefix("proved ").startswith(_WORDS) for line in heard):
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
        told = corrects or (token.key == "no" and (marks or aside or "none" in said))  # 'no 3', 'no gauge', 'no pulse'
        if token.key in _NEGATIONS and not told:
            return True
        if token.sort == "word" and not token.senses and token.key not in _DATED and token.text.casefold() not in said:
            return True
    return False


def kept_parts(found: Sequence[Token], heard: Iterable[str]) -> bool:
    """Whether every sort of part that is named stands in what was heard."""
    said = " ".join(heard)
    return all(part in said for t in found if (part := t.of("part")) and not t.says("kind", "fill"))


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
