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
