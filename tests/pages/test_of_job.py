"""The pages of a job: each answers its reader first, valid, linked, and without what it has no data for."""

from __future__ import annotations

import itertools
import re
from functools import cache

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.findings.work import work_out
from logbook.job import ledger
from logbook.job.copy import copied
from logbook.job.model import Job
from logbook.pages.of_job import Page, Surroundings, job_pages
from logbook.pages.told import told
from logbook.text.reader import read
from pages.example_job import diagnosis as example_diagnosis
from pages.example_job import job as example_job
from pages.example_job import numbers
from pages.site import Found, look, page_html
from tests.samples.logs import NAMES, diagnosis

AROUND = Surroundings(shop="Millrace Lane Garage")
OPEN, FIXED, BUILD = "village-fire-pump", "hay-baler", "hill-climb-turbo"


@cache
def pages_of(name: str, copy: str = "shop") -> dict[str, Page]:
    job, found = diagnosis(name)
    shown = copied(job, copy)  # type: ignore[arg-type]
    made = job_pages(shown, told(found, shown), work_out(job, found), AROUND)
    return {p.path.rpartition("/")[2].removesuffix(".html"): p for p in made}


@cache
def seen(name: str, page: str = "index", copy: str = "shop") -> Found:
    found = pages_of(name, copy)[page]
    return look(page_html(found.template, found.view))


def test_which_pages_there_are_follows_from_the_job() -> None:
    assert list(pages_of(OPEN)) == ["index", "next", "story", "why", "readings", "numbers", "money"]
    assert list(pages_of(FIXED)) == ["index", "story", "why", "readings", "numbers", "money"]
    assert list(pages_of(BUILD)) == ["index", "story", "why", "readings", "numbers", "build", "money"]
    assert "money" not in pages_of(FIXED, "public")


@pytest.mark.parametrize("name", NAMES)
def test_every_page_is_valid_linked_and_its_headings_skip_no_level(name: str) -> None:
    made = pages_of(name)
    paths = {p.path.rpartition("/")[2] for p in made.values()}
    for page in made:
        found = seen(name, page)
        ids = found.values("id")
        assert len(ids) == len(set(ids)), page
        hrefs = [h for h in found.values("href", "a") if not h.startswith("..")]
        assert {h[1:] for h in hrefs if h.startswith("#")} <= {*ids, "main"}
        beside = {h.partition("#")[0] for h in hrefs if not h.startswith("#") and h.endswith(".html")}
        assert {b for b in beside if "/" not in b} <= paths, page
        levels = [int(t[1]) for t, _ in found.tags if re.fullmatch("h[1-6]", t)]
        assert levels[0] == 1 and levels.count(1) == 1
        assert all(b - a <= 1 for a, b in itertools.pairwise(levels)), page


@pytest.mark.parametrize("name", NAMES)
def test_every_entry_can_be_led_to_in_the_story(name: str) -> None:
    job, _ = diagnosis(name)
    assert {e.anchor for e in job.entries} <= set(seen(name, "story").values("id"))


def test_an_open_job_opens_with_the_next_test_its_danger_and_the_log_s_own_caution() -> None:
    words = seen(OPEN).words
    order = [words.index(w) for w in (
        "Open", "Cylinder 6 is dead.", "Next test", "Put the spark tester on 6",
        "Danger. Ignition voltage can stop a heart", "On this machine. The pump shaft turns with the engine",
        "Strong", "spark: 6 strong", "spark: 6 none", "Likeliest causes", "Ruled out:", "The engine now",
        "Waiting for", "Noid light, lent to the boatyard.",
    )]  # fmt: skip
    assert order == sorted(order)
    assert "Coil 6 and lead 6 are ruled out already." in words


def test_a_test_whose_tool_is_away_stands_behind_those_that_can_be_done_now() -> None:
    words = seen(OPEN).words
    assert "pulse light" not in words.partition("Likeliest causes")[0].casefold()


def test_a_fixed_job_tells_complaint_cause_work_and_proof() -> None:
    words = seen(FIXED).words
    order = [words.index(w) for w in (
        "Handed back", "Valve 3. July 18.", "Reported: ", "Cylinder 3 was dead. It fires now.", "The cause: valve 3",
        "How we know: leak-down, July 7: 74 % (exhaust) on 3", "The head came off.",
        "Proved by cut-out and vacuum, July 18.", "Before and after", "Road test", "“two fields baled”",
        "“told him to look at the lash every spring”",
    )]  # fmt: skip
    assert order == sorted(order)
    for row in ("Compression, psi 48 139 135–137", "Leak-down, % 74 6–9 6–9", "Exhaust lash, in 0.002 0.014 0.014"):
        assert row in words


def test_a_knock_stands_at_the_top_of_a_build() -> None:
    assert seen(BUILD).words.index("Knock heard in pull 3 at 6000 rpm.") < seen(BUILD).words.index("Cylinder 3 was")
    assert "Knock heard in pull 3 at 6000 rpm." in seen(BUILD, "build").words


