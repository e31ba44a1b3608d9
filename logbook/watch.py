"""Change, then a quiet moment, then a build. The only place where watchdog is imported.

What the system tells of changes is only a hint that something may have happened: the build looks at the files itself.
"""

from __future__ import annotations

import contextlib
import os
import queue
import signal
import threading
import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from logbook.build.discovery import LEFT_OUT, CannotRead
from logbook.build.run import Builder, Outcome, Request
from logbook.output import writing
from logbook.output.reload import Announcer, watching_lock
from logbook.output.site import Refused, check_folder
from logbook.output.writing import Busy, CannotWrite

if TYPE_CHECKING:
    from watchdog.observers.api import BaseObserver

QUIET_S = 0.04  # no hint for so long: the burst is over
LONGEST_S = 1.0  # a burst that does not end is built all the same
BELIEVED_S = 0.5  # a file that became empty or vanished is believed only after so long
LOOK_AROUND_S = 5.0  # for hints that were lost, and folders that vanished and came back
_STEP_S = 0.2  # how soon a wish to stop is noticed
_CHANGES = frozenset({"created", "modified", "moved", "deleted"})  # reading a file is no change

Say = Callable[[str], None]
Clock = Callable[[], int]


def due(first: float, last: float) -> float:
    """When to build, for a burst whose first and last hints came at these moments, in seconds of one clock.

    A quiet moment after the last one, but never later than ``LONGEST_S`` after the first.
    """
    return min(last + QUIET_S, first + LONGEST_S)


class Hints:
    """The moments at which something may have changed; the watching threads only put, one thread takes."""

    def __init__(self, stop: threading.Event) -> None:
        self._moments: queue.Queue[float] = queue.Queue()
        self._stop = stop

    def put(self) -> None:
        self._moments.put(time.monotonic())

    def wait_for_burst(self, idle_s: float) -> bool:
        """True when a burst has ended, False when none began for ``idle_s`` seconds or it is time to stop."""
        until = time.monotonic() + idle_s
        first = self._next(until)
        if first is None:
            return False
        last = first
        while True:
            another = self._next(due(first, last))
            if another is None:
                return not self._stop.is_set()
            last = max(last, another)
            if time.monotonic() >= due(first, last):
                return True

    def _next(self, until: float) -> float | None:
        while not self._stop.is_set():
            left = until - time.monotonic()
            if left <= 0:
                return None
            with contextlib.suppress(queue.Empty):
                return self._moments.get(timeout=min(left, _STEP_S))
        return None


def watch(
    request: Request, poll: bool, say: Say, clock_ns: Clock, stop: threading.Event | None = None, fresh: bool = False
) -> Outcome:
    """Build, and build again after every change, until ``stop`` is set or Ctrl-C. What the last build came to.

    Raises what the first build raises; what later builds raise is said, and the watching goes on.
    """
    stop = stop or threading.Event()
    check_folder(request.to)
    with _interrupts(stop), writing.held(watching_lock(request.to), 0.0, lambda: None):
        return _Watching(request, say, clock_ns, stop, fresh).run(poll)


