"""What ``check`` says of the private values of several logs, and that README's promises each have their test."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from logbook.commands.checking import check_logs

ROOT = Path(__file__).resolve().parents[2]
CARD = "units: metric\nengine: four in line, fires 1 3 4 2, coil on plug\n"
OWNER = "job: Van\nowner: Jane Quisby\ncontact: 0171 2345678\nregistration: QX 4821 B\n"


def numbers_of(folder: Path, note: str) -> list[int]:
    (folder / "van.txt").write_text(OWNER + CARD)
    (folder / "boat.txt").write_text(f"job: Boat\n{CARD}\n2026-05-04\nfiring: 3 dead, rest fires\n  {note}\n")
    checked = check_logs([str(folder)])
    return [p.number for file in checked.files for p in file.problems if p.number in (565, 566, 568)]


@pytest.mark.parametrize(
    "note", ["Quizby came", "for Quissby", "Qusiby's boat", "call 01712345687", "0171-234 56 79", "QX 4812 B"]
)
def test_check_warns_of_what_is_one_slip_away(tmp_path: Path, note: str) -> None:
    assert 568 in numbers_of(tmp_path, note)


@pytest.mark.parametrize("note", ["Quisby came", "for quisbys", "call 171 2345678", "qx-4821-b"])
def test_check_warns_of_what_another_log_keeps_private(tmp_path: Path, note: str) -> None:
    assert numbers_of(tmp_path, note) == [565]


@pytest.mark.parametrize("note", ["wet green connector", "820 rpm at idle", "then it was Busy", "2026-05-04", "QX"])
def test_check_says_nothing_of_other_words(tmp_path: Path, note: str) -> None:
    assert numbers_of(tmp_path, note) == []


def test_each_promise_has_a_test_of_that_name() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", text)
    assert len(named) > 20
    there = {path: (ROOT / path).read_text(encoding="utf-8") for path, _ in named}
    assert [(path, test) for path, test in named if f"def {test}(" not in there[path]] == []
