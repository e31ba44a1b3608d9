"""One job's part of the site: page, data, tables, figures, photos, and what pages over several jobs say of it."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from logbook.build.discovery import LogFile
from logbook.build.photos import job_photos
from logbook.build.reading import Shop
from logbook.build.stages import Conclusion, Context, Failure, Made, Order, Tells, conclude
from logbook.diagnosis.answers import Diagnosis
from logbook.findings.recordings import Heard
from logbook.job.copy import copied
from logbook.job.every_text import changed_through
from logbook.job.kept_places import unnamed
from logbook.job.masking import Masker
from logbook.job.model import Job
from logbook.output import templates
from logbook.output.record import digest
from logbook.output.site import Stage
from logbook.pages import csv_tables, data, frame
from logbook.pages.closed_jobs import closed_job
from logbook.pages.feed import feed_days
from logbook.pages.figures import Drawn, figure_path, job_figures, shown_figure
from logbook.pages.frame import Link, ShownFigure
from logbook.pages.jobs_list import jobs_row
from logbook.pages.notice import failed_page, failed_row
from logbook.pages.of_job import Surroundings, job_pages
from logbook.pages.orders import JobOrders, job_orders
from logbook.pages.parts_record import gone_parts, part_pages, part_records
from logbook.pages.phrases import voice_of
from logbook.pages.preview import preview, preview_path
from logbook.pages.problems import ProblemFile, problem_file, problem_lines
from logbook.pages.recordings import recording_figures
from logbook.pages.search import SearchEntry, job_entry, search_row
from logbook.pages.shelf_row import shelf_row, shelved
from logbook.pages.told import told


def write_job_files(job: Job, text: str, order: Order, context: Context, shop: Shop, stage: Stage) -> Made:
    masks = context.masks if context.copy == "public" else None
    photos = job_photos(job, copied(job, context.copy, masks), Path(order.log.file).parent, stage, order.figures)
    job = job._replace(problems=tuple(sorted((*job.problems, *photos.problems), key=lambda p: (p.span, p.number))))
    folder = order.log.folder
    named = os.path.basename(folder) if context.copy == "shop" else ""
    lessons = context.lessons.get(folder, ())
    concluded = conclude(job, shop, lessons, named, Path(order.log.file).parent, order.taught)
    job, numbers = concluded.job, concluded.numbers
    shown = copied(job, context.copy, masks)
    if masks is not None:
        concluded = _masked(concluded, masks)
        numbers = concluded.numbers
    diagnosis = told(concluded.diagnosis, shown)
    figures = Figures(stage, order.figures, shown.address)
    around = Surroundings(
        shop=shop.name,
        figures=figures.of_job(shown, diagnosis, concluded.heard),
        photos=photos.shown,
        part_pages=part_pages(shown),
        problem_lines=problem_lines(job.problems, text) if context.copy == "shop" else (),
        files=job_links(shown),
        feed=frame.FEED if shop.public_address else "",
        picture=figures.preview(shown, diagnosis) if context.copy == "public" and shop.public_address else "",
        public_address=shop.public_address,
    )
    stage.put(f"{shown.address}/{data.FILE}", data.data_json(shown, diagnosis, numbers))
    for name, table in csv_tables.tables(shown):
        stage.put(name, table)
    for page in job_pages(shown, diagnosis, numbers, around, concluded.heard):
        stage.put(page.path, b"".join(render(page.template, page.view, context)))
    link = Link(shown.title, frame.job_path(shown.address))
    row = shelf_row(shown, diagnosis, photos.shown, voice_of(shop.units))
    tells = Tells(
        row=shelved(row, templates.job_row(row, context.templates)),
        found=search_row(job_entry(shown, diagnosis, around.part_pages)),
        listed=jobs_row(shown, diagnosis),
        problems=problem_file(job.path, job.problems, text, link, 0) if context.copy == "shop" else None,
        parts=part_records(shown, gone_parts(job)),
        orders=job_orders(shown),
        closed=closed_job(shown, diagnosis, shop.knowledge),
        feed=feed_days(shown) if context.may_have_feed else (),
    )
    weights = Counter(str(p.weight) for p in job.problems)
    drawn = {**figures.keys, **photos.keys}
    owners = tuple(sorted({record.key[0] for record in tells.parts}))
    return Made(shown.address, stage.made, drawn, job.depends, weights, tells, tells.hashes(), owners)


def write_failed_files(log: LogFile, address: str, failure: Failure, context: Context, stage: Stage) -> Made:
    """A page that says that the log could not be worked out, and what pages over several jobs say of it."""
    page = failed_page(address, log.path, failure.message, context.shops[log.folder].name, context.copy)
    row = failed_row(address, log.path, context.copy)
    stage.put(page.sheet.path, b"".join(render("pages/notice.html", page, context)))
    tells = Tells(
        row=shelved(row, templates.job_row(row, context.templates)),
        found=search_row(SearchEntry(row.title, row.path, row.turning, "")),
        listed=b"",
        problems=failed_problems(log, failure, row.path) if context.copy == "shop" else None,
        parts=(),
        orders=JobOrders(),
        closed=None,
        feed=(),
    )
    return Made(address, stage.made, {}, (), {"error": 1}, tells, tells.hashes(), ())


def failed_problems(log: LogFile, failure: Failure, page: str) -> ProblemFile:
    return problem_file(log.path, (failure.problem,), "", Link(log.path, page))


def _masked(concluded: Conclusion, masks: Masker) -> Conclusion:
    """What was concluded, its sentences without private values and without parts that private entries placed."""
    named = unnamed(concluded.job)

    def change(text: str) -> str:
        return masks.of_ours(named(text))

    return replace(
        concluded,
        diagnosis=changed_through(concluded.diagnosis, change),
        numbers=changed_through(concluded.numbers, change),
        heard=changed_through(concluded.heard, change),
    )


def job_links(job: Job) -> tuple[Link, ...]:
    """What stands beside the page of a job, for its foot."""
    return (Link("all of it as data", f"{job.address}/{data.FILE}"),)


def render(name: str, page: object, context: Context) -> Iterator[bytes]:
    return templates.render(name, page, static=context.static, folder=context.templates)


class Figures:
    """The figures of one job: drawn where what they show has changed, kept where it has not."""

    def __init__(self, stage: Stage, known: Mapping[str, str], address: str) -> None:
        self._stage = stage
        self._known = known
        self._address = address
        self.keys: dict[str, str] = {}

    def of_job(self, job: Job, diagnosis: Diagnosis, heard: Sequence[Heard]) -> dict[str, tuple[ShownFigure, ...]]:
        """By the section of the page where they belong."""
        found: dict[str, tuple[ShownFigure, ...]] = {}
        for placed in (*job_figures(job, diagnosis), *recording_figures(job, heard)):
            self._bring(placed.spec)
            found[placed.place] = (*found.get(placed.place, ()), shown_figure(self._address, placed))
        return found

    def preview(self, job: Job, diagnosis: Diagnosis) -> str:
        """The picture that a link to the job shows where it is passed on; its site path."""
        shown, name = preview(job, diagnosis), preview_path(self._address)
        if self._is_new(name, shown):
            from logbook.output.preview import draw_preview

            self._stage.put(name, draw_preview(shown))
        return name

    def _bring(self, spec: Drawn) -> None:
        name = figure_path(self._address, spec)
        if self._is_new(name, spec):
            from logbook.output.figures import draw

            self._stage.put(name, draw(spec))

    def _is_new(self, name: str, shown: object) -> bool:
        """Whether a picture must be drawn: what it shows has changed, or it is not whole in the site."""
        key = digest(repr(shown).encode("utf-8", "surrogatepass"))
        self.keys[name] = key
        if self._known.get(name) == key and name in self._stage.trusted:
            self._stage.keep(name)
            return False
        return True
