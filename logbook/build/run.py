"""One run: look at what is there, make again what has changed, move it in, remember. Nothing else decides what is made.

What a job is made from stands in its key; what has the same key is not read, diagnosed, drawn or written again.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.build.cache import ABSENT, JUST_CHANGED_NS, Cache, Input, Seen, cache_of, code_identity
from logbook.build.discovery import SHOP_FILE, LogFile, find, none_found, seen_of
from logbook.build.discovery import Seen as FileSeen
from logbook.build.reading import Shop, is_log, read_log
from logbook.output import writing
from logbook.output.record import FOLDER, Copy, digest_of_file, record_state
from logbook.output.site import Refused, check_folder, check_target

if TYPE_CHECKING:
    from logbook.build.making import Remembered

Progress = Callable[[int, int], None]
Say = Callable[[str], None]

PATIENCE_S = 120.0  # how long the second of two runs waits for the first


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked for. ``workers`` None: one process for each core, where there is enough to do."""

    logs: tuple[str, ...]
    to: Path
    copy: Copy = "shop"
    templates: Path | None = None
    workers: int | None = None

    @property
    def words(self) -> str:
        """The part of the request that decides what the site holds; another request remembers nothing of this one."""
        given = [os.path.abspath(name) for name in self.logs]
        own = os.path.abspath(self.templates) if self.templates else ""
        return "\n".join([self.copy, own, *given])


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run did. ``shown`` are the lines that say it; ``made`` the addresses of the jobs that were made again."""

    jobs: int
    errors: int
    shown: tuple[str, ...]
    made: tuple[str, ...] = ()
    written: tuple[str, ...] = ()
    deleted: tuple[str, ...] = ()
    failed: tuple[str, ...] = ()  # a line for each log that could not be worked out


@dataclass(frozen=True, slots=True)
class Look:
    """What lies there now: the logs found, and the size, time and inode of every file that a run reads."""

    logs: tuple[LogFile, ...]
    files: dict[str, FileSeen]
    links: tuple[str, ...] = ()  # that were not followed


def look_at(request: Request, known: Collection[str]) -> Look:
    """Find the logs, and look at the shop files and every other file that the last run read. Raises ``CannotRead``."""
    logs, links = find(request.logs, request.to)
    files = {log.file: log.seen for log in logs}
    shops = {os.path.join(log.folder, SHOP_FILE) for log in logs}
    for path in sorted(shops.union(known).difference(files)):
        files[path] = seen_at(path)
    return Look(logs, files, links)


def seen_at(path: str) -> FileSeen:
    try:
        return seen_of(os.stat(path))
    except OSError:
        return ABSENT[:4]


def is_same(now: FileSeen, known: Input, built_ns: int) -> bool:
    """Is a file what it was, by its size, times and inode alone? Not when it changed just before the last run."""
    return now == known[:4] and known[1] < built_ns - JUST_CHANGED_NS


class Builder:
    """Builds one site, once or again and again; from its second run on it needs nothing from the cache."""

    def __init__(
        self, request: Request, progress: Progress = lambda done, total: None, say: Say = print, fresh: bool = False
    ) -> None:
        self.request = request
        self._fresh = fresh  # trust nothing that is remembered
        self._progress = progress
        self._say = say
        self._cache: Cache | None = None
        self._kept: Remembered | None = None
        self._last: Look | None = None
        self._unsaved = False

    def look(self) -> Look:
        """What lies there now. Raises ``CannotRead``, and ``Refused`` where the site may not lie where it is wanted."""
        check_target(self.request.to, [Path(name) for name in self.request.logs if os.path.isdir(name)])
        check_folder(self.request.to)
        self._check_that_no_logs_are_in_the_way()
        look = look_at(self.request, self._load().seen.inputs)
        if not look.logs:
            raise none_found(self.request.logs)
        return look

    def _check_that_no_logs_are_in_the_way(self) -> None:
        """Before the first build into a folder: it may be the folder of logs, named where the site was meant."""
        site = self.request.to
        if not site.is_dir() or (site / FOLDER).exists():
            return
        found = (log for log in find([str(site)]).logs if is_log(read_log(log, Shop())))
        first = next(found, None)
        if first is not None:
            raise Refused(f"{site} holds logs", "give --to a folder of its own, as in: --to site", (first.shown,))

    def suspects(self, look: Look) -> frozenset[str]:
        """Files that were there at the last run and are empty or gone now: an editor may be half-way through a save."""
        known = self._load().seen.inputs
        new = {log.seen[:3] for log in look.logs if log.file not in known}  # a log that was only renamed is no suspect
        return frozenset(
            path
            for path, stamp in known.items()
            if stamp[0] > 0 and look.files.get(path, ABSENT[:4])[0] <= 0 and stamp[:3] not in new
        )

    def run(
        self, now_ns: int, look: Look | None = None, held: frozenset[str] = frozenset(), thorough: bool = True
    ) -> Outcome:
        """Bring the site up to date. ``held`` are files that are taken to be what they were at the last run.
        ``thorough``: look at every file of the site; else trust that those of the last run are still there.

        Raises ``CannotRead``, ``Refused``, ``Busy`` and ``CannotWrite``.
        """
        look = look or self.look()
        if held and self._last is not None:
            look = _holding(look, self._last, held)
        self._last = look
        cache = self._load()
        if self._nothing_changed(look, cache.seen, held, thorough):
            return Outcome(cache.seen.jobs, cache.seen.errors, cache.seen.shown, failed=cache.seen.failed)
        from logbook.build.making import Making

        making = Making(self.request, cache, self._kept or self._recalled(cache), self._progress, self._say)
        ours = self.request.to / FOLDER
        is_new = not ours.exists()
        try:
            with writing.held(ours / "lock", PATIENCE_S, self._say_waiting):
                outcome = making.make(look, held, thorough, now_ns)
        except Refused:
            if is_new:
                writing.clear_folder(ours)
            raise
        self._kept, self._unsaved = making.after, True
        return outcome

    def _recalled(self, cache: Cache) -> Remembered:
        """What earlier runs made of each log; where it is damaged, nothing, and it is said."""
        from logbook.build.making import Remembered, remembered

        lines = cache.jobs() if cache.seen.record else []
        found = remembered(lines) if lines else None
        if cache.damaged or (cache.seen.record and found is None):
            self._say("What was remembered of earlier runs is damaged: everything is made again.")
        return found or Remembered()

    def save(self) -> None:
        """Keep what is remembered for the next process; where that fails, the next one starts afresh."""
        if self._unsaved and self._cache is not None and self._kept is not None:
            self._cache.remember(self._kept.lines())
            self._unsaved = False

    def _say_waiting(self) -> None:
        self._say("Another run is writing into this site; waiting for it to end.")

    def _load(self) -> Cache:
        code = code_identity(self.request.templates)
        if self._cache is None or self._cache.seen.code != code:
            if self._cache is not None:  # templates changed while watching
                from logbook.output.templates import forget

                forget()
            self._cache = cache_of(self.request.to, code, self.request.words)
            if self._fresh:
                self._cache = Cache(self._cache.folder, Seen(code, self.request.words))
            self._fresh = False
            self._kept = None
        return self._cache

    def _nothing_changed(self, look: Look, seen: Seen, held: frozenset[str], thorough: bool) -> bool:
        if not seen.record or seen.record != record_state(self.request.to, self.request.copy):
            return False
        if look.files.keys() != seen.inputs.keys():
            return False
        for path, now in look.files.items():
            known = seen.inputs[path]
            if path not in held and not is_same(now, known, seen.built_ns) and content_of(path) != known[4]:
                return False
        return not thorough or self._site_is_whole(seen)

    def _site_is_whole(self, seen: Seen) -> bool:
        top = str(self.request.to) + os.sep
        try:
            for name, known in seen.outputs.items():
                found = os.stat(top + name)
                if found.st_mtime_ns != known[1] or found.st_size != known[0] or found.st_ino != known[2]:
                    return False
        except OSError:
            return False
        return True


def _holding(look: Look, last: Look, held: frozenset[str]) -> Look:
    files = {**look.files, **{path: last.files[path] for path in held if path in last.files}}
    there = {log.file for log in look.logs}
    back = [log for log in last.logs if log.file in held and log.file not in there]
    return Look(tuple(sorted((*look.logs, *back), key=lambda log: (log.path, log.file))), files, look.links)


def build(request: Request, now_ns: int, progress: Progress, say: Say, fresh: bool = False) -> Outcome:
    """One run of ``logbook report``; a ``fresh`` one looks into every file, whatever is remembered of it."""
    builder = Builder(request, progress, say, fresh)
    outcome = builder.run(now_ns)
    builder.save()
    return outcome


def content_of(path: str) -> str:
    """The hash of a file's content; "" where there is none."""
    return digest_of_file(Path(path)) or ""
