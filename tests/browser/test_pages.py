"""Every page in a real browser: nothing scrolls sideways, nothing is asked of elsewhere, axe finds nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import KINDS, Seen, pages_of, resize, write_wide

AXE = Axe()
SHARES = 4  # parts that the workers share
_SCROLL = "document.documentElement.scrollWidth"
_WIDEST = """() => [...document.querySelectorAll('body *')]
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.unseen, .skip, .marks'))
    .slice(0, 3).map(e => e.tagName + '.' + e.className + ' ' + e.textContent.slice(0, 40))"""
_OVERFLOWING = """() => [...document.querySelectorAll('td, th, dd, dt, p, li, a, h1, h2, h3, h4, span, caption, code')]
    .filter(e => e.clientWidth > 0 && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX === 'visible'
        && !e.closest('.unseen, .skip, svg, .scrolls'))
    .slice(0, 3).map(e => e.tagName + ' ' + e.textContent.slice(0, 40))"""
# Words of drawings over the edge of their drawing, or over each other; letters fill half of the height of a line.
_OUTSIDE = """() => [...document.querySelectorAll('svg')].flatMap(svg => {
    const edge = svg.getBoundingClientRect();
    const words = [...svg.querySelectorAll('text')].filter(t => t.textContent.trim()).map(t => {
        const at = t.getBoundingClientRect(), free = at.height / 4;
        return { said: t.textContent, left: at.left, right: at.right, top: at.top + free, bottom: at.bottom - free };
    });
    const over = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > .5
        && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > .5;
    return [
        ...words.filter(w => w.left < edge.left - .6 || w.right > edge.right + .6).map(w => `over the edge: ${w.said}`),
        ...words.flatMap((w, n) => words.slice(n + 1).filter(o => over(w, o)).map(o => `${w.said} over ${o.said}`)),
    ];
})"""

Visit = Callable[..., Seen]


def _faults(seen: Seen, site: Path, width: int) -> list[str]:
    found = [f"browser: {text}" for text in seen.complaints]
    found += [f"asks for {url}" for url in seen.asked if not url.startswith((site.as_uri(), "data:"))]
    wide = seen.page.evaluate(_SCROLL)
    if wide > width:
        found.append(f"{wide} px wide at {width}: {seen.page.evaluate(_WIDEST)}")
    return found


def _axe(seen: Seen) -> list[str]:
    result = AXE.run(seen.page, options={"resultTypes": ["violations"]})
    return [
        f"axe {v['id']}: {v['help']}: {[n['html'][:120] for n in v['nodes'][:2]]}"
        for v in result.response["violations"]
    ]


def _in_a_wide_font(seen: Seen) -> list[str]:
    """What sticks out, on a phone and on the narrowest: a page wider than the screen, words wider than their place."""
    write_wide(seen.page)
    found = [f"in a wide font: {fault}" for fault in seen.page.evaluate(_OUTSIDE)]
    for width in (360, 320):
        resize(seen.page, width)
        wide = seen.page.evaluate(_SCROLL)
        if wide > width:
            found.append(f"in a wide font: {wide} px wide at {width}: {seen.page.evaluate(_WIDEST)}")
        found += [f"in a wide font at {width}: {fault}" for fault in seen.page.evaluate(_OVERFLOWING)]
    return found


@pytest.mark.parametrize("share", range(SHARES))
def test_every_page_on_a_phone(sample_site: Path, visit: Visit, share: int) -> None:
    """Every page fits; one in four is gone over for access too, as one of each kind is below: they share templates."""
    faults = {}
    for n, path in enumerate(pages_of(sample_site)[share::SHARES]):
        seen = visit(path, 360)
        if found := [*_faults(seen, sample_site, 360), *(_axe(seen) if n % 4 == 0 else []), *_in_a_wide_font(seen)]:
            faults[path.relative_to(sample_site).as_posix()] = found
    assert faults == {}


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_page_in_all_combinations(sample_site: Path, visit: Visit, kind: str) -> None:
    faults = {}
    for width in (360, 768, 1280):
        for dark in (False, True):
            for scripts in (False, True):
                seen = visit(sample_site / KINDS[kind], width, dark=dark, scripts=scripts)
                found = _faults(seen, sample_site, width)
                if dark and scripts and width == 360:
                    found += _axe(seen)
                if found:
                    faults[f"{width} {'dark' if dark else 'light'} {'on' if scripts else 'off'}"] = found
    assert faults == {}


_TEXT = """() => { const main = document.body.cloneNode(true);
    main.querySelectorAll('.added, .find, script').forEach(e => e.remove());
    return main.textContent.split(/\\s+/).filter(Boolean).sort().join(' ') }"""


@pytest.mark.parametrize("kind", KINDS)
def test_without_scripts_a_page_holds_the_same_words(sample_site: Path, visit: Visit, kind: str) -> None:
    """Scripts may hide, sort and mark; what they put in addition is marked as added."""
    path = sample_site / KINDS[kind]
    off = visit(path, 1280, scripts=False).page.evaluate(_TEXT)
    on = visit(path, 1280).page.evaluate(_TEXT)
    assert on == off
    assert len(off.split()) > 20


def test_figures_have_their_own_colours_in_the_dark(sample_site: Path, visit: Visit) -> None:
    """A linked figure follows the reader's scheme, the page's policy notwithstanding."""
    shots = []
    for dark in (False, True):
        page = visit(sample_site / KINDS["why"], 1280, dark=dark).page
        figure = page.locator("figure img").first
        figure.scroll_into_view_if_needed()
        figure.evaluate("image => image.decode()")
        shots.append(_brightest_and_darkest(figure.screenshot()))
    (light_low, light_high), (dark_low, dark_high) = shots
    assert light_high > 240 and light_low < 80  # ink on paper
    assert dark_high > 180 and dark_low < 40  # bone on steel


def test_words_of_a_figure_keep_to_their_places_in_any_font(sample_site: Path, visit: Visit) -> None:
    faults = {}
    page = visit(sample_site / "404.html", 360).page
    page.goto("about:blank")
    for path in sorted(sample_site.glob("*/figures/*.svg")):
        page.set_content(path.read_text(encoding="utf-8"))
        write_wide(page, "text")
        if found := page.evaluate(_OUTSIDE):
            faults[path.relative_to(sample_site).as_posix()] = found[:4]
    assert faults == {}


def _brightest_and_darkest(png: bytes) -> tuple[int, int]:
    import io

    from PIL import Image

    low, high = Image.open(io.BytesIO(png)).convert("L").getextrema()
    assert isinstance(low, int) and isinstance(high, int)
    return low, high


def test_the_blank_sheet_is_a_page_like_the_others(test_sheet_page: Path, visit: Visit) -> None:
    seen = visit(test_sheet_page, 360)
    assert [*_faults(seen, test_sheet_page.parent, 360), *_axe(seen)] == []
