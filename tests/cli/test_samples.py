"""``logbook sample``, ``logbook editor --colours`` and the completion of the shell."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def run(*arguments: str, cwd: Path, **env: str) -> subprocess.CompletedProcess[str]:
    command = (str(Path(sys.executable).with_name("logbook")), *arguments)
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, env={**os.environ, **env})


def test_the_samples_are_written_once_and_never_over_a_file(tmp_path: Path) -> None:
    done = run("sample", "play", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    written = {p.relative_to(tmp_path / "play").as_posix(): p.read_bytes() for p in (tmp_path / "play").rglob("*.*")}
    source = ROOT / "sample_logs"
    assert written == {p.relative_to(source).as_posix(): p.read_bytes() for p in source.rglob("*.*") if p.is_file()}
    (tmp_path / "other").mkdir()
    (tmp_path / "other/hay-baler.txt").write_text("mine")
    refused = run("sample", "other", cwd=tmp_path)
    assert refused.returncode == 2 and "hay-baler.txt" in refused.stderr
    assert [p.name for p in (tmp_path / "other").iterdir()] == ["hay-baler.txt"]


def test_a_report_without_logs_offers_to_begin_one(tmp_path: Path) -> None:
    for said in (["."], []):
        done = run("report", *said, cwd=tmp_path)
        assert done.returncode == 2
        assert "logbook start van.txt" in done.stderr


def test_colours_for_editors_are_written(tmp_path: Path) -> None:
    done = run("editor", "--colours", "here", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert json.loads((tmp_path / "here/shop-log.tmLanguage.json").read_text())["scopeName"] == "text.shop-log"
    assert (tmp_path / "here/shop-log.vim").read_text().startswith('"')


def test_without_its_library_the_server_says_what_to_install(tmp_path: Path) -> None:
    (tmp_path / "pygls").mkdir()
    (tmp_path / "pygls/__init__.py").write_text("raise ModuleNotFoundError('no pygls', name='pygls')\n")
    done = run("editor", cwd=tmp_path, PYTHONPATH=f"{tmp_path}{os.pathsep}{ROOT}")
    assert done.returncode == 2
    assert "pip install 'shop-logbook[editor]'" in done.stderr


def test_bash_completes_commands_and_files(tmp_path: Path) -> None:
    """By the protocol that the completion script speaks; what bash itself does with a file name is bash's."""
    said = run(cwd=tmp_path, _LOGBOOK_COMPLETE="bash_complete", COMP_WORDS="logbook ch", COMP_CWORD="1")
    assert "plain,check" in said.stdout.split()
    files = run(cwd=tmp_path, _LOGBOOK_COMPLETE="bash_complete", COMP_WORDS="logbook check va", COMP_CWORD="2")
    assert files.stdout.split() == ["file,va"]
