"""Looks for secrets in the bytes of a site. Written apart from logbook: it shares no code and no rule with it.

Everything that could be read is read: names of files and folders, every text in every spelling that a page, a script or
an address can hide it in, and what pictures carry beside their pixels.
"""

from __future__ import annotations

import html
import io
import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import NamedTuple
from urllib.parse import unquote

from PIL import Image

_ESCAPED = re.compile(r"\\u([0-9a-fA-F]{4})")
_DRAWN = re.compile(r'\s(?:d|points|x|y|x1|x2|y1|y2|cx|cy|transform|viewBox|style|clip-path)="[^"]*"')
_TAG = re.compile(r"<[^<>]*>")
_DIGRAPHS = (("ä", "ae"), ("ö", "oe"), ("ü", "ue"), ("å", "aa"), ("ø", "oe"), ("æ", "ae"), ("ß", "ss"), ("ł", "l"))


class Secret(NamedTuple):
    """``sort`` is name, ordinary (a name that is a word too), code (plate, frame number), phone or price."""

    sort: str
    text: str


class Hit(NamedTuple):
    secret: Secret
    file: str
    around: str


def search(site: Mapping[str, bytes], secrets: list[Secret]) -> list[Hit]:
    """Every secret that stands in a file of the site or in its name."""
    hits = []
    for name, data in site.items():
        for piece in (name, *_texts(name, data)):
            forms = _Forms(piece)
            for secret in secrets:
                at = forms.where(secret)
                if at is not None:
                    hits.append(Hit(secret, name, at))
    return hits


def _texts(name: str, data: bytes) -> Iterator[str]:
    if data[:2] == b"\xff\xd8" or data[:4] == b"\x89PNG" or data[:4] == b"RIFF":
        with Image.open(io.BytesIO(data)) as image:
            yield " ".join(f"{key} {value}" for key, value in image.info.items())
            yield " ".join(f"{key} {value}" for key, value in image.getexif().items())
        return
    text = data.decode("utf-8", "replace")
    text = _ESCAPED.sub(lambda m: chr(int(m[1], 16)), text)
    if name.endswith((".html", ".svg", ".xml")):
        shown = html.unescape(_TAG.sub("\n", text))
        yield shown
        yield html.unescape("\n".join(_TAG.findall(_DRAWN.sub(" ", text))))
        yield html.unescape(_TAG.sub("", text))  # a value cut in two by a tag
    else:
        yield text
        yield unquote(text)


class _Forms:
    """One text in the forms in which secrets are looked for."""

    def __init__(self, text: str) -> None:
        self.text = text
        lowered = text.lower()
        for letter, two in _DIGRAPHS:
            lowered = lowered.replace(letter, two)
        self.long = _bare(lowered)
        self.short = _bare(text.lower().replace("ß", "ss").replace("ø", "o").replace("ł", "l").replace("æ", "ae"))

    def where(self, secret: Secret) -> str | None:
        if secret.sort == "name":
            return self._name(secret.text)
        if secret.sort == "ordinary":
            return _around(self.text, re.search(rf"(?<![A-Za-z]){secret.text}(?:'s)?(?![a-z])", self.text))
        if secret.sort == "price":
            return self._price(secret.text)
        if secret.sort == "phone":
            return self._phone(re.sub(r"\D", "", secret.text))
        if secret.sort == "last":
            found = re.search(rf"(?<![\w,#-])(?<!\d\.){secret.text}(?![\w]|[.,-]\d)", self.text)
            return _around(self.text, found)
        plain = re.sub(r"[\W_]", "", secret.text.lower())
        pattern = r"[\s._/()-]{0,2}".join(map(re.escape, plain))
        return _around(self.short, re.search(rf"(?<![a-z0-9]){pattern}(?![a-z0-9])", self.short))

    def _name(self, name: str) -> str | None:
        lowered = name.lower()
        longer = lowered
        for letter, two in _DIGRAPHS:
            longer = longer.replace(letter, two)
        for text, wanted in ((self.long, _bare(longer)), (self.short, _bare(longer)), (self.short, _bare(lowered))):
            at = text.find(wanted)
            if at >= 0:
                return text[max(0, at - 30) : at + 40]
        return None

    def _phone(self, digits: str) -> str | None:
        core = digits[-7:]
        pattern = r"[ ./()-]{0,3}".join(core)
        return _around(self.text, re.search(rf"{pattern}(?!\d)", self.text))

    def _price(self, amount: str) -> str | None:
        whole, _, cents = amount.partition(".")
        pattern = (
            rf"(?<![\w.,]){whole}[.,]{cents}(?!\d)"
            if cents
            else rf"(?<![\w,#-])(?<!\d\.){whole}(?:[.,]00)?(?![\w]|[.,-]\d)"
        )
        return _around(self.text, re.search(pattern, self.text))


def _around(text: str, found: re.Match[str] | None) -> str | None:
    return None if found is None else text[max(0, found.start() - 30) : found.end() + 30]


def _bare(text: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
