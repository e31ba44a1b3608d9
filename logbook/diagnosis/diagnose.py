"""From a job to its diagnosis: the one way in."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.diagnosis import where_it_stands
from logbook.diagnosis.answers import Diagnosis
from logbook.diagnosis.belief import solve
from logbook.diagnosis.case import Case
from logbook.diagnosis.cylinder_states import states_by_day, states_now
from logbook.diagnosis.framing import Framing
from logbook.diagnosis.knowledge import Tables, load
from logbook.diagnosis.learning import Lesson, learned_base, lessons_before
from logbook.diagnosis.look_again import check_again
from logbook.diagnosis.plan import plan_of
from logbook.diagnosis.proposals import propose
from logbook.diagnosis.questions import engine_questions, questions
from logbook.diagnosis.verdicts import cylinder_answer, shared_answers
from logbook.job.model import Job

MUCH = 0.2  # what was not looked at, from which no number is given
LOST = 1e-3  # what was not looked at is said from here on
MOST_READINGS = 300  # that one answer is made from; a long job has some two hundred


def case_of(job: Job, tables: Tables | None = None, earlier: Sequence[Lesson] = ()) -> Case:
    """A job with what is believed of it."""
    known = tables or load()
    framing = Framing(job, known, learned_base(known, lessons_before(earlier, job)))
    return Case(job, known, framing.problem, solve(framing.problem), framing.observations.unread)


def diagnose(job: Job, tables: Tables | None = None, earlier: Sequence[Lesson] = (), folder: str = "") -> Diagnosis:
    """What is wrong, how sure that is and why, and what to do next.

    ``earlier`` are lessons of other jobs; only those proved before this job's first day count. ``folder`` is where they
    were read from. Pure: the same values give the same answer, with chances rounded to 1e-9.
    """
    if not any(engine.cylinders for engine in job.engines):
        return where_it_stands.without_engine(job)
    used = lessons_before(earlier, job)
    case = case_of(latest(job), tables, earlier)
    asked, engines = questions(case), engine_questions(case)
    cylinders = tuple(cylinder_answer(case, q) for q in asked)
    shared = shared_answers(case, asked, engines)
    states = states_now(case)
    stands, why = where_it_stands.standing(case, asked, engines, cylinders, shared)
    is_open = stands in ("looking", "found", "repaired")
    steps, view = propose(case, asked, engines) if is_open else ((), None)
    plan, minutes = plan_of(view, steps)
    return Diagnosis(
        cylinders=cylinders,
        states=states,
        states_by_day=states_by_day(case),
        shared=shared,
        next=steps,
        plan=plan,
        plan_minutes=minutes,
        check_again=check_again(case),
        standing=stands,
        standing_why=why,
        stand=(),
        one_line="",
        # what was taken apart after its proof throws no doubt on the repair
        tuning_blocked=where_it_stands.tuning_blocked(states, cylinders if is_open else ()),
        approximate=_left_out(job) or _not_looked_at(case),
        unread=case.unread,
        learned_from=len(used),
        learned_folder=folder if used else "",
    )


def latest(job: Job) -> Job:
    """The job with as many of its latest readings as one answer is made from."""
    over = len(job.readings) - MOST_READINGS
    return job._replace(readings=job.readings[over:]) if over > 0 else job


def _left_out(job: Job) -> str:
    over = len(job.readings) - MOST_READINGS
    said = f"This answer is of the latest {MOST_READINGS} readings; {over} before them are left out."
    return said if over > 0 else ""


def _not_looked_at(case: Case) -> str:
    lost = case.belief.lost
    if lost < LOST:
        return ""
    if lost > MUCH:
        return "The readings contradict each other: too much may be the matter to look at all of it."
    return f"Up to {100 * lost:.1g} in a hundred of what may be the matter was not looked at."
