"""Proposals: what a look would tell is what it tells; mends come when they are due; one order everywhere."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from logbook.diagnosis.answers import Step
from logbook.diagnosis.case import Case
from logbook.diagnosis.plan import plan_of
from logbook.diagnosis.proposals import open_questions, propose, prospect
from logbook.diagnosis.questions import engine_questions, questions
from logbook.diagnosis.worth import classes_of, likely_sets
from tests.diagnosis.telling import told

from .small import small_case, small_tables

DEAD = "firing: 2 dead, rest fires"


def proposed(case: Case) -> tuple[Step, ...]:
    return propose(case, questions(case), engine_questions(case))[0]


def entropy(case: Case) -> float:
    classes = classes_of(case, questions(case)[0], likely_sets(case, questions(case)[0].place))
    return -sum(float(p) * math.log2(p) for p in classes.chances if p > 0)


def test_an_expected_bit_is_what_the_outcomes_bring_on_average() -> None:
    """The gain of a spark test against the log actually continued both ways (entropy before less entropy after)."""
    before = small_case(told(DEAD))
    step = next(s for s in proposed(before) if s.test == "spark")
    after = {o.word: entropy(small_case(told(DEAD, f"spark: 2 {o.word}"))) for o in step.outcomes}
    expected = sum(o.probability * after[o.word] for o in step.outcomes)
    assert step.information == pytest.approx(entropy(before) - expected, abs=0.05)


def test_a_swap_is_foretold_as_it_turns_out() -> None:
    """P(it goes along) is what the parts' own chances say: the coil, less the slips of reading."""
    case = small_case(told(DEAD))
    step = next(s for s in proposed(case) if s.test == "swap coil")
    coil = sum(float(case.belief.faults[i]) for i, f in enumerate(case.problem.faults) if f.part == "coil/old-2")
    along = step.outcomes[0].probability
    assert along == pytest.approx(coil * 0.95 * 0.96, abs=0.04)
    assert sum(o.probability for o in step.outcomes) == pytest.approx(1, abs=1e-6)


def test_outcomes_add_up_and_each_step_can_be_written() -> None:
    for step in proposed(small_case(told(DEAD, "spark: 2 none"))):
        assert sum(o.probability for o in step.outcomes) == pytest.approx(1, abs=1e-6)
        assert step.log_as and step.minutes > 0 and step.cautions


def test_a_sure_cause_is_mended_where_it_stands_now() -> None:
    first = proposed(small_case(told(DEAD, "swap coil 2 3: now 3 dead, 2 fires")))[0]
    assert first.log_as == "fit coil: new in 3, now "
    assert first.title == "Fit another coil at 3"


def test_where_all_work_again_it_is_proved() -> None:
    case = small_case(told(DEAD, "swap coil 2 3: now 3 dead, 2 fires", "fit coil: new in 3, now all fires"))
    assert [s.log_as for s in proposed(case)] == ["proved cut-out: "]


def test_an_empty_seat_is_filled_before_all_else() -> None:
    assert [s.log_as for s in proposed(small_case(told(DEAD, "remove coil: 2")))] == ["fit coil: "]


def test_no_complaint_asks_for_nothing_and_a_complaint_for_a_look_at_all() -> None:
    assert proposed(small_case(told("spark: 1 strong"))) == ()
    asked = proposed(small_case(told("spark: 1 strong", card="symptom: shakes at idle")))
    assert [s.log_as for s in asked] == ["cut-out: "]


def test_the_plan_begins_with_the_first_proposal() -> None:
    for lines in ((DEAD,), (DEAD, "spark: 2 none"), (DEAD, "swap coil 2 3: now 3 dead, 2 fires")):
        case = small_case(told(*lines))
        steps, view = propose(case, questions(case), engine_questions(case))
        plan, minutes = plan_of(view, steps)
        assert plan[0].title == steps[0].title
        assert plan[0].probability == pytest.approx(1) and minutes >= plan[0].minutes
        reached = [step.probability for step in plan]
        assert reached == sorted(reached, reverse=True)


def test_looks_stand_in_falling_order_of_what_they_tell_a_minute() -> None:
    case = small_case(told(DEAD))
    rates = [s.rate for s in proposed(case) if not s.blocked and not s.test.startswith("repair")]
    assert rates == sorted(rates, reverse=True) and len(rates) > 2


def test_the_order_does_not_hang_on_the_order_of_faults() -> None:
    tables = small_tables()
    turned = replace(tables, faults=dict(reversed(tables.faults.items())))
    mine, theirs = (proposed(small_case(told(DEAD, "spark: 2 none"), t)) for t in (tables, turned))
    assert [s.title for s in mine] == [s.title for s in theirs]
    assert [s.information for s in mine] == pytest.approx([s.information for s in theirs], abs=1e-6)


def test_what_comes_and_goes_is_open_while_it_is_fitted() -> None:
    case = small_case(
        told(
            "firing: all fires @ cold",
            f"{DEAD} @ warm",
            "spark: 2 none @ warm",
            "swap coil 2 3",
            "firing: all fires @ cold",
        )
    )
    assert open_questions(case, questions(case))
    assert prospect(case, open_questions(case, questions(case))).classes[0].groups
