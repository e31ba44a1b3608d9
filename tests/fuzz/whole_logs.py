"""Whole folders of logs through all that logbook does: ``python -m tests.fuzz.whole_logs LINES [RUN [FIRST]]``.

Each workshop is checked, tidied, reported in both copies, and reported again after a save as ``watch`` does it.
Nothing may end in a traceback, and no log may take longer than 20 seconds. ``LINES`` 1 and ``FIRST`` give one workshop
again by its number.
"""

from __future__ import annotations

import os
import resource
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from logbook.build.discovery import CannotRead
from logbook.build.run import Builder, Outcome, Request
from logbook.commands.advice import next_lines
from logbook.commands.check_data import as_data
from logbook.commands.checking import check_logs
from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.text.reader import read
from logbook.text.tidy import tidy
from tests.fuzz.workshops import Workshop, workshop

SLOW_S = 20.0  # of the processor's time, for a log
GIVEN_UP_S = 120
MEMORY = 4 << 30  # bytes
LATE_NS = 4_000_000_000_000_000_000  # long after any file was written, so that its stamp vouches for it


class Walled(Exception):
    """Logbook failed on a log, and said so; the text says where."""


class GivenUp(BaseException):
    """A step took so long that it was stopped."""


@dataclass(slots=True)
class Found:
    """What a run found: ``faults`` by where they were raised, with the first workshop of each."""

    lines: int = 0
    logs: int = 0
    slow: list[str] = field(default_factory=list)
    faults: Counter[str] = field(default_factory=Counter)
    first: dict[str, str] = field(default_factory=dict)

    def note(self, place: str, example: str) -> None:
        """One more fault raised at a place; its first one is said at once, since a run takes long."""
        self.faults[place] += 1
        if place not in self.first:
            self.first[place] = example
            print(f"{place}\n      {example}", flush=True)

    @property
    def is_clean(self) -> bool:
        return not self.faults and not self.slow


def fuzz(lines: int, run: int, folder: Path, first: int = 0) -> Found:
    """At least so many lines, in workshops of their own, each in a folder below ``folder``."""
    found = Found()
    number = first
    while found.lines < lines:
        made = workshop(run, number)
        place = folder / str(number)
        try_workshop(made, place, number, found)
        found.lines += made.lines
        found.logs += sum(name.endswith(".txt") for name in made.files)
        number += 1
    return found


def try_workshop(made: Workshop, place: Path, number: int, found: Found) -> None:
    logs = place / "logs"
    logs.mkdir(parents=True)
    for name, content in made.files.items():
        (logs / name).write_bytes(content)
    for step, work in _steps(made, logs, place):
        begun = time.process_time()  # other work on the machine is no fault of the log
        try:
            with given_up_after():
                work()
        except (Exception, GivenUp) as fault:  # whatever it is, it is what this run looks for
            if isinstance(fault, CannotRead) and "logbook failed" not in str(fault):
                continue  # said plainly, and expected: no line of any log is an entry
            found.note(where(fault), f"workshop {number}, {step}: {str(fault)[:200]}")
        if time.process_time() - begun > SLOW_S:
            found.slow.append(f"workshop {number}, {step}: {time.process_time() - begun:.0f} s")


def _steps(made: Workshop, logs: Path, place: Path) -> Iterator[tuple[str, Callable[[], object]]]:
    yield "check", lambda: _checked(logs)
    yield "tidy", lambda: _tidied(made)
    yield "next", lambda: next_lines(str(logs / next(iter(made.files))))
    shop = Builder(Request((str(logs),), place / "shop", "shop", workers=1), say=_say_nothing)
    public = Builder(Request((str(logs),), place / "public", "public", workers=1), say=_say_nothing)
    yield "shop copy", lambda: _made(shop.run(LATE_NS))
    yield "public copy", lambda: _made(public.run(LATE_NS))
    for name, content in made.saves:
        (logs / name).write_bytes(content)
        yield "watch", lambda: _watched(shop)


def _watched(builder: Builder) -> None:
    """One step of ``watch``: a look, and a run that trusts what it knows."""
    look = builder.look()
    _made(builder.run(LATE_NS + 1_000_000_000_000, look, builder.suspects(look), thorough=False))


def _made(outcome: Outcome) -> None:
    """What was caught at one log's wall would have been a traceback."""
    if outcome.failed:
        raise Walled(outcome.failed[0].rpartition("logbook failed: ")[2])


def _checked(logs: Path) -> None:
    for file in as_data(check_logs([str(logs)]))["files"]:
        for problem in file["problems"]:
            if problem["number"] == NOT_WORKED_OUT:
                raise Walled(problem["message"].rpartition("logbook failed: ")[2])


def _tidied(made: Workshop) -> None:
    for name, content in made.files.items():
        if name.endswith(".txt"):
            once = tidy(read(name, content))
            assert tidy(read(name, once.encode())) == once, f"{name} is tidied twice"


def _say_nothing(line: str) -> None:
    pass


@contextmanager
def given_up_after(seconds: int = GIVEN_UP_S) -> Iterator[None]:
    """Stop what takes longer than so many seconds of the processor's time."""

    def ring(number: int, frame: FrameType | None) -> None:
        raise GivenUp

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def where(fault: BaseException) -> str:
    """The kind of a fault and the last line of ours that it went through."""
    if isinstance(fault, Walled):
        return str(fault)
    if isinstance(fault, CannotRead) and "logbook failed: " in str(fault):
        return str(fault).rpartition("logbook failed: ")[2]
    frames = traceback.extract_tb(fault.__traceback__)
    last = next((f for f in reversed(frames) if "/logbook/" in f.filename), frames[-1])
    return f"{type(fault).__name__} in {last.filename.rpartition('/logbook/')[2]}:{last.lineno} {last.name}"


def main(lines: int, run: int, first: int) -> int:
    begun = time.monotonic()
    warnings.simplefilter("error", RuntimeWarning)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LOGBOOK_CACHE"] = str(Path(folder) / "cache")
        found = fuzz(lines, run, Path(folder), first)
    for place, count in found.faults.most_common():
        print(f"{count:5} {place}")
    for slow in found.slow:
        print(f"slow: {slow}")
    print(
        f"{found.lines} lines in {found.logs} logs: {sum(found.faults.values())} tracebacks at {len(found.faults)} "
        f"places, {len(found.slow)} logs over {SLOW_S:.0f} s; {time.monotonic() - begun:.0f} s"
    )
    return int(not found.is_clean)


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:4]]
    sys.exit(main(given[0], given[1] if len(given) > 1 else 1, given[2] if len(given) > 2 else 0))