@contextlib.contextmanager
def _interrupts(stop: threading.Event) -> Iterator[None]:
    """Ctrl-C ends the watching after the build that is under way; a second one ends it at once."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}

    def asked(number: int, frame: FrameType | None) -> None:
        if stop.is_set():
            raise KeyboardInterrupt
        stop.set()

    for number in before:
        signal.signal(number, asked)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


class _Watching:
    def __init__(self, request: Request, say: Say, clock_ns: Clock, stop: threading.Event, fresh: bool) -> None:
        self._request = request
        self._builder = Builder(request, say=say, fresh=fresh)
        self._say = say
        self._clock_ns = clock_ns
        self._stop = stop
        self._announcer = Announcer(request.to)
        self._hints = Hints(stop)
        self._doubted: dict[str, float] = {}  # file that is empty or gone, and since when
        self._said = ""
        self._failed: tuple[str, ...] = ()  # lines that were said
        self._looked = float("-inf")  # everywhere, at this moment of the monotonic clock

    def run(self, poll: bool) -> Outcome:
        outcome = self._builder.run(self._clock_ns())
        self._builder.save()
        for line in (*outcome.shown, *outcome.failed):
            self._say(line)
        self._failed = outcome.failed
        self._announce(())
        observed = _Observed(self._request, poll, self._hints)
        try:
            observed.look_after()
            self._say(f"Watching. Open {self._request.to / 'index.html'}; Ctrl-C ends.")
            while not self._stop.is_set():
                observed.look_after()
                hinted = self._hints.wait_for_burst(self._idle_s())
                if not self._stop.is_set():
                    outcome = self._build(thorough=not hinted) or outcome
                    if not hinted:
                        self._builder.save()
        finally:
            observed.end()
            self._announcer.end()
            self._builder.save()
        self._say("Stopped.")
        return outcome

    def _idle_s(self) -> float:
        """How long to wait for a hint before looking all the same."""
        if not self._doubted:
            return LOOK_AROUND_S
        return max(0.0, min(self._doubted.values()) + BELIEVED_S - time.monotonic())

    def _build(self, thorough: bool) -> Outcome | None:
        started = time.monotonic()
        try:
            look = self._builder.look()
            held = self._held(self._builder.suspects(look))
            thorough = thorough or started - self._looked > LOOK_AROUND_S
            if thorough:
                self._looked = started
            return self._told(self._builder.run(self._clock_ns(), look, held, thorough), started)
        except CannotRead as error:
            self._trouble(str(error))
        except Refused as error:
            self._trouble(f"{error.message} ({', '.join(error.paths[:5])}): {error.mend}")
        except Busy:
            self._trouble("another run is writing into this site")
        except CannotWrite as error:
            self._trouble(f"cannot write {error.path}: {error.reason}")
        except Exception as error:  # a fault of logbook outside of any one log: what is to be watched goes on
            from logbook.build.stages import place_of

            self._trouble(f"logbook failed: {place_of(error)}. Please report it with this line.")
        return None

    def _told(self, outcome: Outcome, started: float) -> Outcome:
        self._said = ""
        for line in set(outcome.failed).difference(self._failed):
            self._say(line)
        self._failed = outcome.failed
        if outcome.written or outcome.deleted:
            self._announce((*outcome.written, *outcome.deleted))
            self._say(_line(outcome, time.monotonic() - started))
        return outcome

    def _announce(self, names: Sequence[str]) -> None:
        """To open pages of the shop's own copy; a public one may be published at any moment, with what lies in it."""
        if self._request.copy == "shop":
            self._announcer.tell(names, self._clock_ns() // 1_000_000)

    def _trouble(self, words: str) -> None:
        """Say what is wrong, once for as long as it stays wrong."""
        if words != self._said:
            self._say(words)
        self._said = words

    def _held(self, suspects: frozenset[str]) -> frozenset[str]:
        """Files that are empty or gone for so short a time that an editor may be in the middle of a save."""
        now = time.monotonic()
        self._doubted = {path: self._doubted.get(path, now) for path in suspects}
        held = {path for path, since in self._doubted.items() if now - since < BELIEVED_S}
        self._doubted = {path: since for path, since in self._doubted.items() if path in held}
        return frozenset(held)


def _line(outcome: Outcome, seconds: float) -> str:
    """One line for each rebuild: which job, how long, problems."""
    named = list(outcome.made) or ["pages over all jobs"]
    which = ", ".join(named[:3]) + (f" and {len(named) - 3} more" if len(named) > 3 else "")
    return f"{which}: {seconds:.2f} s. {' '.join(outcome.shown[-1:])}"


class _Observed:
    """The folders that are watched, brought up again when they vanished and came back."""

    def __init__(self, request: Request, poll: bool, hints: Hints) -> None:
        self._folders = _folders_of(request)
        self._out = str(request.to.resolve())
        self._poll = poll
        self._hints = hints
        self._observer: BaseObserver | None = None
        self._watched: dict[str, tuple[int, int]] = {}  # folder and which one it is: device, inode

    def look_after(self) -> None:
        """See to it that the observer lives and that each folder that is there is the one it watches."""
        there = {folder: identity for folder in self._folders if (identity := _identity(folder)) is not None}
        if self._observer is not None and self._observer.is_alive() and there == self._watched:
            return
        self.end()
        try:
            self._observer, self._watched = self._begin(there), there
        except OSError:  # a folder vanished just now, or the system's watches are used up: look around until it works
            self._watched = {}
        else:
            self._hints.put()

    def _begin(self, folders: dict[str, tuple[int, int]]) -> BaseObserver:
        from watchdog.events import FileSystemEvent, FileSystemEventHandler
        from watchdog.observers import Observer
        from watchdog.observers.polling import PollingObserver

        # a folder that it comes upon twice while it is being made: no matter, and nothing for the builder to read
        warnings.filterwarnings("ignore", category=RuntimeWarning, module=r"watchdog\.")
        observed = self

        class Handler(FileSystemEventHandler):
            def on_any_event(self, event: FileSystemEvent) -> None:
                if event.event_type not in _CHANGES:
                    return
                for path in (os.fsdecode(path) for path in (event.src_path, event.dest_path) if path):
                    if observed.concerns(path):
                        observed._hints.put()

        observer: BaseObserver = PollingObserver(timeout=1.0) if self._poll else Observer()
        for folder, recursive in self._folders.items():
            if folder in folders:
                observer.schedule(Handler(), folder, recursive=recursive)
        try:
            observer.start()
        except OSError:
            observer.unschedule_all()
            raise
        return observer

    def concerns(self, path: str) -> bool:
        """Not what happens in the site itself, in hidden folders or files, or in a folder that is left out."""
        if path == self._out or path.startswith(self._out + os.sep):
            return False
        for folder in self._folders:
            if path.startswith(folder + os.sep):
                steps = Path(path).relative_to(folder).parts
                if not any(step.startswith(".") or step in LEFT_OUT for step in steps):
                    return True
        return False

    def end(self) -> None:
        if self._observer is not None:
            self._observer.stop()
            with contextlib.suppress(RuntimeError):  # it never began
                self._observer.join()
            self._observer = None


def _folders_of(request: Request) -> dict[str, bool]:
    """The folders to watch, and whether with all below them: of logs, of logs given by name, of own templates."""
    folders: dict[str, bool] = {str(request.templates.resolve()): True} if request.templates else {}
    for name in request.logs:
        path = Path(name).resolve()
        if path.is_dir():
            folders[str(path)] = True
        else:
            folders.setdefault(str(path.parent), False)
    return folders


def _identity(folder: str) -> tuple[int, int] | None:
    try:
        found = Path(folder).stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
