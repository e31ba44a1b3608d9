"""Lines a second, against a toy reader with one regular expression on the same samples."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

from logbook.text.reader import read
from tests.benchmarks.measuring import Figure

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_logs").glob("*.txt"))
LINES = 50_000


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    logs = [path.read_bytes() for path in SAMPLES if path.name != "shop.txt"]
    size = sum(raw.count(b"\n") for raw in logs)
    again = LINES // size + 1
    whole = folder / "all.txt"
    whole.write_bytes(b"\n".join(logs) * again)
    command = [sys.executable, "-m", "tests.benchmarks.floors.reading", str(whole)]
    ratios = []
    for _ in range(3):
        start = time.perf_counter()
        for _ in range(again):
            for raw in logs:
                read("log.txt", raw)
        ours_ms = 1e3 * (time.perf_counter() - start)
        floor_ms = float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        ratios.append(floor_ms / ours_ms)
    per_s = again * size / ours_ms * 1e3
    return {
        "reading, share of the floor's lines a second": {
            "ratio": round(statistics.median(ratios), 3),
            "goal": 0.25,
            "lines_a_second_ms": per_s,
        }
    }
