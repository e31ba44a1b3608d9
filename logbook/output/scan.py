"""The last look before a public copy is published: is anything private in the bytes that would be moved into place?

A second, simpler way than the masking (``logbook.job.masking``): no rules of language, only whether a value can be read
in a file, its name or a picture's metadata. What it finds is a mistake of ours, so nothing is published.
"""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from logbook.job.masking import canonical, plain
from logbook.job.ordinary import is_ordinary
from logbook.job.private_values import PrivateValue
from logbook.output.site import Refused
from logbook.pages import jobs_list
from logbook.pages.data import SCHEMA
from logbook.pages.frame import GUIDE, NOT_FOUND

_GRAM = 5  # characters by which a value is recognised before it is looked at closely
_FEWEST_WORDS = 4  # of a remark of ordinary words that cannot be a sentence of ours by chance
_PHONE = 7  # last figures of a telephone number, without prefix and area
_SHOWN = ("alt", "aria-label", "content", "datetime", "href", "id", "label", "src", "title", "value")
_TAG = re.compile(r"<[^<>]*>")
_ATTRIBUTE = re.compile(rf'\s(?:{"|".join(_SHOWN)})="([^"]*)"')
_ESCAPED = re.compile(r"\\u([0-9a-fA-F]{4})")
_WORD = re.compile(r"[^\W\d_]{4,}")
_APART = re.compile(r"[^\w,;:|<>\n]+|_+")
_BETWEEN = r"[\s._/()\-]{0,3}"
_BETWEEN_WORDS = r"[^\w<>|]{0,3}"
_ENDINGS = ("", "s", "en")
_PICTURES = (b"\xff\xd8", b"\x89PNG", b"RIFF")


class Leak(NamedTuple):
    """A private value that can be read in a file of the site."""

    file: str
    value: PrivateValue


class Scan:
    """Made once of all values; ``leaks`` then takes a time that grows with the bytes alone."""

    def __init__(self, values: Iterable[PrivateValue], public: Iterable[str] = ()) -> None:
        self._public = [text for text in public if text]
        self._names: dict[str, PrivateValue] = {}
        self._grams: dict[str, list[tuple[str, PrivateValue]]] = {}  # pattern and value
        for value in values:
            if value.sort == "name" and value.text.isalpha():
                self._add_name(value)
            elif value.sort != "amount":
                self._add_pieces(value)

    def _add_name(self, value: PrivateValue) -> None:
        name = canonical(value.text)
        if len(name) >= _GRAM and not is_ordinary(plain(value.text)):
            for ending in _ENDINGS:
                if not is_ordinary(plain(value.text) + ending):
                    self._names.setdefault(name + ending, value)

    def _add_pieces(self, value: PrivateValue) -> None:
        """Codes, telephone numbers and whole names or remarks: whatever stands between their letters."""
        words = _WORD.findall(value.text)
        if value.sort == "words" and len(value.text.split()) < _FEWEST_WORDS and all(map(is_ordinary, words)):
            return
        bare = "".join(char for char in plain(value.text) if char.isalnum())
        bare = bare[-_PHONE:] if value.sort == "phone" else bare
        if len(bare) < _GRAM or (value.sort == "code" and bare.isalpha()):
            return
        before = "" if value.sort == "phone" else r"(?<![^\W_])"
        between = _BETWEEN_WORDS if value.sort == "words" else _BETWEEN
        pattern = f"{before}{between.join(map(re.escape, bare))}(?![^\\W_])"
        self._grams.setdefault(bare[:_GRAM], []).append((pattern, value))

    def leaks(self, files: Iterable[tuple[str, bytes]]) -> Iterator[Leak]:
        """Each file with the values that can be read in it or in its name."""
        for name, data in files:
            found: dict[PrivateValue, None] = {}
            for text in (name, *texts_of(name, data)):
                found.update(dict.fromkeys(self._in(text)))
            yield from (Leak(name, value) for value in found)

    def _in(self, text: str) -> Iterator[PrivateValue]:
        for said in self._public:
            text = text.replace(said, " ")
        for word in set(_WORD.findall(text)):
            if (value := self._names.get(canonical(word))) is not None:
                yield value
        if self._grams:
            low = plain(text)
            bare = _bare(low)
            for gram in {bare[i : i + _GRAM] for i in range(len(bare) - _GRAM + 1)} & self._grams.keys():
                yield from (value for pattern, value in self._grams[gram] if re.search(pattern, low))


def may_leak(name: str) -> bool:
    """Whether anything of a log is in a file: not in those that come with the program."""
    return not name.startswith(("static/", GUIDE)) and name not in (SCHEMA, jobs_list.SCHEMA, NOT_FOUND)


def refusal(leaks: Sequence[Leak]) -> Refused:
    """Says of each value which line it comes from, and of the first files where it would be shown."""
    told = dict.fromkeys(f"the {leak.value.kind} of {leak.value.path}, line {leak.value.line}" for leak in leaks)
    return Refused(
        f"the public copy would show something private: {'; '.join(told)}. Nothing was published",
        "reword the line that repeats it, or mark that line 'private'; if no line repeats it, please report this",
        tuple(dict.fromkeys(leak.file for leak in leaks)),
    )


def _bare(text: str) -> str:
    """Letters and figures alone, as long as nothing stands between them that ends a number or a sentence."""
    return _APART.sub("", text)


def texts_of(name: str, data: bytes) -> Iterator[str]:
    """Everything in a file that can be read: text, what its tags say, and what a picture carries beside its pixels."""
    if data.startswith(_PICTURES):
        yield from _metadata(data)
        return
    text = data.decode("utf-8", "replace")
    if name.endswith((".html", ".svg", ".xml")):
        yield html.unescape(_TAG.sub("\n", text))
        yield html.unescape("\n".join(_ATTRIBUTE.findall(text)))
    else:
        yield _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)


def _metadata(data: bytes) -> Iterator[str]:
    from PIL import Image

    with Image.open(io.BytesIO(data)) as image:
        said = [*image.info.items(), *image.getexif().items()]
    for key, value in said:
        yield f"{key} {value.decode('utf-8', 'replace') if isinstance(value, bytes) else value}"
