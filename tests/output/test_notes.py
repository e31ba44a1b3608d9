"""Shop notes are written by people beside an engine, not by people who know Markdown."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.output.notes import MOST_NESTED, allowed, render
from tests.pages.site import look


def in_page(html: str) -> str:
    return f"<!doctype html><html lang='en'><head><title>t</title></head><body>{html}</body></html>"


@pytest.mark.parametrize(
    ("note", "html"),
    [
        ("Boots look fine. *Nobody* was here.", "<p>Boots look fine. <em>Nobody</em> was here.</p>"),
        ("2*3*4 turns", "<p>2<em>3</em>4 turns</p>"),
        ("one\ntwo", "<p>one<br>\ntwo</p>"),
        ("    four blanks are no code", "<p>four blanks are no code</p>"),
        ("a line\n---\nanother", "<p>a line</p>\n<hr>\n<p>another</p>"),
        ("# a heading", "<p><strong>a heading</strong></p>"),
        ("see foo.py and example.org", "<p>see foo.py and example.org</p>"),
        ("<b>bold</b>", "<p>&lt;b&gt;bold&lt;/b&gt;</p>"),
        ("[maker](https://example.org/x)", '<p><a href="https://example.org/x">maker</a></p>'),
        ("[x](javascript:alert(1))", "<p>[x](javascript:alert(1))</p>"),
        ("[x](data:text/html,hi)", "<p>[x](data:text/html,hi)</p>"),
        ("![x](photo.jpg)", '<p>!<a href="photo.jpg">x</a></p>'),
    ],
)
def test_notes_mean_what_their_writer_meant(note: str, html: str) -> None:
    assert str(render(note)) == html


@pytest.mark.parametrize(
    "url",
    [
        "javascript:x",
        "JAVASCRIPT:x",
        "java\tscript:x",
        " javascript:x",
        "vbscript:x",
        "file:///etc",
        "//evil",
        "\\\\evil",
        "data:x",
    ],
)
def test_links_of_other_schemes_are_refused(url: str) -> None:
    assert not allowed(url)


@pytest.mark.parametrize("url", ["https://example.org", "http://example.org", "mailto:a@example.org", "b.txt", "#x"])
def test_links_of_the_web_are_allowed(url: str) -> None:
    assert allowed(url)


def test_deep_nesting_ends_as_text() -> None:
    html = str(render(">" * 5000 + " deep"))
    assert html.count("<blockquote") <= MOST_NESTED
    assert str(render("- " * 5000 + "deep")).count("<ul") <= MOST_NESTED


@given(st.text(alphabet="<>&\"'`*_[]()!#-+=~|\\ \nabc:/javscript0123456789.>", max_size=120))
def test_nothing_that_a_note_says_becomes_a_tag_of_its_own(note: str) -> None:
    found = look(in_page(str(render(note))))
    tags = {t for t, _ in found.tags} - {"html", "head", "title", "body"}
    assert tags <= {"p", "em", "strong", "a", "ul", "ol", "li", "blockquote", "br", "hr", "code", "pre"}
    assert all(allowed(url) for url in found.values("href", "a"))
    assert {k for _, a in found.tags for k in a} <= {"href", "lang", "start", "title"}
