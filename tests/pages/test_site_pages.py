"""Shelf, problems, how to write a log, and the page for what is not there."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.output.templates import job_row
from logbook.pages.problems import Explanation, problem_file, problem_lines, problems_page, visible
from logbook.pages.reference import RULES, TASTE, reference_page
from logbook.pages.shelf import MOST_ON_ONE_SHELF, ShelfSite, Shelved, shelf_pages, shelf_row, shelved
from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text import reader
from logbook.text.kinds import TABLE
from pages.example_job import diagnosis, job, states
from pages.site import look, page_html


def row(address: str = "van", **more: object) -> Shelved:
    told = replace(shelf_row(job(), diagnosis()), address=address, **more)  # type: ignore[arg-type]
    return shelved(told, job_row(told))


def test_jobs_stand_by_their_standing_the_latest_first() -> None:
    rows = [
        row("a", last=date(2026, 1, 1)),
        row("b", standing="proved"),
        row("c", standing="found"),
        row("d", last=date(2026, 5, 9)),
        row("e", standing="repaired"),
    ]
    (page,) = shelf_pages(rows, ShelfSite(shop="Shed"))
    assert [(g.heading, [r.address for r in g.rows]) for g in page.groups] == [
        ("On the bench", ["d", "a"]),
        ("Cause found, waiting", ["c"]),
        ("Put right, not proved yet", ["e"]),
        ("Put right", ["b"]),
    ]
    assert page.groups[0].aside == "Two jobs that still ask for a test."
    found = look(page_html("pages/shelf.html", page))
    assert {f"{r.address}/index.html" for r in rows} <= set(found.values("href", "a"))
    assert len(found.values("id")) == len(set(found.values("id")))


def test_a_row_says_symptom_or_next_step_cause_engine_and_days() -> None:
    found = shelf_row(job(), diagnosis())
    assert found.sentence == (
        "2 dead, 5 weak, 6 not known; next: open the plug-in at coil 2, look, dry it, mist it again, about 10 minutes."
    )
    assert (found.cause_label, found.cause) == ("cause", "injector 4")
    open_ = shelf_row(job()._replace(causes=()), diagnosis())
    assert (open_.cause_label, open_.cause) == ("likeliest", "water in the plug-in at coil 2, 68 in 100")
    settled = shelf_row(job(), replace(diagnosis(), standing="proved", states=states()))
    assert settled.sentence == "All fire; proved by cut-out on 9 May."
    assert (found.days, found.count) == ("4 to 9 May 2026", "15 entries")
    public = shelf_row(job()._replace(copy="public"), diagnosis())
    assert public.count == "12 entries", "private entries are not counted"


def test_a_log_of_parts_alone_asks_for_no_test_on_the_shelf() -> None:
    (page,) = shelf_pages([row("a"), row("wreck", is_stock=True)], ShelfSite())
    assert [(g.heading, g.aside) for g in page.groups] == [
        ("On the bench", "One job that still asks for a test."),
        ("Parts for other jobs", "One log that names parts of a donor and no engine to test."),
    ]
    fields = {field.label: field.value for field in page.sheet.fields}
    assert (fields["Still asking for a test"], fields["Parts for other jobs"]) == ("1", "1")
    assert shelf_row(job()._replace(engines=(), card=()), diagnosis()).is_stock


def test_the_empty_shelf_says_what_to_do() -> None:
    (page,) = shelf_pages([], ShelfSite())
    assert "Put a log beside shop.txt." in look(page_html("pages/shelf.html", page)).words


def test_above_a_thousand_jobs_the_shelf_has_a_page_a_year() -> None:
    plain = row(plan=None, standing="proved")
    rows = [
        plain._replace(address=f"j{n}", last=f"{2020 + n % 3}-01-01", group="put-right" if n else "on-the-bench")
        for n in range(MOST_ON_ONE_SHELF + 2)
    ]
    pages = shelf_pages(rows, ShelfSite())
    assert [p.sheet.path for p in pages] == [
        "index.html",
        "jobs-of-2022.html",
        "jobs-of-2021.html",
        "jobs-of-2020.html",
    ]
    by_year = [r.address for p in pages[1:] for g in p.groups for r in g.rows]
    assert sorted(by_year) == sorted(r.address for r in rows)
    first = [r.address for g in pages[0].groups for r in g.rows]
    assert "j0" in first and len(first) == len(set(first)) <= MOST_ON_ONE_SHELF


def test_a_job_without_a_day_has_a_page_on_a_shelf_by_years_too() -> None:
    plain = row(plan=None, standing="looking", last=date(2026, 1, 1))
    rows = [plain._replace(address=f"j{n}") for n in range(MOST_ON_ONE_SHELF)]
    pages = shelf_pages([*rows, plain._replace(address="undated", last="")], ShelfSite())
    assert pages[0].years[-1].path == pages[-1].sheet.path == "jobs-without-a-day.html"
    assert [r.address for g in pages[-1].groups for r in g.rows] == ["undated"]


@given(st.text(alphabet="<>&\"'/job-rows 0123 rpm\u202e", max_size=40))
def test_rows_stand_on_the_shelf_as_they_were_made_with_their_jobs(said: str) -> None:
    rows = [row("a", title=said), row("b", standing="proved", sentence=said), row("c", cause=f"<job-rows 0>{said}")]
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
    assert "Every line of every log could be read." in look(page_html("pages/problems.html", page)).words


def test_every_kind_is_explained_and_found_by_its_synonyms() -> None:
    page = reference_page("Shed")
    kinds = {k.word: k for g in page.groups for k in g.kinds}
    assert set(kinds) == {k.word for k in TABLE}
    for kind in TABLE:
        for word in (kind.word, *kind.synonyms, *kind.colon_synonyms, *kind.words):
            assert word in kinds[kind.word].search
    found = look(page_html("pages/reference.html", page))
    assert len(found.values("id")) == len(set(found.values("id")))
    assert len(found.values("data-words")) == len(TABLE)


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
