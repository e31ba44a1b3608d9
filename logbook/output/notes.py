"""Shop notes to HTML: CommonMark without what a shop note never means (raw HTML, code by indent, headings by line)."""

from __future__ import annotations

import re
from functools import lru_cache

from markdown_it import MarkdownIt
from markupsafe import Markup

MOST_NESTED = 12  # levels of quote and list; deeper is shown as text
_SCHEMES = frozenset({"http", "https", "mailto"})
_SCHEME = re.compile(r"^([A-Za-z][A-Za-z0-9+.-]*):")
_MARKER = re.compile(r"[ \t]*(?:>|[-+*](?=[ \t])|\d{1,9}[.)](?=[ \t]))")


def allowed(url: str) -> bool:
    """A link of a note may lead to the web, a mailbox, or a file named relative to the page; nowhere else."""
    bare = "".join(c for c in url if c.isprintable() and not c.isspace())
    scheme = _SCHEME.match(bare)
    if scheme:
        return scheme[1].lower() in _SCHEMES
    return not bare.startswith(("//", "\\\\", "/\\", "\\/"))


@lru_cache(maxsize=1)
def _reader() -> MarkdownIt:
    reader = MarkdownIt("commonmark", {"html": False, "linkify": False, "breaks": True, "maxNesting": MOST_NESTED * 3})
    reader.disable(["code", "lheading", "reference", "image", "html_block", "html_inline"])
    reader.validateLink = allowed  # type: ignore[method-assign]
    return reader


def render(note: str) -> Markup:
    """The note as safe HTML; its headings become bold lines, so that a note never breaks a page's own order."""
    html: str = _reader().render("\n".join(_flattened(line) for line in note.split("\n")))
    html = re.sub(r"<h[1-6]>", "<p><strong>", html)
    html = re.sub(r"</h[1-6]>", "</strong></p>", html)
    return Markup(html.replace("<hr />", "<hr>").replace("<br />", "<br>").strip())


def _flattened(line: str) -> str:
    """A line whose run of quote and list marks is deeper than the cap, with its first mark made text."""
    at, depth = 0, 0
    while mark := _MARKER.match(line, at):
        at, depth = mark.end(), depth + 1
        if depth > MOST_NESTED:
            return "\\" + line.lstrip()
    return line
