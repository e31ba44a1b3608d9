"""An open page in a real browser, opened from disk: it reloads when its own files changed, and keeps its place."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.build.conftest import log_text
from tests.watch.conftest import cold, watching

pytestmark = pytest.mark.browser
LIMIT_MS = 30_000


@pytest.fixture(scope="module")
def browser(browser_path: str) -> Iterator[Browser]:
    with sync_playwright() as play:
        launched = play.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        yield launched
        launched.close()


@pytest.fixture
def logs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("LOGBOOK_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "logs"
    folder.mkdir()
    lines = [f"spark: {n % 4 + 1} strong" for n in range(60)]
    (folder / "van.txt").write_text(log_text("Parcel van", *lines), encoding="utf-8")
    (folder / "boat.txt").write_text(log_text("Launch", "firing: 2 dead, rest fires"), encoding="utf-8")
    return folder


def add_note(log: Path, note: str) -> None:
    with log.open("a", encoding="utf-8") as file:
        file.write(f"  {note}\n")


def wait_for_text(page: Page, text: str) -> None:
    page.wait_for_function("text => document.body.innerText.includes(text)", arg=text, timeout=LIMIT_MS)


def test_a_page_from_disk_reloads_and_keeps_its_place(browser: Browser, logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    page, other = browser.new_page(), browser.new_page()
    with watching(logs, site):
        page.goto((site / "van/story.html").as_uri())
        other.goto((site / "boat/index.html").as_uri())
        other.evaluate("window.stillHere = true")
        page.evaluate("window.scrollTo(0, 400)")
        page.wait_for_function("window.scrollY === 400", timeout=LIMIT_MS)
        add_note(logs / "van.txt", "Written while the page was open.")
        wait_for_text(page, "Written while the page was open.")
        page.wait_for_function("window.scrollY === 400", timeout=LIMIT_MS)
        add_note(logs / "van.txt", "And once more.")
        wait_for_text(page, "And once more.")
        assert other.evaluate("window.stillHere") is True
    page.close()
    other.close()


def test_an_unwatched_page_asks_once_and_never_again(browser: Browser, logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    cold(logs, site)
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((site / "van/index.html").as_uri())
    page.wait_for_timeout(1500)  # what must not happen has no condition to wait for
    assert len([url for url in asked if "watching.js" in url]) == 1
    assert all(url.startswith("file:") for url in asked)
    page.close()


def test_a_page_from_another_host_never_asks(browser: Browser, logs: Path, tmp_path: Path) -> None:
    """Served under a name that is not this machine's, by answering the browser's requests from the folder."""
    site = tmp_path / "site"
    cold(logs, site)
    page = browser.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.route(
        "https://shop.example/**",
        lambda route: route.fulfill(path=site / route.request.url.removeprefix("https://shop.example/").split("?")[0]),
    )
    page.goto("https://shop.example/van/index.html")
    page.wait_for_load_state("networkidle")
    assert any("reload." in url for url in asked)
    assert not any("watching.js" in url for url in asked)
    page.close()
    shutil.rmtree(site)
