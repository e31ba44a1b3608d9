"""Verdicts from a belief that is exact: a small world of coils, plugs, wires and a pump."""

from __future__ import annotations

import pytest

from logbook.diagnosis.answers import SEVERAL, CylinderAnswer, SharedAnswer
from logbook.diagnosis.case import Case
from logbook.diagnosis.cylinder_states import states_by_day, states_now
from logbook.diagnosis.look_again import check_again
from logbook.diagnosis.questions import engine_questions, questions
from logbook.diagnosis.verdicts import cylinder_answer, shared_answers
from logbook.diagnosis.where_it_stands import standing
from logbook.job.model import Place
from tests.diagnosis.telling import told

from .small import small_case

DEAD = "firing: 2 dead, rest fires"


def answers(case: Case) -> dict[int, CylinderAnswer]:
    return {q.cylinder: cylinder_answer(case, q) for q in questions(case)}


def shared(case: Case) -> tuple[SharedAnswer, ...]:
    return shared_answers(case, questions(case), engine_questions(case))


def stands(case: Case) -> str:
    asked, engines = questions(case), engine_questions(case)
    return standing(case, asked, engines, [cylinder_answer(case, q) for q in asked], shared(case))[0]


def test_chances_are_those_of_the_exact_belief() -> None:
    case = small_case(told(DEAD, "spark: 2 none"))
    mine = answers(case)[2]
    for cause in mine.causes:
        (number,) = [
            i
            for i, f in enumerate(case.problem.faults)
            if f.row == cause.fault and f.part == cause.part and (f.part or f.cylinders == cause.cylinders)
        ]
        alone = [
            f
            for f in case.problem.faults
            if case.tables.faults[f.row].repair == case.tables.faults[cause.fault].repair and f.part == cause.part
        ]
        if len(alone) == 1:
            assert cause.probability == pytest.approx(case.belief.faults[number], abs=1e-3)


def test_what_there_is_adds_up_to_one() -> None:
    """One cause alone, several and none are everything (the sum of the exact sets)."""
    mine = answers(small_case(told(DEAD, "spark: 2 none")))[2]
    case = small_case(told(DEAD, "spark: 2 none"))
    blamed = questions(case)[0].blamed
    alone = sum(p for p, ways in case.sets(Place("", 2)) if len({case.owner[w] for w in ways if blamed[w]}) == 1)
    assert alone + mine.several + mine.none == pytest.approx(1, abs=0.01)


def test_a_part_sums_its_faults() -> None:
    case = small_case(told("firing: all fires @ cold", f"{DEAD} @ warm", "spark: 2 none @ warm"))
    coil = next(p for p in answers(case)[2].parts if p.what == "coil")
    both = [i for i, f in enumerate(case.problem.faults) if f.part == "coil/old-2"]
    together = sum(p for p, ways in case.sets(Place("", 2)) if {int(case.owner[w]) for w in ways} & set(both))
    assert len(both) == 2
    assert coil.probability == pytest.approx(together, abs=0.01)
    assert coil.part == "coil/old-2" and coil.faults[0].fault == "coil_breaks_down"


def test_weights_lead_from_the_start_to_now() -> None:
    """The odds at first, and what each entry did to them, come to the odds now."""
    import math

    case = small_case(told(DEAD, "spark: 2 none", "pulse coil: 2 none"))
    cause = answers(case)[2].causes[0]
    mine = [
        i
        for i in range(len(case.ways))
        if case.fault(i).row == cause.fault and case.fault(i).cylinders == cause.cylinders
    ]
    start = float(case.past[0, mine].sum())
    moved = sum(w.decibans for w in cause.weights) / 10
    p = cause.probability
    assert math.log10(start / (1 - start)) + moved == pytest.approx(math.log10(p / (1 - p)), abs=0.02)


def test_a_fault_that_goes_along_is_in_the_part() -> None:
    case = small_case(told(DEAD, "swap coil 2 3: now 3 dead, 2 fires"))
    mine = answers(case)[2]
    assert (mine.causes[0].part, mine.complaint, mine.state) == ("coil/old-2", "dead", "fires")
    assert mine.settled and stands(case) == "found"
    assert {p.cylinder: s for p, s in states_now(case)} == {1: "fires", 2: "fires", 3: "dead", 4: "fires"}


