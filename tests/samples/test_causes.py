"""Settled samples name their cause, the open one a sensible next test, and one entry changed is another cause."""

from __future__ import annotations

import pytest

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis

from .logs import EXPECTED, NAMES, diagnosis, text_of

SETTLED = [n for n in NAMES if EXPECTED[n]["settled"]]
OPEN = [n for n in NAMES if not EXPECTED[n]["settled"]]
SURE = 0.9


def answer_for(found: Diagnosis, cylinder: int) -> CylinderAnswer:
    return next(a for a in found.cylinders if a.place.cylinder == cylinder)


def ranked(answer: CylinderAnswer) -> list[Cause]:
    return sorted(answer.causes, key=lambda c: -c.probability)


def together(answer: CylinderAnswer, faults: list[str]) -> float:
    """Chance of one repair's rows together; they are nearly exclusive, so it is capped at 1."""
    return min(1.0, sum(c.probability for c in answer.causes if c.fault in faults))


def changed(name: str) -> str:
    """The log with its one line written otherwise, read until the line that the change names."""
    change, text = EXPECTED[name]["change"], text_of(name)
    assert text.count(change["line"] + "\n") == 1, "the line to change must stand there once"
    other = text.replace(change["line"], change["becomes"])
    at = other.index("\n" + change.get("until", change["becomes"])) + 1
    return other[: other.index("\n", at) + 1]


def test_every_sample_has_its_answer() -> None:
    assert set(EXPECTED) == set(NAMES)
    assert len(SETTLED) == 7 and len(OPEN) == 1


@pytest.mark.parametrize("name", SETTLED)
def test_the_cause_of_a_settled_sample_stands_first(name: str) -> None:
    expected, (job, found) = EXPECTED[name], diagnosis(name)
    for cylinder in expected["cylinders"]:
        answer = answer_for(found, cylinder)
        first = ranked(answer)[0]
        assert first.fault in expected["faults"], [(c.fault, c.probability) for c in ranked(answer)[:3]]
        assert together(answer, expected["faults"]) >= SURE, [(c.fault, c.probability) for c in ranked(answer)[:3]]
        if "part" in expected:
            assert job.part(first.part).name == expected["part"]
        if expected.get("several"):
            for fault in expected["faults"]:
                assert together(answer, [fault]) >= SURE, [(c.fault, c.probability) for c in ranked(answer)[:4]]
            assert answer.several >= 0.8


@pytest.mark.parametrize("name", [n for n in SETTLED if "shared" in EXPECTED[n]])
def test_a_shared_cause_beats_coincidence(name: str) -> None:
    shared = next(s for s in diagnosis(name)[1].shared if s.fault == EXPECTED[name]["shared"])
    assert shared.probability >= SURE and shared.odds > 1
    assert set(EXPECTED[name]["cylinders"]) <= set(shared.cylinders)


@pytest.mark.parametrize("name", SETTLED)
def test_a_settled_sample_is_proved_and_proposes_nothing(name: str) -> None:
    _, found = diagnosis(name)
    assert found.standing in ("proved", "handed over")
    assert not found.next


@pytest.mark.parametrize("name", OPEN)
def test_the_open_case_names_a_sensible_next_test(name: str) -> None:
    _, found = diagnosis(name)
    assert found.standing == "looking"
    assert found.next[0].log_as.startswith(tuple(EXPECTED[name]["next"])), [s.log_as for s in found.next[:5]]
    assert found.next[0].outcomes and found.next[0].minutes > 0
    assert max(c.probability for c in answer_for(found, EXPECTED[name]["cylinders"][0]).causes) < SURE


@pytest.mark.parametrize("name", NAMES)
def test_one_entry_changed_is_another_cause(name: str) -> None:
    expected = EXPECTED[name]
    text = changed(name)
    _, found = diagnosis(name, text)
    first = ranked(answer_for(found, expected["change"].get("cylinder", expected["cylinders"][0])))[0]
    shared = max(found.shared, key=lambda s: s.probability, default=None)
    leads = shared.fault if shared and shared.probability > first.probability else first.fault
    if expected.get("several"):  # of two causes one is another now
        answer = answer_for(found, expected["cylinders"][0])
        assert together(answer, expected["change"]["faults"]) >= SURE
        assert together(answer, expected["change"]["gone"]) < 1 - SURE
    else:
        assert leads in expected["change"]["faults"], [(c.fault, c.probability) for c in found.cylinders[0].causes[:4]]
        assert leads not in expected.get("faults", [])
