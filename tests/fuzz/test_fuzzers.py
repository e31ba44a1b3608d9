"""The fuzzers in small: the long runs are commands of their own (see the heads of the modules)."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz import mutated_recordings, whole_logs
from tests.fuzz.workshops import workshop

LINES, PARTS = 2000, 4


@pytest.mark.parametrize("part", range(PARTS))
def test_whole_logs_end_in_no_traceback(part: int, tmp_path: Path) -> None:
    found = whole_logs.fuzz(LINES // PARTS, part, tmp_path)
    assert found.lines >= LINES // PARTS
    assert found.first == {}


def test_broken_recordings_end_in_no_traceback(tmp_path: Path) -> None:
    found = mutated_recordings.fuzz(60, 1, tmp_path)
    assert found.first == {}


def test_a_workshop_is_the_same_for_the_same_number() -> None:
    assert workshop(1, 5) == workshop(1, 5) != workshop(1, 6)


def test_a_fault_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the fuzzer looks for is what it counts: a stage that fails on every log is seen at each step."""

    def fails(*given: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("logbook.build.stages.work_out", fails)
    found = whole_logs.fuzz(1, 1, tmp_path)
    assert any(place.startswith("ZeroDivisionError") for place in found.faults), found.faults
