"""Small folders of logs, and builds of them that leave the cache of the person who runs the tests alone."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.build.run import Builder, Outcome, Request

CARD = """\
job: {title}
units: metric
engine: inline 4, fires 1 3 4 2, coil on plug
symptom: shakes at idle

2026-05-04 looked it over
"""

Build = Callable[..., Outcome]


def log_text(title: str, *lines: str) -> str:
    return CARD.format(title=title) + "".join(f"{line}\n" for line in lines)


def files_of(site: Path) -> dict[str, bytes]:
    """Every file of a site by name; dot files and dot folders are no part of what it shows."""
    return {
        path.relative_to(site).as_posix(): path.read_bytes()
        for path in sorted(site.rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(site).parts)
    }


def words_of(site: Path, address: str) -> str:
    """What all pages of a job say."""
    return "".join(page.read_text(encoding="utf-8") for page in sorted((site / address).glob("*.html")))


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """A folder with two logs."""
    folder = tmp_path / "logs"
    folder.mkdir()
    (folder / "van.txt").write_text(log_text("Parcel van", "spark: 3 none, 4 strong"), encoding="utf-8")
    (folder / "boat.txt").write_text(log_text("Launch", "firing: 2 dead, rest fires"), encoding="utf-8")
    return folder


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return tmp_path / "site"


_moments = itertools.count(4_000_000_000_000_000_000, 10_000_000_000)  # ns: far after any file of a test was written


@pytest.fixture
def build(logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Build:
    """Build ``logs`` into ``site`` as ``logbook report`` does; what it says is kept in ``build.said``."""
    monkeypatch.setenv("LOGBOOK_CACHE", str(tmp_path / "cache"))

    def run(*given: Path, to: Path = site, copy: str = "shop", workers: int = 1, now_ns: int | None = None) -> Outcome:
        request = Request(tuple(str(path) for path in given or (logs,)), to, copy, workers=workers)  # type: ignore[arg-type]
        builder = Builder(request, say=said.append)
        outcome = builder.run(next(_moments) if now_ns is None else now_ns)
        builder.save()
        return outcome

    said: list[str] = []
    run.said = said  # type: ignore[attr-defined]
    return run
