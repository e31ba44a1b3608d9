"""Commands as a builder calls them, in a folder of their own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from logbook.cli import main

Call = Callable[..., Result]

GOOD = """\
job: Parcel van
units: metric
engine: inline 4, fires 1 3 4 2, coil on plug
symptom: shakes at idle

2026-05-04
spark: 3 none, 4 strong
"""
BAD = GOOD + "gizmo: 1 9.2\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LOGBOOK_CACHE", str(tmp_path / ".cache"))
    return tmp_path


@pytest.fixture
def call(folder: Path) -> Call:
    def run(*arguments: str, given: str | None = None) -> Result:
        result = CliRunner().invoke(main, list(arguments), input=given, prog_name="logbook")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return run


def write(path: Path, text: str | bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path
