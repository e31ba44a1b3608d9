"""What was done, told truly: each sample's account line by line, and no sentence that the ledger does not bear out."""

from __future__ import annotations

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from logbook.job import ledger
from logbook.job.copy import copied
from logbook.job.model import Job, Place
from logbook.pages.account import Said, account, done_words, proof_words
from logbook.pages.repair import had_fault, last_repair, repairs
from logbook.text.reader import read
from tests.samples.logs import job_of

CARD = "job: Van\nunits: metric\nengine: four in line, fires 1 3 4 2, coil on plug\n"
SICK = CARD + "symptom: shakes\n\n2026-05-04\nfiring: 3 dead, rest fires\n"

# Each line of these is read off the sample's log by hand: what was removed, sent out, fitted, put back, cleaned,
# torqued or set between the first sight of trouble and the proof, and nothing that was done to stock on the bench.
SAMPLES = {
    "camper-six": [
        "The feed to 1, 3 and 5 was repaired (new fuse foot, 20 cm of wire).",
        "“Soldered, sleeved, strapped away from the bulkhead.”",
    ],
    "harbour-crane-truck": [
        "Connector 4 was cleaned.",
        "A new coil went into cylinder 4.",
    ],
    "harvest-truck": [
        "Coil X1 went into cylinder 2 and came out again: 2 was still dead.",
        "A new coil went into cylinder 2: 2 was still dead.",
        "Injector 6 moved to cylinder 2.",
        "Injector 4 came out and went back in.",
        "The injector from 2 was cleaned and stayed out.",
        "A rebuilt injector went into cylinder 6.",
        "Scrapped: the injector from 2, coil X1 and the coil from 2.",
    ],
    "hay-baler": [
        "The exhaust lash on 3 was set to .014, but that didn’t help: compression read 52 psi, 48 before.",
        "The head came off.",
        "The head was at the machine shop for valve and seat 3.",
        "Head bolts torqued: 65 lb-ft.",
        "Exhaust lash measured 0.014 in.",
        "Intake lash measured 0.012 in.",
    ],
    "hill-climb-turbo": ["Injector connector 3 was repaired."],
    "sand-buggy": [
        "Injectors A1, A2 and A3 came out and went back in.",
        "Injectors A2 and A4 were cleaned.",
        "Injector B3 went into cylinder 4 in place of A4.",
        "A new filter was fitted.",
        "“Tank stripped of its sealant, new strainer on the pickup as well.”",
    ],
    "two-wrecks": [
        "Coil E1 went into cylinder 2 in place of C2.",
        "Scrapped: coil C2.",
    ],
    "village-fire-pump": [],
}
PROVED = {
    "camper-six": "Proved by cut-out and idle, 4 June.",
    "harbour-crane-truck": "Proved by cut-out and idle, 13 March.",
    "harvest-truck": "Proved by cut-out and idle, September 17.",
    "hay-baler": "Proved by cut-out and vacuum, July 18.",
    "hill-climb-turbo": "Proved by cut-out and pulse injector, 14 February.",
    "sand-buggy": "Proved by cut-out, trims and idle, May 24.",
    "two-wrecks": "Proved by cut-out, 3 April.",
    "village-fire-pump": "",
}


def job(text: str) -> Job:
    return ledger.build(read("van.txt", text.encode()))


def told(of: Job, number: int = -1) -> list[str]:
    return [f"“{s.text}”" if s.quoted else s.text for s in account(of, repairs(of)[number])]


@pytest.mark.parametrize("name", sorted(SAMPLES))
def test_the_account_of_each_sample_is_what_its_log_says(name: str) -> None:
    of = job_of(name)
    assert told(of) == SAMPLES[name]
    assert proof_words(of, repairs(of)[-1]) == PROVED[name]


def test_a_build_without_a_fault_has_no_repair() -> None:
    built = job(CARD + "\n2026-05-04\nfit filter: new\ntorque head: 1-10 40 Nm\nproved cut-out: 70 71 70 69\n")
    assert not had_fault(built) and not repairs(built) and last_repair(built) is None


def test_a_fault_of_a_build_starts_where_it_was_seen() -> None:
    built = job(CARD + "\n2026-05-04\ntorque head: 1-10 40 Nm\nfiring: 3 dead, rest fires\nfit coil: new in 3\n")
    assert told(built) == ["A new coil went into cylinder 3."]


def test_work_on_stock_is_none_of_it() -> None:
    of = job(SICK + "parts injector: B1-B4 from unknown\nclean injector: B1 B2\nscrap injector: B2\n")
    assert told(of) == []


def test_what_comes_after_the_proof_is_none_of_it() -> None:
    of = job(SICK + "fit coil: new in 3\nproved cut-out: 70 71 70 69\nremove injector: 1-4\nclean injector: old 1\n")
    assert told(of) == ["A new coil went into cylinder 3."]


def test_a_part_is_told_where_it_ended() -> None:
    of = job(SICK + "swap coil 3 4: now 4 dead, 3 fires\nfit coil: new in 4\nput back coil: 3 4\n")
    assert told(of) == ["A new coil went into cylinder 3."]


