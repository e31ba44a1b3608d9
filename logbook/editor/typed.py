"""One log as it is being typed: its text, what is understood of it, and what is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from logbook.build.stages import Failure, attempt
from logbook.commands.checking import check_typed
from logbook.editor.positions import Positions
from logbook.job.model import Job
from logbook.problems import Problem
from logbook.text.entries import Log


@dataclass(frozen=True)
class Typed:
    """``log`` and ``job`` are None where the text is no log, or could not be read."""

    path: str
    version: int
    positions: Positions
    problems: tuple[Problem, ...] = ()
    log: Log | None = None
    job: Job | None = None

    @property
    def source(self) -> str:
        return self.positions.source


def read_typed(path: str, source: str, version: int) -> Typed:
    """The text read and checked as ``logbook check`` would; what goes wrong in logbook itself is one problem more."""
    positions = Positions(source)
    checked = attempt(partial(check_typed, path, source.encode("utf-8", "surrogatepass")))
    if isinstance(checked, Failure):
        return Typed(path, version, positions, (checked.problem,))
    if checked is None:
        return Typed(path, version, positions)
    log, file = checked
    return Typed(path, version, positions, file.problems, log, file.job)
