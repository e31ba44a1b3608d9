"""The figures of a job, each with the section it belongs to; drawn by ``output.figures``, placed by the job page."""

from __future__ import annotations

from collections.abc import Mapping

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.pages.figure_lines import history_figures, hold_figures, pull_figures
from logbook.pages.figure_places import Placed, place_figures
from logbook.pages.figure_values import FigureSpec
from logbook.pages.frame import ShownFigure

__all__ = ["FigureSpec", "Placed", "figure_path", "job_figures", "shown_figures"]


def job_figures(job: Job, diagnosis: Diagnosis) -> tuple[Placed, ...]:
    """All figures of the job's page, in the order of the page. ``job`` already is the shop's or the public copy."""
    return (*history_figures(job, diagnosis), *place_figures(job), *hold_figures(job), *pull_figures(job))


def figure_path(address: str, spec: FigureSpec) -> str:
    """Site path of a figure's file."""
    return f"{address}/figures/{spec.name}.svg"


def shown_figures(address: str, placed: tuple[Placed, ...]) -> Mapping[str, tuple[ShownFigure, ...]]:
    """What the job page takes: figures by section ('readings', 'before-after', 'remains-2'), numbers beside them."""
    found: dict[str, list[ShownFigure]] = {}
    for one in placed:
        spec = one.spec
        shown = ShownFigure(
            figure_path(address, spec), spec.width, spec.height, spec.alt, spec.title, spec.title, one.table
        )
        found.setdefault(one.place, []).append(shown)
    return {place: tuple(figures) for place, figures in found.items()}
