"""Processes and pages as the benchmarks need them."""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
from collections.abc import Sequence

Figure = dict[str, float]


def ratio(ours_ms: float, floor_ms: float, goal: float) -> Figure:
    return {"ratio": round(ours_ms / floor_ms, 3), "goal": goal, "ours_ms": ours_ms, "floor_ms": floor_ms}


def cpu_ms(command: Sequence[str]) -> float:
    """Processor time of one run of a command: what other work on the machine disturbs least."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return 1e3 * (after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)


def compared(ours: Sequence[str], floor: Sequence[str], rounds: int = 15) -> tuple[float, float]:
    """Medians of both, taken in turn."""
    pairs = [(cpu_ms(ours), cpu_ms(floor)) for _ in range(rounds)]
    return statistics.median(p[0] for p in pairs), statistics.median(p[1] for p in pairs)


def logbook(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "logbook", *arguments]
