"""'Where it stands' reads well at every standing, and a public copy tells nothing of an entry kept private."""

from __future__ import annotations

import pytest

from logbook.diagnosis.answers import SEVERAL, Diagnosis
from logbook.diagnosis.diagnose import diagnose
from logbook.job import ledger
from logbook.job.copy import copied
from logbook.job.model import Job
from logbook.pages.status import status_of, status_words
from logbook.pages.told import told
from logbook.text.reader import read

CARD = "job: Van, dead on one\nengine: inline 4, coil on plug\n\n2026-05-04\n"
DEAD = "firing: 3 dead, rest fires\n"
FOUND = DEAD + "swap coil 3 4: now 4 dead, 3 fires\ncause coil: old 3 (split boot)\n"
REPAIRED = FOUND + "2026-05-05\nfit coil: new in 4\nfiring: all fires\n"
PROVED = REPAIRED + "proved cut-out: 70 70 69 71\n"


def job_and_words(body: str, copy: str = "shop") -> tuple[Job, Diagnosis]:
    job = ledger.build(read("van.txt", (CARD + body).encode()))
    shown = copied(job, copy)  # type: ignore[arg-type]
    return shown, told(diagnose(job), shown)


@pytest.mark.parametrize(
    ("body", "lead", "later"),
    [
        (DEAD, "Cylinder 3 is dead. Most likely: ", "Next: "),
        (
            FOUND,
            "Cylinder 3 was dead. It fires now. Cylinder 4 is dead.",
            "The cause: the coil from 3 (split boot).",
        ),
        (REPAIRED, "Cylinder 3 was dead. It fires now.", "A new coil went into cylinder 4. Not proved yet. "),
        (PROVED, "Cylinder 3 was dead. It fires now.", "Proved by cut-out, 5 May."),
        (PROVED + "handed over: keys given\n", "Cylinder 3 was dead. It fires now.", "Handed back 5 May 2026."),
        ("idle: rpm 800\n", "Not used, nothing to compare it with", ""),
    ],
    ids=["open", "found", "repaired", "proved", "handed-over", "nothing"],
)
def test_each_standing_has_its_words(body: str, lead: str, later: str) -> None:
    _, words = job_and_words(body)
    assert words.stand[0].startswith(lead), words.stand
    assert later in " ".join(words.stand), words.stand
    assert all(p.endswith((".", ":")) and "  " not in p for p in words.stand)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("firing: 3 intermittent, rest fires\n", "Cylinder 3 was weak now and then."),
        ("firing: 3 dead, rest fires @ wet\nfiring: all fires\n", "dead when wet"),
        ("firing: 3 dead, rest fires @ load\nfiring: all fires\n", "dead under load"),
    ],
)
def test_when_the_trouble_comes_is_said_once(body: str, said: str) -> None:
    _, words = job_and_words(body)
    assert said in words.stand[0]
    assert words.stand[0].count("now and then") <= 1


def test_a_trouble_code_is_said_without_its_place_in_the_row() -> None:
    job = ledger.build(read("van.txt", (CARD + "codes: P0300 P0303\n" + DEAD).encode()))
    said = [w.words for a in diagnose(job).cylinders for c in a.causes for w in c.weights if "codes" in w.words]
    assert said and all(words.endswith(": P0303") for words in said)


@pytest.mark.parametrize(
    ("cause", "said"),
    [
        ("cause valve: 3 (burnt)", "The cause: valve 3 (burnt)."),
        ("cause fuel: water in the tank", "The cause: fuel (water in the tank)."),
        ("cause: blown fuse", "The cause: “blown fuse”."),
        ("cause coil: old 3\ncause leak: (hose)", "The causes: coil 3 and leak (hose)."),
    ],
)
def test_the_cause_is_said_as_the_log_has_it(cause: str, said: str) -> None:
    _, words = job_and_words(DEAD + cause + "\n")
    assert said in words.stand[0]


