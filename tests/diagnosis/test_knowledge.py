"""The tables hang together, say where they come from, and take a shop's own file."""

from __future__ import annotations

import tomllib
from importlib import resources

import pytest

from logbook.diagnosis.knowledge import FILES, Effect, KnowledgeError, load, read
from logbook.text.vocabulary import KINDS

KNOWN = load()
# Kinds under the tests' headings that bear on no cause of a cylinder's trouble by themselves, and why.
SAYS_NOTHING = {
    "crack": "a crack is a finding of the machine shop, after the cause",
    "noise": "words for noises differ too much from one ear to the next",
    "exhaust smoke": "a colour is of the whole engine and of many things",
    "oil pressure": "of the bearings, not of a cylinder's fire",
    "coolant temperature": "of the cooling",
    "road": "free text",
    "codes cleared": "what was forgotten, not what was seen",
    "voltage drop": "no row weighs a cable yet",
    "sensor": "no row weighs one sensor yet",
    "cranking speed": "no row weighs the speed yet; 'crank: slow' has one",
    "back-pressure": "no row weighs a blocked exhaust by its pressure yet",
    "air in fuel": "no row weighs bubbles yet",
    "oil look": "of the whole engine",
    "smell": "words for smells differ too much from one nose to the next",
    "bore look": "no row weighs what a borescope sees yet",
}


def tables() -> dict[str, dict[str, object]]:
    folder = resources.files("logbook.diagnosis") / "knowledge"
    return {name: tomllib.loads((folder / f"{name}.toml").read_text("utf-8")) for name in FILES}


def faults_behind(effect: Effect) -> set[str]:
    found: set[str] = set()
    for name in effect.q:
        found |= faults_behind(KNOWN.effects[name]) if name in KNOWN.effects else {name}
    return found


def test_every_fault_has_evidence_that_can_raise_it() -> None:
    raised = set()
    for row in KNOWN.tests:
        values = [*row.words.values(), *row.offers.values()]
        if row.number or any(max(v[1:]) > v[0] for v in values):
            raised |= faults_behind(KNOWN.effects[row.effect])
    assert set(KNOWN.faults) - raised == set()


def test_every_fault_has_evidence_beyond_how_the_cylinder_works() -> None:
    """A cut-out alone never tells two causes apart."""
    told = set()
    for row in KNOWN.tests:
        if row.effect not in ("runs", "comes_and_goes", "misfire_code"):
            told |= faults_behind(KNOWN.effects[row.effect])
    assert set(KNOWN.faults) - told == set()


def test_every_test_reads_a_kind_of_the_language() -> None:
    assert {row.kind for row in KNOWN.tests} - set(KINDS) == set()


def test_every_word_of_a_test_is_a_word_of_its_kind() -> None:
    for row in KNOWN.tests:
        if row.code or row.kind == "trace":  # words made from a recording, not written
            continue
        known = {*KINDS[row.kind].words, "ok", "same"}
        assert set(row.words) <= known, (row.name, sorted(set(row.words) - known))


def test_every_kind_that_claims_to_bear_on_a_cause_has_a_row() -> None:
    headings = {"Tests at a cylinder", "Tests at a part or its plug", "On the bench", "Tests of the engine"}
    kinds = {k.word for k in KINDS.values() if k.heading in headings}
    read_by = {row.kind for row in KNOWN.tests}
    assert kinds - read_by - set(SAYS_NOTHING) == set()
    assert not set(SAYS_NOTHING) & read_by


def test_every_proposal_can_be_written_into_a_log() -> None:
    """What is proposed begins with a kind of the language."""
    for row in KNOWN.tests:
        if row.offers:
            assert row.log_as.startswith(row.kind), row.name
            assert row.cautions, f"{row.name}: a caution beside it"


@pytest.mark.parametrize("table", ["faults", "effects", "repairs", "clues"])
def test_every_row_says_why_and_where_from(table: str) -> None:
    for name, row in tables()[table].items():
        assert isinstance(row, dict)
        assert row["reason"].endswith("."), name
        assert row["source"].startswith(("published: ", "common practice", "judgement")), name


def test_a_shops_file_replaces_only_what_it_names() -> None:
    laid = load('[faults.coil_dead]\nbase = 0.2\n[tests."spark"]\nminutes = 9\n')
    assert laid.faults["coil_dead"].base == 0.2
    assert laid.faults["coil_dead"].label == KNOWN.faults["coil_dead"].label
    assert laid.test("spark").minutes == 9
    assert laid.test("spark").words == KNOWN.test("spark").words
    assert load().faults["coil_dead"].base != 0.2


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[faults.coil_dead]\nbase = 2\n", "faults coil_dead: base must lie between"),
        ('[faults.coil_dead]\nscope = "moon"\n', "faults coil_dead: no scope 'moon'"),
        ("[effects.no_spark.q]\nmagic = 0.5\n", "effects no_spark: no fault 'magic'"),
        ("[effects.no_spark.q]\ncoil_dead = 1.0\n", "effects no_spark q coil_dead any"),
        ("[effects.coil_link.q]\ncoil_dead = [0.2, 0.9]\n", "dead cannot be likelier than weak or worse"),
        ('[tests."spark".words]\nnone = [0.5]\n', "tests spark none: 2 numbers"),
        ('[tests."spark"]\neffect = "nothing"\n', "tests spark: no effect 'nothing'"),
        ('[tests."spark".offers_sum]\nstrong = [0.5, 0.5]\nnone = [0.2, 0.5]\n', "add up to 0.7 in column 1"),
        ('[tests."spark"]\ntitle = "Spark of {cylinder}"\n', "tests spark title: no placeholder '{cylinder}'"),
        ('[tests."compression".number.alone]\ngood = 3\n', "tests compression number alone good: [centre, spread]"),
        ('[repairs.own]\ntitle = "x"\nwords = "x"\nmoney = 1\n', "repairs own: minutes and money expected"),
        ("[repairs.fit_coil]\ncautions = []\n", "repairs fit_coil: cautions expected"),
        ("[clues.sat.odds]\nmagic = 2.0\n", "clues sat: no fault 'magic'"),
        ("[gossip]\nx = 1\n", "no table named 'gossip'"),
        ("faults = [\n", "not TOML"),
    ],
)
def test_a_mistake_in_a_shops_file_is_named(text: str, says: str) -> None:
    with pytest.raises(KnowledgeError) as told:
        load(text)
    assert says in str(told.value)


def test_every_mistake_is_listed_not_only_the_first() -> None:
    broken = tables()
    for name in ("coil_dead", "plug_dead"):
        broken["faults"][name]["base"] = -1  # type: ignore[index]
    with pytest.raises(KnowledgeError) as told:
        read(broken)
    assert len(told.value.faults) == 2
