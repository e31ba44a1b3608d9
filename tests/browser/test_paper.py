"""On paper, in wide letters too: condition sheets are one page of A4 and of Letter, and nothing drawn is cut."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.browser.conftest import KINDS, Seen, resize, write_wide

Visit = Callable[..., Seen]

_PAGE_OBJECT = re.compile(rb"/Type\s*/Page(?![a-zA-Z])")
# Printed height less the margins of the stylesheet, in CSS pixels of 1/96 inch (ISO 216 A4; ANSI Letter).
_SHEETS = {"A4": (210 / 25.4 * 96, (297 - 20) / 25.4 * 96), "Letter": (8.5 * 96, (279.4 - 20) / 25.4 * 96)}
_SIDES = 2 * 13 / 25.4 * 96  # the margins of the stylesheet at the left and the right
_TALL = """(most) => [...document.querySelectorAll('figure, figure img, svg, .danger, tr')]
    .filter(e => !e.closest('.marks') && e.getBoundingClientRect().height > most)
    .map(e => e.tagName + ' ' + Math.round(e.getBoundingClientRect().height))"""
_CUT = """() => [...document.querySelectorAll('figure, table tr, main svg, .danger')]
    .filter(e => getComputedStyle(e).breakInside === 'auto').map(e => e.tagName + '.' + e.className)"""


@pytest.mark.parametrize("sheet", _SHEETS)
def test_every_condition_sheet_is_one_page(sample_site: Path, visit: Visit, sheet: str) -> None:
    pages = {}
    for path in sorted(sample_site.glob("*/parts/*.html"), key=lambda p: -p.stat().st_size)[:8]:
        page = visit(path, 1280).page
        write_wide(page)
        pages[path.name] = len(_PAGE_OBJECT.findall(page.pdf(format=sheet)))
    assert set(pages.values()) == {1}, pages


@pytest.mark.parametrize("sheet", _SHEETS)
@pytest.mark.parametrize("kind", ["fixed job", "build", "open job", "story", "why", "readings", "part"])
def test_nothing_drawn_is_cut(sample_site: Path, visit: Visit, kind: str, sheet: str) -> None:
    width, height = _SHEETS[sheet]
    page = visit(sample_site / KINDS[kind], round(width)).page
    page.emulate_media(media="print")
    write_wide(page)
    assert page.evaluate(_TALL, height) == []
    resize(page, round(width - _SIDES))
    assert page.evaluate("document.documentElement.scrollWidth") <= round(width - _SIDES)
    assert page.evaluate(_CUT) == []


def test_a_printed_page_shows_its_figures(sample_site: Path, visit: Visit) -> None:
    """Pictures that load when scrolled to must be on paper too."""
    page = visit(sample_site / KINDS["why"], 1280).page
    with_figures = page.pdf(format="A4")
    page.evaluate("document.querySelectorAll('figure img').forEach(i => i.remove())")
    assert len(with_figures) > len(page.pdf(format="A4")) + 2000


def test_paper_is_white_and_the_ways_are_left_off(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["fixed job"], 1280, dark=True).page
    page.emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.querySelector('.sheet')).backgroundColor") == "rgb(255, 255, 255)"
    assert page.locator(".doors").first.is_hidden()
