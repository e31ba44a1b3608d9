"""The laws of the tables, and that a table which breaks one is told so by place, reason and mend."""

from __future__ import annotations

import math

import pytest

from logbook.diagnosis.checks import TablesError
from logbook.diagnosis.engine_model import DEAD, DERIVED, WEAK, features
from logbook.diagnosis.knowledge import PART_SCOPES, Repair, Swap, TestRow, fits, load, minutes
from logbook.text.kinds import TABLE
from logbook.text.vocabulary import PART_WORDS
from tests.diagnosis.core.telling import DIESEL, FOUR, OLD, told

TABLES = load()


def test_rows_sum_to_one() -> None:
    for test in TABLES.tests.values():
        for row in test.rows:
            assert not test.words or math.isclose(math.fsum(row.p), 1, abs_tol=1e-9), test.name
    for fault in TABLES.faults.values():
        assert math.isclose(math.fsum(g.share for g in fault.grades), 1, abs_tol=1e-9), fault.name


def test_every_sign_is_raised_and_read() -> None:
    raised = {s for f in TABLES.faults.values() for g in f.grades for s in g.signs.union(*g.under.values())}
    read = {s for t in TABLES.tests.values() for s in t.signs}
    assert raised <= read | DEAD | WEAK
    assert read <= raised | DERIVED


def test_every_fault_shows_in_some_test() -> None:
    """A fault that no observation can tell from none would be a bare prior."""
    read = {s for t in TABLES.tests.values() for s in t.signs} | DEAD | WEAK
    for fault in TABLES.faults.values():
        for grade in fault.grades:
            assert read & grade.signs.union(*grade.under.values()), fault.name


def test_every_fault_is_ended_by_something() -> None:
    ended = {f for w in TABLES.work for f in w.faults if w.ends > 0} | set(TABLES.unwritten)
    assert {f.name for f in TABLES.faults.values() if f.scope not in PART_SCOPES} <= ended


def test_kinds_and_parts_are_words_of_the_language() -> None:
    kinds = {row.word for row in TABLE} | {"not named", "ran"}
    for test in TABLES.tests.values():
        assert test.kind in kinds, test.name
        assert set(test.part.split(" or ")) <= {"", "-", *PART_WORDS}, test.name
        spoken = next((row for row in TABLE if row.word == test.kind), None)
        if spoken and not test.code and test.kind not in ("symptom", "trace"):
            said = {*spoken.words, "ok", "same", "low", "none"}
            assert set(test.same) <= said, (test.name, set(test.same) - said)


def test_what_is_proposed_can_be_written() -> None:
    """A proposal's line begins with its kind, its outcomes sum to 1, and each of them means something."""
    for test in TABLES.tests.values():
        if test.title:
            assert test.write.startswith(test.kind), test.name
            assert all(test.means.values()), test.name
            for i in range(len(test.rows)):
                assert math.isclose(math.fsum(p[i] for p in test.outcomes.values()), 1, abs_tol=1e-9)


def test_cautions_follow_the_system() -> None:
    """A jet of diesel or of direct injection cuts skin; such injectors are driven at a height of volts that hurts."""
    has = {name: features(told(engine=card).engines[0]) for name, card in (("port", FOUR), ("diesel", DIESEL))}
    has["direct"] = features(told(engine=FOUR.replace("port", "direct")).engines[0])
    port, diesel, direct = (
        " ".join(TABLES.cautions(("fuel", "injector volts"), has[n])) for n in ("port", "diesel", "direct")
    )
    assert "cuts skin" in diesel and "cuts skin" in direct and "cuts skin" not in port
    assert "150 V" in diesel and "150 V" in direct and "150 V" not in port


def test_no_pulse_light_on_direct_injection() -> None:
    direct = features(told(engine=FOUR.replace("port", "direct")).engines[0])
    assert not fits(TABLES.tests["pulse at an injector"].needs, direct)
    assert fits(TABLES.tests["pulse at an injector"].needs, features(told().engines[0]))


def test_whatever_touches_fuel_or_a_running_engine_says_so() -> None:
    rows: list[TestRow | Repair | Swap] = [t for t in TABLES.tests.values() if t.title]
    for row in (*rows, *TABLES.repairs.values(), *TABLES.swaps.values()):
        assert row.hazards, row.name


def test_minutes_follow_the_system() -> None:
    port, diesel = (features(told(engine=card).engines[0]) for card in (FOUR, DIESEL))
    assert minutes(TABLES.swaps["injector"], port) == 40
    assert 90 <= minutes(TABLES.swaps["injector"], diesel) <= 180


def test_needs() -> None:
    assert fits(("coil", "not diesel"), frozenset({"coil"}))
    assert fits(("diesel or direct",), frozenset({"direct"}))
    assert not fits(("not diesel",), frozenset({"diesel"}))


def test_old_rows_of_faults_keep_their_names() -> None:
    """Told cases, learning and pages of closed jobs know them by name."""
    kept = "coil_dead lead_open plug_dead inj_blocked inj_open coil_loom inj_loom exhaust_valve ring_worn "
    kept += "gasket_blown rail_dirt"
    assert set(kept.split()) <= set(TABLES.faults)


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ("[faults.coil_dead]\nbase = 2.0\n", "faults.coil_dead: base is a chance"),
        ("[faults.coil_dead]\nreason = ''\n", "faults.coil_dead: no reason"),
        ("[faults.coil_dead]\nsource = 'a friend'\n", "source is"),
        ("[faults.coil_dead]\ngrades = [{ share = 0.5, signs = ['no spark'] }]\n", "do not sum to 1"),
        (
            "[faults.coil_dead]\ngrades = [{ share = 1.0, signs = ['hums'] }]\n",
            "sign 'hums': raised by a fault and read",
        ),
        ("[tests.spark]\nrows = [{ signs = [], p = [0.5, 0.4, 0.2], number = [1.0, 1.0] }]\n", "summing to 1"),
        ("[tests.spark]\nhazards = ['bears']\n", "a hazard is no row"),
        ("[clues.sat]\nodds = { coil_daed = 2.0 }\n", "odds of coil_daed"),
        ("[colours]\nred = 1\n", "not a table"),
    ],
)
def test_a_broken_law_is_told(own: str, said: str) -> None:
    with pytest.raises(TablesError, match=said):
        load(own)


def test_a_shops_own_rate_replaces_that_value_alone() -> None:
    own = load("[faults.coil_dead]\nbase = 0.03\n")
    assert own.faults["coil_dead"].base == 0.03
    assert own.faults["coil_dead"].label == TABLES.faults["coil_dead"].label


def test_engine_features() -> None:
    old = features(told(engine=OLD).engines[0])
    assert {"distributor", "spark", "lead", "carburettor", "coolant"} <= old
    assert "controller" not in old and "injector" not in old
    assert "points" in features(told(engine=OLD + ", points").engines[0])
