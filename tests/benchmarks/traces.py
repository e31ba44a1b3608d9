"""Reading a large recording against numpy's own reading of the same file, measured in one run.

``python -m tests.benchmarks.traces [FILE.json]`` prints the figures, and writes them where a file is named.
Goals: at most 3 times numpy's time; peak memory above the start at most twice the arrays.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

ROWS, COLUMNS = 2_000_000, 4
OURS = "from logbook.traces.files import read; a = read(path).data"
NUMPY = "a = numpy.loadtxt(path, delimiter=',', skiprows=1)"
RUN = """
import re, sys, time, pathlib, numpy
import logbook.traces.files
path = pathlib.Path(sys.argv[1])
peak = lambda: int(re.search(r"VmHWM:\\s+(\\d+)", pathlib.Path("/proc/self/status").read_text())[1])
before = peak()
start = time.perf_counter()
{how}
print(time.perf_counter() - start, peak() - before, a.nbytes)
"""


def measure(how: str, path: Path) -> tuple[float, float]:
    """Best of three: seconds, and peak memory over the size of the arrays. Each run is a process of its own."""
    runs = []
    for _ in range(3):
        done = subprocess.run(
            [sys.executable, "-c", RUN.format(how=how), str(path)], capture_output=True, text=True, check=True
        )
        seconds, peak, size = map(float, done.stdout.split())
        runs.append((seconds, peak * 1024 / size))
    return min(s for s, _ in runs), min(p for _, p in runs)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "run.csv"
        table = np.random.default_rng(0).normal(size=(ROWS, COLUMNS)).cumsum(axis=1)
        np.savetxt(path, table, fmt="%.5f", delimiter=",", header="time,a,b,c", comments="")
        ours, peak = measure(OURS, path)
        floor, floor_peak = measure(NUMPY, path)
    figures = {
        "trace read, time over numpy": round(ours / floor, 2),
        "trace read, peak memory over arrays": round(peak, 2),
        "numpy, peak memory over arrays": round(floor_peak, 2),
        "numpy version": np.__version__,
    }
    print(f"ours {1e3 * ours:.0f} ms, numpy {1e3 * floor:.0f} ms")
    print(json.dumps(figures, indent=1))
    if len(sys.argv) > 1:
        Path(sys.argv[1]).write_text(json.dumps(figures, indent=1) + "\n")


if __name__ == "__main__":
    main()
