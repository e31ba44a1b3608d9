"""Shelf, search and record of 10,000 made-up summaries, against writing the same bytes."""

from __future__ import annotations

import gc
import json
import subprocess
import sys
import time
from dataclasses import replace
from datetime import date, timedelta
from operator import attrgetter
from pathlib import Path

from logbook.build import reading, stages, whole
from logbook.build.discovery import LogFile
from logbook.build.job_files import write_job_files
from logbook.job import ledger
from logbook.output.record import listing, settle
from logbook.output.site import Stage
from logbook.output.static import static_files, static_paths
from logbook.pages.search import SearchEntry, search_row
from logbook.text.reader import read
from tests.benchmarks import archive
from tests.benchmarks.measuring import Figure, ratio

JOBS = 10_000
ROUNDS = 15
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
    row = made.tells.row
    last = date.fromisoformat(row.last) + timedelta(days=number % 3000)
    told = row.made.replace(row.address.encode(), address.encode()).replace(b"</a>", b" %d</a>" % number)
    title, _, anchor, line, words, day = json.loads(made.tells.found.removesuffix(b",\n"))
    found = search_row(SearchEntry(f"{title} {number}", f"{address}/index.html", line, words, day, anchor))
    shelved = row._replace(address=address, last=last.isoformat(), made=told)
    tells = replace(made.tells, row=shelved, found=found, parts=())
    files = {f"{address}/{n}": "0" * 32 for n in range(10)}
    return replace(made, address=address, tells=tells, files=files, listed=listing(files))


def measure(folder: Path, jobs: int) -> dict[str, Figure]:
    context = stages.Context(
        "shop", folder / "staging", None, {str(folder): reading.Shop()}, static_paths(static_files())
    )
    made = summaries(folder, context)
    gc.set_threshold(50_000)  # as the command line has it
    static = static_files()
    found = []
    for number in range(ROUNDS):
        out = folder / f"out-{number}"
        out.mkdir()
        stage = Stage(out)
        start = time.perf_counter()
        pages = whole._Pages(made, context, reading.Shop(), whole.parts.Shop("", "shop"), static)
        for name, _, make in pages.table():
            if name in PIECES:
                for file, content in make():
                    stage.stream(file, content)
        settle(folder / f"site-{number}", "shop", map(attrgetter("listed"), made))
        took = 1e3 * (time.perf_counter() - start)
        record = folder / f"site-{number}/.logbook/record-shop.json"
        (out / "record").write_bytes(record.read_bytes())
        again = folder / f"again-{number}"
        again.mkdir()
        command = [sys.executable, "-m", "tests.benchmarks.floors.bytes", str(out), str(again)]
        found.append((took, float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)))
    middle = sorted(found, key=lambda pair: pair[0] / pair[1])[ROUNDS // 2]  # a slow moment is slow for both
    return {f"shelf, search and record of {JOBS} jobs": ratio(*middle, 3.0)}
