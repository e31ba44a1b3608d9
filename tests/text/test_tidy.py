"""The tidy form, as text and on disk."""

from __future__ import annotations

from pathlib import Path

import pytest

from logbook.commands.tidying import tidy_file
from logbook.text.reader import read
from logbook.text.tidy import LeftAlone, tidy

JOTTED = """\
Job: Van
Units: Metric
engine: V6, left 1 3 5, right 2 4 6


2026/5/4 First look
drop test 1=70 2=65
  notes   stay *as* they are
swap coils 2 4: now 4 dead,2 fires
gizmo: 1 12
2026-05-05
Cut out: 70 70 dead 70 70 70 @690 rpm
parts coil: A1,A2,A3 from unknown
spent: coil 41.90
"""

TIDIED = """\
language: 1
job: Van
units: metric
engine: V6, left 1 3 5, right 2 4 6

2026-05-04 First look
cut-out: 1 70, 2 65
  notes   stay *as* they are
swap coil: 2 4, now 4 dead, 2 fires
gizmo: 1 12

2026-05-05
cut-out: 1 70, 2 70, 3 dead, 4 70, 5 70, 6 70 @ 690 rpm
parts coil: A1, A2, A3 from unknown
spent: 41.90 coil
"""


def test_the_form() -> None:
    assert tidy(read("van.txt", JOTTED.encode())) == TIDIED


def test_a_log_read_with_the_shops_units_stays_whole() -> None:
    shop = read("shop.txt", b"units: us\n")
    log = read("van.txt", b"engine: inline 4\ncompression 1 130\n", shop)
    assert tidy(log, shop) == "language: 1\nengine: inline 4\ncompression: 1 130\n"


def test_a_note_under_nothing_is_not_given_a_home() -> None:
    text = "  hanging\njob: a\n"
    assert tidy(read("van.txt", text.encode())) == text


def test_rights_and_line_ends_are_kept(tmp_path: Path) -> None:
    log = tmp_path / "van.txt"
    log.write_bytes(b"\xef\xbb\xbf" + JOTTED.replace("\n", "\r\n").encode())
    log.chmod(0o640)
    assert tidy_file(log)
    assert log.read_bytes() == b"\xef\xbb\xbf" + TIDIED.replace("\n", "\r\n").encode()
    assert log.stat().st_mode & 0o777 == 0o640
    assert not tidy_file(log)
    assert [p.name for p in tmp_path.iterdir()] == ["van.txt"]


def test_check_alone_writes_nothing(tmp_path: Path) -> None:
    log = tmp_path / "van.txt"
    log.write_text(JOTTED)
    assert tidy_file(log, write=False)
    assert log.read_text() == JOTTED


def test_what_is_not_utf_8_is_left_alone(tmp_path: Path) -> None:
    log = tmp_path / "van.txt"
    log.write_bytes(b"job: caf\xe9\n")
    with pytest.raises(LeftAlone, match="line 1, byte 9"):
        tidy_file(log)
    assert log.read_bytes() == b"job: caf\xe9\n"


def test_a_file_that_changed_meanwhile_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log = tmp_path / "van.txt"
    log.write_text(JOTTED)
    chmod = Path.chmod

    def saved_by_the_editor(self: Path, mode: int) -> None:
        chmod(self, mode)
        log.write_text("job: newer\n")

    monkeypatch.setattr(Path, "chmod", saved_by_the_editor)
    with pytest.raises(LeftAlone, match="changed"):
        tidy_file(log)
    assert log.read_text() == "job: newer\n"
    assert [p.name for p in tmp_path.iterdir()] == ["van.txt"]
