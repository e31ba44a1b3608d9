"""The picture that a link to a job shows where it is passed on: what it is, how it stands, and its cylinders."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.diagnosis.answers import CylinderState, Diagnosis
from logbook.job.model import Job
from logbook.pages.engine import engine_words
from logbook.pages.heads import title_of
from logbook.pages.plan import SMALL_RADIUS, small_plan
from logbook.pages.status import status_of, status_words
from logbook.pages.words import date_words, shortened

WIDTH, HEIGHT = 1200, 630  # pixels


@dataclass(frozen=True, slots=True)
class PreviewBore:
    """A cylinder on the plan, in the plan's units, y downwards."""

    x: float
    y: float
    state: CylinderState


@dataclass(frozen=True, slots=True)
class Preview:
    shop: str
    title: str
    line: str
    foot: str
    width: float  # of the plan
    height: float
    radius: float
    bores: tuple[PreviewBore, ...]


def preview_path(address: str) -> str:
    return f"{address}/preview.png"


def preview(job: Job, diagnosis: Diagnosis) -> Preview:
    """What the picture of ``job`` shows; the job already is the copy that it is for."""
    engine = job.engine() or (job.engines[0] if job.engines else None)
    states = {p: s for p, s in diagnosis.states if engine and p.engine == engine.name}
    plan = small_plan(engine, {p.cylinder: s for p, s in states.items()}, lying=True) if engine else None
    foot = ", ".join(filter(None, (engine_words(engine) if engine else "", date_words(job.last_day))))
    standing = status_words(status_of(job, diagnosis))
    return Preview(
        job.shop,
        shortened(title_of(job), 90),
        shortened(diagnosis.one_line or standing, 120),
        shortened(foot, 90),
        plan.width if plan else 0.0,
        plan.height if plan else 0.0,
        SMALL_RADIUS,
        tuple(PreviewBore(b.x, b.y, b.state) for b in plan.bores) if plan else (),
    )