def test_at_the_engine_there_is_the_test_alone_and_it_asks_for_a_line_of_the_log() -> None:
    found = seen(OPEN, "next")
    assert found.words.index("What do you see?") < found.words.index("Strong")
    assert [h for h in found.values("href", "a") if h.startswith("#outcome")] == [
        "#outcome-1",
        "#outcome-2",
        "#outcome-3",
    ]
    assert "spark: 6 strong" in found.words and "Likeliest" not in found.words


def test_the_story_ends_each_day_with_what_was_believed() -> None:
    words = seen(FIXED, "story").words
    assert "That evening: exhaust valve 3: not sealing, over 99%." in words
    assert "That evening: fixed and tested." in words
    assert words.index("In the yard") < words.index("Head off") < words.index("Head back")


def test_why_has_for_and_against_in_plain_strengths_and_no_multipliers() -> None:
    words = seen(FIXED, "why").words
    assert "Leak-down, July 7: 74 % (exhaust) on 3 (settles it)." in words
    assert "Ruled out" in words and "Swap lead, July 6: dead on 3." in words
    assert not re.search(r"[×÷]\s?\d", words)


def test_readings_have_all_dates_as_columns_of_one_table() -> None:
    words = seen(FIXED, "readings").words
    assert "Compression Cylinder July 7, dry July 7, wet July 7 July 18" in words
    heads = [a["id"] for t, a in seen(FIXED, "readings").tags if t == "h2"]
    assert len(heads) == len(pages_of(FIXED)["readings"].view.kinds) + 1, "and the whole engine"  # type: ignore[attr-defined]
    assert "Spark strong on all, July 6" in words, "where all are alike there is no table"


def test_numbers_are_those_that_decided_each_with_its_decision() -> None:
    words = seen(FIXED, "numbers").words
    assert words.index("To find it") < words.index("To prove it")
    assert "from memory" not in words and "common practice" not in words
    assert "more worked out and not used for a decision: in the job’s data file." in words


def test_what_has_no_data_is_absent() -> None:
    empty = ledger.build(read("x.txt", b"job: Van\n"))
    made = job_pages(empty, NOTHING, (), Surroundings())
    assert [p.path for p in made] == ["van/index.html", "van/story.html"] or len(made) == 2
    words = look(page_html(made[0].template, made[0].view)).words
    assert "Before and after" not in words and "Likeliest" not in words


def test_drawings_and_pictures_say_what_they_show() -> None:
    for page in pages_of(BUILD):
        for tag, attributes in seen(BUILD, page).tags:
            if tag == "svg":
                assert attributes.get("aria-label") or attributes.get("aria-hidden") == "true"
            if tag == "img":
                assert attributes["alt"] and attributes["width"] and attributes["height"]


def test_the_public_copy_has_nothing_private() -> None:
    public = example_job()._replace(copy="public", lines=example_job().lines._replace(problem=2))
    made = job_pages(public, example_diagnosis(), numbers(), AROUND)
    html = " ".join(page_html(p.template, p.view) for p in made)
    for secret in ("K. Example", "pays late", "11.40", "28 %", "parcel-van.txt", "2.5 h"):
        assert secret not in html
    assert "2 lines of this log not understood." in look(page_html(made[0].template, made[0].view)).words


def test_the_same_job_gives_the_same_views() -> None:
    job, found = diagnosis(FIXED)
    again = job_pages(job, told(found, job), work_out(job, found), AROUND)
    assert list(pages_of(FIXED).values()) == list(again)


def test_us_logs_have_us_dates_and_metric_ones_have_theirs() -> None:
    for page in pages_of(FIXED):
        assert not re.search(r"(?<!July )\b\d{1,2} July\b(?! \d)", seen(FIXED, page).words), page
    assert "handed back" in seen("camper-six").words.casefold() and "20 June" in seen("camper-six").words


def test_after_a_come_back_the_page_asks_again_and_the_first_repair_stays_told() -> None:
    text = (
        "job: Van\nengine: four in line, fires 1 3 4 2, coil on plug\nsymptom: shakes\n\n2026-05-04\n"
        "firing: 3 dead, rest fires\nfit coil: new in 3, now all fires\nproved cut-out: 70 71 70 69\nhanded over\n"
        "\n2026-06-01\ncame back: shakes in the wet\nfiring: 3 dead, rest fires\n"
    )
    job: Job = ledger.build(read("van.txt", text.encode()))
    from logbook.diagnosis.diagnose import diagnose

    made = job_pages(job, told(diagnose(job), job), (), AROUND)
    words = look(page_html(made[0].template, made[0].view)).words
    assert words.index("It came back on 1 June.") < words.index("Next test") < words.index("Fixed before")
    assert "A new coil went into cylinder 3." in words and "Proved by cut-out, 4 May." in words