def test_what_was_ruled_out_names_the_entry() -> None:
    case = small_case(told(DEAD, "pulse coil: 2 flashes", "swap coil 2 3: now same"))
    out = {c.part: c for c in answers(case)[2].ruled_out}
    assert case.job.entries[out["coil/old-2"].against[0].entry].entry.kind == "swap"


def test_two_at_once_are_several() -> None:
    case = small_case(
        told(
            DEAD,
            "spark: 2 none",
            "fit coil: new in 2, now 2 dead, rest fires",
            "spark: 2 strong",
            "pulse coil: 2 flashes",
        )
    )
    assert answers(case)[2].several >= SEVERAL


def test_the_condition_under_which_it_comes_is_named() -> None:
    case = small_case(told("firing: all fires @ cold", f"{DEAD} @ warm"))
    assert answers(case)[2].intermittent == "warm"
    assert answers(small_case(told(DEAD)))[2].intermittent == ""


def test_an_engine_that_has_no_pressure_is_asked_about_without_any_cylinder() -> None:
    """The first level of question: no cylinder was looked at, and there is an answer all the same."""
    case = small_case(told("fuel pressure: none"))
    assert not questions(case) and engine_questions(case)
    (one,) = shared(case)
    assert one.fault == "pump_dead" and one.probability > 0.5


def test_one_cause_of_all_beats_coincidence() -> None:
    case = small_case(told("firing: all dead"))
    top = shared(case)[0]
    assert top.fault == "pump_dead" and top.cylinders == (1, 2, 3, 4) and top.odds > 100


def test_a_bad_reading_alone_opens_a_question_where_it_means_trouble() -> None:
    """Nobody listened to 2, but its coil gets no pulse: it can't fire."""
    case = small_case(told("pulse coil: 1 flashes, 2 none, 3 flashes, 4 flashes"))
    assert set(answers(case)) == {2}
    assert answers(case)[2].causes[0].fault == "coil_loom"
    assert not answers(small_case(told("pulse coil: 1 flashes, 2 flashes")))


def test_a_repair_that_is_proved_closes_the_question() -> None:
    lines = (DEAD, "pulse coil: 2 none", "repair coil connector: 2, now 2 fires")
    assert stands(small_case(told(*lines))) == "repaired"
    assert stands(small_case(told(*lines, "proved firing: all fires"))) == "proved"


def test_trouble_after_a_proof_is_another_question() -> None:
    lines = (
        DEAD,
        "swap coil 2 3: now 3 dead, 2 fires",
        "fit coil: new in 3, now all fires",
        "proved firing: all fires",
    )
    case = small_case(told(*lines, "firing: 2 dead, rest fires"))
    mine = answers(case)[2]
    assert mine.came_back and mine.state == "dead" and stands(case) == "looking"
    assert mine.causes[0].part != "coil/old-2"  # it stands elsewhere by now


def test_what_was_seen_last_counts() -> None:
    case = small_case(told("firing: all fires", "firing: 2 dead, rest fires"))
    assert {p.cylinder: s for p, s in states_now(case)}[2] == "dead"
    assert [p.place.cylinder for p in answers(case).values()] == [2]


def test_states_are_told_by_day() -> None:
    case = small_case(told(DEAD, "swap coil 2 3: now 3 dead, 2 fires"))
    ((_, states),) = states_by_day(case)
    assert {p.cylinder: s for p, s in states} == {1: "fires", 2: "fires", 3: "dead", 4: "fires"}


def test_an_entry_that_does_not_fit_is_named() -> None:
    job = told(DEAD, "spark: 2 none", "pulse coil: 2 flashes", "pulse coil: 2 none", "pulse coil: 2 none")
    again = check_again(small_case(job))
    assert [job.entries[c.entry].line_text for c in again] == ["pulse coil: 2 flashes"]
    assert not check_again(small_case(told(DEAD, "spark: 2 none")))
