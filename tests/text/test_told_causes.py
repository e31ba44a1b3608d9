"""Causes as a builder says them, and the tidy line that they must come to."""

from __future__ import annotations

import pytest

from logbook.problems import Problem
from logbook.text.entries import Log
from logbook.text.forms import entry_line
from logbook.text.reader import read

CARD = "engine: inline 4, fires 1 3 4 2, coil on plug\n2026-01-01\n"


def told(line: str) -> Log:
    return read("x.txt", (CARD + line + "\n").encode(), hearing=False)


def only_problem(line: str) -> Problem:
    (found,) = told(line).problems
    return found


@pytest.mark.parametrize(
    ("line", "tidy"),
    [
        ("cause coil: old 4 (split boot)", "cause coil: old 4 (split boot)"),
        ("cause: coil at 2 dead", "cause coil: 2 (dead)"),
        ("cause: coil in cylinder 2", "cause coil: 2"),
        ("cause: coil number 2", "cause coil: 2"),
        ("cause: coil C2 was dead", "cause coil: C2 (dead)"),
        ("found it: coil 2 split boot", "cause coil: 2 (split boot)"),
        ("cause: coil 2 was doesn't-spark-warm", "cause coil: 2 (doesn't-spark-warm)"),
        ("cause: head gasket between 2 and 3", "cause gasket: 2 3"),
        ("cause: injector connector 3 loose", "cause injector connector: 3 (loose)"),
        ("cause: wiring to injector 3", "cause injector harness: 3"),
        ("cause injector: 1 clogged, 3 leaking", "cause injector: 1 (clogged), 3 (leaking)"),
        ("cause valve: 3 burnt, lash closed up", "cause valve: 3 (burnt, lash closed up)"),
        ("cause: coil 2 dead, plug 2 fouled", "cause coil: 2 (dead), plug 2 (fouled)"),
        ("cause: leak", "cause leak"),
        ("cause leak: (vacuum hose)", "cause leak: (vacuum hose)"),
        ("cause leak: at the booster hose", "cause leak: (the booster hose)"),
        ("cause fuel: water in the tank, old (stale)", "cause fuel: (water in the tank, old, stale)"),
        ("cause: fuel pressure low", "cause fuel pressure: (low)"),
        ("cause: earth strap loose", "cause ground: (strap loose)"),
        ("cause timing belt: jumped a tooth", "cause belt: (jumped a tooth)"),
        ("was: pump", "cause pump"),
    ],
)
def test_read_as_it_is_said(line: str, tidy: str) -> None:
    log = told(line)
    assert not log.problems
    assert entry_line(log.entries[-1]) == tidy
    assert entry_line(told(tidy).entries[-1]) == tidy


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ("cause: blown fuse", "cause fuse: (blown)"),
        ("cause: dead coil 2", "cause coil: 2 (dead)"),
        ("cause: burnt valve 3", "cause valve: 3 (burnt)"),
        ("cause: broken wire to injector 3", "cause injector: 3 (broken wire)"),
        ("cause: water in the fuel", "cause fuel: (water)"),
        ("cause: it was the pump all along", "cause pump: (all along)"),
        ("cause: the coil at 2", "cause coil: 2"),
        ("cause: the wiring", "cause wiring"),
    ],
)
def test_words_of_ones_own_stay_to_the_letter_with_a_hint(line: str, mend: str) -> None:
    assert told(line).entries[-1].text == line.removeprefix("cause: ")
    hint = only_problem(line)
    assert hint.number == 229
    assert not told(mend).problems


def test_words_without_a_thing_of_the_table_are_kept_too() -> None:
    assert told("cause: mouse nest (what a smell) up there").entries[-1].text == "mouse nest (what a smell) up there"
    assert only_problem("cause: mouse nest (what a smell) up there").mend.startswith("name the part or the thing first")


@pytest.mark.parametrize(
    ("line", "number", "mend"),
    [
        ("cause:", 207, "write for example 'cause coil: old 4 (split boot)'"),
        ("cause coil: 9", 402, "check the number, or the engine card"),
        ("cause injector: conector 3", 215, "did you mean 'connector'?"),
        ("cause coil: 2 fails at 2500 rpm", 208, "put it into a bracket: '(fails at 2500 rpm)'"),
        ("cause timing belt: jumped 1 tooth", 215, "'(jumped 1 tooth)'"),
        ("cause: coil and plug", 208, "write a line for each cause"),
        ("cause coil: 2 plug fouled", 208, "write a line for each cause"),
    ],
)
def test_what_may_mean_something_else_is_not_guessed(line: str, number: int, mend: str) -> None:
    found = only_problem(line)
    assert found.number == number
    assert mend in found.mend
    assert not [entry for entry in told(line).entries if entry.kind == "cause"]


@pytest.mark.parametrize(
    ("line", "mend", "mended"),
    [
        ("clean injector: 3 soaked overnight", "'(soaked overnight)'", "clean injector: 3 (soaked overnight)"),
        ("remove head: warped", "'(warped)'", "remove head: (warped)"),
        ("unplug coil: 3 no change", "', now no change'", "unplug coil: 3, now no change"),
    ],
)
def test_words_behind_what_was_done_are_a_remark_or_what_was_seen(line: str, mend: str, mended: str) -> None:
    assert mend in only_problem(line).mend
    assert not told(mended).problems


def test_a_missing_now_is_put_in() -> None:
    assert entry_line(told("unplug coil: 3 no change").entries[-1]) == "unplug coil: 3, now same"
