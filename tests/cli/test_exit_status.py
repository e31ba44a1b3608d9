"""Exit status: 0 fine, 1 the logs have errors, 2 wrong use or could not read or write."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from logbook.output import writing
from tests.cli.conftest import BAD, GOOD, Call, write


def test_check(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD)
    assert call("check", "van.txt").exit_code == 0
    assert call("check", ".").exit_code == 0
    write(folder / "bad.txt", BAD)
    assert call("check", "bad.txt").exit_code == 1
    assert call("check", ".").exit_code == 1
    assert call("check", ".", "--as", "json").exit_code == 1


def test_a_doubt_is_no_error(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD + "compression: 1 131, 2 12, 3 12, 4 12\n")
    result = call("check", "van.txt")
    assert "doubt" in result.output
    assert result.exit_code == 0


@pytest.mark.parametrize("command", ["check", "report", "tidy", "next", "sheet"])
def test_what_is_not_there(call: Call, command: str) -> None:
    result = call(command, "nowhere.txt")
    assert result.exit_code == 2
    assert "nowhere.txt: there is no such file or folder" in result.output


@pytest.mark.parametrize("command", ["check", "report", "tidy"])
def test_a_folder_without_logs(call: Call, folder: Path, command: str) -> None:
    (folder / "empty").mkdir()
    result = call(command, "empty")
    assert result.exit_code == 2
    assert "no logs in empty" in result.output


@pytest.mark.parametrize("command", ["check", "report"])
def test_a_text_file_in_a_folder_that_is_no_log_is_named_once(call: Call, folder: Path, command: str) -> None:
    write(folder / "van.txt", GOOD)
    write(folder / "shopping.txt", "Milk and bread.\n\nAnd a new kettle.\n")
    result = call(command, ".")
    assert result.exit_code == 0
    assert result.output.count("shopping.txt") == 1
    assert "shopping.txt is not a log: it has no entries in it." in result.output


@pytest.mark.parametrize("command", ["check", "report", "next", "sheet"])
def test_a_text_file_named_directly_that_is_no_log_is_an_error(call: Call, folder: Path, command: str) -> None:
    write(folder / "shopping.txt", "Milk and bread.\n")
    result = call(command, "shopping.txt")
    assert result.exit_code == 2
    assert "shopping.txt is not a log" in result.output


def test_report(call: Call, folder: Path) -> None:
    write(folder / "logs/bad.txt", BAD)
    assert call("report", "logs").exit_code == 0
    assert (folder / "site/index.html").is_file()
    assert call("report", "logs", "--strict").exit_code == 1
    write(folder / "logs/bad.txt", GOOD)
    assert call("report", "logs", "--strict").exit_code == 0


def test_report_says_the_count_of_problems_and_the_file_to_open(call: Call, folder: Path) -> None:
    write(folder / "logs/bad.txt", BAD)
    first, again = call("report", "logs").output, call("report", "logs").output
    for output in (first, again):
        assert "Problems: 1 error." in output
        assert output.endswith(f"Open {Path('site') / 'index.html'}\n")
    assert "nothing has changed" in again


@pytest.mark.parametrize(
    "arguments", [["logs", "--to", "logs"], ["logs", "--to", "."], ["logs", "--to", "logs/bad.txt"]]
)
def test_a_site_where_it_may_not_be(call: Call, folder: Path, arguments: list[str]) -> None:
    write(folder / "logs/bad.txt", BAD)
    result = call("report", *arguments)
    assert result.exit_code == 2
    assert "fix:" in result.output


def test_a_foreign_file_in_the_way(call: Call, folder: Path) -> None:
    write(folder / "logs/van.txt", GOOD)
    write(folder / "site/index.html", "mine")
    result = call("report", "logs")
    assert result.exit_code == 2
    assert "index.html" in result.output
    assert "did not write" in result.output


def test_a_full_disk(call: Call, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(folder / "logs/van.txt", GOOD)

    def full(path: Path, pieces: list[bytes]) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(writing, "_create", full)
    result = call("report", "logs")
    assert result.exit_code == 2
    assert os.strerror(errno.ENOSPC) in result.output


@pytest.mark.parametrize(
    "arguments",
    [
        ["check"],
        ["report"],
        ["nonsense"],
        ["check", "--as", "xml", "."],
        ["report", ".", "--copy", "private"],
        ["check", "--explain", "1"],
    ],
)
def test_wrong_use(call: Call, arguments: list[str]) -> None:
    assert call(*arguments).exit_code == 2


def test_alone_it_shows_what_a_builder_needs_first(call: Call, folder: Path) -> None:
    result = call()
    assert result.exit_code == 0
    for word in ("logbook start", "logbook check", "logbook next", "logbook report"):
        assert word in result.output
    example = "\n".join(
        line[2:] for line in result.output.splitlines() if line.startswith("  ") and "logbook" not in line
    )
    write(folder / "first.txt", example + "\n")
    assert call("check", "first.txt").exit_code == 0


def test_as_a_module() -> None:
    run = subprocess.run([sys.executable, "-m", "logbook", "--version"], capture_output=True, text=True, check=True)
    assert run.stdout.startswith("logbook, version ")


@pytest.mark.parametrize("command", ["start", "check", "next", "sheet", "report", "watch", "tidy", "work"])
def test_every_help_has_an_example(call: Call, command: str) -> None:
    result = call(command, "--help")
    assert result.exit_code == 0
    assert "Example" in result.output
    assert f"logbook {command}" in result.output.split("Example", 1)[1]
