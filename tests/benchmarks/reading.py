"""Lines a second, against a toy reader with one regular expression on the same samples."""

from __future__ import annotations

import random
import re
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from logbook.text.reader import read
from tests.benchmarks.measuring import Figure

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_logs").glob("*.txt"))
LINES = 50_000
GOAL = 0.25


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    logs = [path.read_bytes() for path in SAMPLES if path.name != "shop.txt"]
    again = LINES // sum(raw.count(b"\n") for raw in logs) + 1
    chance = random.Random(1)
    return {
        "reading, share of the floor's lines a second": _against_the_floor(folder, logs * again),
        "reading, other numbers in each log": _against_the_floor(
            folder, [_varied(raw, chance) for _ in range(again) for raw in logs]
        ),
    }


def _against_the_floor(folder: Path, logs: Sequence[bytes]) -> Figure:
    """Both in processor time, which other work on the machine disturbs least."""
    whole = folder / "all.txt"
    whole.write_bytes(b"\n".join(logs))
    lines = sum(raw.count(b"\n") for raw in logs)
    command = [sys.executable, "-m", "tests.benchmarks.floors.reading", str(whole)]
    ratios, ours = [], []
    for _ in range(3):
        start = time.process_time()
        for raw in logs:
            read("log.txt", raw)
        ours.append(1e3 * (time.process_time() - start))
        floor_ms = float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        ratios.append(floor_ms / ours[-1])
    per_s = lines / min(ours) * 1e3
    return {
        "ratio": round(statistics.median(ratios), 3),
        "goal": GOAL,
        "lines_a_second_ms": per_s,
        "ours_ms": min(ours),
    }


def _varied(raw: bytes, chance: random.Random) -> bytes:
    """The same lines with other last digits; dates, tags and names of files stay."""
    return re.sub(rb"(?<![\w.-])[1-9]\d(?![\w-])", lambda found: b"%c%d" % (found[0][0], chance.randrange(10)), raw)
