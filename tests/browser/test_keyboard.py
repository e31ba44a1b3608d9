"""Everything that can be pressed can be reached and seen with the keyboard alone; search and sort work with it."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

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


def _find(sample_site: Path, visit: Visit, words: str) -> Page:
    page = visit(sample_site / KINDS["shelf"], 360).page
    page.get_by_role("searchbox").fill(words)
    page.get_by_role("status").filter(has_text="Found in").wait_for()
    return page


def test_a_job_is_found_by_its_words_with_the_keyboard(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["shelf"], 360).page
    page.get_by_role("searchbox").focus()
    page.keyboard.type("sealant baskets")
    page.get_by_role("status").filter(has_text="Found in 1 job.").wait_for()
    page.locator(".found a").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/sand-buggy/**")


@pytest.mark.parametrize(
    ("typed", "leads"),
    [
        ("knock", "/hill-climb-turbo/story.html#"),  # to the entry
        ("injector F1", "/two-wrecks/parts/injector-f1.html"),  # to the part
        ("rained off", "/village-fire-pump/story.html#day-2026-04-25"),  # to the day
        ("hay baler", "/hay-baler/index.html"),  # to the job
        ("sealent", "/sand-buggy/"),  # a letter wrong
        ("guage", "/"),  # two changed over: 'gauge' of the tools
        ("compresion", "/"),  # a letter left out
        ("injecters", "/"),
    ],
)
def test_a_word_or_a_usual_misspelling_leads_to_its_place(
    sample_site: Path, visit: Visit, typed: str, leads: str
) -> None:
    page = _find(sample_site, visit, typed)
    hrefs = page.locator(".found a").evaluate_all("links => links.map(a => a.href)")
    assert leads in hrefs[0], hrefs[:3]
    found, _, anchor = hrefs[0].partition("#")
    page.goto(hrefs[0])
    assert not anchor or page.locator(f"[id='{anchor}']").count() == 1
    assert found.startswith("file:")


def test_a_word_is_found_from_its_start_and_not_inside_another(sample_site: Path, visit: Visit) -> None:
    page = _find(sample_site, visit, "oil")
    told = page.locator(".found a span").all_inner_texts()
    assert told and all(re.search(r"\boil", text, re.IGNORECASE) for text in told), told


def test_the_list_below_is_hidden_while_the_search_answers(sample_site: Path, visit: Visit) -> None:
    page = _find(sample_site, visit, "coil")
    assert not page.locator("#open").is_visible()
    page.get_by_role("searchbox").fill("")
    page.locator("#open").wait_for()
    assert page.locator(".found a").count() == 0


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
