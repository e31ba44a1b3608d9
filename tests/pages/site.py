"""Renders pages for tests, and reads them back with an independent parser."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

import html5lib

from logbook.output.static import static_files, static_paths
from logbook.output.templates import render

STATIC = static_paths(static_files())
VOID = {"meta", "link", "img", "br", "hr", "input"}


def page_html(name: str, model: object) -> str:
    """The page as the site would have it."""
    return b"".join(render(name, model, static=STATIC)).decode()


@dataclass
class Found(HTMLParser):
    """What a page holds: ids, links, tags with their attributes, and its words."""

    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    words: str = ""

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {k: v or "" for k, v in attrs}))

    handle_startendtag = handle_starttag

    def handle_data(self, data: str) -> None:
        self.words += data

    def values(self, attribute: str, tag: str = "") -> list[str]:
        return [a[attribute] for t, a in self.tags if attribute in a and tag in ("", t)]


def look(html: str) -> Found:
    """Parse strictly: a page that a conforming parser complains about is no page."""
    html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(html)
    found = Found()
    found.feed(html)
    found.words = " ".join(found.words.replace("\u00a0", " ").split())
    return found
