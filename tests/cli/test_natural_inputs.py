"""What a builder types without thinking: each line is answered, or refused with the command that would be taken.

``natural_inputs.csv`` was written before any of it was tried. 'refused' wants the key in the finished command.
"""

from __future__ import annotations

import csv
import json
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from logbook.formulas import registry
from logbook.work import work

ROWS = list(csv.DictReader(Path(__file__).with_name("natural_inputs.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=[r["asked"] for r in ROWS])
def test_answered_or_refused_with_the_command(row: dict[str, str]) -> None:
    words = shlex.split(row["asked"])
    done = CliRunner().invoke(work, [*words, "--as", "json"])
    told = json.loads(done.output)
    if row["key"] == "refused":
        assert done.exit_code == 2, told
        command = shlex.split(told["error"]["command"])
        assert command[:2] == ["logbook", "work"] and shlex.split(row["wanted"])[0] in command
        again = CliRunner().invoke(work, command[2:])
        assert again.exit_code == 0, again.output
        shown = CliRunner().invoke(work, words)
        assert f"Try: {told['error']['command']}" in shown.output
        return
    assert done.exit_code == 0, told
    value = told["result"][row["key"]]
    if row["wanted"] and row["rel_tol"]:
        assert value == pytest.approx(float(row["wanted"]), rel=float(row["rel_tol"]))
    elif row["wanted"]:
        assert value == row["wanted"]
    else:
        assert value


def test_there_are_sixty() -> None:
    assert len(ROWS) >= 60


@pytest.mark.parametrize("word", ["turbo", "tire", "horsepower", "convert", "E85", "duration", "ohm"])
def test_search_finds_the_words_of_the_shop(word: str) -> None:
    done = CliRunner().invoke(work, ["--search", word])
    assert "No calculation" not in done.output and registry.search(word)


def test_an_unknown_name_says_how_to_look() -> None:
    done = CliRunner().invoke(work, ["flux_capacitor", "volts=12"])
    assert done.exit_code == 2 and "logbook work --search" in done.output
