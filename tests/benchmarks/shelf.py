"""Shelf, search and record of 10,000 made-up summaries, against writing the same bytes."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from logbook.build import reading, stages, whole
from logbook.build.discovery import LogFile
from logbook.build.job_files import write_job_files
from logbook.job import ledger
from logbook.output.record import listing, settle
from logbook.output.site import Stage
from logbook.output.static import static_files, static_paths
from logbook.output.templates import job_row
from logbook.pages.search import SearchEntry, search_row
from logbook.text.reader import read
from tests.benchmarks import archive
from tests.benchmarks.measuring import Figure, ratio

JOBS = 10_000
PIECES = ("shelf", "search")


def summaries(folder: Path, context: stages.Context) -> list[stages.Made]:
    """Forty real ones, told again under other addresses and days."""
    made = []
    for number in range(40):
        log = read(f"job-{number}.txt", archive.job_text(number).encode())
        file = LogFile(str(folder / log.path), log.path, log.path, str(folder), False, (0, 0, 0))
        order = stages.Order(file, f"job-{number}")
        stage = Stage(context.staging)
        made.append(
            write_job_files(ledger.build(log, address=order.address), log.text, order, context, reading.Shop(), stage)
        )
    return [_again(made[n % len(made)], n) for n in range(JOBS)]


def _again(made: stages.Made, number: int) -> stages.Made:
    address = f"job-{number:05d}"
    days = timedelta(days=number % 3000)
    row = made.tells.row
    shifted = replace(row, address=address, title=f"{row.title} {number}", first=row.first + days, last=row.last + days)
    _, _, anchor, line, words, day = json.loads(made.tells.found)
    found = search_row(SearchEntry(shifted.title, f"{address}/index.html", line, words, day, anchor))
    tells = replace(made.tells, row=shifted, row_made=job_row(shifted).encode(), found=found, parts=())
    files = {f"{address}/{n}": "0" * 32 for n in range(10)}
    return replace(made, address=address, tells=tells, files=files, listed=listing(files))


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    context = stages.Context(
        "shop", folder / "staging", None, {str(folder): reading.Shop()}, static_paths(static_files())
    )
    made = summaries(folder, context)
    ours, floor = [], []
    for number in range(3):
        out = folder / f"out-{number}"
        out.mkdir()
        start = time.perf_counter()
        pages = whole._Pages(made, context, reading.Shop(), whole.parts.Shop("", "shop"), static_files())
        for name, _, make in pages.table():
            if name in PIECES:
                for file, content in make():
                    (out / file).write_bytes(content)
        settle(folder / f"site-{number}", "shop", [one.listed for one in made])
        ours.append(1e3 * (time.perf_counter() - start))
        record = folder / f"site-{number}/.logbook/record-shop.json"
        (out / "record").write_bytes(record.read_bytes())
        again = folder / f"again-{number}"
        again.mkdir()
        command = [sys.executable, "-m", "tests.benchmarks.floors.bytes", str(out), str(again)]
        floor.append(float(subprocess.run(command, check=True, capture_output=True, text=True).stdout))
    return {f"shelf, search and record of {JOBS} jobs": ratio(statistics.median(ours), statistics.median(floor), 3.0)}
