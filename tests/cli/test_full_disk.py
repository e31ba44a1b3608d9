"""Output that cannot be written ends in one plain line, not in a traceback."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

FULL = Path("/dev/full")  # fails every write: No space left on device


@pytest.mark.skipif(not FULL.exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("command", [["check"], ["next"], ["work"]])
def test_a_full_disk_behind_the_output_is_said_plainly(command: list[str], tmp_path: Path) -> None:
    log = tmp_path / "van.txt"
    log.write_text("job: van\nengine: inline 4, fires 1 3 4 2, coil on plug\n\n2026-05-04\nfiring: 3 dead\n")
    logs = [] if command == ["work"] else [str(log)]
    with FULL.open("w") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "logbook", *command, *logs], stdout=full, stderr=subprocess.PIPE, text=True
        )
    assert ran.returncode == 2
    assert "the output could not be written: No space left on device" in ran.stderr
    assert "Traceback" not in ran.stderr
