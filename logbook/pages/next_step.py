"""Do next: each step with its reason, minutes, tools and cautions, and what every outcome would mean."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.diagnosis.answers import Diagnosis, Outcome, PlanStep, Step
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.words import capital, duration_words, in_hundred, listed, minutes_words, sentence

MOST_STEPS = 4  # told in full; the rest by title
MOST_OTHERS = 5
_REPAIRS = ("repair", "fit")  # kinds of step whose tools are those of the work


@dataclass(frozen=True, slots=True)
class NextStep:
    title: str
    why: str
    minutes: str
    tools: str
    cautions: tuple[str, ...]
    outcomes: Table | None
    log_as: str
    blocked: str


@dataclass(frozen=True, slots=True)
class Next:
    steps: tuple[NextStep, ...]
    others: tuple[tuple[str, str], ...]  # title, minutes
    plan: Table | None
    plan_minutes: str
    tuning: str


def next_steps(diagnosis: Diagnosis) -> Next | None:
    """The section; None where nothing is left to do."""
    if not diagnosis.next and not diagnosis.plan and not diagnosis.tuning_blocked:
        return None
    free = [s for s in diagnosis.next if not s.blocked] + [s for s in diagnosis.next if s.blocked]
    return Next(
        tuple(_step(s) for s in free[:MOST_STEPS]),
        tuple((s.title, minutes_words(s.minutes)) for s in free[MOST_STEPS : MOST_STEPS + MOST_OTHERS]),
        _plan(diagnosis.plan),
        duration_words(diagnosis.plan_minutes) if diagnosis.plan else "",
        diagnosis.tuning_blocked,
    )


def _step(step: Step) -> NextStep:
    return NextStep(
        step.title,
        sentence(step.why),
        minutes_words(step.minutes),
        listed(step.tools) or ("as the work needs" if step.kind in _REPAIRS else "none"),
        step.cautions,
        _outcomes(step.outcomes),
        step.to_write,
        step.blocked,
    )


def _outcomes(outcomes: tuple[Outcome, ...]) -> Table | None:
    if not outcomes:
        return None
    title, seen, then = "What each outcome would mean", Column("If you see"), Column("Then")
    if not any(o.probability for o in outcomes):  # of a first look no chances are known
        return Table(title, (seen, then), tuple((Cell(capital(o.word)), Cell(o.means)) for o in outcomes))
    rows = tuple((Cell(capital(o.word)), Cell(o.means), Cell(in_hundred(o.probability))) for o in outcomes)
    return Table(title, (seen, then, Column("Chance", number=True)), rows)


def _plan(plan: tuple[PlanStep, ...]) -> Table | None:
    if len(plan) < 2:
        return None
    rows = tuple((Cell(p.title), Cell(minutes_words(p.minutes)), Cell(in_hundred(p.probability))) for p in plan)
    columns = (Column("In this order"), Column("Minutes", number=True), Column("Chance of getting here", number=True))
    return Table("The shortest way to a proved repair, as things stand", columns, rows, fold=True)
