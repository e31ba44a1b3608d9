"""``python -m tests.benchmarks.diagnosis_speed [--to FILE]``: what the whole answer costs, and its stages.

Milliseconds are notes of one machine; the shares of the stages are what counts. ``lost`` bounds what was not looked at.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np

from logbook.diagnosis.belief import solve
from logbook.diagnosis.diagnose import diagnose
from logbook.diagnosis.framing import Framing
from logbook.diagnosis.knowledge import load
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

EIGHT = "V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 4 3 6 5 7 2, coil on plug, injection port"
SWAPS = ("coil 3 5", "injector 3 7", "plug 3 1", "coil 4 6", "injector 4 2", "plug 4 8", "coil 3 1", "plug 4 2")


def job_of(swaps: int, readings: int) -> Job:
    """An eight with two dead, exchanged and measured about."""
    rng = np.random.default_rng([swaps, readings])
    lines = ["cut-out: 1 60, 2 58, 3 0, 4 0, 5 61, 6 59, 7 62, 8 60"]
    count = 8
    for swap in SWAPS[:swaps]:
        lines.append(f"swap {swap}: now same")
        count += 2
    tests = [
        "spark: {n} strong", "pulse injector: {n} flashes", "feed injector: {n} 12.3", "resistance injector: {n} 14.1",
        "plug look: {n} tan", "compression: {n} 11.{d}", "click injector: {n} clicks", "look coil connector: {n} ok",
    ]  # fmt: skip
    while count < readings:
        lines.append(tests[count % len(tests)].format(n=int(rng.integers(1, 9)), d=int(rng.integers(0, 9))))
        count += 1
    text = "\n".join(["job: eight", "units: metric", f"engine: {EIGHT}", "", "2026-01-05", *lines, ""])
    return build(read("eight.txt", text.encode()))


def timed(work: Any, times: int) -> list[float]:
    found = []
    for _ in range(times):
        start = time.process_time()
        work()
        found.append(1e3 * (time.process_time() - start))
    return found


def measure(swaps: int, readings: int, times: int) -> dict[str, float]:
    job = job_of(swaps, readings)
    tables = load()
    problem = Framing(job, tables, {}).problem
    framing = median(timed(lambda: Framing(job, tables, {}).problem, times))
    solving = median(timed(lambda: solve(problem), times))
    belief = solve(problem)
    history = median(timed(lambda: belief.history_of_ways(belief.entries()), times))
    whole = median(timed(lambda: diagnose(job), times))
    return {
        "swaps": swaps,
        "readings": readings,
        "faults": len(problem.faults),
        "ways": sum(len(f.ways) for f in problem.faults),
        "framing_ms_median": framing,
        "solving_ms_median": solving,
        "history_ms_median": history,
        "whole_diagnosis_ms_median": whole,
        "lost": belief.lost,
    }


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path)
    parser.add_argument("--times", type=int, default=9)
    asked = parser.parse_args()
    rows = [measure(4, 25, asked.times), measure(8, 45, asked.times)]
    text = json.dumps(rows, indent=1)
    print(text)
    if asked.to:
        asked.to.write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
