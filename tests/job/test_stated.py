"""The states behind 'now same' and 'now moved', written out by the tidy form where they are beyond doubt."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.commands.tidying import tidy_logs
from logbook.job.ledger import build
from logbook.job.stated import tidy_with_states
from logbook.text.reader import read

CARD = "language: 1\njob: van\nunits: metric\nengine: V6, left 1 3 5, right 2 4 6, coil on plug\n\n2026-05-04\n"
SEEN = "cut-out: 1 70, 2 65, 3 70, 4 0, 5 60, 6 70\n"


def tidied(lines: str, card: str = CARD) -> str:
    """The lines behind the card in their tidy form."""
    return tidy_with_states(read("van.txt", (card + lines).encode())).removeprefix(CARD)


@pytest.mark.parametrize(
    ("jotted", "written"),
    [
        ("swap coil 2 4: now same", "swap coil: 2 4, now 2 fires, 4 dead"),
        ("swap coil 2 4: now moved", "swap coil: 2 4, now 2 dead, 4 fires"),
        ("swap coil 1 2: now same @ warm", "swap coil: 1 2, now 1 2 fires @ warm"),
        ("clean injector 4: now same", "clean injector: 4, now 4 dead"),
        ("move coil: 4 to 1, 1 to 2, 2 to 4, now moved", "move coil: 4 to 1, 1 to 2, 2 to 4, now 1 dead, 2 4 fires"),
    ],
)
def test_what_was_seen_before_is_written_out(jotted: str, written: str) -> None:
    assert tidied(f"{SEEN}{jotted}\n") == f"{SEEN}{written}\n"


@pytest.mark.parametrize(
    "lines",
    [
        "swap coil: 2 4, now same\n",  # nobody has seen a state yet
        "firing: 2 fires\nswap coil: 2 4, now same\n",  # the state of 4 is not known
        "cut-out: 1 70, 2 25, 3 70, 4 70, 5 60, 6 70\nswap coil: 2 4, now same\n",  # 'weak' only by its drop
        f"{SEEN}swap coil: 2 9, now same\n",  # there is no 9
    ],
)
def test_what_is_not_sure_stays(lines: str) -> None:
    assert tidied(lines) == lines


def test_a_weak_one_that_was_seen_is_written_out() -> None:
    lines = "firing: 2 weak, rest fires\n"
    assert tidied(f"{lines}swap coil: 2 4, now moved\n") == f"{lines}swap coil: 2 4, now 2 fires, 4 weak\n"


ACTIONS = st.tuples(
    st.sampled_from(("swap coil", "swap injector", "move plug", "clean injector", "unplug coil", "put back coil")),
    st.lists(st.integers(1, 7), min_size=1, max_size=3).map(lambda places: " ".join(map(str, places))),
    st.sampled_from(("now same", "now moved", "now 2 dead", "now all same")),
).map(lambda told: f"{told[0]}: {told[1]}, {told[2]}")
TESTS = st.lists(st.integers(0, 80), min_size=6, max_size=6).map(lambda drops: "cut-out: " + " ".join(map(str, drops)))
FIRING = st.sampled_from(("firing: 3 dead, rest fires", "firing: 2 weak", "correct cut-out: 3 70", "firing: 1 same"))


@given(st.lists(st.one_of(ACTIONS, TESTS, FIRING), max_size=8).map("\n".join), st.booleans())
def test_the_job_stays_the_same_and_the_form_is_final(lines: str, versioned: bool) -> None:
    card = CARD if versioned else CARD.removeprefix("language: 1\n")
    once = tidied(f"{lines}\n", card)
    assert tidied(once) == once
    assert readings(CARD + once) == readings(card + f"{lines}\n")


def readings(text: str) -> list[tuple[object, ...]]:
    """What the job takes from a log, without its places in the text."""
    job = build(read("van.txt", text.encode()))
    told = ((r.test, r.subject, r.value.word, r.value.quantity, r.part_kind, r.place, r.counts) for r in job.readings)
    return sorted(told, key=repr)


def test_the_command_writes_them(tmp_path: Path) -> None:
    log = tmp_path / "van.txt"
    log.write_text(f"{CARD}{SEEN}swap coil: 2 4, now same\n")
    assert tidy_logs([str(log)], only_check=True)[1] == 1
    assert tidy_logs([str(log)], only_check=False)[1] == 0
    assert log.read_text().endswith("swap coil: 2 4, now 2 fires, 4 dead\n")
    assert tidy_logs([str(log)], only_check=True) == (["Nothing to tidy."], 0)
