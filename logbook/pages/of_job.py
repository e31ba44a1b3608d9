"""All pages of one job, each with the template it is rendered with: the one entry that a build needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.model import Number
from logbook.findings.recordings import Heard
from logbook.job.model import Job
from logbook.pages.frame import Sheet
from logbook.pages.heads import MORE, TABS, Surroundings, beside, head
from logbook.pages.job_page import job_page
from logbook.pages.more_pages import build_page, money_page, next_page
from logbook.pages.numbers_page import numbers_page
from logbook.pages.readings_page import readings_page
from logbook.pages.story_page import story_page
from logbook.pages.why_page import why_page

__all__ = ["Page", "Surroundings", "job_pages"]


class HasSheet(Protocol):
    @property
    def sheet(self) -> Sheet: ...


@dataclass(frozen=True, slots=True)
class Page:
    """A page: the name of its template and what that shows. Two equal pages are the same bytes."""

    template: str
    view: HasSheet

    @property
    def path(self) -> str:
        return self.view.sheet.path


def job_pages(
    job: Job, diagnosis: Diagnosis, numbers: Sequence[Number], around: Surroundings, heard: Sequence[Heard] = ()
) -> tuple[Page, ...]:
    """The job's own page and those beside it that have something to show.

    ``job`` already is the shop's or the public copy, and ``diagnosis`` told as that copy may.
    """
    first = head(job, diagnosis, around)
    own = {name: beside(first, job, name, ()) for name in (*TABS, *MORE)}
    found: dict[str, HasSheet | None] = {
        "next": next_page(job, diagnosis, own["next"]),
        "story": story_page(job, diagnosis, own["story"], around.photos),
        "why": why_page(job, diagnosis, own["why"], around.figures),
        "readings": readings_page(job, own["readings"], around, heard),
        "numbers": numbers_page(job, numbers, own["numbers"]),
        "build": build_page(job, own["build"], around.figures),
        "money": money_page(job, numbers, own["money"]),
    }
    names = ("index", *(name for name, view in found.items() if view is not None))
    pages = [Page("pages/job.html", job_page(job, diagnosis, first, around, names))]
    for name, view in found.items():
        if view is not None:
            pages.append(Page(f"pages/{name}.html", _with_tabs(view, beside(first, job, name, names))))
    return tuple(pages)


def _with_tabs(view: HasSheet, sheet: Sheet) -> HasSheet:
    """The same page with the row of its neighbours, known only once all are made."""
    tabs = () if view.sheet.look == "phone" else sheet.tabs
    return replace(view, sheet=replace(view.sheet, tabs=tabs))  # type: ignore[type-var]
