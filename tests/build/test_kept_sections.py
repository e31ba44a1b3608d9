"""A section that shows what it showed is taken from the page as it stands; the bytes are those of a cold build."""

from __future__ import annotations

import time
from pathlib import Path
from typing import NoReturn

import pytest

from logbook.build import job_files
from logbook.build.run import Builder, Request
from logbook.output.kept_sections import KeptSections
from logbook.output.kept_sections import standing_sections as sections_of
from logbook.output.record import digest
from logbook.pages import job_page

LOG = "job: van\nengine: inline 4, coil on plug\n\n2026-05-04\nfiring: 3 dead, rest fires\nswap coil 3 4: now same\n"


@pytest.fixture
def built(tmp_path: Path) -> tuple[Builder, Path, Path]:
    logs, site = tmp_path / "logs", tmp_path / "site"
    logs.mkdir()
    (logs / "van.txt").write_text(LOG, encoding="utf-8")
    builder = Builder(Request((str(logs),), site, workers=1), say=lambda line: None)
    builder.run(time.time_ns())
    return builder, logs / "van.txt", site


def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The sections that are rendered from now on, by name."""
    names: list[str] = []
    before = KeptSections.__call__

    def call(self: KeptSections, section: str) -> object:
        found = before(self, section)
        if not found:
            names.append(section)
        return found

    monkeypatch.setattr(KeptSections, "__call__", call)
    return names


def cold(log: Path, site: Path) -> bytes:
    Builder(Request((str(log.parent),), site, workers=1), say=lambda line: None).run(time.time_ns())
    return (site / "van" / "index.html").read_bytes()


@pytest.mark.parametrize(
    ("more", "again", "kept"),
    [
        ("  It smells of 5 mm of oil.\n", {"days"}, {"stands", "next", "engine", "remains", "worked"}),
        ("spark: 3 none\n", {"stands", "next", "days"}, set()),
    ],
    ids=["note", "reading"],
)
def test_only_what_changed_is_rendered(
    more: str,
    again: set[str],
    kept: set[str],
    built: tuple[Builder, Path, Path],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    builder, log, site = built
    log.write_text(LOG + more, encoding="utf-8")
    with monkeypatch.context() as patched:
        names = rendered(patched)
        builder.run(time.time_ns())
    assert again <= set(names)
    assert not kept & set(names)
    assert (site / "van" / "index.html").read_bytes() == cold(log, tmp_path / "cold")


def test_after_a_note_nothing_is_worked_out_that_reads_no_notes(
    built: tuple[Builder, Path, Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def nobody_asks(*given: object) -> NoReturn:
        raise AssertionError("asked again")

    builder, log, site = built
    with monkeypatch.context() as patched:
        patched.setattr(job_files, "job_figures", nobody_asks)
        patched.setattr(job_page, "engine_views", nobody_asks)
        log.write_text(LOG + "  A note.\n", encoding="utf-8")
        assert builder.run(time.time_ns()).failed == ()
        figure = next(site.rglob("van/figures/*.svg"))
        figure.unlink()
        log.write_text(LOG + "  Another note.\n", encoding="utf-8")
        assert builder.run(time.time_ns()).failed  # a figure that is gone is drawn again
    log.write_text(LOG + "  A third note.\n", encoding="utf-8")
    builder.run(time.time_ns())
    assert figure.exists()
    assert (site / "van" / "index.html").read_bytes() == cold(log, tmp_path / "cold")


def test_nothing_is_taken_from_a_page_that_was_changed_by_hand(
    built: tuple[Builder, Path, Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    builder, log, site = built
    page = site / "van" / "index.html"
    page.write_text(page.read_text(encoding="utf-8").replace("dead", "lively"), encoding="utf-8")
    log.write_text(LOG + "  A note.\n", encoding="utf-8")
    builder.run(time.time_ns())
    assert page.read_bytes() == cold(log, tmp_path / "cold")


def test_only_the_same_sections_of_a_whole_page_are_kept(tmp_path: Path) -> None:
    one = '<section class="part" id="one" aria-labelledby="one-h">\n<p>a</p>\n</section>\n'
    page = tmp_path / "index.html"
    page.write_text(f"<main>\n{one}{one.replace('one', 'two')}</main>", encoding="utf-8")
    content = digest(page.read_bytes())
    kept = KeptSections({"one": sections_of(page, content)["one"]})
    assert kept.fill(f"<main>\n{kept('one')}\n{kept('two')}</main>") == f"<main>\n{one}</main>"
    assert sections_of(page, "of another") == sections_of(tmp_path / "gone", content) == {}
