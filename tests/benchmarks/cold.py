"""A cold build on two cores, against plain figures and bare templates in two processes, as many pages."""

from __future__ import annotations

import multiprocessing
import subprocess
import time
from pathlib import Path

from tests.benchmarks import archive
from tests.benchmarks.capture import bare_environment, catching, floor_ms
from tests.benchmarks.measuring import Figure, logbook, ratio

_env: object = None


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    logs = folder / "logs"
    archive.make(logs, jobs)
    start = time.perf_counter()
    command = logbook("report", str(logs), "--to", str(folder / "site"), "--workers", "2")
    subprocess.run(command, check=True, capture_output=True)
    ours = 1e3 * (time.perf_counter() - start)
    start = time.perf_counter()
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        preparing = pool.starmap(_floor_of, [(str(folder), n) for n in range(1, jobs + 1)], chunksize=20)
    floor = 1e3 * (time.perf_counter() - start) - sum(preparing) / 2
    return {f"cold, {jobs} jobs, two cores": ratio(ours, floor, 0.7)}


def _floor_of(folder: str, number: int) -> float:
    """Do the floor's work of one job; the answer is what catching it cost, in ms, which is no part of the floor."""
    global _env
    from logbook.build import job_files, reading, stages
    from logbook.build.discovery import LogFile
    from logbook.job import ledger
    from logbook.output.site import Stage
    from logbook.output.static import static_files, static_paths
    from logbook.text.reader import read

    start = time.perf_counter()
    _env = _env or bare_environment()
    place = Path(folder, f"floor-{multiprocessing.current_process().pid}")
    context = stages.Context("shop", place, None, {}, static_paths(static_files()))
    log = read(f"job-{number}.txt", archive.job_text(number).encode())
    file = LogFile(str(place / log.path), log.path, log.path, folder, False, (0, 0, 0, 0))
    order = stages.Order(file, f"job-{number}")
    with catching() as caught:
        job = ledger.build(log, address=order.address)
        job_files.write_job_files(job, log.text, order, context, reading.Shop(), Stage(place))
    prepared = 1e3 * (time.perf_counter() - start)
    floor_ms(caught, _env, place)
    return prepared
