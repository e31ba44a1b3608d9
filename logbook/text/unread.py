"""What a small reader raises where it cannot go on: the problem, without its file."""

from __future__ import annotations

from logbook.spans import Span
from logbook.text.lexing import Token


class Unread(Exception):
    """Never leaves the reader: the smallest thing that could not be read becomes a problem."""

    def __init__(self, number: int, span: Span, message: str, mend: str, related: tuple[Span, ...] = ()) -> None:
        super().__init__(message)
        self.number = number
        self.span = span
        self.message = message
        self.mend = mend
        self.related = related
        self.near: tuple[str, ...] | None = None  # words among which to look for the nearest

    @classmethod
    def word(cls, token: Token, words: tuple[str, ...]) -> Unread:
        """A word that the kind does not know; the nearest one is looked up when the problem is made."""
        known = ", ".join(words)
        mend = (
            f"write one of: {known}; anything else goes into a bracket" if known else "put it into a bracket or a note"
        )
        found = cls(212, Span(token.start, token.end), f"'{token.text}' is not a word that this kind knows.", mend)
        found.near = words
        return found
