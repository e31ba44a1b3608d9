"""The engine model: what follows from signs, and which row speaks."""

from __future__ import annotations

import numpy as np
import pytest

from logbook.diagnosis.engine_model import row_of, signs_of, working
from logbook.diagnosis.framing import Framing
from logbook.diagnosis.knowledge import load
from logbook.diagnosis.problem import Fault, Way
from tests.diagnosis.core.telling import FOUR, SIX, framed

TABLES = load()
IDLE, LOAD, COLD = frozenset({"idle"}), frozenset({"load"}), frozenset({"cold", "idle"})


@pytest.mark.parametrize(
    ("signs", "state"),
    [
        (set(), "fires"),
        ({"no spark"}, "dead"),
        ({"thin spark"}, "weak"),
        ({"thin spark", "no fuel"}, "dead"),
        ({"flicks"}, "fires"),
    ],
)
def test_a_cylinder_needs_fuel_spark_and_squeeze(signs: set[str], state: str) -> None:
    assert working(signs) == state


def _signs(name: str, grade: int, conditions: frozenset[str], everywhere: bool = False) -> frozenset[str]:
    return signs_of(TABLES.faults[name], TABLES.faults[name].grades[grade], conditions, everywhere)


def test_a_leaking_runner_is_weak_at_idle_and_fine_above() -> None:
    assert "weak" in _signs("intake_leak", 0, IDLE)
    assert not {"weak", "dead"} & _signs("intake_leak", 0, LOAD)


def test_what_kills_all_is_no_start() -> None:
    assert "no start" in _signs("crank_sensor", 0, IDLE, everywhere=True)
    assert "no start" not in _signs("coil_dead", 0, IDLE)
    assert "all weak" in _signs("low_pressure", 1, LOAD, everywhere=True)


def test_the_lowest_row_speaks() -> None:
    firing = TABLES.tests["firing"]
    assert [row_of(firing, s) for s in ({"dead", "weak"}, {"weak"}, set())] == [0, 1, 2]


def _fault(framing: Framing, row: str, cylinder: int = 0, part: str = "") -> Fault:
    found = [
        f
        for f in framing.problem.faults
        if f.row == row and (not part or f.part == part) and (not cylinder or cylinder in f.cylinders)
    ]
    assert found, row
    return found[0]


def _rows_at(framing: Framing, way: Way, test: str, cylinder: int) -> list[int]:
    at = [
        i
        for i, s in enumerate(framing.looks)
        if s.test.name == test
        and s.observation.seen
        and s.observation.place
        and s.observation.place.cylinder == cylinder
    ]
    return [int(way.rows[i]) for i in at]


def test_a_part_carries_its_fault_along() -> None:
    framing = framed("firing: 3 dead, rest fires", "swap coil 2 3: now 2 dead, 3 fires")
    way = _fault(framing, "coil_dead", part="coil/old-3").ways[0]
    assert _rows_at(framing, way, "firing", 3) == [0, 2]
    assert _rows_at(framing, way, "firing", 2) == [2, 0]


def test_a_place_keeps_its_fault() -> None:
    framing = framed("firing: 3 dead, rest fires", "swap coil 2 3: now 3 dead, 2 fires")
    lasting = next(w for w in _fault(framing, "coil_driver", 3).ways if w.until is None and w.since < 0)
    assert _rows_at(framing, lasting, "firing", 3) == [0, 0]


def test_a_pair_of_a_waste_spark_coil_shares_driver_and_wiring() -> None:
    framing = framed(
        engine="four in line, fires 1 3 4 2, coil pair, leads, injection port", card="shared coil: 1 4, 2 3"
    )
    assert _fault(framing, "pair_driver", 4).cylinders == (1, 4)
    assert _fault(framing, "coil_dead", part="coil/old-1").cylinders == (1, 4)


def test_any_two_leads_in_trouble_may_be_crossed() -> None:
    framing = framed(
        "cut-out: 1 60, 2 60, 3 0, 4 60, 5 60, 6 60, 7 0, 8 60",
        engine="V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 4 3 6 5 7 2, coil one, leads, distributor, carburettor",
    )
    assert any(f.row == "crossed" and f.cylinders == (3, 7) for f in framing.problem.faults)


def test_each_bank_has_its_own_cam_timing() -> None:
    banks = {f.cylinders for f in framed(engine=SIX).problem.faults if f.row == "cam_bank"}
    assert banks == {(1, 3, 5), (2, 4, 6)}
    assert not [f for f in framed(engine=FOUR).problem.faults if f.row == "cam_bank"]


def test_a_repair_ends_a_fault_with_its_chance() -> None:
    framing = framed("firing: 3 dead, rest fires", "repair injector connector: 3 (new pin)", "firing: all fires")
    loom = _fault(framing, "inj_loom", 3)
    ended = sum(w.mass[0] for w in loom.ways if w.until is not None)
    total = sum(w.mass[0] for w in loom.ways if w.since < 0)
    chance = next(w for w in TABLES.work if "inj_loom" in w.faults and "connector" in w.what).ends
    assert ended == pytest.approx(chance * total)


def test_ways_exclude_each_other() -> None:
    framing = framed("firing: 3 dead, rest fires", "swap injector 2 3: now same", "came back: again", "firing: 3 dead")
    for fault in framing.problem.faults:
        assert sum(max(w.mass) for w in fault.ways) < 1, fault.label


def test_what_came_back_may_be_new() -> None:
    """A new fault after a proof is a new question: a way begins at the come-back."""
    framing = framed(
        "firing: 3 dead, rest fires",
        "fit coil: new in 3",
        "proved firing: all fires",
        "handed over",
        "came back: it shakes",
        "firing: 3 dead, rest fires",
    )
    assert any(w.since > 2 for w in _fault(framing, "inj_loom", 3).ways)


def test_faults_that_come_and_go_show_by_condition() -> None:
    framing = framed("firing: 3 dead, rest fires @ wet", "firing: all fires @ warm", "look coil: 3 cracked")
    boot = (
        _fault(framing, "boot_leaks", part="coil/old-3")
        if "boot_leaks" in {f.row for f in framing.problem.faults}
        else None
    )
    boot = boot or _fault(framing, "plug_well", 3)
    active = boot.ways[0].active
    assert active is not None
    at = {s.observation.condition: float(active[i]) for i, s in enumerate(framing.looks) if s.test.name == "firing"}
    assert at["wet"] > at["any"]


def test_problem_is_well_formed() -> None:
    """Every row is one of its test's, candidates come last and say nothing, the present of each cylinder at the end."""
    framing = framed("cut-out: 1 60, 2 60, 3 0, 4 60", "compression: 1 12, 2 12, 3 4, 4 12 bar")
    problem = framing.problem
    last = np.array([len(o.likelihood) - 1 for o in problem.observations])
    for fault in problem.faults:
        for way in fault.ways:
            assert len(way.rows) == len(problem.observations)
            assert (way.rows <= last).all()
    known = [o.seen for o in problem.observations]
    assert known == sorted(known, reverse=True)
    assert [o.test for o in problem.observations[-4:]] == ["firing"] * 4
