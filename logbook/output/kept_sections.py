"""Sections of a page that show what they showed: taken from the page that stands in the site, not rendered again."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from markupsafe import Markup

from logbook.output.record import digest

_SECTION = re.compile(r'<section class="part" id="([^"]+)".*?\n</section>\n', re.DOTALL)  # none holds another
_MARK = re.compile(r"<kept-section ([^>]+)>")  # nothing that a log says comes out as a tag


class KeptSections:
    """A page gets a mark where one of them belongs, and the section is put there when the rest has been made."""

    def __init__(self, by_id: Mapping[str, str]) -> None:
        self._by_id = by_id

    def __call__(self, section: str) -> Markup | str:
        return Markup("<kept-section {}>").format(section) if section in self._by_id else ""

    def fill(self, html: str) -> str:
        return _MARK.sub(lambda mark: self._by_id[mark[1]], html) if self._by_id else html


NOTHING_KEPT = KeptSections({})


def standing_sections(page: Path, content: str) -> dict[str, str]:
    """The sections of a page by their ids; none where it is not as it was written, ``content`` its hash."""
    if not content:
        return {}
    try:
        data = page.read_bytes()
    except OSError:
        return {}
    if digest(data) != content:
        return {}
    return {match[1]: match[0].removesuffix("\n") for match in _SECTION.finditer(data.decode())}
