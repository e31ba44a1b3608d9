"""The one module that writes."""

from __future__ import annotations

import os
import pickle
import stat
from pathlib import Path

import pytest

from logbook.output import writing
from logbook.output.site import Stage
from logbook.output.writing import CannotWrite


def test_what_a_worker_raises_comes_whole_into_the_first_process() -> None:
    raised = pickle.loads(pickle.dumps(CannotWrite(Path("van/index.html"), "No space left on device")))
    assert (raised.path, raised.reason) == (Path("van/index.html"), "No space left on device")
    assert str(raised) == f"{Path('van/index.html')}: No space left on device"


def test_a_file_written_in_place_keeps_its_rights(tmp_path: Path) -> None:
    target = tmp_path / "real.txt"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o600)
    writing.write_in_place(target, [b"new"])
    assert target.read_bytes() == b"new"
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["real.txt"]


def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "log.txt"
    target.write_text("old", encoding="utf-8")

    def broken(source: Path, place: Path) -> None:
        raise OSError(5, os.strerror(5))

    monkeypatch.setattr(writing, "_replace", broken)
    with pytest.raises(CannotWrite):
        writing.write_in_place(target, [b"n", b"", b"ew"])
    assert target.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["log.txt"]


@pytest.mark.parametrize(
    "name", ["../out.html", "/etc/out.html", "a//b.html", "A.html", "a b.html", "", ".hidden", "a/.b", "ä.html"]
)
def test_no_name_leads_out_of_the_site(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="not a name"):
        Stage(tmp_path).put(name, b"")
    with pytest.raises(ValueError, match="not a name"):
        Stage(tmp_path / "staging").stream(name, [b""])


def test_two_pages_of_one_name_are_a_defect(tmp_path: Path) -> None:
    stage = Stage(tmp_path)
    stage.put("a/index.html", b"one")
    stage.put("a/index.html", b"one")
    with pytest.raises(ValueError, match="two different files"):
        stage.put("a/index.html", b"two")
    with pytest.raises(ValueError, match="two different files"):
        stage.stream("a/index.html", [b"two"])


def test_a_file_in_pieces_is_staged_like_one_that_came_whole(tmp_path: Path) -> None:
    pieces = [b"%d," % n for n in range(1000)] + [b"", b"end"]
    whole, parts = Stage(tmp_path / "whole"), Stage(tmp_path / "parts")
    whole.put("a.html", b"".join(pieces))
    parts.stream("a.html", writing.in_stretches(pieces))
    assert parts.made == whole.made
    (staged,) = (tmp_path / "parts").iterdir()
    assert staged.read_bytes() == b"".join(pieces)
    again = Stage(tmp_path / "again", trusted=whole.made)
    again.stream("a.html", pieces)
    assert again.made == whole.made and not again.staged, "it stands in the site as it is"
    assert not list((tmp_path / "again").iterdir())
