"""Shelf, problems, how to write a log, and the page for what is not there."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.job.model import Photo
from logbook.output.templates import job_row
from logbook.pages.day_by_day import ShownPhoto
from logbook.pages.phrases import Voice
from logbook.pages.problems import Explanation, problem_file, problem_lines, problems_page, visible
from logbook.pages.reference import RULES, TASTE, guide, kinds_pages, units_page
from logbook.pages.shelf import MOST_ON_ONE_SHELF, MOST_OPEN, MOST_UNFOLDED, ShelfSite, shelf_pages
from logbook.pages.shelf_row import Shelved, shelf_row, shelved
from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text import reader
from logbook.text.kinds import TABLE
from pages.example_job import diagnosis, job, states
from pages.site import look, page_html


def row(address: str = "van", **more: object) -> Shelved:
    told = replace(shelf_row(job(), diagnosis(), {}, Voice()), address=address, **more)  # type: ignore[arg-type]
    return shelved(told, job_row(told))


def counted_rows(count: int, of_a_year: int = 60) -> list[Shelved]:
    """Closed jobs over some years, the newest first, and two open ones."""
    plain = row(plan=None, group="fixed")
    closed = [plain._replace(address=f"j{n}", last=f"{2026 - n // of_a_year}-01-01") for n in range(count)]
    return [*closed, *(plain._replace(address=f"open{n}", group="open", last="2020-01-01") for n in range(2))]


def test_open_jobs_stand_first_the_latest_at_the_top() -> None:
    rows = [
        row("a", last=date(2026, 1, 1)),
        row("b", group="fixed"),
        row("d", last=date(2026, 5, 9)),
        row("e", group="other", parting_out=True),
        row("f", group="failed", last=None),
    ]
    (page,) = shelf_pages(rows, ShelfSite(shop="Shed"))
    assert [(g.heading, [r.address for r in g.rows]) for g in page.groups] == [
        ("Not built", ["f"]),
        ("Open", ["d", "a"]),
        ("Fixed", ["b"]),
        ("Builds and parts", ["e"]),
    ]
    assert page.sheet.state == "2 open, 1 fixed, 1 parting out, 1 not built."
    found = look(page_html("pages/shelf.html", page))
    assert {f"{r.address}/index.html" for r in rows} <= set(found.values("href", "a"))
    assert len(found.values("id")) == len(set(found.values("id")))


def test_a_row_says_where_the_case_turned_how_far_it_is_and_the_next_test() -> None:
    found = shelf_row(job(), diagnosis(), {}, Voice())
    assert found.group == "open"
    assert found.turning == "Swap coil, 9 May: dead on 2."
    assert found.small == "Open. Cylinder 2 is dead when wet. V6. For K. Example."
    assert found.test == "Open the plug-in at coil 2, look, dry it, mist it again. 10 minutes."
    settled = shelf_row(job(), replace(diagnosis(), standing="proved", states=states()), {}, Voice())
    assert (settled.group, settled.test) == ("fixed", "")
    assert settled.turning.endswith("The cause: injector 4.")
    assert settled.small == "Fixed 9 May 2026. V6."
    public = shelf_row(job()._replace(copy="public"), diagnosis(), {}, Voice())
    assert "K. Example" not in public.small


def test_a_row_has_the_photo_nearest_before_the_cause() -> None:
    shown = {name: ShownPhoto(f"van/photos/{name}", 4, 3, alt=name) for name in ("early.jpg", "late.jpg", "own.jpg")}
    cause = job().causes[0].entry
    taken = [("early.jpg", cause - 2, False), ("own.jpg", cause - 1, True), ("late.jpg", cause + 1, False)]
    photos = tuple(Photo(entry, "photo", file, private=private) for file, entry, private in taken)
    found = shelf_row(job()._replace(photos=photos), diagnosis(), shown, Voice())
    assert found.photo == shown["early.jpg"]
    assert 'src="van/photos/early.jpg"' in job_row(found).decode()


def test_the_empty_shelf_says_what_to_do() -> None:
    (page,) = shelf_pages([], ShelfSite())
    assert "Put a log next to shop.txt." in look(page_html("pages/shelf.html", page)).words


def test_many_closed_jobs_are_folded_by_year() -> None:
    (page,) = shelf_pages(counted_rows(MOST_UNFOLDED + 1, 5), ShelfSite())
    assert [(g.heading, len(g.rows)) for g in page.groups] == [("Open", 2), ("Lately", 4)]
    assert [(y.heading, len(y.rows)) for y in page.years] == [
        ("2026, 5 jobs", 5),
        ("2025, 5 jobs", 5),
        ("2024, 3 jobs", 3),
    ]
    (whole,) = shelf_pages(counted_rows(MOST_UNFOLDED), ShelfSite())
    assert not whole.years and sum(len(g.rows) for g in whole.groups) == MOST_UNFOLDED + 2


def test_where_many_are_open_the_older_ones_are_folded_too() -> None:
    rows = [r._replace(group="open") for r in counted_rows(30)] + counted_rows(MOST_UNFOLDED + 1)
    (page,) = shelf_pages(rows, ShelfSite())
    assert (len(page.groups[0].rows), page.groups[0].folded) == (MOST_OPEN, "26 jobs more")


def test_above_a_thousand_jobs_each_year_has_a_page() -> None:
    rows = counted_rows(MOST_ON_ONE_SHELF + 2, 400)
    pages = shelf_pages(rows, ShelfSite())
    assert [p.sheet.path for p in pages] == [
        "index.html",
        "jobs-of-2026.html",
        "jobs-of-2025.html",
        "jobs-of-2024.html",
    ]
    by_year = [r.address for p in pages[1:] for g in p.groups for r in g.rows]
    assert sorted(by_year) == sorted(r.address for r in rows if r.group != "open")
    assert [y.link.path for y in pages[0].years if y.link] == [p.sheet.path for p in pages[1:]]
    assert [r.address for r in pages[0].groups[0].rows] == ["open0", "open1"]


def test_a_job_without_a_day_has_a_page_on_a_shelf_by_years_too() -> None:
    rows = counted_rows(MOST_ON_ONE_SHELF, 2000)
    pages = shelf_pages([*rows, rows[0]._replace(address="undated", last="")], ShelfSite())
    assert pages[-1].sheet.path == "jobs-without-a-day.html"
    assert [r.address for g in pages[-1].groups for r in g.rows] == ["undated"]


@given(st.text(alphabet="<>&\"'/job-rows 0123 rpm\u202e", max_size=40))
def test_rows_stand_on_the_shelf_as_they_were_made_with_their_jobs(said: str) -> None:
    rows = [row("a", title=said), row("b", group="fixed", turning=said), row("c", test=f"<job-rows 0>{said}")]
    (page,) = shelf_pages(rows, ShelfSite(shop=said))
    html = page_html("pages/shelf.html", page)
    lists = re.findall(r'<ul class="jobs">\n(.*?)\n</ul>', html, re.DOTALL)
    made = {r.address: r.made.decode() for r in rows}
    assert lists == [made["a"] + made["c"], made["b"]]
    assert len([tag for tag, _ in look(html).tags if tag == "h3"]) == 3


TEXT = "job: a van\ncompresion: 1 130 psi\n"
WRONG = Problem(201, Weight.ERROR, Span(11, 21), "There is no kind 'compresion'.", "Did you mean 'compression'?")


def test_a_problem_is_shown_with_its_line_and_place() -> None:
    (line,) = problem_lines([WRONG], TEXT)
    assert (line.line, line.column) == (2, 1)
    assert (line.before, line.at, line.after) == ("", "compresion", ": 1 130 psi")


def test_problems_lead_to_what_their_number_means() -> None:
    explained = (
        Explanation(201, "error", "A kind that the table does not have", "why", "a\nb", "c"),
        Explanation(999, "error", "x", "y"),
    )
    file = problem_file("van.txt", [WRONG], TEXT, None)
    page = problems_page([file, replace(file, path="other.txt")], explained, "Shed")
    found = look(page_html("pages/problems.html", page))
    assert "#problem-201" in found.values("href", "a")
    assert "problem-201" in found.values("id") and "problem-999" not in found.values("id")
    assert len(found.values("id")) == len(set(found.values("id")))


def test_a_long_line_is_shown_around_the_place() -> None:
    text = "x" * 5000 + "HERE" + "y" * 5000
    (line,) = problem_lines([WRONG._replace(span=Span(5000, 5004))], text)
    assert line.at == "HERE" and len(line.before + line.after) < 200


def test_a_place_past_the_end_of_the_file_is_no_crash() -> None:
    (line,) = problem_lines([WRONG._replace(span=Span(900, 901))], "job: x")
    assert (line.line, line.at) == (1, "")


@pytest.mark.parametrize(
    ("text", "shown"), [("a\tb", "a→b"), ("a\u202eb", "a<U+202E>b"), ("a\x1bb", "a<U+001B>b"), ("ä", "ä")]
)
def test_what_nobody_sees_is_made_visible(text: str, shown: str) -> None:
    assert visible(text) == shown


def test_no_problem_is_said_too() -> None:
    page = problems_page([], [], "")
    assert "Every line was understood." in look(page_html("pages/problems.html", page)).words


def test_every_kind_is_explained_once_and_found_by_its_synonyms() -> None:
    first, pages = guide("Shed"), kinds_pages("Shed")
    kinds = [k for page in pages for k in page.kinds]
    assert sorted(k.word for k in kinds) == sorted(k.word for k in TABLE)
    found = {k.word: k for k, _ in first.kinds}
    for kind in TABLE:
        for word in (kind.word, *kind.synonyms, *kind.colon_synonyms, *kind.words):
            assert word in found[kind.word].search
    html = {page.sheet.path: look(page_html("pages/kinds.html", page)) for page in pages}
    for seen in html.values():
        assert len(seen.values("id")) == len(set(seen.values("id")))
    listed = look(page_html("pages/guide.html", first))
    assert len(listed.values("data-words")) == len(TABLE)
    for _, link in first.kinds:
        assert link.anchor in html[link.path].values("id")
    assert {link.path for link, _ in first.doors} == {*html, units_page().sheet.path}


def test_the_taste_reads_without_a_problem() -> None:
    log = reader.read("taste.txt", TASTE.encode(), None)
    assert not log.problems
    assert log.lines.entry == 8


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.title)
def test_every_line_that_a_rule_shows_is_read(rule: object) -> None:
    card = "job: x\nunits: us\nengine: inline 4, fires 1 3 4 2, coil on plug\n\n2026-05-04\ncut-out: 70 65 68 0\n"
    lines = "\n".join(rule.lines)  # type: ignore[attr-defined]
    log = reader.read("rule.txt", f"{card}{lines}\n".encode(), None)
    assert not [p for p in log.problems if p.weight == Weight.ERROR], log.problems
