"""Everything that can be pressed can be reached and seen with the keyboard alone; search and sort work with it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.browser.conftest import KINDS, Seen

Visit = Callable[..., Seen]

_PRESSED = "a[href], button:not([disabled]), input, select, textarea, summary, [tabindex]:not([tabindex='-1'])"
_COUNT = f"""() => [...document.querySelectorAll("{_PRESSED}")].filter(e => e.checkVisibility()).length"""
_FOCUS = """() => { const e = document.activeElement; const s = getComputedStyle(e);
    return { text: e.textContent.trim().slice(0, 40),
             seen: s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2,
             order: [...document.querySelectorAll('*')].indexOf(e) } }"""


@pytest.mark.parametrize("kind", ["shelf", "open job", "at the engine", "story", "part", "orders", "findings"])
def test_tab_reaches_everything_in_order_and_shows_where_it_is(sample_site: Path, visit: Visit, kind: str) -> None:
    page = visit(sample_site / KINDS[kind], 1280).page
    many = page.evaluate(_COUNT)
    reached = []
    for _ in range(many):
        page.keyboard.press("Tab")
        reached.append(page.evaluate(_FOCUS))
    assert reached[0]["text"] == "Skip to the text"
    assert all(r["seen"] for r in reached), [r for r in reached if not r["seen"]]
    orders = [r["order"] for r in reached]
    assert orders == sorted(orders) and len(set(orders)) == many


def test_the_skip_link_leads_to_the_text(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["fixed job"], 360).page
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")


def test_a_job_is_found_by_its_words_with_the_keyboard(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["shelf"], 360).page
    page.get_by_role("searchbox").focus()
    page.keyboard.type("sealant baskets")
    page.get_by_role("status").filter(has_text="found").wait_for()
    found = page.locator(".found a")
    assert found.count() == 1
    found.focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/sand-buggy/index.html")


def test_words_that_no_job_has_are_said_so(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["shelf"], 360).page
    page.get_by_role("searchbox").fill("xyzzyplugh")
    page.get_by_text("No job has these words.").wait_for()


def test_the_parts_shelf_sorts_by_a_press(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["parts shelf"], 1280).page
    head = page.get_by_role("columnheader", name="Condition").first
    head.get_by_role("button").press("Enter", timeout=3000)
    assert head.get_attribute("aria-sort") == "ascending"
    table = page.locator("table.sorts").first
    shown = table.locator("tbody tr td:nth-child(3)").all_inner_texts()
    assert shown == sorted(shown) and len(set(shown)) > 1
    head.get_by_role("button").press("Enter")
    assert table.locator("tbody tr td:nth-child(3)").all_inner_texts() == sorted(shown, reverse=True)
