"""What the small scripts of the job page and the reference add: a step through the days, and a field that sifts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.browser.conftest import KINDS, Seen

Visit = Callable[..., Seen]

_DRAWN = """() => Object.fromEntries([...document.querySelectorAll('.plan use')]
    .map(use => [use.dataset.place, use.getAttribute('href')]))"""
_TAGS = "() => [...document.querySelectorAll('.plan [data-tags] text')].map(t => t.textContent)"


def test_the_large_plan_steps_through_the_days(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["job"], 1280).page
    before, tags = page.evaluate(_DRAWN), page.evaluate(_TAGS)
    days = page.locator(".strip li")
    earlier, later = page.get_by_role("button", name="a day earlier"), page.get_by_role("button", name="a day later")
    assert later.is_disabled() and earlier.is_enabled()
    for _ in range(days.count() - 1):
        earlier.click()
    assert earlier.is_disabled()
    first = page.evaluate(_DRAWN)
    assert first != before, "the first day was not like the last"
    told = dict(state.split("=") for state in (days.first.get_attribute("data-states") or "").split(";"))
    assert {place: mark.rsplit("-", 1)[0] for place, mark in first.items()} == {
        place: f"#{state.replace(' ', '-')}" for place, state in told.items()
    }
    label = page.locator(".plan").first.get_attribute("aria-label") or ""
    assert (days.first.locator("a").text_content() or "") in label
    for _ in range(days.count() - 1):
        later.click()
    assert page.evaluate(_DRAWN) == before and page.evaluate(_TAGS) == tags


def test_the_reference_is_sifted_by_what_the_trade_calls_it(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["reference"], 360).page
    field = page.locator("#sift-words")
    field.fill("drop test")
    shown = page.locator(".kinds > li:visible")
    assert "kind-cut-out" in [shown.nth(n).get_attribute("id") for n in range(shown.count())]
    assert shown.count() < 4
    field.fill("no such word at all")
    assert shown.count() == 0
    assert page.get_by_text("No kind has these words.").is_visible()
    field.fill("")
    assert shown.count() > 100
