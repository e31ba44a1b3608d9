"""``logbook check --pages``: can a page be made of a log? Both copies are worked out and drawn, and nothing is kept."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.build.discovery import LogFile
from logbook.build.reading import Shop
from logbook.build.stages import Context, Failure, Order, attempt, make_job
from logbook.job.donors import DonorStock
from logbook.output.record import COPIES
from logbook.output.static import static_files, static_paths
from logbook.problems import Problem

if TYPE_CHECKING:
    from collections.abc import Callable


@contextmanager
def page_maker(
    shops: Mapping[str, Shop], donors: Mapping[str, DonorStock]
) -> Iterator[Callable[[LogFile, str], Sequence[Problem]]]:
    """Says of a log, by its file and its page's address, what keeps a page from being made: one problem or none."""
    with tempfile.TemporaryDirectory(prefix="logbook-check-") as folder:
        static = static_paths(static_files(None))
        contexts = [Context(copy, Path(folder), None, shops, static, donors) for copy in COPIES]
        yield partial(_unmade, contexts)


def _unmade(contexts: Sequence[Context], file: LogFile, address: str) -> Sequence[Problem]:
    for context in contexts:
        made = attempt(partial(make_job, Order(file, address), context))
        if isinstance(made, Failure):
            return (made.problem,)
    return ()
