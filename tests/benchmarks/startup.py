"""A run with nothing changed, and ``check`` of one log, against bare starts of the same interpreter."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.benchmarks import archive
from tests.benchmarks.measuring import Figure, compared, logbook, ratio

SAMPLE = Path(__file__).resolve().parents[2] / "sample_logs" / "harbour-crane-truck.txt"


def nothing_changed(folder: Path, jobs: int) -> dict[str, Figure]:
    count = 10 * jobs
    logs, site = folder / "logs", folder / "site"
    archive.make(logs, count)
    run = logbook("report", str(logs), "--to", str(site))
    subprocess.run(run, check=True, capture_output=True)
    (seen,) = (folder / "cache").rglob("seen.json")
    floor = [sys.executable, "-m", "tests.benchmarks.floors.nothing", str(seen), str(site)]
    return {f"nothing changed, {count} jobs": ratio(*compared(run, floor, 9), 2.0)}


def check(folder: Path, jobs: int) -> dict[str, Figure]:
    """Both with their bytecode on the disk, as an installed program has it, whatever the surroundings say."""
    os.environ["PYTHONPYCACHEPREFIX"] = str(folder / "bytecode")
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    text = "".join(line for line in SAMPLE.read_text(encoding="utf-8").splitlines(True) if not line.startswith("photo"))
    log = folder / "log.txt"
    log.write_text(text, encoding="utf-8")
    run, bare = logbook("check", str(log)), [sys.executable, "-c", "import click, json, dataclasses"]
    compared(run, bare, 1)
    ours, floor = compared(run, bare, 21)
    return {"check of one log": ratio(ours, floor, 3.0)}
