"""What is never proposed, as laws over logs made by chance, and rule by rule."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.diagnosis import guards
from logbook.diagnosis.answers import Step
from logbook.diagnosis.case import Case
from logbook.diagnosis.proposals import SURE_ENOUGH, open_questions, propose, prospect, short_looks
from logbook.diagnosis.questions import engine_questions, questions
from logbook.job.tools import lacking
from tests.diagnosis.telling import told

from .small import small_case, small_tables

DEAD = "firing: 2 dead, rest fires"
LINES = (
    "spark: 2 none", "spark: 2 strong", "pulse coil: 2 none", "pulse coil: 2 flashes", "swap coil 2 3: now same",
    "swap coil 2 3: now 3 dead, 2 fires", "swap plug 2 1: now same", "fit coil: new in 2, now same",
    "click pump: clicks",
    "repair coil connector: 2, now same", "fit plug: new in 2, now 2 dead",
)  # fmt: skip
TEST = {"spark": "spark", "pulse coil": "pulse at a coil"}
LOGS = st.lists(st.sampled_from(LINES), max_size=4, unique=True)


def proposed(case: Case) -> tuple[Step, ...]:
    return propose(case, questions(case), engine_questions(case))[0]


@settings(max_examples=40, deadline=None)
@given(LOGS)
def test_no_guard_is_broken_whatever_the_log(lines: list[str]) -> None:
    case = small_case(told(DEAD, *lines))
    steps = proposed(case)
    assert len({s.title for s in steps}) == len(steps)
    for step in steps:
        if not step.test.startswith("repair"):
            assert max((o.probability for o in step.outcomes), default=0) < guards.KNOWN
        if step.test.startswith("swap"):
            place = next(p for p in case.places if p.cylinder == int(step.subject.split()[-1]))
            part = case.mounted[step.test.split()[1], place]
            assert guards.chance_bad(case, part) <= guards.LENDABLE
    waits = [bool(s.blocked) for s in steps]
    assert waits == sorted(waits)


@settings(max_examples=40, deadline=None)
@given(LOGS)
def test_the_same_look_is_not_asked_for_again_unless_something_changed(lines: list[str]) -> None:
    """After 'spark: 2 strong' no spark of 2, unless a coil, plug or wire of 2 was touched or it is doubted."""
    case = small_case(told(DEAD, *lines))
    asked = {s.log_as for s in proposed(case)}
    for kind in TEST:
        last = max((i for i, line in enumerate(lines) if line.startswith(f"{kind}: 2")), default=-1)
        later = lines[last + 1 :]
        doubted = any(
            case.belief.misread(i) >= guards.DOUBTED
            for i, o in enumerate(case.problem.observations)
            if o.test == TEST[kind]
        )
        if last >= 0 and not doubted and not any("coil" in line and line[:5] != "pulse" for line in later):
            assert f"{kind}: 2 " not in asked


def test_a_look_at_what_was_exchanged_is_another_look() -> None:
    case = small_case(told(DEAD, "spark: 2 none", "swap coil 2 3: now same"))
    assert "spark: 2 " in {s.log_as for s in proposed(case)} or _chance_of_coil(case) < guards.CHANGED


def _chance_of_coil(case: Case) -> float:
    return guards.chance_bad(case, "coil/old-2")


def test_a_step_without_its_tool_waits_behind_the_others() -> None:
    steps = proposed(small_case(told(DEAD, card="tools: multimeter")))
    assert {s.test for s in steps if s.blocked} == {"spark", "pulse at a coil"}
    assert any("spark tester" in s.blocked for s in steps)


def test_a_tool_that_is_lent_is_no_tool() -> None:
    job = told(DEAD, "lent: spark tester")
    assert lacking(job, ("spark tester",))
    assert all(s.blocked for s in proposed(small_case(job)) if s.test == "spark")


def test_no_part_before_a_short_look_that_bears_on_it() -> None:
    """Wherever a mend that costs a part stands first, no untried look of ten minutes could clear it."""
    found = 0
    for lines in (
        ("spark: 2 none",),
        ("spark: 2 none", "pulse coil: 2 flashes"),
        ("swap coil 2 3: now 3 dead, 2 fires",),
    ):
        case = small_case(told(DEAD, *lines))
        first = proposed(case)[0]
        if first.test.startswith("repair"):
            found += 1
            view = prospect(case, open_questions(case, questions(case)))
            for question, chances in zip(view.asked, view.chances, strict=True):
                for g, p in enumerate(chances):
                    if p >= SURE_ENOUGH:
                        assert not short_looks(view, question, g)
    assert found


def test_a_short_look_goes_before_a_sure_part_that_it_may_clear() -> None:
    case = small_case(told("firing: all fires @ cold", f"{DEAD} @ warm", "spark: 2 none @ warm"))
    titles = [s.title for s in proposed(case)]
    assert titles.index("Hang the pulse light on the coil connector of 2") < titles.index("Fit another coil at 2")


def test_what_comes_and_goes_is_mended_before_it_is_proved() -> None:
    lines = (
        "firing: all fires @ cold",
        f"{DEAD} @ warm",
        "spark: 2 none @ warm",
        "pulse coil: 2 flashes @ warm",
        "firing: all fires @ cold",
    )
    steps = proposed(small_case(told(*lines)))
    assert steps and not any(s.log_as.startswith("proved") for s in steps)
    assert any(s.log_as.startswith("fit coil: new in 2") for s in steps)


def test_an_exchange_that_was_made_is_not_proposed_again() -> None:
    for line in ("swap coil 2 3: now same", "swap coil 2 3: now 3 dead, 2 fires"):
        case = small_case(told(DEAD, line))
        again = [
            s.subject for s in proposed(case) if s.test == "swap coil" and set(s.subject.split()[1::2]) == {"2", "3"}
        ]
        assert not again, again


def test_no_exchange_with_a_dead_neighbour() -> None:
    case = small_case(told("firing: 1 dead, 2 dead, 3 fires, 4 fires"))
    swaps = [s.subject for s in proposed(case) if s.test.startswith("swap")]
    assert swaps and not any(set(s.split()[1::2]) == {"1", "2"} for s in swaps)


def test_a_mend_that_was_done_is_not_proposed_again() -> None:
    done = proposed(small_case(told(DEAD, "pulse coil: 2 none", "repair coil connector: 2, now same")))
    assert not any(s.log_as.startswith("repair coil connector: 2") for s in done)
    assert any(
        s.log_as.startswith("repair coil connector: 2") for s in proposed(small_case(told(DEAD, "pulse coil: 2 none")))
    )


def test_an_engine_is_not_opened_on_a_chance() -> None:
    tables = small_tables()
    long = replace(tables.repairs["fit_coil"], minutes=600.0)
    case = small_case(told(DEAD, "spark: 2 none"), replace(tables, repairs={**tables.repairs, "fit_coil": long}))
    assert not any(s.test == "repair fit_coil" for s in proposed(case))


def test_a_day_of_work_needs_a_look_of_another_kind() -> None:
    """Everything says the coil, but if that were a day's work one look of another kind would come first."""
    tables = small_tables()
    long = replace(tables.repairs["fit_coil"], minutes=600.0)
    lines = (
        DEAD,
        "swap coil 2 3: now 3 dead, 2 fires",
        "swap coil 2 3: now 2 dead, 3 fires",
        "swap coil 2 3: now 3 dead, 2 fires",
    )
    steps = proposed(small_case(told(*lines), replace(tables, repairs={**tables.repairs, "fit_coil": long})))
    titles = [s.test for s in steps]
    if "repair fit_coil" in titles:
        assert titles.index("spark") < titles.index("repair fit_coil")


@pytest.mark.parametrize(("line", "runs"), [("firing: 2 weak, rest fires", True), ("firing: all dead", False)])
def test_nothing_is_tried_running_on_an_engine_that_does_not_start(line: str, runs: bool) -> None:
    asked = {s.test for s in proposed(small_case(told(line)))}
    assert ("cut-out" in asked) == runs


def test_what_was_heard_dead_is_not_cut_out_as_well() -> None:
    """Another test of how a cylinder works tells nothing new of one that does not work at all."""
    assert "cut-out" not in {s.test for s in proposed(small_case(told(DEAD, "spark: 2 strong")))}
