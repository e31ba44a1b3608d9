"""The site as files: valid HTML, a policy in each page, nothing inline, light enough for a phone."""

from __future__ import annotations

import re
from pathlib import Path

import html5lib
import pytest

from tests.browser.conftest import pages_of

MOST_PAGE, MOST_WITH_PHOTO, MOST_PHOTO = 60_000, 150_000, 150_000  # bytes
_LINKED = re.compile(r'(?:src|<link[^>]+href)="([^"#?]+\.(?:css|js|svg|jpg|webp|png))"')


@pytest.mark.parametrize("share", range(2))
def test_every_page_is_valid_html(sample_site: Path, share: int) -> None:
    faults = {}
    for path in pages_of(sample_site)[share::2]:
        parser = html5lib.HTMLParser(strict=False)
        parser.parse(path.read_text(encoding="utf-8"))
        if parser.errors:
            faults[path.name] = parser.errors[:3]
    assert faults == {}


def test_each_page_allows_only_the_sites_own_files(sample_site: Path) -> None:
    for path in pages_of(sample_site):
        text = path.read_text(encoding="utf-8")
        policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)
        assert (policy and "default-src &#39;none&#39;" in policy[1]) or "default-src 'none'" in policy[1], path
        assert "unsafe" not in policy[1]
        assert not re.search(r"<[^>]+\sstyle=", text), path
        assert not re.search(r"<[^>]+\son[a-z]+=", text), path
        assert not re.search(r"<script(?![^>]*\ssrc=)", text), path


def test_a_page_with_its_figures_is_light(sample_site: Path) -> None:
    heavy = {}
    for path in sample_site.glob("*/index.html"):
        text = path.read_text(encoding="utf-8")
        files = {(path.parent / name).resolve() for name in _LINKED.findall(text)}
        size = path.stat().st_size + sum(f.stat().st_size for f in files)
        if size > (MOST_WITH_PHOTO if any(f.parent.name == "photos" for f in files) else MOST_PAGE):
            heavy[path.parent.name] = size
    assert heavy == {}


def test_photos_are_small_and_say_what_they_show(sample_site: Path) -> None:
    photos = list(sample_site.glob("*/photos/*"))
    assert photos and all(p.stat().st_size <= MOST_PHOTO for p in photos)
    for path in sample_site.glob("*/index.html"):
        for tag in re.findall(r"<img[^>]+>", path.read_text(encoding="utf-8")):
            assert re.search(r'alt="[^"]', tag), tag
            assert re.search(r'width="\d+" height="\d+"', tag), tag


def test_every_page_has_a_title_a_description_and_an_icon(sample_site: Path) -> None:
    titles: dict[str, list[str]] = {}
    for path in pages_of(sample_site):
        text = path.read_text(encoding="utf-8")
        title = re.search(r"<title>([^<]+)</title>", text)
        assert title and re.search(r'<meta name="description" content="[^"]{10,}"', text), path
        assert re.search(r'<link rel="icon"[^>]+href="[^"]+favicon', text), path
        assert 'rel="canonical"' in text, path
        titles.setdefault(title[1], []).append(path.name)
    assert sum(len(paths) > 1 for paths in titles.values()) <= len(titles) // 4
