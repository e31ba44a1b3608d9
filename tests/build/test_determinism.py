"""The same bytes for any zone, locale, hash randomisation, count of workers and order of files."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.build.conftest import files_of, log_text

ENVIRONMENTS = {
    "far-east": {"TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONHASHSEED": "1"},
    "far-west": {"TZ": "Pacific/Pago_Pago", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "4242", "PYTHONUTF8": "0"},
}


def report(logs: list[Path], site: Path, cache: Path, *more: str, **env: str) -> dict[str, bytes]:
    command = [sys.executable, "-m", "logbook", "report", *map(str, logs), "--to", str(site), *more]
    run = subprocess.run(
        command, capture_output=True, text=True, env={**os.environ, "LOGBOOK_CACHE": str(cache), **env}
    )
    assert run.returncode == 0, run.stdout + run.stderr
    return files_of(site)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    logs = tmp_path_factory.mktemp("logs")
    for number in range(1, 15):
        text = log_text(
            f"Job {number}",
            f"cut-out: 1 70, 2 {60 + number}, 3 {number % 3}, 4 71 @ 690 rpm",
            "  Zündkerze – naß, *ölig*.",
            f"compression: 1 11.2, 2 11.4, 3 {7 + number / 10:.1f}, 4 11.3",
        )
        (logs / f"job-{number}.txt").write_text(text, encoding="utf-8")
    return logs


@pytest.fixture(scope="module")
def plain(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    place = tmp_path_factory.mktemp("plain")
    return report([folder], place / "site", place / "cache", "--workers", "1", TZ="UTC", PYTHONHASHSEED="0")


@pytest.mark.parametrize("name", list(ENVIRONMENTS))
def test_zone_locale_and_hash_randomisation(name: str, folder: Path, plain: dict[str, bytes], tmp_path: Path) -> None:
    found = report([folder], tmp_path / "site", tmp_path / "cache", "--workers", "1", **ENVIRONMENTS[name])
    assert found == plain


def test_workers(folder: Path, plain: dict[str, bytes], tmp_path: Path) -> None:
    assert report([folder], tmp_path / "site", tmp_path / "cache", "--workers", "2") == plain


def test_order_of_files_and_another_folder(folder: Path, plain: dict[str, bytes], tmp_path: Path) -> None:
    """Written the other way round, into a folder elsewhere: neither order on disk nor place shows."""
    elsewhere = tmp_path / folder.name
    elsewhere.mkdir()
    for path in sorted(folder.iterdir(), reverse=True):
        (elsewhere / path.name).write_bytes(path.read_bytes())
    assert report([elsewhere], tmp_path / "site", tmp_path / "cache") == plain
