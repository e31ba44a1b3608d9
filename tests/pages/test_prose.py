"""The prose of the sample site: at most eighteen words a sentence, what the log says itself apart."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib

MOST_WORDS = 18
OWN = re.compile(r"how-to-write-.*|story\.html|problems\.html")  # full of lines of logs
_END = re.compile(r"(?<=[.!?:;])\s+")
_FROM_TABLES = re.compile(r"Too much was exchanged|between 11\.89 V")  # of the diagnosis; a formula


def _paragraphs(element: Element) -> Iterator[str]:
    for one in element.iter():
        if one.tag in ("p", "dd", "h1", "h2", "h3") and not any(e.tag in ("code", "q", "ul") for e in one.iter()):
            yield " ".join("".join(one.itertext()).split())


def test_no_sentence_of_the_pages_is_longer_than_a_reader_likes(sample_site: Path) -> None:
    long = set()
    for page in sorted(sample_site.rglob("*.html")):
        if OWN.fullmatch(page.name):
            continue
        body = html5lib.parse(page.read_text(encoding="utf-8"), namespaceHTMLElements=False).find("body")
        for text in _paragraphs(body):
            said = [s for s in _END.split(text) if not set('“"') & set(s) and not _FROM_TABLES.search(s)]
            long |= {(page.name, s) for s in said if len(s.split()) > MOST_WORDS}
    assert long == set()
