"""``logbook check``: text with the place marked, data for programs, and odd characters made visible."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from logbook.build import stages
from logbook.job import ledger
from tests.cli.conftest import BAD, GOOD, Call, write


def test_data_is_ascii_and_has_the_promised_keys(call: Call, folder: Path) -> None:
    write(folder / "bäd.txt", BAD.replace("shakes", "schüttelt"))
    output = call("check", "bäd.txt", "--as", "json").output
    assert output.isascii()
    data = json.loads(output)
    assert set(data) == {"files"}
    (file,) = data["files"]
    assert set(file) == {"path", "lines", "problems", "days", "entries"}
    assert file["path"] == "bäd.txt"
    assert set(file["lines"]) == {"blank", "day", "entry", "note", "problem"}
    assert sum(file["lines"].values()) == len(BAD.splitlines())
    (problem,) = file["problems"]
    assert set(problem) == {"number", "weight", "line", "column", "message", "mend"}
    assert (problem["weight"], problem["line"], problem["column"]) == ("error", 8, 1)


def test_text_marks_the_place(call: Call, folder: Path) -> None:
    write(folder / "bad.txt", BAD)
    lines = call("check", "bad.txt").output.splitlines()
    assert lines[0].startswith("bad.txt:8:1: error ")
    assert lines[1].startswith("    gizmo: 1 9.2   -> ")
    assert lines[-1] == "1 log: 1 error."


def test_every_line_understood(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD)
    assert call("check", "van.txt").output == "1 log: every line is understood.\n"


@pytest.mark.parametrize("character", ["\x1b", "\x07", "\u202e", "\u2066", "\u200b", "\x9b"])
def test_what_could_hide_or_reorder_is_made_visible(call: Call, folder: Path, character: str) -> None:
    write(folder / "bad.txt", GOOD + f"compre{character}sion 1 9.2{character}\n")
    for arguments in (["check", "bad.txt"], ["check", "bad.txt", "--as", "json"], ["next", "bad.txt"]):
        assert character not in call(*arguments).output
    assert f"<U+{ord(character):04X}>" in call("check", "bad.txt").output


def test_a_file_name_with_odd_characters(call: Call, folder: Path) -> None:
    write(folder / "bad\u202etxt.txt", BAD)
    output = call("check", ".").output
    assert "\u202e" not in output
    assert "bad<U+202E>txt.txt:8:1" in output


def test_explain(call: Call) -> None:
    result = call("check", "--explain", "201")
    assert result.exit_code == 0
    assert "For example" in result.output


def test_not_utf8_names_line_and_byte(call: Call, folder: Path) -> None:
    write(folder / "old.txt", GOOD.encode() + b"  Gr\xfcn.\n")
    result = call("check", "old.txt")
    assert "old.txt:8:" in result.output
    assert "Byte 5 of line 8" in result.output


def test_colour_only_on_a_terminal_and_never_with_no_color(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from click.testing import CliRunner

    from logbook.cli import main

    write(folder / "bad.txt", BAD)
    assert "\x1b" not in CliRunner().invoke(main, ["check", "bad.txt"]).output
    assert "\x1b[31m" in CliRunner().invoke(main, ["check", "bad.txt"], color=True).output
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b" not in CliRunner().invoke(main, ["check", "bad.txt"], color=True).output


def test_a_photo_that_is_not_there(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD + "photo: boot.jpg split along the seam\n")
    result = call("check", "van.txt")
    assert result.exit_code == 1
    assert "van.txt:8:" in result.output
    assert "boot.jpg" in result.output


def test_logs_are_checked_in_each_others_company(call: Call, folder: Path) -> None:
    write(folder / "wreck.txt", "job: A wreck\nunits: metric\ndonor D1: written off\nparts injector: A1-A4 from D1\n")
    write(folder / "van.txt", GOOD + "fit injector: D1/A3 in 3\n")
    assert call("check", ".").exit_code == 0
    assert call("check", "van.txt").exit_code == 1


def test_who_reads_the_output_may_stop_early(folder: Path) -> None:
    for number in range(400):
        write(folder / f"{number}.txt", BAD)
    command = [sys.executable, "-m", "logbook", "check", "."]
    run = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=folder)
    assert run.stdout is not None and run.stderr is not None
    run.stdout.readline()
    run.stdout.close()
    assert run.stderr.read() == b""
    assert run.wait() == 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes in the file system here")
@pytest.mark.parametrize("name", ["log.txt", "shop.txt"])
def test_a_pipe_is_not_waited_for(name: str, folder: Path) -> None:
    write(folder / "van.txt", GOOD)
    os.mkfifo(folder / name)
    command = [sys.executable, "-m", "logbook", "check", name if name == "log.txt" else "."]
    run = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=30)
    assert run.returncode == (2 if name == "log.txt" else 0), run.stderr
    assert "Traceback" not in run.stderr


def test_a_device_is_not_read(call: Call) -> None:
    result = call("check", os.devnull)
    assert result.exit_code == 2
    assert "pipe or a device" in result.output


def test_no_more_of_a_log_is_read_than_a_log_may_have(call: Call, folder: Path) -> None:
    with (folder / "large.txt").open("wb") as file:
        file.write(b"job: x\n")
        file.truncate(1 << 40)  # on a disk that keeps no zeros
    result = call("check", "large.txt")
    assert result.exit_code == 1
    assert "error 701" in result.output


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Callable[[object, str], None]:
    """Make a stage fail on the log whose path is ``bad.txt``, as a defect of the program would."""

    def break_(module: object, name: str) -> None:
        whole = getattr(module, name)

        def fails(given: Any, *more: object) -> object:
            if given.path == "bad.txt":
                raise KeyError("Mrs Private")
            return whole(given, *more)

        monkeypatch.setattr(module, name, fails)

    return break_


@pytest.mark.parametrize("form", ["text", "json"])
def test_a_log_on_which_logbook_fails_is_that_logs_problem(
    form: str, call: Call, folder: Path, broken: Callable[[object, str], None]
) -> None:
    write(folder / "bad.txt", GOOD)
    write(folder / "van.txt", BAD)
    broken(ledger, "build")
    result = call("check", ".", "--as", form)
    assert result.exit_code == 1
    assert "Private" not in result.output
    if form == "json":
        files = json.loads(result.output)["files"]
        assert [[p["number"] for p in f["problems"]] for f in files] == [[650], [201]]
    else:
        assert "bad.txt:1:1: error 650: logbook failed: KeyError in commands/checking.py" in result.output
        assert "2 logs: 2 errors." in result.output


def test_what_fails_behind_the_ledger_is_found_with_the_pages(
    call: Call, folder: Path, broken: Callable[[object, str], None]
) -> None:
    write(folder / "bad.txt", GOOD)
    write(folder / "van.txt", GOOD)
    broken(stages, "diagnose")
    assert call("check", ".").output == "2 logs: every line is understood.\n"
    result = call("check", ".", "--pages")
    assert result.exit_code == 1
    assert "bad.txt:1:1: error 650: logbook failed: KeyError in" in result.output
    assert "2 logs: 1 error." in result.output
    assert sorted(p.name for p in folder.iterdir()) == ["bad.txt", "van.txt"]
