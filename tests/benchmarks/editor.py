"""What a key costs in an editor: ``python -m tests.benchmarks.run editor``.

The problems of a log of 300 lines after a key, against ``check`` of the same log in the same process, both warm; and
what ten thousand edits leave in memory. The log is changed at each key, so that nothing is remembered.
"""

from __future__ import annotations

import gc
import resource
from collections.abc import Callable
from itertools import count
from pathlib import Path
from statistics import median
from time import perf_counter

from logbook.commands.checking import check_logs
from logbook.editor.problems import diagnostics
from logbook.editor.typed import read_typed
from tests.benchmarks.measuring import ratio

GOAL = 1.5
SAMPLES = Path(__file__).resolve().parents[2] / "sample_logs"


def long_log(lines: int = 300) -> str:
    """A sample, its last day again and again until it has so many lines."""
    text = (SAMPLES / "harvest-truck.txt").read_text(encoding="utf-8")
    days = text.split("\n\n")
    day = next(d for d in days if "compression" in d)
    while text.count("\n") < lines:
        text += f"\n{day}\n"
    return "\n".join(text.split("\n")[:lines]) + "\n"


def measure(folder: Path, _jobs: int) -> dict[str, dict[str, float]]:
    text, path = long_log(), folder / "van.txt"
    keys = count()

    def key() -> None:
        diagnostics(read_typed(str(path), f"{text}  {next(keys)}\n", 1), path.as_uri())

    def check() -> None:
        path.write_text(f"{text}  {next(keys)}\n", encoding="utf-8")
        check_logs([str(path)])

    return {
        "problems after a key": ratio(_median_ms(key), _median_ms(check), GOAL),
        "memory of 10,000 edits": _growth(path, keys),
    }


def _median_ms(work: Callable[[], None], times: int = 25) -> float:
    for _ in range(3):
        work()
    took = []
    for _ in range(times):
        begun = perf_counter()
        work()
        took.append(1e3 * (perf_counter() - begun))
    return median(took)


def _growth(path: Path, keys: count[int]) -> dict[str, float]:
    """Peak memory after ten thousand edits against that after five hundred, of a short log typed on."""
    short = "job: van\nengine: inline 4, fires 1 3 4 2, coil on plug\nunits: metric\n\n2026-05-04\n"

    def edits(number: int) -> float:
        for _ in range(number):
            diagnostics(read_typed(str(path), f"{short}spark: 3 none\n  {next(keys)}\n", 1), path.as_uri())
        gc.collect()
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

    early = edits(500)
    return {"ratio": edits(9500) / early, "goal": 1.05, "early_mb": early}
