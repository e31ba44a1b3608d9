"""Templates: everything escaped, nothing missing in silence, links relative and made in one place."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.output.site import Refused
from logbook.output.static import static_files, static_paths
from logbook.output.templates import POLICY, linker, render, templates_folder
from logbook.pages.frame import Field, Link, Sheet
from logbook.pages.notice import not_found_page
from tests.pages.site import STATIC, look, page_html


@dataclass(frozen=True)
class Bare:
    sheet: Sheet
    sentences: tuple[str, ...] = ("gone",)


def bare(**more: object) -> Bare:
    return Bare(Sheet("a/index.html", "Title", "Description", **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("here", "there", "anchor", "href"),
    [
        ("index.html", "van/index.html", "", "van/index.html"),
        ("van/index.html", "index.html", "", "../index.html"),
        ("van/index.html", "van/data.json", "", "data.json"),
        ("2026/van/index.html", "parts/a.html", "tests", "../../parts/a.html#tests"),
        ("van/index.html", "", "day-1", "#day-1"),
        ("van/index.html", "van/index.html", "day-1", "#day-1"),
        ("van/index.html", "van/index.html", "", "index.html"),
        ("index.html", "a b/ä#.html", "x y", "a%20b/%C3%A4%23.html#x%20y"),
    ],
)
def test_links_are_relative_and_quoted(here: str, there: str, anchor: str, href: str) -> None:
    assert linker(Sheet(here, "", ""))(there, anchor) == href


def test_the_page_served_at_any_depth_has_whole_addresses_and_still_opens_from_disk() -> None:
    page = not_found_page("Shed", "public", "https://example.org/shed/")
    found = look(page_html("pages/notice.html", page))
    assert set(found.values("href", "a")) == {
        "#main",
        "https://example.org/shed/index.html",
        "https://example.org/shed/how-to-write-a-log.html",
    }
    styles = [a["href"] for tag, a in found.tags if a.get("rel") == "stylesheet"]
    assert styles == [STATIC["style.css"], f"https://example.org/shed/{STATIC['style.css']}"]
    own = look(page_html("pages/notice.html", not_found_page("Shed", "shop", "https://example.org/shed/")))
    assert [a["href"] for tag, a in own.tags if a.get("rel") == "stylesheet"] == styles[:1], "it is opened from disk"


hostile = st.text(alphabet="<>&\"'/script=onerror`{}%;()ax \u202e", max_size=60)


@given(hostile)
def test_whatever_a_log_says_stays_words(said: str) -> None:
    page = bare(shop=said, fields=(Field(said, said),), ways=(Link(said, said),), foot=said)
    found = look(page_html("pages/notice.html", page))
    plain = look(page_html("pages/notice.html", bare(shop="s", fields=(Field("f", "v"),), ways=(Link("w", "p"),))))
    assert [t for t, _ in found.tags] == [t for t, _ in plain.tags]
    assert not [k for _, a in found.tags for k in a if k.startswith("on") or k == "style"]


def test_signs_that_no_page_may_hold_are_replaced() -> None:
    html = page_html("pages/notice.html", bare(foot="a\x00b\x1bc\u202ed\udcffe\U0001fffff"))
    assert "a\ufffdb\ufffdc\ufffdd\ufffde\ufffdf" in html
    html.encode("utf-8")


@pytest.mark.parametrize("plane", range(1, 17))
def test_beyond_the_first_plane_all_stays_but_the_last_two_of_each(plane: int) -> None:
    """Unicode, 23.7 'Noncharacters'; HTML, 'parse errors' of the input stream (the parser of ``look`` is strict)."""
    ends = [chr(plane << 16 | low) for low in (0, 0xF69A, 0xFFFD, 0xFFFE, 0xFFFF)]
    assert (
        "| ".join([*ends[:3], "\ufffd", "\ufffd"])
        in look(page_html("pages/notice.html", bare(foot="| ".join(ends)))).words
    )


def test_nothing_is_fetched_run_or_styled_inline() -> None:
    found = look(page_html("pages/notice.html", bare(scripts=("anchors.js",))))
    assert POLICY in found.values("content", "meta")
    assert all("src" in a for t, a in found.tags if t == "script")
    assert not found.values("style")
    assert not [v for k in ("src", "href") for v in found.values(k) if re.match(r"[a-z]+:|//", v)]


def test_a_script_is_included_where_the_site_has_it() -> None:
    html = page_html("pages/notice.html", bare(scripts=("anchors.js", "missing.js")))
    assert html.count("<script") == 1
    assert STATIC["anchors.js"] in html


def test_the_shop_s_own_copy_asks_search_engines_to_stay_away() -> None:
    own, public = (page_html("pages/notice.html", bare(copy=copy)) for copy in ("shop", "public"))
    assert "noindex" in own and "shop’s copy" in look(own).words
    assert "noindex" not in public and "public copy" in look(public).words


def test_a_missing_name_is_an_error(tmp_path: Path) -> None:
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "notice.html").write_text("{{ page.sheet.nothing_of_the_kind }}")
    with pytest.raises(Refused, match="UndefinedError"):
        render("pages/notice.html", bare(), static=STATIC, folder=tmp_path)


def test_the_reader_s_own_templates_lie_over_ours(tmp_path: Path) -> None:
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "notice.html").write_text('{% extends "base.html" %}{% block main %}<p>own</p>{% endblock %}')
    assert "own" in look(b"".join(render("pages/notice.html", bare(), static=STATIC, folder=tmp_path)).decode()).words


def test_the_reader_s_own_templates_run_in_the_sandbox(tmp_path: Path) -> None:
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "notice.html").write_text("{{ page.__class__.__mro__ }}")
    with pytest.raises(Refused, match="SecurityError"):
        render("pages/notice.html", bare(), static=STATIC, folder=tmp_path)


def test_static_names_carry_the_hash_of_their_content(tmp_path: Path) -> None:
    ours = static_paths(static_files())
    assert re.fullmatch(r"static/style\.[0-9a-f]{8}\.css", ours["style.css"])
    (tmp_path / "static").mkdir()
    (tmp_path / "static" / "style.css").write_text("p { color: red }")
    theirs = static_paths(static_files(tmp_path))
    assert theirs["style.css"] != ours["style.css"]
    assert theirs["favicon.svg"] == ours["favicon.svg"]


def test_no_template_marks_text_safe_or_turns_escaping_off() -> None:
    for path in sorted(templates_folder().rglob("*.html")):
        text = path.read_text(encoding="utf-8")
        assert "|safe" not in text.replace(" ", "") and "autoescape" not in text, path.name
        assert not re.search(r"\sstyle=|\son[a-z]+=|<style|javascript:", text), path.name


def test_every_attribute_is_quoted() -> None:
    for path in sorted(templates_folder().rglob("*.html")):
        assert not re.search(r"=\{\{", path.read_text(encoding="utf-8")), path.name
