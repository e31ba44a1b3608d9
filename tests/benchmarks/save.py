"""From a save to the page on disk, in an archive of a thousand jobs, as the watcher builds it (Linux: by its ctime).

Without the wait for a quiet moment, which is ``logbook.watch.QUIET_S``.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from pathlib import Path

from logbook.build.run import Builder, Request
from tests.benchmarks import archive
from tests.benchmarks.capture import bare_environment, catching, floor_ms
from tests.benchmarks.measuring import Figure, ratio

ROUNDS = 15


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    logs = folder / "logs"
    archive.make(logs, jobs)
    gc.set_threshold(50_000)  # as the command line has it
    builder = Builder(Request((str(logs),), folder / "site"), say=lambda line: None)
    builder.run(time.time_ns())
    builder.rest()
    saves: dict[str, tuple[Callable[[str, int], str], int, float]] = {
        f"save, no figure changed, {jobs} jobs": (_another_note, 1, 1.5),
        f"save of the log saved before, no figure changed, {jobs} jobs": (_another_note, 0, 1.5),
        f"save, figures changed, {jobs} jobs": (_another_reading, 1, 0.8),
    }
    return {
        name: ratio(*_rounds(builder, logs, folder, change, step), goal) for name, (change, step, goal) in saves.items()
    }


def _rounds(
    builder: Builder, logs: Path, folder: Path, change: Callable[[str, int], str], step: int
) -> tuple[float, float]:
    """``step`` 0: one log is saved again and again, as whoever writes it does; 1: each time another one."""
    env = bare_environment()
    found = []
    for number in range(ROUNDS + 2):
        log = logs / f"job-{10 + step * number:05d}.txt"
        text = log.read_text(encoding="utf-8")
        text = change(text, number)
        log.write_text(text, encoding="utf-8")
        start = time.time_ns()
        outcome = builder.run(start, builder.look({str(log)}), thorough=False)
        page = folder / "site" / outcome.made[0] / "index.html"
        took = (page.stat().st_ctime_ns - start) / 1e6  # the moment when it was moved into its place
        log.write_text(change(text, number + 1), encoding="utf-8")  # once more the same sort of change, for the floor
        builder.rest()
        with catching() as caught:
            builder.run(time.time_ns(), thorough=False)
        builder.rest()
        found.append((took, floor_ms(caught, env, folder / "floor")))
    return sorted(found[2:], key=lambda pair: pair[0] / pair[1])[ROUNDS // 2]  # a slow moment is slow for both


def _another_note(text: str, number: int) -> str:
    return text + f"  Note number {number}.\n"


def _another_reading(text: str, number: int) -> str:
    return text + f"compression: 1 11.{number % 10}, 2 11.4, 3 11.2, 4 11.3 @ warm\n"
