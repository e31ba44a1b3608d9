"""Jobs side by side: in this process where there are few, in a process for each core where there are many.

Where one of those processes dies (killed for want of memory, say), what is left is made in this one.
"""

from __future__ import annotations

import gc
import json
import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TypeVar

from logbook.build.discovery import LogFile
from logbook.build.stages import Card, Context, Failure, Made, Order, attempt, make_job, read_card
from logbook.build.values import from_plain, to_plain
from logbook.output.site import Stamp
from logbook.output.writing import write_private

T = TypeVar("T")
R = TypeVar("R")
_CardRead = tuple[LogFile, Card | Failure]
_JobMade = tuple[str, Made | Failure, dict[str, Stamp]]

FEW_JOBS = 12  # a process has to load the libraries before it is of use: as long as some ten jobs take
FEW_CARDS = 200
_SWEPT = 64  # jobs after which rubbish is collected: left to itself it grows with the archive that is remembered
_JOBS_TOGETHER, _CARDS_TOGETHER = 4, 32  # what is handed to a process at once
_AHEAD = 2  # such portions a process that are handed out before an answer is awaited: so no archive is held in memory

_context: Context | None = None  # of a worker process


def _begin(context: str) -> None:
    global _context
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the first process's to answer
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _context = from_plain(Context, json.loads(Path(context).read_bytes()))


def _end_with_parent() -> None:
    """A process whose first one was killed has nobody to work for."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _cards(logs: Sequence[LogFile], context: Context | None = None) -> list[_CardRead]:
    shared = context or _context
    assert shared is not None
    return [(log, attempt(partial(read_card, log, shared.shops[log.folder]))) for log in logs]


def _jobs(orders: Sequence[Order], context: Context | None = None) -> list[_JobMade]:
    shared = context or _context
    assert shared is not None
    return [(order.log.file, *_job(order, shared)) for order in orders]


def _job(order: Order, context: Context) -> tuple[Made | Failure, dict[str, Stamp]]:
    made = attempt(partial(make_job, order, context))
    return (made, {}) if isinstance(made, Failure) else made


class Workers:
    """``wanted`` None: one process for each core. What comes back comes in any order."""

    def __init__(self, wanted: int | None) -> None:
        self._count = wanted or os.cpu_count() or 1
        self._forced = wanted is not None
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._close()

    def cards(self, logs: Sequence[LogFile], context: Context) -> Iterator[_CardRead]:
        alone = self._alone(len(logs), FEW_CARDS)
        yield from self._spread(_cards, logs, context, 0 if alone else _CARDS_TOGETHER)

    def jobs(self, orders: Sequence[Order], context: Context) -> Iterator[_JobMade]:
        alone = self._alone(len(orders), FEW_JOBS)
        yield from self._spread(_jobs, orders, context, 0 if alone else _JOBS_TOGETHER)

    def _alone(self, jobs: int, few: int) -> bool:
        return self._count == 1 or jobs < 2 or (jobs <= few and not self._forced)

    def _spread(self, work: Callable[..., list[R]], items: Sequence[T], context: Context, together: int) -> Iterator[R]:
        """``together`` 0: all of it here."""
        left = list(items)
        if together:
            left = yield from self._elsewhere(work, left, context, together)
        for number, item in enumerate(left, start=1):
            yield from work([item], context)
            if number % _SWEPT == 0:
                gc.collect()

    def _elsewhere(
        self, work: Callable[..., list[R]], items: list[T], context: Context, together: int
    ) -> Generator[R, None, list[T]]:
        """Returns what was not done because a process died."""
        handed_down = context.staging / "context"
        plain = json.dumps(to_plain(Context, context))
        write_private(handed_down, [plain.encode()])  # one that dies as it begins would leave a long pipe unread
        spawn = multiprocessing.get_context("spawn")
        self._pool = ProcessPoolExecutor(self._count, spawn, _begin, (str(handed_down),))
        waiting = deque(items[i : i + together] for i in range(0, len(items), together))
        handed: dict[Future[list[R]], list[T]] = {}
        lost: list[T] = []
        while waiting or handed:
            while waiting and len(handed) < _AHEAD * self._count:
                portion = waiting.popleft()
                try:
                    handed[self._pool.submit(work, portion)] = portion
                except BrokenProcessPool:
                    lost += portion
            for future in wait(handed, return_when=FIRST_COMPLETED).done:
                portion = handed.pop(future)
                try:
                    found = future.result()
                except BrokenProcessPool:
                    lost += portion
                    continue
                yield from found
        self._close()
        return lost

    def _close(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)
            self._pool = None
