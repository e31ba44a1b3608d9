"""Every link of the site leads somewhere, and goes on leading there when a line is put into a log."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path
from urllib.parse import unquote, urlsplit

from tests.browser.conftest import SAMPLES, pages_of

_REFERENCE = re.compile(r'\s(?:href|src)="([^"]+)"')
_ID = re.compile(r'\sid="([^"]+)"')


def _ids(page: Path) -> set[str]:
    return set(_ID.findall(page.read_text(encoding="utf-8")))


def _dead(site: Path) -> list[str]:
    ids: dict[Path, set[str]] = {}
    dead = []
    for page in pages_of(site):
        if page.name == "404.html":
            continue  # served at any depth, so its links are from the root
        for written in _REFERENCE.findall(page.read_text(encoding="utf-8")):
            link = urlsplit(written.replace("&amp;", "&"))
            if link.scheme:
                continue
            target = (page.parent / unquote(link.path)).resolve() if link.path else page
            if not target.is_file():
                dead.append(f"{page.relative_to(site)}: {written}")
            elif link.fragment and target.suffix == ".html":
                known = ids.setdefault(target, _ids(target))
                if unquote(link.fragment) not in known:
                    dead.append(f"{page.relative_to(site)}: {written}")
    return dead


def test_every_link_and_anchor_resolves(sample_site: Path) -> None:
    assert _dead(sample_site) == []


def test_every_link_of_the_public_copy_resolves(public_site: Path) -> None:
    assert _dead(public_site) == []


def test_ids_are_unique_on_each_page(sample_site: Path) -> None:
    for page in pages_of(sample_site):
        ids = _ID.findall(page.read_text(encoding="utf-8"))
        assert len(ids) == len(set(ids)), (page, [i for i in ids if ids.count(i) > 1][:3])


def test_anchors_stay_when_a_line_is_put_in_and_the_job_is_named_anew(tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    logs.mkdir()
    log = logs / "two-wrecks.txt"
    shutil.copy(SAMPLES / "two-wrecks.txt", log)
    before = _built(logs, tmp_path / "one")
    text = log.read_text(encoding="utf-8")
    text = re.sub(r"(?m)^job: .*$", "job: A car by another name", text, count=1)
    text = re.sub(r"(?m)^(\d{4}-\d\d-\d\d.*)$", r"\1\nroad: ten miles, no change", text, count=1)
    log.write_text(text, encoding="utf-8")
    after = _built(logs, tmp_path / "two")
    assert {p.relative_to(before) for p in pages_of(before)} <= {p.relative_to(after) for p in pages_of(after)}
    lost = _ids(before / "two-wrecks/story.html") - _ids(after / "two-wrecks/story.html")
    assert not lost
    assert _dead(after) == []


def _built(logs: Path, to: Path) -> Path:
    command = [sys.executable, "-m", "logbook", "report", str(logs), "--to", str(to)]
    run = subprocess.run(command, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr
    return to
