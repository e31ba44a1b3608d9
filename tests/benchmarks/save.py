"""A save in an archive of a thousand jobs, as the watcher builds it, against the same job built cold and alone.

Both in one warm process. Without the wait for a quiet moment, which is ``logbook.watch.QUIET_S``.
"""

from __future__ import annotations

import shutil
import statistics
import time
from collections.abc import Callable
from pathlib import Path

from logbook.build import stages
from logbook.build.run import Builder, Request
from tests.benchmarks import archive
from tests.benchmarks.measuring import Figure, ratio

ROUNDS = 15


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    logs = folder / "logs"
    archive.make(logs, jobs)
    builder = _builder(logs, folder / "site")
    builder.run(time.time_ns())
    saves: dict[str, tuple[Callable[[str, int], str], float]] = {
        f"save of a reading, {jobs} jobs": (_another_reading, 1.2),
        f"save of a note, {jobs} jobs": (_another_note, 0.5),
    }
    return {name: ratio(*_rounds(builder, logs, folder, change), goal) for name, (change, goal) in saves.items()}


def _builder(logs: Path, site: Path) -> Builder:
    return Builder(Request((str(logs),), site, workers=1), say=lambda line: None)


def _rounds(builder: Builder, logs: Path, folder: Path, change: Callable[[str, int], str]) -> tuple[float, float]:
    """One log is saved again and again, as whoever writes it does."""
    log = logs / "job-00010.txt"
    ours, floors = [], []
    for number in range(ROUNDS + 2):
        log.write_text(change(log.read_text(encoding="utf-8"), number), encoding="utf-8")
        start = time.perf_counter()
        outcome = builder.run(time.time_ns(), builder.look(), thorough=False)
        ours.append(1e3 * (time.perf_counter() - start))
        assert len(outcome.made) == 1
        floors.append(_alone(log, folder / "alone"))
    return statistics.median(ours[2:]), statistics.median(floors[2:])


def _alone(log: Path, folder: Path) -> float:
    """The job with nothing remembered of it and no other beside it."""
    (folder / "logs").mkdir(parents=True)
    shutil.copy(log, folder / "logs")
    known, stages._recent = stages._recent, {}
    builder = _builder(folder / "logs", folder / "site")
    start = time.perf_counter()
    builder.run(time.time_ns())
    took = 1e3 * (time.perf_counter() - start)
    stages._recent = known
    shutil.rmtree(folder)
    return took


def _another_note(text: str, number: int) -> str:
    return text + f"  Note number {number}.\n"


def _another_reading(text: str, number: int) -> str:
    return text + f"compression: 1 11.{number % 10}, 2 11.4, 3 11.2, 4 11.3 @ warm\n"