def test_a_come_back_opens_the_question_and_the_first_repair_stays_told() -> None:
    text = SICK + (
        "fit coil: new in 3, now all fires\nproved cut-out: 70 71 70 69\nhanded over\n"
        "\n2026-06-01\ncame back: shakes in the wet\nfit lead: new in 3\n"
    )
    of = job(text.replace("coil on plug", "coil near plug, leads"))
    first, second = repairs(of)
    assert (told(of, 0), told(of, 1)) == (["A new coil went into cylinder 3."], ["A new lead went into cylinder 3."])
    assert proof_words(of, first) == "Proved by cut-out, 4 May." and proof_words(of, second) == ""
    assert of.entries[first.came_back].entry.kind == "came back" and second.came_back == -1


def test_a_part_fitted_and_taken_out_again_was_tried() -> None:
    of = job(SICK + "parts coil: X1 from unknown\nfit coil: X1 in 3, now 3 dead\nfit coil: new in 3, now all fires\n")
    assert told(of) == [
        "Coil X1 went into cylinder 3 and came out again: 3 was still dead.",
        "A new coil went into cylinder 3.",
    ]


def test_private_work_is_not_told_in_public() -> None:
    of = job(SICK + "private fit coil: new in 3\nclean injector: 2\n  private: secretly\n")
    assert told(of) == ["A new coil went into cylinder 3.", "Injector 2 was cleaned."]
    assert told(copied(of, "public")) == ["Injector 2 was cleaned."]


# --- the property: what a sentence names is what the ledger holds at that moment

NUMBERS = st.sampled_from("1234")
KINDS = st.sampled_from(["coil", "injector"])
LINES = st.one_of(
    st.builds("swap {} {} {}".format, KINDS, NUMBERS, NUMBERS),
    st.builds("fit {}: new in {}".format, KINDS, NUMBERS),
    st.builds("fit injector: B{} in {}".format, NUMBERS, NUMBERS),
    st.builds("remove injector: {}".format, NUMBERS),
    st.builds("put back {}: {}".format, KINDS, NUMBERS),
    st.builds("clean injector: {}".format, NUMBERS),
    st.builds("clean injector: B{}".format, NUMBERS),
    st.builds("repair injector connector: {}".format, NUMBERS),
    st.builds("firing: {} dead, rest fires".format, NUMBERS),
    st.builds("scrap injector: B{}".format, NUMBERS),
    st.sampled_from(["firing: all fires", "proved firing: all fires", "came back: again", "remove head"]),
)
WENT = re.compile(r"(coil|injector) (B\d )?(?:went into|moved to) cylinder (\d)")
VERBS = {
    "went into": {"fit", "put back", "swap"},
    "moved to": {"fit", "put back", "swap"},
    "came out": {"fit", "remove"},
    "came off": {"remove"},
    "cleaned": {"clean"},
    "repaired": {"repair"},
    "scrapped": {"scrap"},
    "changed places": {"swap", "put back", "fit"},
}


@given(st.lists(LINES, max_size=14))
@example(["fit injector: B4 in 4", "came back: again", "remove injector: 4", "fit injector: B2 in 4"])
@example(["remove injector: 4", "remove injector: 4", "fit injector: B2 in 2", "fit injector: B2 in 2"])
def test_no_sentence_names_a_part_a_place_or_an_act_that_the_ledger_does_not_hold(lines: list[str]) -> None:
    of = job(SICK + "parts injector: B1-B4 from unknown\n" + "\n".join(lines) + "\n")
    for repair in repairs(of):
        end = of.mounted(repair.end)
        for said in account(of, repair):
            _is_borne_out(of, said)
            for kind, tag, number in re.findall(
                r"(coil|injector) (B\d )?(?:went into|moved to) cylinder (\d)", said.text
            ):
                if "came out again" not in said.text:
                    stands = of.part(end[kind, Place("", int(number))])
                    assert not tag or stands.name == tag.strip()
        assert done_words(of, repair) == " ".join(s.text for s in account(of, repair))


def _is_borne_out(of: Job, said: Said) -> None:
    acts = {of.entries[e].entry.kind for e in said.entries}
    for words, kinds in VERBS.items():
        if words in said.text.casefold():
            assert acts & kinds, said
    events = [e for e in of.events if e.entry in said.entries]
    parts = {p for e in events for p in (*e.parts, *(m.part for m in e.moves))}
    tags = {of.part(p).tag for p in parts}
    assert set(re.findall(r"\bB\d\b", said.text)) <= tags, said
    numbers = {str(p.home.cylinder) for p in map(of.part, parts) if p.home}
    numbers |= {str(p.cylinder) for e in events for p in e.places}
    numbers |= {str(at.cylinder) for e in events for m in e.moves for at in (m.out_of, m.into) if at}
    assert set(re.findall(r"(?<![B\d])\d\b", said.text)) <= numbers, said
