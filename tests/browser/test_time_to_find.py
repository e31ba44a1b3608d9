"""How far an answer is from the list of jobs, on a phone: presses, and screens of the page where it stands.

A press is a link; a screen is 360 by 780, allowed to grow with this machine's letters as in the budgets.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page

from tests.browser.conftest import Seen
from tests.browser.test_budgets import IN_TIMES, SCREEN, SENTENCE, WIDER

Visit = Callable[..., Seen]


@dataclass(frozen=True)
class Question:
    """``presses`` are names of links, from the list of jobs on; ``answer`` is what must be read."""

    asked: str
    presses: tuple[str, ...]
    answer: str
    screens: int
    typed: str = ""  # into the search, before the first press


BALER, KART = "Hay baler four, chuffs in the pipe", "Hill-climb kart, turbo four from bare block"
QUESTIONS = (
    Question("what to test next", (), "Put the spark tester on 6", 1),
    Question("who waits for it", (), "For the parish", 1),
    Question("what was wrong", (BALER,), "The cause: valve 3", 1),
    Question("what was done", (BALER,), "The head came off", 1),
    Question("what proves it", (BALER,), "Proved by cut-out and vacuum", 2),
    Question("what it cost", (BALER, "Money"), "machine shop", 1),
    Question("a photo of the fault", (BALER,), "img", 1),
    Question("a bolt's torque", ("31 January",), "torque head final", 1, typed="torque head final"),
    Question("the tests of a tag", ("Parts in stock", "Injector F1"), "Every test it had", 1),
    Question("its distance", ("Parts in stock", "Injector F1"), "241000 km", 1),
    Question("was it returned", ("Parts in stock", "Coil C3"), "20 April 2026", 1),
    Question("did it knock", (KART,), "Knock heard in pull 3", 1),
)


def _answer(page: Page, words: str) -> Locator:
    return page.locator("main img").first if words == "img" else page.get_by_text(words).locator("visible=true").first


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: q.asked)
def test_an_answer_is_within_two_presses_and_its_screens(sample_site: Path, visit: Visit, question: Question) -> None:
    page = visit(sample_site / "index.html", 360).page
    if question.typed:
        page.get_by_role("searchbox").fill(question.typed)
        page.get_by_role("status").filter(has_text="Found in").wait_for()
    for name in question.presses:
        page.get_by_role("link", name=name).first.click()
        page.wait_for_load_state()
    assert len(question.presses) <= 2
    answer = _answer(page, question.answer)
    wider = page.evaluate(WIDER, [SENTENCE, IN_TIMES])
    top, seen = answer.bounding_box()["y"], page.evaluate("() => scrollY")  # type: ignore[index]
    scrolled = 0 if page.url.partition("#")[2] else seen  # an anchor brings its place to the reader
    assert (top + scrolled) / SCREEN / wider < question.screens, question.asked
