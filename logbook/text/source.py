"""Bytes to text: decoding, line ends, the byte-order mark, and the signs that a phone puts in place of plain ones.

Every step keeps offsets: a character of ``Source.normal`` stands where its original stands in ``Source.text``.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import NamedTuple

_BLANKS = (
    "\t\x0b\x0c\r\x85\xa0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"
)
_INVISIBLE = "\u00ad\u200b\u200c\u200d\u2060\ufeff"
BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_PLAIN = str.maketrans(
    dict.fromkeys(_BLANKS + _INVISIBLE + BIDI + "\u2028\u2029", " ")
    | dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d", "-")
    | dict.fromkeys("\u2018\u2019\u201a\u201b\u2032\u00b4`", "'")
    | dict.fromkeys("\u201c\u201d\u201e\u201f\u2033\u00ab\u00bb", '"')
    | {
        "\u2026": ".",
        "\u00d7": "x",
        "\u2248": "~",
        "\u2264": "<",
        "\u2265": ">",
        "\uff1a": ":",
        "\u00ba": "\u00b0",
        "\u2044": "/",
    }
)

_RUN_DOTS = r"(?<=[0-9])\u2026(?=[A-Za-z]?[0-9])"


class BadByte(NamedTuple):
    """One place where the bytes are not UTF-8; ``line`` counts from 1, ``byte`` from 1 within the line."""

    line: int
    byte: int
    value: int


class Source(NamedTuple):
    """A file as text. ``text`` has LF only; ``normal`` is the same text, sign for sign, in plain signs."""

    text: str
    normal: str
    starts: tuple[int, ...]
    bad_bytes: tuple[BadByte, ...] = ()
    wide: bool = False  # saved in two bytes a character
    carriage_returns: bool = False  # the only line ends are lone CRs
    bom: bool = False
    crlf: bool = False

    @property
    def line_count(self) -> int:
        """Pieces ended by LF, and a last one if it is not empty."""
        return len(self.starts)


def decode(raw: bytes) -> Source:
    """The text of any bytes at all; what is not UTF-8 becomes U+FFFD and is listed."""
    wide = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
    bom = raw.startswith(b"\xef\xbb\xbf")
    body = raw[3:] if bom else raw
    bad: tuple[BadByte, ...] = ()
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        bad = _bad_bytes(body)
        text = body.decode("utf-8", "replace")
    crlf = "\r\n" in text
    if crlf:
        text = text.replace("\r\n", "\n")
    starts = _line_starts(text)
    lone = "\r" in text and "\n" not in text and not crlf
    normal = text
    if not text.isascii():
        normal = re.sub(_RUN_DOTS, "-", text)  # '17\u202618' is a range, never 17.18
    normal = normal.translate(_PLAIN)
    return Source(text, normal, starts, bad, wide, lone, bom, crlf)


def _line_starts(text: str) -> tuple[int, ...]:
    starts = [0]
    position = text.find("\n")
    while position >= 0:
        starts.append(position + 1)
        position = text.find("\n", position + 1)
    if starts[-1] == len(text):
        starts.pop()
    return tuple(starts)


def _bad_bytes(body: bytes) -> tuple[BadByte, ...]:
    """The first bad byte of every line that has one."""
    found = []
    for number, piece in enumerate(body.split(b"\n"), start=1):
        try:
            piece.decode("utf-8")
        except UnicodeDecodeError as fault:
            found.append(BadByte(number, fault.start + 1, piece[fault.start]))
    return tuple(found)


def line_and_column(text: str, offset: int) -> tuple[int, int]:
    """Line and column of an offset, both from 1."""
    offset = min(max(offset, 0), len(text))
    line = text.count("\n", 0, offset) + 1
    return line, offset - (text.rfind("\n", 0, offset) + 1) + 1


class LineIndex:
    """Line and column of many offsets of one text, quickly."""

    def __init__(self, text: str) -> None:
        self._starts = _line_starts(text) or (0,)

    def place(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self._starts, max(offset, 0))
        return line, offset - self._starts[line - 1] + 1