def test_a_number_that_counts_for_nothing_is_said_with_its_mend() -> None:
    said = "Not used, nothing to compare it with: sensor, 4 May. Write the maker’s figure behind it"
    _, bare = job_and_words(DEAD + "sensor coolant: 2.4 kohm\n")
    assert said in " ".join(bare.stand)
    _, against = job_and_words(DEAD + "sensor coolant: 2.4 kohm @ 20 C\n")
    assert "Not used" not in " ".join(against.stand)
    _, public = job_and_words(DEAD + "private sensor coolant: 2.4 kohm\n", "public")
    assert ": sensor, " not in " ".join(public.stand)


def test_a_private_cause_and_its_evidence_are_not_told() -> None:
    body = DEAD + (
        "private swap coil 3 4: now 4 dead, 3 fires\nprivate cause coil: old 3 (xylophone)\n"
        "fit coil: new in 4\nprivate proved cut-out: 70 70 69 71\n"
    )
    shop_job, shop = job_and_words(body)
    job, public = job_and_words(body, "public")
    assert "xylophone" in repr(shop) + repr(shop_job.causes)
    assert "xylophone" not in repr(public) + repr(job)
    sentences = [c.sentence for a in public.cylinders for c in (*a.causes, *a.ruled_out)]
    assert any("an entry kept private" in s for s in sentences)
    assert not any("swap" in s for s in (*sentences, *public.stand, public.standing_why))
    chances = [[c.probability for c in a.causes] for a in public.cylinders]
    assert chances == [[c.probability for c in a.causes] for a in shop.cylinders]


TWICE = DEAD + "spark: 3 none, rest strong\n"
SPARKS = TWICE + "fit coil: new in 3, now 3 dead, rest fires\nspark: 3 strong\n"


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (TWICE, ""),
        (SPARKS, "Something else is wrong too."),
        (TWICE + "resistance injector: 3 open, rest 14\n", "There may be two faults ("),
        (
            SPARKS + "swap injector 3 4: now 4 dead, 3 fires\nresistance coil: old 3 open\n",
            "There may be a second fault (",
        ),
    ],
    ids=["one", "possible", "even", "settled"],
)
def test_a_second_fault_is_named_before_it_is_likelier_than_not(body: str, said: str) -> None:
    _, words = job_and_words(body)
    assert said in words.stand[0], words.stand[0]
    several = [a.several >= SEVERAL for a in words.cylinders if a.place.cylinder == 3]
    assert several == [bool(said)]


def test_a_shelf_of_parts_asks_for_no_test() -> None:
    job = ledger.build(read("donor.txt", b"job: Shelf\ndonor D1: saloon\n\n2026-05-04\nparts coil: A1-A4 from D1\n"))
    assert "No engine of its own" in told(diagnose(job), job).stand[0]


@pytest.mark.parametrize(
    ("body", "words", "why"),
    [
        ("firing: all fires\n", "Running", "No cylinder is known to be in trouble."),
        ("battery: 12.4\n", "In progress", "No cylinder is known to be in trouble."),
        (
            "firing: 3 dead, rest fires @ wet\nfiring: all fires\n",
            "Open",
            "No cause is sure enough yet, and no 'cause' entry names one.",
        ),
        ("torque head: 1-10 40 Nm\nfit filter: new\nproved cut-out: 70 70 69 71\n", "Running", "Proved by"),
        ("torque head: 1-10 40 Nm\n" + PROVED, "Running", "Proved by"),
        (PROVED, "Fixed", "Proved by"),
        (PROVED + "handed over\n", "Handed back", "Handed over on"),
        (PROVED + "handed over\n\n2026-06-01\ncame back: shakes\n", "Open", ""),
    ],
)
def test_the_stamp_says_how_far_a_job_is(body: str, words: str, why: str) -> None:
    job = ledger.build(read("van.txt", (CARD + body).encode()))
    found = diagnose(job)
    assert status_words(status_of(job, found)) == words
    assert found.standing_why.startswith(why)


def test_a_part_that_was_taken_out_in_vain_is_told_as_the_beginning_not_as_the_cause() -> None:
    _, words = job_and_words(DEAD + "swap coil 3 4: now 4 dead, 3 fires\nfit coil: new in 4, now 4 dead\n")
    assert "4: coil 3: dead (" in words.stand[0]
    assert "is out, but 4 is still dead. Something else is wrong too. Second: " in words.stand[0]
    assert "4: most likely" not in words.stand[0].casefold()
