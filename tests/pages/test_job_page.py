"""The page of a job, whole: valid, linked, labelled, and without what it has no data for."""

from __future__ import annotations

import itertools
import re

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.job.model import Job
from logbook.pages.frame import ShownFigure
from logbook.pages.job_page import JobPage, Surroundings, job_page
from logbook.text.entries import LineCount
from pages.example_job import diagnosis, job, numbers
from pages.site import Found, look, page_html

FIGURE = ShownFigure("parcel-van/figures/cut-out.svg", 353, 252, "Cut-out by cylinder", "Cut-out at idle")


def page(of: Job | None = None) -> JobPage:
    figures = {"readings": (FIGURE,)}
    return job_page(of or job(), diagnosis(), numbers(), Surroundings(shop="Millrace Lane Garage", figures=figures))


@pytest.fixture(scope="module")
def found() -> Found:
    return look(page_html("pages/job.html", page()))


def test_ids_are_unique_and_every_link_within_the_page_leads_somewhere(found: Found) -> None:
    ids = found.values("id")
    assert len(ids) == len(set(ids))
    inner = {h[1:] for h in found.values("href") if h.startswith("#")}
    assert inner <= set(ids)
    assert {e.anchor for e in job().entries} <= set(ids), "every entry can be led to"


def test_every_heading_has_an_id(found: Found) -> None:
    headings = [a for t, a in found.tags if re.fullmatch("h[1-6]", t)]
    assert headings and all(a.get("id") for a in headings)


def test_headings_never_skip_a_level(found: Found) -> None:
    levels = [int(t[1]) for t, _ in found.tags if re.fullmatch("h[1-6]", t)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels))


def test_sections_stand_in_the_order_in_which_they_are_asked_for(found: Found) -> None:
    sections = [a["id"] for t, a in found.tags if t == "section"]
    assert sections == [
        "stands", "next", "engine", "remains", "ruled-out", "readings", "before-after",
        "days", "worked", "build", "trail", "proof", "money",
    ]  # fmt: skip
    assert sections == [h[1:] for h in found.values("href", "a") if h[1:] in sections][: len(sections)]


def test_what_has_no_data_is_absent() -> None:
    empty = job()._replace(
        engines=(), parts=(), stays=(), events=(), readings=(), limits=(), causes=(), trades=(), days=(),
        entries=job().entries[:1],
    )  # fmt: skip
    bare = job_page(empty, NOTHING, (), Surroundings())
    sections = [a["id"] for t, a in look(page_html("pages/job.html", bare)).tags if t == "section"]
    assert sections == ["stands", "days"]
    assert bare.stand.lead == "No test yet. Look for spark and for fuel, about 5 minutes each."


def test_drawings_and_pictures_say_what_they_show(found: Found) -> None:
    for tag, attributes in found.tags:
        if tag == "svg":
            assert attributes.get("aria-label") or attributes.get("aria-hidden") == "true"
        if tag == "img":
            assert attributes["alt"] and attributes["width"] and attributes["height"]


def test_each_day_s_plan_is_under_three_kilobytes() -> None:
    html = page_html("pages/job.html", page())
    strip = html[html.index('<ol class="strip') :]
    days = strip[: strip.index("</ol>")].split("<li")[1:]
    assert len(days) == 3
    assert max(len(d.encode()) for d in days) < 3000


def test_minutes_tools_cautions_and_outcomes_stand_with_the_step(found: Found) -> None:
    words = found.words
    start = words.index("First. Open the plug-in")
    step = words[start : words.index("Injector old 2 on the bench")]
    for said in (
        "about 10",
        "torch, pick and spray bottle",
        "Ignition voltage can kill",
        "61 in 100",
        "look coil connector: 2",
    ):
        assert said in step
    assert "no injector bench in this shop" in words


def test_the_public_copy_has_nothing_private() -> None:
    public = job()._replace(copy="public", lines=job().lines._replace(problem=2))
    html = page_html("pages/job.html", page(public))
    for secret in ("K. Example", "pays late", "11.40", "28 %", "parcel-van.txt", "2.5 h"):
        assert secret not in html
    words = look(html).words
    assert "Hours and money" not in words
    assert "2 lines of this log could not be read." in words


def test_the_shop_s_copy_names_its_file_and_its_count() -> None:
    foot = page(job()._replace(lines=LineCount(blank=3, entry=15, problem=4))).sheet.foot
    assert foot == "Written 9 May 2026 from parcel-van.txt, 22 lines, 4 unread"


def test_numbers_show_formula_inputs_and_where_they_were_read(found: Found) -> None:
    words = found.words
    worked = words[words.index("How far 5 is under the rest") :]
    for said in ("44 ± 9 %", "share = 1 − drop of 5", "41 ± 7 rpm", "usual value", "add a leak-down line"):
        assert said in worked
    links = found.values("href", "a")
    assert f"#{job().entries[13].anchor}" in links


def test_the_same_job_gives_the_same_bytes() -> None:
    assert page_html("pages/job.html", page()) == page_html("pages/job.html", page())


def test_fields_of_the_head() -> None:
    fields = {f.label: f.value for f in page().sheet.fields}
    assert fields == {
        "Symptom": "shakes at idle since the rain",
        "Banks": "left 1 3 5, right 2 4 6",
        "First day": "4 May 2026",
        "Last day": "9 May 2026",
        "Standing": "Open",
        "Engine": "V6, coil on plug, port injection",
        "Fires": "1 2 3 4 5 6",
        "Still open": "2 and 5; not known: 6",
    }
