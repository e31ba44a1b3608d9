"""How wide drawn words are made. The reader's machine chooses the font, so a drawing fixes the length of its words.

A browser fits the letters of a word with a length (SVG ``textLength``) to it, be the font narrow or wide. The lengths
are those of a common sans-serif, a little narrowed: between the condensed fonts of the stylesheet and wide ones.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

NARROWED = 0.9
SQUEEZED = 0.75  # of its length a word may be pressed to before it is cut
FREE = 3  # so few letters need no fixed length: they have room in any font
# Widths in thousandths of the size: Adobe Core 14 font metrics, Helvetica.
_TABLE = {
    191: "'",
    222: "`ijl’‘",
    260: "|",
    278: " !,./:;I[\\]ft·",
    333: "()-r",
    334: "{}",
    350: "•",
    355: '"',
    389: "*",
    400: "°",
    469: "^",
    500: "Jcksvxyz",
    556: "#$0123456789?L_abdeghnopqu–µ«»",
    584: "+<=>~±×÷−",
    611: "FTZßø",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQØ",
    833: "Mm",
    834: "½",
    889: "%æ",
    944: "W",
    1000: "—…",
    1015: "@",
}
_WIDTHS = {ord(letter): width / 1000 for width, letters in _TABLE.items() for letter in letters}
_OTHER, _FULL = 0.65, 1.0 / NARROWED  # letters of other scripts, and those that fill a square


def width(text: str, size: float) -> float:
    """The length of ``text`` at a font size, in the unit of the size."""
    return round(NARROWED * size * sum(_letter(c) for c in text), 1)


def fitted(text: str, size: float, room: float) -> tuple[str, float]:
    """The text and its length within ``room``: as it is, pressed a little, or cut."""
    natural = width(text, size)
    if natural <= room:
        return text, natural
    most = room / SQUEEZED
    if natural > most:
        text = _cut(text, size, most)
    return text, round(min(width(text, size), room), 1)


def held(text: str, size: float, room: float) -> tuple[str, float]:
    """The same for a browser: the length to hold the words to, 0 for the few letters that need none."""
    shown, length = fitted(text, size, room)
    return shown, length if len(shown) > FREE else 0.0


def wrapped(text: str, size: float, room: float, most: int) -> list[str]:
    """``text`` in at most ``most`` lines of ``room``, parted between words; what has no line is left off, with '…'."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    if len(lines) <= most:
        return lines or [""]
    kept = lines[:most]
    kept[-1] = f"{kept[-1]} …"
    return kept


def _cut(text: str, size: float, room: float) -> str:
    left, kept = room - width("…", size), []
    for letter in text:
        left -= NARROWED * size * _letter(letter)
        if left < 0:
            break
        kept.append(letter)
    return "".join(kept).rstrip() + "…"


@lru_cache(maxsize=4096)
def _letter(letter: str) -> float:
    known = _WIDTHS.get(ord(letter))
    if known is not None:
        return known
    if unicodedata.combining(letter):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return _FULL
    plain = unicodedata.normalize("NFD", letter)[0]
    return _WIDTHS.get(ord(plain), _OTHER)
