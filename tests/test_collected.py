"""Every file of tests is run: none lies in a folder that the runner passes by."""

from __future__ import annotations

from fnmatch import fnmatch
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parent


def test_no_folder_of_tests_is_passed_by(request: pytest.FixtureRequest) -> None:
    passed_by = request.config.getini("norecursedirs")
    folders = {part for file in TESTS.rglob("test_*.py") for part in file.relative_to(TESTS).parts[:-1]}
    assert "build" in folders
    assert [folder for folder in sorted(folders) if any(fnmatch(folder, pattern) for pattern in passed_by)] == []
