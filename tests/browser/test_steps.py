"""What the small scripts add: old addresses of entries lead to the story, and a field sifts the guide."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.browser.conftest import KINDS, Seen

Visit = Callable[..., Seen]


def test_an_entry_s_old_address_leads_to_the_story(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["fixed job"], 1280).page
    page.goto((sample_site / KINDS["fixed job"]).as_uri() + "#day-2026-05-24")
    page.reload()
    page.wait_for_url("**/sand-buggy/story.html#day-2026-05-24")


def test_the_guide_is_sifted_by_what_the_trade_calls_it(sample_site: Path, visit: Visit) -> None:
    page = visit(sample_site / KINDS["guide"], 360).page
    field = page.locator("#sift-words")
    field.fill("drop test")
    shown = page.locator("#all-kinds li:visible")
    assert "cut-out" in shown.locator("b").all_text_contents()
    assert shown.count() < 4
    field.fill("no such word at all")
    assert shown.count() == 0
    assert page.get_by_text("No kind has these words.").is_visible()
    field.fill("")
    assert shown.count() == 0  # folded again
    page.locator("#all-kinds summary").click()
    assert shown.count() > 100
