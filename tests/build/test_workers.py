"""Processes that work side by side: one that dies costs time alone, and none outlives the first."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from logbook.build.run import Builder, Request

LOG = (
    "job: van {n}\nengine: inline 4, coil on plug\n\n2026-05-04\nfiring: 3 dead, rest fires\nswap coil 3 4: now same\n"
)
PATIENCE_S = 60.0
# Its processes run it again as they begin, ask for processes of their own, and die of that.
DYING = """
import sys
from datetime import date
from pathlib import Path
from logbook.build.discovery import LogFile
from logbook.build.reading import Shop
from logbook.build.stages import Context
from logbook.build.workers import Workers
from logbook.diagnosis.learning import Lesson

folder, staging = sys.argv[1:]
Path(staging).mkdir(exist_ok=True)
files = sorted(Path(folder).iterdir())
logs = [LogFile(str(f), f.name, f.name, folder, False, (0, 0, 0, 0)) for f in files]
long = {folder: (Lesson("x" * 300_000, date(2000, 1, 1), (), ()),)}
context = Context("shop", Path(staging), None, {folder: Shop()}, lessons=long)
with Workers(2) as workers:
    print(len(list(workers.cards(logs, context))))
"""


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    folder = tmp_path / "logs"
    folder.mkdir()
    for n in range(14):
        (folder / f"van-{n}.txt").write_text(LOG.format(n=n), encoding="utf-8")
    return folder


def pages(site: Path) -> dict[str, bytes]:
    return {str(p.relative_to(site)): p.read_bytes() for p in sorted(site.rglob("*")) if p.suffix == ".html"}


def test_a_worker_that_is_killed_costs_no_page(logs: Path, tmp_path: Path) -> None:
    """As the system does where memory runs out."""
    done: list[int] = []
    killed: list[int] = []

    def kill(made: int, total: int) -> None:
        done.append(made)
        if not killed:
            killed.extend(p.pid for p in multiprocessing.active_children() if p.pid is not None)
            os.kill(killed[0], signal.SIGKILL)

    whole = Builder(Request((str(logs),), tmp_path / "whole", workers=1), say=lambda line: None).run(time.time_ns())
    outcome = Builder(Request((str(logs),), tmp_path / "site", workers=2), kill, lambda line: None).run(time.time_ns())
    assert killed
    assert outcome.jobs == whole.jobs == done[-1] == 14
    assert pages(tmp_path / "site") == pages(tmp_path / "whole")
    assert not multiprocessing.active_children()


def test_workers_that_die_as_they_begin_cost_time_alone(logs: Path, tmp_path: Path) -> None:
    script = tmp_path / "dying.py"
    script.write_text(DYING, encoding="utf-8")
    command = [sys.executable, str(script), str(logs), str(tmp_path / "staging")]
    run = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_S, check=False)
    assert run.stdout.split()[-1:] == ["14"], run.stderr[-2000:]
    assert "bootstrapping" in run.stderr


def test_workers_end_with_the_first_process(logs: Path, tmp_path: Path) -> None:
    """A run that is killed leaves no process behind."""
    command = [sys.executable, "-m", "logbook", "report", str(logs), "--to", str(tmp_path / "site"), "--workers", "2"]
    run = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    workers: set[int] = set()
    waited = threading.Event()
    ends = time.monotonic() + PATIENCE_S
    while len(workers) < 2 and run.poll() is None and time.monotonic() < ends:
        workers = {pid for pid in children(run.pid) if b"spawn_main" in command_of(pid)}
        waited.wait(0.02)
    run.kill()
    run.wait()
    assert len(workers) == 2
    while any(b"spawn_main" in command_of(pid) for pid in workers) and time.monotonic() < ends:
        waited.wait(0.02)
    assert not any(b"spawn_main" in command_of(pid) for pid in workers)


def children(pid: int) -> list[int]:
    return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def command_of(pid: int) -> bytes:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return b""
