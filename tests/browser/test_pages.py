"""Every page in a real browser: nothing scrolls sideways, nothing is asked of elsewhere, axe finds nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import KINDS, Seen, pages_of

AXE = Axe()
SHARES = 4  # parts that the workers share
_SCROLL = "document.documentElement.scrollWidth"
_WIDEST = """() => [...document.querySelectorAll('body *')]
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.unseen, .skip, .marks'))
    .slice(0, 3).map(e => e.tagName + '.' + e.className + ' ' + e.textContent.slice(0, 40))"""

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


@pytest.mark.parametrize("share", range(SHARES))
def test_every_page_on_a_phone(sample_site: Path, visit: Visit, share: int) -> None:
    faults = {}
    for path in pages_of(sample_site)[share::SHARES]:
        seen = visit(path, 360)
        if found := [*_faults(seen, sample_site, 360), *_axe(seen)]:
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


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_fits_the_narrowest_phone(sample_site: Path, visit: Visit, kind: str) -> None:
    assert _faults(visit(sample_site / KINDS[kind], 320), sample_site, 320) == []


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
        page = visit(sample_site / KINDS["job"], 1280, dark=dark).page
        figure = page.locator(".figure img").first
        figure.scroll_into_view_if_needed()
        figure.evaluate("image => image.decode()")
        shots.append(_brightest_and_darkest(figure.screenshot()))
    (light_low, light_high), (dark_low, dark_high) = shots
    assert light_high > 240 and light_low < 80  # ink on paper
    assert dark_high > 180 and dark_low < 40  # bone on steel


def _brightest_and_darkest(png: bytes) -> tuple[int, int]:
    import io

    from PIL import Image

    low, high = Image.open(io.BytesIO(png)).convert("L").getextrema()
    assert isinstance(low, int) and isinstance(high, int)
    return low, high


def test_the_blank_sheet_is_a_page_like_the_others(test_sheet_page: Path, visit: Visit) -> None:
    seen = visit(test_sheet_page, 360)
    assert [*_faults(seen, test_sheet_page.parent, 360), *_axe(seen)] == []
