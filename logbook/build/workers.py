"""Jobs side by side: in this process where there are few, in a process for each core where there are many."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterator, Sequence
from multiprocessing.pool import Pool
from types import TracebackType

from logbook.build.discovery import LogFile
from logbook.build.stages import Card, Context, Made, Order, make_job, read_card
from logbook.output.site import Stamp

FEW_JOBS = 12  # a process has to load the libraries before it is of use: as long as some ten jobs take
FEW_CARDS = 200
_AT_ONCE = 4  # jobs handed to a process together

_context: Context | None = None  # of a worker process


def _begin(context: Context) -> None:
    global _context
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the first process's to answer
    _context = context


def _card_here(log: LogFile) -> tuple[LogFile, Card]:
    assert _context is not None
    return log, read_card(log, _context.shops[log.folder])


def _job_here(order: Order) -> tuple[str, Made, dict[str, Stamp]]:
    assert _context is not None
    made, staged = make_job(order, _context)
    return order.log.file, made, staged


class Workers:
    """``wanted`` None: one process for each core. What comes back comes in any order."""

    def __init__(self, wanted: int | None) -> None:
        self._count = wanted or os.cpu_count() or 1
        self._forced = wanted is not None
        self._pool: Pool | None = None

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is not None:
            self._pool.terminate()
            self._pool.join()

    def cards(self, logs: Sequence[LogFile], context: Context) -> Iterator[tuple[LogFile, Card]]:
        if self._alone(len(logs), FEW_CARDS):
            yield from ((log, read_card(log, context.shops[log.folder])) for log in logs)
            return
        with self._processes(context) as pool:
            yield from pool.imap_unordered(_card_here, logs, chunksize=32)

    def jobs(self, orders: Sequence[Order], context: Context) -> Iterator[tuple[str, Made, dict[str, Stamp]]]:
        if self._alone(len(orders), FEW_JOBS):
            for order in orders:
                made, staged = make_job(order, context)
                yield order.log.file, made, staged
            return
        with self._processes(context) as pool:
            yield from pool.imap_unordered(_job_here, orders, chunksize=_AT_ONCE)

    def _alone(self, jobs: int, few: int) -> bool:
        return self._count == 1 or jobs < 2 or (jobs <= few and not self._forced)

    def _processes(self, context: Context) -> Pool:
        return multiprocessing.get_context("spawn").Pool(self._count, _begin, (context,))
