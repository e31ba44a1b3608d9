"""A reader's own templates: laid over ours only when asked for, and shut in."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from logbook.build.run import Builder, Request
from logbook.output.site import Refused
from tests.build.conftest import Build


def build_with(templates: Path, logs: Path, site: Path, now_ns: int = 4_000_000_000_000_000_000) -> Builder:
    builder = Builder(Request((str(logs),), site, templates=templates, workers=1), say=lambda line: None)
    builder.run(now_ns)
    return builder


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "own"
    (folder / "pages").mkdir(parents=True)
    (folder / "static").mkdir()
    return folder


def test_a_page_and_the_stylesheet_of_ones_own(build: Build, logs: Path, site: Path, own: Path) -> None:
    (own / "pages/orders.html").write_text("<!doctype html><title>{{ sheet.title }}</title>Mine", encoding="utf-8")
    (own / "static/style.css").write_text("body { color: red }", encoding="utf-8")
    build_with(own, logs, site)
    assert (site / "orders.html").read_text(encoding="utf-8").endswith("Mine")
    (style,) = (site / "static").glob("style.*.css")
    assert style.read_text(encoding="utf-8") == "body { color: red }"
    assert (site / "van/index.html").is_file()


def test_a_stylesheet_saved_during_a_run_leaves_no_page_without_one(logs: Path, site: Path, own: Path) -> None:
    style = own / "static/style.css"
    style.write_text("body { color: red }", encoding="utf-8")
    saved = []

    def save_meanwhile(done: int, of: int) -> None:
        style.write_text(f"body {{ color: blue }} /* {done} of {of} */", encoding="utf-8")
        saved.append(done)

    Builder(Request((str(logs),), site, templates=own, workers=1), save_meanwhile, lambda line: None).run(4 * 10**18)
    assert saved
    written = {path.name for path in (site / "static").iterdir()}
    for page in site.rglob("*.html"):
        named = set(re.findall(r"static/([\w.]+)", page.read_text(encoding="utf-8")))
        assert named and named <= written, page.name


@pytest.mark.parametrize(
    "text",
    ["{{ page.__class__.__mro__ }}", "{{ href.__globals__ }}", "{{ ''.__class__.__base__.__subclasses__() }}"],
)
def test_they_run_in_the_sandbox(build: Build, logs: Path, site: Path, own: Path, text: str) -> None:
    (own / "pages/orders.html").write_text(text, encoding="utf-8")
    with pytest.raises(Refused, match=r"your template pages/orders\.html does not work: SecurityError"):
        build_with(own, logs, site)


@pytest.mark.parametrize("text", ["{% if %}", "{{ page.no_such_thing }}", "{% include 'nowhere.html' %}"])
def test_one_that_does_not_work_is_named(build: Build, logs: Path, site: Path, own: Path, text: str) -> None:
    (own / "pages/orders.html").write_text(text, encoding="utf-8")
    with pytest.raises(Refused, match=r"your template pages/orders\.html does not work") as refused:
        build_with(own, logs, site)
    assert "--templates" in refused.value.mend
    assert not (site / "index.html").exists()


def test_a_folder_of_templates_beside_the_logs_is_not_used_by_itself(build: Build, logs: Path, site: Path) -> None:
    (logs / "templates/pages").mkdir(parents=True)
    (logs / "templates/pages/orders.html").write_text("Not asked for", encoding="utf-8")
    build()
    assert "Not asked for" not in (site / "orders.html").read_text(encoding="utf-8")


def test_a_changed_template_is_seen_in_the_same_process(build: Build, logs: Path, site: Path, own: Path) -> None:
    """As the watcher does it, which goes on in one process."""
    page = own / "pages/orders.html"
    page.write_text("First", encoding="utf-8")
    builder = build_with(own, logs, site)
    page.write_text("Second and longer", encoding="utf-8")
    builder.run(4_000_000_000_100_000_000)
    assert (site / "orders.html").read_text(encoding="utf-8") == "Second and longer"
