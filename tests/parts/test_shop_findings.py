"""Shop findings: the causes that were found, and how the ranking had stood before they were written down."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from logbook.diagnosis.answers import NOTHING, Cause, CylinderAnswer, Diagnosis, EntryWeight, HistoryPoint
from logbook.job.model import Job, Place
from logbook.pages.closed_jobs import ClosedJob, closed_job
from logbook.pages.parts import Shop
from logbook.pages.shop_findings import findings_page, wilson
from tests.parts.logs import BENCH, job_of

SHOP = Shop("", "shop")


def _index(job: Job, kind: str, nth: int = 0) -> int:
    return [e.entry.index for e in job.entries if e.entry.kind == kind][nth]


def _diagnosis(job: Job, *chances: float) -> Diagnosis:
    """Two causes of 3, the injector found there and the coil; ``chances`` before the cause was told, then after."""
    told = _index(job, "cause")
    flow = _index(job, "flow", 1)
    weights = (EntryWeight(flow, 8.0, ""), EntryWeight(told, 30.0, ""))
    causes = (
        Cause("injector_dead", "the injector found in 3 dead", 0.99, "injector/old-3", Place("", 3), weights=weights),
        Cause("coil_dead", "the coil found in 3 dead", 0.01, "coil/old-3", Place("", 3)),
    )
    history = (HistoryPoint(flow, "", chances), HistoryPoint(told, "", (0.99, 0.01)))
    answer = CylinderAnswer(Place("", 3), "fires", "dead", causes, 0.0, 0.0, history=history)
    return replace(NOTHING, cylinders=(answer,), standing="proved")


def _closed(*chances: float, text: str = BENCH, copy: str = "shop") -> ClosedJob:
    job = job_of(text, copy=copy)
    found = closed_job(job, _diagnosis(job, *chances))
    assert found is not None
    return found


def test_the_ranking_is_judged_before_the_cause_was_written_down() -> None:
    assert (_closed(0.7, 0.3).rank, _closed(0.7, 0.3).stated) == (1, 0.7)
    wrong = _closed(0.2, 0.8)
    assert (wrong.rank, wrong.stated, wrong.top) == (2, 0.2, 0.8)


def test_a_cause_that_was_not_listed_counts_as_missed() -> None:
    other = BENCH.replace("cause injector: old 3 (varnish)", "cause gasket: 1 2")
    found = _closed(0.2, 0.8, text=other)
    assert (found.rank, found.top, found.what) == (0, 0.8, "gasket")


def _with_cause(cause: str, *listed: Cause) -> ClosedJob | None:
    job = job_of(BENCH.replace("cause injector: old 3 (varnish)", cause))
    told = _diagnosis(job, 0.2, 0.8)
    answer = replace(told.cylinders[0], causes=listed)
    return closed_job(job, replace(told, cylinders=(answer,)))


def test_a_cause_of_several_cylinders_is_the_listed_one_by_the_words_of_the_tables() -> None:
    coil = Cause("coil_dead", "the coil found in 3 dead", 0.2, "coil/old-3", Place("", 3))
    feed = Cause("inj_feed", "feed to the injectors of 1 to 4 lost", 0.8, scope="injector feed")
    found = _with_cause("cause fuse: (blown)", coil, feed)
    assert found is not None
    assert (found.rank, found.stated, found.what) == (1, 0.8, "fuse")


def test_a_cause_in_words_of_its_own_neither_speaks_for_the_ranking_nor_against_it() -> None:
    coil = Cause("coil_dead", "the coil found in 3 dead", 0.2, "coil/old-3", Place("", 3))
    found = _with_cause("cause: mouse nest in the duct", coil)
    assert found is not None
    assert (found.rank, found.what, found.text) == (None, "not named", "mouse nest in the duct")


def test_a_job_without_a_cause_is_not_closed() -> None:
    assert closed_job(job_of(BENCH.replace("cause injector: old 3 (varnish)\n", "")), NOTHING) is None


def test_the_entry_that_settled_it_is_the_heaviest_before_the_cause() -> None:
    assert _closed(0.7, 0.3).settled_by == "flow"


def test_hours_of_diagnosis_are_added_and_private() -> None:
    text = BENCH + "hours: diagnosis 1.5, fitting 4\nhours: diagnosis 0.5\n"
    assert _closed(0.7, 0.3, text=text).hours == Decimal("2.0")
    assert _closed(0.7, 0.3, text=text, copy="public").hours is None


def _job(rank: int | None, top: float, day: int = 1) -> ClosedJob:
    return ClosedJob(
        "A job", "a/index.html", date(2026, 1, day), "coil", "coil: 3", "x", True, None, "swap coil", rank, 0.5, top
    )


def test_the_record_says_right_wrong_and_missed() -> None:
    page = findings_page([_job(1, 0.97), _job(1, 0.6), _job(2, 0.99), _job(0, 0.4), _job(None, 0.0)], SHOP)
    said = " ".join(page.honest)
    assert "first in 2 of 4 jobs: 50%" in said
    assert "right in 1 of 2" in said
    assert "In 1 the cause was not among those listed at all." in said


def test_bands_tell_what_was_said_and_what_came_true() -> None:
    page = findings_page([_job(1, 0.97), _job(2, 0.99), _job(1, 0.5)], SHOP)
    assert page.reliability is not None
    assert [[c.text for c in row] for row in page.reliability.rows] == [
        ["40 to 60", "50", "1 of 1"],
        ["80 to 100", "98", "1 of 2"],
    ]


def test_causes_and_settling_tests_are_counted() -> None:
    page = findings_page([_job(1, 0.9), _job(1, 0.9)], SHOP)
    assert page.causes is not None and page.settled is not None
    assert [c.text for c in page.causes.rows[0]] == ["coil", "2"]
    assert [c.text for c in page.settled.rows[0]] == ["swap coil", "2"]


def test_no_closed_job_is_said() -> None:
    page = findings_page([], SHOP)
    assert page.nothing and page.jobs is None


@given(st.integers(1, 300), st.data())
def test_the_interval_is_that_of_a_reference_library(of: int, data: st.DataObject) -> None:
    hits = data.draw(st.integers(0, of))
    reference = binomtest(hits, of).proportion_ci(0.95, method="wilson")  # scipy
    assert wilson(hits, of) == pytest.approx((reference.low, reference.high), abs=1e-9)
