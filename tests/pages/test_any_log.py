"""Whatever a log holds, there is a page of it: valid, linked, and without a crash."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.diagnosis.answers import NOTHING
from logbook.job import ledger
from logbook.output.templates import job_row
from logbook.pages.of_job import Surroundings, job_pages
from logbook.pages.phrases import Voice
from logbook.pages.problems import problem_lines
from logbook.pages.shelf import ShelfSite, shelf_pages
from logbook.pages.shelf_row import shelf_row, shelved
from logbook.text import reader
from logbook.text.faults import faults
from logbook.text.kinds import TABLE
from pages.site import look, page_html

CARDS = (
    "job: x\nunits: metric\nmoney: eur\nengine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug\n",
    "job: x\nunits: us\nengine: flat four, left 1 3, right 2 4, coil pair 1 2 / 3 4\nparts injector: A1-A8 used\n",
    "job: x\nunits: us\nengine: inline 1\nengine D2: V8, rear 1 3 5 7, front 2 4 6 8\ndonor D1: a hatchback\n",
    "",
)
EXAMPLES = sorted({k.example for k in TABLE} | {f.bad for f in faults().values() if len(f.bad) < 500})


def check(text: str) -> None:
    """The page and the shelf of this text, parsed strictly; every inner link resolves."""
    log = reader.read("x.txt", text.encode("utf-8", "surrogateescape"), None)
    job = ledger.build(log, None, {}, "x")
    around = Surroundings(problem_lines=problem_lines(job.problems, log.text))
    for page in job_pages(job, NOTHING, (), around):
        found = look(page_html(page.template, page.view))
        ids = found.values("id")
        assert len(ids) == len(set(ids)), (page.path, [i for i in ids if ids.count(i) > 1])
        assert {h[1:] for h in found.values("href") if h.startswith("#")} - {"main"} <= set(ids), page.path
    row = shelf_row(job, NOTHING, {}, Voice())
    (shelf,) = shelf_pages([shelved(row, job_row(row))], ShelfSite())
    look(page_html("pages/shelf.html", shelf))


@pytest.mark.parametrize("card", CARDS, ids=["vee", "flat", "two engines", "no card"])
def test_a_log_of_every_kind_and_every_fault(card: str) -> None:
    days = "\n".join(f"\n2026-05-{n % 28 + 1:02d}\n{example}" for n, example in enumerate(EXAMPLES))
    check(f"{card}{days}\n")


@settings(deadline=None)
@given(st.sampled_from(CARDS), st.lists(st.sampled_from(EXAMPLES), max_size=6), st.text(max_size=30))
def test_any_handful_of_lines(card: str, lines: list[str], noise: str) -> None:
    body = "\n".join(["2026-05-04 a day", *lines, noise.replace("\udcff", ""), "2026-05-05", *lines])
    check(card + body)


@given(st.text(alphabet="<>&\"'`${}%#/\\ scriptalertonload=javascript:\u202e\u0000\n\t-*_[]()!", max_size=60))
@settings(deadline=None)
def test_no_log_puts_a_script_into_a_page(said: str) -> None:
    lines = said.replace("\n", " ")
    card = f"job: {lines}\nsymptom: {lines}\nengine: inline 2\n"
    check(f"{card}\n2026-05-04 {lines}\nroad: {lines}\n  {said}\nnonsense {lines}\n")
