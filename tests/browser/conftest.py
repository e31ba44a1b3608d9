"""One browser a session, and the kinds of page of the sample site."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, sync_playwright

SAMPLES = Path(__file__).resolve().parents[2] / "sample_logs"
KINDS = {
    "shelf": "index.html",
    "fixed job": "sand-buggy/index.html",
    "open job": "village-fire-pump/index.html",
    "at the engine": "village-fire-pump/next.html",
    "story": "hay-baler/story.html",
    "why": "village-fire-pump/why.html",
    "readings": "hay-baler/readings.html",
    "numbers": "hay-baler/numbers.html",
    "build": "hill-climb-turbo/build.html",
    "money": "hay-baler/money.html",
    "part": "two-wrecks/parts/injector-f1.html",
    "donor": "two-wrecks/donors/d1.html",
    "parts shelf": "parts.html",
    "orders": "orders.html",
    "findings": "shop-findings.html",
    "guide": "how-to-write-a-log.html",
    "kinds": "how-to-write-tests-at-a-cylinder.html",
    "units": "how-to-write-parts-and-units.html",
    "problems": "problems.html",
    "not found": "404.html",
}


@dataclass
class Seen:
    """A page in the browser with what it asked for and what the browser complained of."""

    page: Page
    asked: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)


@pytest.fixture(scope="session")
def browser(browser_path: str) -> Iterator[Browser]:
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def visit(browser: Browser) -> Iterator[Callable[..., Seen]]:
    """Open pages from disk: ``visit(path, width, dark=False, scripts=True)``; a window for each set of options."""
    windows: dict[tuple[int, bool, bool], Seen] = {}

    def opened(path: Path, width: int = 360, *, dark: bool = False, scripts: bool = True) -> Seen:
        key = (width, dark, scripts)
        if key not in windows:
            window = browser.new_context(
                viewport={"width": width, "height": 800},
                color_scheme="dark" if dark else "light",
                java_script_enabled=scripts,
            )
            windows[key] = seen = Seen(window.new_page())
            seen.page.on("request", lambda request: _note_request(seen, request))
            seen.page.on("console", lambda message: _note_console(seen, message))
            seen.page.on("pageerror", lambda error: seen.complaints.append(str(error)))
        seen = windows[key]
        seen.page.goto("about:blank")
        seen.asked.clear()
        seen.complaints.clear()
        seen.page.emulate_media(media="null")
        resize(seen.page, width)
        seen.page.goto(path.as_uri())
        return seen

    yield opened
    for seen in windows.values():
        seen.page.context.close()


def resize(page: Page, width: int) -> None:
    if page.viewport_size != {"width": width, "height": 800}:
        page.set_viewport_size({"width": width, "height": 800})


def _note_request(seen: Seen, request: Request) -> None:
    seen.asked.append(request.url)


def _note_console(seen: Seen, message: ConsoleMessage) -> None:
    # The file that exists only while watching is looked for from disk, and is not there: that is no complaint.
    if message.type in ("error", "warning") and "watching.js" not in f"{message.text} {message.location}":
        seen.complaints.append(message.text)


@pytest.fixture(scope="session")
def test_sheet_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The blank test sheet of the open case, as the command writes it."""
    page = tmp_path_factory.mktemp("sheet") / "sheet.html"
    log = SAMPLES / "village-fire-pump.txt"
    run = subprocess.run(
        [sys.executable, "-m", "logbook", "sheet", str(log), "--to", str(page)], capture_output=True, text=True
    )
    assert run.returncode == 0, run.stdout + run.stderr
    return page


def write_wide(page: Page, elements: str = "*") -> None:
    """Every word in a wide font, wider still by its spacing: what a reader may have, on whatever machine this runs."""
    looks = "font-family: 'DejaVu Sans', Verdana, sans-serif !important; letter-spacing: .06em !important"
    page.evaluate(
        "css => { const s = new CSSStyleSheet(); s.replaceSync(css); document.adoptedStyleSheets = [s]; }",
        f"{elements} {{ {looks} }}",
    )


def pages_of(site: Path) -> list[Path]:
    return sorted(site.rglob("*.html"))
