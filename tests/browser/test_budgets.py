"""Budgets of the pages of a job: words, screens of a phone, sheets of paper, heads, targets; long logs keep them too.

A screen is 360 by 780. Heights are allowed to grow with the letters that this machine has, against those of the first
fonts that the stylesheet names: Times has the width of the sentence below at 16 px by its AFM file (Adobe Core 14).
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.output.static import static_files, static_paths
from logbook.output.templates import render
from logbook.pages.frame import Link
from logbook.pages.shelf import ShelfSite, shelf_pages
from logbook.pages.shelf_row import Shelved
from tests.browser.conftest import SAMPLES, Seen, resize

Visit = Callable[..., Seen]

SCREEN = 780
DEEPER = {"numbers.html": (1.5, "A4"), "why.html": (3.0, ""), "parts": (1.5, "A5")}  # screens; on one sheet of that
OPEN, FIXED = (350, 3.0, 1), (260, 2.5, 1)  # words, screens, sheets of A4
SHELF = 2_100  # px of 300 jobs, folded
SENTENCE = "Coil, wiring and lead are good. Swap plugs 6 and 5 next, then look at the injector and its wiring."
IN_TIMES = 615.5  # px at 16 px
_PAGE_OBJECT = re.compile(rb"/Type\s*/Page(?![a-zA-Z])")
WIDER = """([said, times]) => {
    const e = document.createElement('span');
    e.textContent = said;
    e.style.cssText = 'position: absolute; white-space: nowrap; font-size: 16px';
    document.body.append(e);
    const found = e.getBoundingClientRect().width / times;
    e.remove();
    return Math.max(1, found);
}"""
_WORDS = "() => document.querySelector('main').innerText.split(/\\s+/).filter(Boolean).length"
_HEIGHT = "() => document.documentElement.scrollHeight"
_HEAD = "() => document.querySelector('main').getBoundingClientRect().top"
_SMALL = """() => [...document.querySelectorAll('a, button, summary, select, input')]
    .filter(e => e.checkVisibility() && !e.closest('.skip'))
    .filter(e => { const r = e.getBoundingClientRect(); return r.width > 0 && (r.width < 43.5 || r.height < 43.5) })
    .slice(0, 3).map(e => e.outerHTML.slice(0, 90))"""


def _measured(seen: Seen) -> tuple[int, float, int]:
    page = seen.page
    wider = page.evaluate(WIDER, [SENTENCE, IN_TIMES])
    screens = page.evaluate(_HEIGHT) / SCREEN / wider
    return page.evaluate(_WORDS), screens, len(_PAGE_OBJECT.findall(page.pdf(format="A4")))


def _is_open(path: Path) -> bool:
    return 'class="stamp care"' in path.read_text(encoding="utf-8")


def test_a_job_s_own_page_keeps_its_budget(sample_site: Path, visit: Visit) -> None:
    over = {}
    for path in sorted(sample_site.glob("*/index.html")):
        budget = OPEN if _is_open(path) else FIXED
        found = _measured(visit(path, 360))
        if any(have > may for have, may in zip(found, budget, strict=True)):
            over[path.parent.name] = found
    assert over == {}


def test_numbers_why_and_parts_keep_theirs(sample_site: Path, visit: Visit) -> None:
    over = {}
    for path in sorted(
        p for pattern in DEEPER for p in sample_site.glob(f"*/{pattern}" + "/*.html" * (pattern == "parts"))
    ):
        screens, paper = DEEPER.get(path.name) or DEEPER["parts"]
        page = visit(path, 360).page
        high = page.evaluate(_HEIGHT) / SCREEN / page.evaluate(WIDER, [SENTENCE, IN_TIMES])
        sheets = len(_PAGE_OBJECT.findall(page.pdf(format=paper))) if paper else 1
        if high > screens or sheets > 1:
            over[str(path.relative_to(sample_site))] = (round(high, 2), sheets)
    assert over == {}


@pytest.mark.parametrize("share", range(2))
def test_no_page_of_a_job_is_long_and_every_head_is_short(sample_site: Path, visit: Visit, share: int) -> None:
    over = {}
    for path in sorted(sample_site.glob("*/*.html"))[share::2]:
        page = visit(path, 360).page
        wider = page.evaluate(WIDER, [SENTENCE, IN_TIMES])
        if path.name != "story.html" and page.evaluate(_HEIGHT) > 12_000 * wider:
            over[str(path.relative_to(sample_site))] = page.evaluate(_HEIGHT)
        if page.evaluate(_HEAD) > 170 * wider:
            over[f"head of {path.relative_to(sample_site)}"] = page.evaluate(_HEAD)
        if small := page.evaluate(_SMALL):
            over[f"targets of {path.relative_to(sample_site)}"] = small
        resize(page, 1280)
        if path.name != "story.html" and page.evaluate(_HEIGHT) > 8_000 * wider:
            over[f"{path.relative_to(sample_site)} at 1280"] = page.evaluate(_HEIGHT)
    assert over == {}


def test_a_job_of_130_entries_keeps_the_budget_too(tmp_path: Path, visit: Visit) -> None:
    """The open sample, with its tests made again day after day."""
    text = (SAMPLES / "village-fire-pump.txt").read_text(encoding="utf-8")
    text = "\n".join(line for line in text.split("\n") if not line.startswith(("photo", "trace")))
    again = (
        "\ncut-out: 1 70, 2 65, 3 70, 4 75, 5 65, 6 5, 7 70, 8 65 @ 800 rpm, warm\n  Again.\n"
        "plug look: 6 black, 8 tan\nport temperature: 6 210, rest about 420\n"
        "idle: rpm 780, vacuum 15\nhours: diagnosis 1\n"
    )
    days = "".join(f"\n2026-05-{day:02d}{again}" for day in range(1, 22))
    logs = tmp_path / "logs"
    logs.mkdir()
    (logs / "pump.txt").write_text(
        text.replace("address: village-fire-pump\n", "address: pump\n") + days, encoding="utf-8"
    )
    command = [sys.executable, "-m", "logbook", "report", str(logs), "--to", str(tmp_path / "site")]
    run = subprocess.run(command, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr
    words, screens, sheets = _measured(visit(tmp_path / "site" / "pump" / "index.html", 360))
    assert words <= OPEN[0] and screens <= OPEN[1] and sheets <= OPEN[2], (words, screens, sheets)


def test_a_shelf_of_300_jobs_is_short_while_folded(sample_site: Path, tmp_path: Path, visit: Visit) -> None:
    """The rows of the samples, over five years, four of them open."""
    made = re.findall(r"<li>.*?</li>\n", (sample_site / "index.html").read_text(encoding="utf-8"), re.DOTALL)
    open_, closed = made[0].encode(), [row.encode() for row in made[1:]]
    rows = [Shelved(f"o{n}", "2026-11-01", "open", False, 0, open_) for n in range(4)]
    rows += [Shelved(f"j{n}", f"{2026 - n % 5}-06-01", "fixed", False, 0, closed[n % len(closed)]) for n in range(296)]
    door = (Link("How to write a log", "how-to-write-a-log.html"), "the short guide")
    (page,) = shelf_pages(rows, ShelfSite(shop="Shed", doors=(door,) * 6, data=("search-data.js",)))
    for folder in ("static", "village-fire-pump"):
        shutil.copytree(sample_site / folder, tmp_path / folder)
    shutil.copy(sample_site / "search-data.js", tmp_path)
    html = b"".join(render("pages/shelf.html", page, static=static_paths(static_files())))
    (tmp_path / "index.html").write_bytes(html)
    seen = visit(tmp_path / "index.html", 360).page
    wider = seen.evaluate(WIDER, [SENTENCE, IN_TIMES])
    assert seen.locator(".found").count() == 1, "the field to search is part of its height"
    assert seen.evaluate(_HEIGHT) <= SHELF * wider
    seen.locator("summary").first.click()
    assert seen.evaluate(_HEIGHT) > SHELF * wider, "a year opens"
