"""The figures of a job, each with the section it belongs to; drawn by ``output.figures``, placed by the job page."""

from __future__ import annotations

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job
from logbook.pages.figure_limits import limit_figures
from logbook.pages.figure_lines import history_figures, hold_figures
from logbook.pages.figure_pulls import pull_figures
from logbook.pages.figure_values import Drawn, Placed
from logbook.pages.frame import ShownFigure

__all__ = ["Drawn", "Placed", "figure_path", "job_figures", "shown_figure"]


def job_figures(job: Job, diagnosis: Diagnosis) -> tuple[Placed, ...]:
    """All figures of the job's page, in the order of the page. ``job`` already is the shop's or the public copy."""
    return (*history_figures(job, diagnosis), *hold_figures(job), *pull_figures(job), *limit_figures(job))


def figure_path(address: str, spec: Drawn) -> str:
    """Site path of a figure's file."""
    return f"{figure_folder(address)}{spec.name}.svg"


def figure_folder(address: str) -> str:
    """How the site paths of all figures of a job begin."""
    return f"{address}/figures/"


def shown_figure(address: str, placed: Placed) -> ShownFigure:
    """A figure as the job page places it, with its numbers beside it."""
    spec = placed.spec
    return ShownFigure(
        figure_path(address, spec), spec.width, spec.height, spec.alt, title=spec.title, table=placed.table
    )
