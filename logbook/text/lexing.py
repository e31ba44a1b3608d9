"""One line of an entry cut into tokens. Linear in the length of the line."""

from __future__ import annotations

import re
from functools import partial
from typing import NamedTuple

_TOKEN = re.compile(
    r"""
    (?P<path>[A-Za-z][\w-]*/[A-Za-z]{1,3}[0-9]+(?![\w/]))       # D1/A3
  | (?P<word>[^\W\d_]\w*(?:(?:-[^\W\d_]{2,}|'[^\W\d_]+)\w*)*)   # on-plug, doesn't, A3, P0302
  | (?P<number>(?:(?<![^\s=(,;:@><~])[+-])?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))
  | (?P<sign>\.\.+|\+/-|\+-|<>|[^\w\s]|\w)
    """,
    re.VERBOSE,
)


class Token(NamedTuple):
    """``kind`` is path, word, number or sign; ``text`` is in plain signs; ``glued``: no blank before it."""

    kind: str
    text: str
    start: int
    end: int
    glued: bool


_token = partial(tuple.__new__, Token)  # the same tuple without the call of its Python constructor


def tokens(normal: str, start: int, end: int) -> list[Token]:
    """The tokens of ``normal[start:end]``, offsets counted in the whole text."""
    found: list[Token] = []
    last = -1
    for match in _TOKEN.finditer(normal, start, end):
        at, to = match.span()
        found.append(_token((match.lastgroup or "sign", match.group(), at, to, at == last)))
        last = to
    return found
