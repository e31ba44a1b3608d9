"""A body cut up: brackets closed, clauses told apart, readings split at their separators."""

from __future__ import annotations

from logbook.spans import Span
from logbook.text.lexing import Token
from logbook.text.unread import Unread

SEPARATORS = (",", ";", "|")
_CONDITION_STARTS = frozenset({"now", "spec"})
_OPENERS = frozenset({"now", "spec", "from", "at"})


class Item:
    """What stands between two separators; ``remark`` is the text of the bracket that closes it."""

    def __init__(
        self, tokens: list[Token] | None = None, remark: str = "", bracketed: bool = False, start: int = 0, end: int = 0
    ) -> None:
        self.tokens = tokens or []
        self.remark = remark
        self.bracketed = bracketed
        self.start = start
        self.end = end
        self.bracket_at: int = -1  # how many tokens stood before the last bracket

    @property
    def span(self) -> Span:
        return Span(self.start, self.end)

    @property
    def empty(self) -> bool:
        return not self.tokens and not self.bracketed


def close_brackets(found: list[Token], text: str) -> list[Token]:
    """Each bracket becomes one token of the kind 'bracket' with its inner text, to the letter."""
    closed: list[Token] = []
    depth, opened = 0, 0
    first: Token | None = None
    for token in found:
        if token.text == "(":
            if depth == 0:
                opened, first = token.start, token
            depth += 1
        elif token.text == ")":
            if depth == 0:
                raise Unread(
                    210,
                    Span(token.start, token.end),
                    "A bracket closes that was never opened.",
                    "open it with '(' or leave it out",
                )
            depth -= 1
            if depth == 0 and first is not None:
                inner = text[opened + 1 : token.start].strip()
                closed.append(Token("bracket", inner, opened, token.end, first.glued))
        elif depth == 0:
            closed.append(token)
    if depth:
        raise Unread(
            210, Span(opened, found[-1].end), "The bracket is not closed.", "close it with ')' behind the remark"
        )
    return closed


def split_clauses(
    found: list[Token], at_opens: str, from_is_clause: bool
) -> list[tuple[str, list[Token], Token | None]]:
    """The readings (named '') and the clauses behind them, in order: now, spec, from, at, @.

    ``at_opens``: the clause that the word 'at' opens, 'at' for places, '@' for conditions, '' where it is a mere word.
    """
    parts: list[tuple[str, list[Token], Token | None]] = [("", [], None)]
    for index, token in enumerate(found):
        opens = token.text == "@" or (token.kind == "word" and token.text.casefold() in _OPENERS)
        if opens and (name := _clause(found, index, parts[-1][0], at_opens, from_is_clause)):
            _drop_separator(parts[-1][1])
            parts.append((name, [], token))
        else:
            parts[-1][1].append(token)
    return parts


def _clause(found: list[Token], index: int, inside: str, at_opens: str, from_is_clause: bool) -> str:
    token = found[index]
    if token.text == "@":
        return "@"
    word = token.text.casefold()
    before = found[index - 1].text if index else ","
    starts = before in (",", ";", ":") or index == 0
    if word in _CONDITION_STARTS and (starts or inside != "@"):
        return word
    if inside == "@":
        return ""
    if word == "from" and from_is_clause:
        return "from"
    if word == "at" and index + 1 < len(found):
        if at_opens != "@":
            return at_opens
        number = found[index + 1].kind == "number"
        bare = number and (index + 2 >= len(found) or found[index + 2].text in (",", ";", "and", "@"))
        return "" if bare else "@"
    return ""


def _drop_separator(found: list[Token]) -> None:
    while found and found[-1].text in (",", ";", ":"):
        found.pop()


def split_items(found: list[Token]) -> list[Item]:
    """The items between ', ' and '; '. A comma glued to a number on both sides is left for the number to refuse."""
    item = Item()
    items = [item]
    for index, token in enumerate(found):
        if token.text in SEPARATORS and token.kind == "sign" and not _in_number(found, index):
            if item.empty and len(items) == 1:
                mend = "put what follows into a bracket, or on a line of its own"
                raise Unread(211, Span(token.start, token.end), f"Nothing stands before the '{token.text}'.", mend)
            if item.empty:
                raise _nothing(max(item.start - 1, 0), token.end)
            item = Item(start=token.end, end=token.end)
            items.append(item)
            continue
        if item.empty:
            item.start = token.start
        item.end = token.end
        if token.kind == "bracket":
            item.remark = f"{item.remark} {token.text}".strip()
            item.bracketed = True
            item.bracket_at = len(item.tokens)
        else:
            item.tokens.append(token)
    if item.empty and len(items) > 1:
        raise _nothing(item.start - 1, item.end)
    return items if not item.empty else []


def _nothing(start: int, end: int) -> Unread:
    mend = "write what is missing, '-' for not done, or take the separator away"
    return Unread(211, Span(start, end), "Nothing stands between two separators.", mend)


def _in_number(found: list[Token], index: int) -> bool:
    token = found[index]
    if token.text != "," or not token.glued or index == 0 or index + 1 >= len(found):
        return False
    before, after = found[index - 1], found[index + 1]
    return before.kind == "number" and after.kind == "number" and after.glued
