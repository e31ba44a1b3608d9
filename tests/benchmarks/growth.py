"""How cold building grows with the archive: exponent of processor time, and peak memory."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from pathlib import Path

from tests.benchmarks import archive
from tests.benchmarks.measuring import Figure, cpu_ms, logbook

COUNTS = (100, 400, 1600)
PEAK = """
import re, sys, runpy
sys.argv = ["logbook", *sys.argv[1:]]
try:
    runpy.run_module("logbook", run_name="__main__")
finally:
    print("peak", re.search(r"VmHWM:\\s+(\\d+)", open("/proc/self/status").read())[1])
"""


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    times, peaks = [], []
    for count in COUNTS:
        logs = folder / f"logs-{count}"
        archive.make(logs, count)
        times.append(cpu_ms(logbook("report", str(logs), "--to", str(folder / f"a-{count}"), "--workers", "1")))
        arguments = ["report", str(logs), "--to", str(folder / f"b-{count}"), "--workers", "1"]
        run = subprocess.run([sys.executable, "-c", PEAK, *arguments], check=True, capture_output=True, text=True)
        peaks.append(int(re.search(r"peak (\d+)", run.stdout)[1]))  # type: ignore[index]
    x = [math.log(count) for count in COUNTS]
    y = [math.log(time) for time in times]
    middle_x, middle_y = sum(x) / 3, sum(y) / 3
    slope = sum((a - middle_x) * (b - middle_y) for a, b in zip(x, y, strict=True)) / sum(
        (a - middle_x) ** 2 for a in x
    )
    return {
        "growth, exponent over 100, 400, 1600 jobs": {"ratio": round(slope, 3), "goal": 1.05, "of_1600_ms": times[-1]},
        "growth, peak memory of 1600 over 100 jobs": {"ratio": round(peaks[-1] / peaks[0], 3), "goal": 1.3},
    }
