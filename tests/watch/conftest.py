"""A watcher in a thread of its own, and waiting for a stated condition with a limit."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from logbook.build.run import Builder, Outcome, Request
from logbook.watch import watch
from tests.build.conftest import files_of

LIMIT_S = 60.0


def wait_until(condition: Callable[[], bool], what: str) -> None:
    until = time.monotonic() + LIMIT_S
    pause = threading.Event()
    while not condition():
        assert time.monotonic() < until, f"not within {LIMIT_S:.0f} s: {what}"
        pause.wait(0.02)


class Watcher:
    def __init__(self, request: Request) -> None:
        self.request = request
        self.said: list[str] = []
        self.outcome: Outcome | None = None
        self.stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def _run(self) -> None:
        self.outcome = watch(self.request, poll=False, say=self.said.append, clock_ns=time.time_ns, stop=self.stop)

    def begin(self) -> None:
        self._thread.start()
        wait_until(lambda: any(line.startswith("Watching") for line in self.said), "the first build")

    def end(self) -> None:
        self.stop.set()
        self._thread.join(LIMIT_S)
        assert not self._thread.is_alive()


@contextmanager
def watching(logs: Path, site: Path) -> Iterator[Watcher]:
    watcher = Watcher(Request((str(logs),), site, workers=1))
    watcher.begin()
    try:
        yield watcher
    finally:
        watcher.end()


def files_now(site: Path) -> dict[str, bytes]:
    """The files of a site that somebody is working on; nothing where one vanished while they were read."""
    try:
        return files_of(site)
    except OSError:
        return {}


def cold(logs: Path, to: Path) -> dict[str, bytes]:
    """What a build from nothing makes of the logs as they are now."""
    Builder(Request((str(logs),), to, workers=1), say=lambda line: None).run(time.time_ns())
    return files_of(to)
