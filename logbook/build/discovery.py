"""Which files may be logs: folders walked; links, hidden folders, templates and the site itself left out."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from pathlib import Path

SUFFIX = ".txt"
SHOP_FILE = "shop.txt"
LEFT_OUT = frozenset({"templates"})  # folders of this name, and hidden ones, hold no logs

Seen = tuple[int, int, int, int]  # size, mtime in ns, inode, ctime in ns: the one time that nobody can set back


class CannotRead(Exception):
    """A file or folder that is not there, cannot be read, or holds no log; the text says which and why."""


class LogFile(NamedTuple):
    """A file that may be a log.

    ``file`` is where it lies, ``path`` what pages call it (from the top of its folder, with '/'), ``shown`` what the
    terminal calls it (as the builder gave it), ``folder`` the top folder, which may hold ``shop.txt``.
    """

    file: str
    path: str
    shown: str
    folder: str
    named: bool  # given by name, so it must be a log
    seen: Seen


def seen_of(found: os.stat_result) -> Seen:
    return (found.st_size, found.st_mtime_ns, found.st_ino, found.st_ctime_ns)


class Found(NamedTuple):
    """``links`` are the names, as the terminal shows them, of links that would be logs and were not followed."""

    logs: tuple[LogFile, ...]
    links: tuple[str, ...]


def find_logs(given: Iterable[str], leave_out: Path | None = None) -> tuple[LogFile, ...]:
    """Every file that may be a log, by path. Raises ``CannotRead`` for what is missing or cannot be read."""
    return find(given, leave_out).logs


def find(given: Iterable[str], leave_out: Path | None = None) -> Found:
    """The same, and the links that were not followed: one leads out of the folder, unless it is named itself."""
    out = str(leave_out.resolve()) if leave_out is not None else ""
    found: dict[str, LogFile] = {}
    links: list[str] = []
    for name in given:
        for log in _logs_of(name, out, links):
            found.setdefault(log.file, log)
    logs = sorted(found.values(), key=lambda log: (log.path, log.file))
    return Found(tuple(logs), tuple(dict.fromkeys(links)))


def _logs_of(name: str, out: str, links: list[str]) -> Iterator[LogFile]:
    try:
        status = os.stat(name)
        if os.path.isdir(name):
            top = os.path.abspath(name)
            yield from _walk(top, "", name, os.path.realpath(top), out, links)
            return
    except OSError as error:
        raise CannotRead(f"{name}: {_reason(error)}") from error
    if not stat.S_ISREG(status.st_mode):
        raise CannotRead(f"{name}: is no file but a pipe or a device; save what it gives to a file that ends in .txt")
    file = os.path.abspath(name)
    folder, base = os.path.split(file)
    yield LogFile(file, _readable(base), name, folder, True, seen_of(status))


def none_found(given: Iterable[str]) -> CannotRead:
    """That there is no log, and how to come by one."""
    said = "a log is a text file that ends in .txt; logbook start van.txt begins one"
    return CannotRead(f"no logs in {', '.join(given)}: {said}")


def typed_file(path: str) -> LogFile:
    """A log as an editor has it, which need not be on the disk yet; without a folder where it has no place there."""
    folder, name = os.path.split(path)
    return LogFile(path, _readable(name), path, folder, False, (0, 0, 0, 0))


def _readable(name: str) -> str:
    """A name whose bytes are not UTF-8, with a mark in place of each of them: pages are UTF-8."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def _reason(error: OSError) -> str:
    return "there is no such file or folder" if isinstance(error, FileNotFoundError) else (error.strerror or str(error))


def _walk(top: str, inside: str, given: str, real: str, out: str, links: list[str]) -> Iterator[LogFile]:
    """The logs below one folder. Links are not followed: they may lead in a ring, or out of the folder."""
    folder = os.path.join(top, inside) if inside else top
    if out and (real == out or real.startswith(out + os.sep)):
        return
    try:
        with os.scandir(folder) as entries:
            listed = sorted(entries, key=lambda entry: entry.name)
    except FileNotFoundError:
        return  # gone since its parent was listed
    except OSError as error:
        raise CannotRead(f"{os.path.join(given, inside)}: {_reason(error)}") from error
    for entry in listed:
        name = entry.name
        if name.startswith("."):
            continue
        if name.lower().endswith(SUFFIX):
            path = f"{inside}/{name}" if inside else name
            if entry.is_symlink():
                links.append(os.path.join(given, path))
                continue
            if name == SHOP_FILE and not inside:
                continue
            try:
                status = entry.stat(follow_symlinks=False)
            except OSError:
                continue  # gone
            if not stat.S_ISREG(status.st_mode):
                continue
            yield LogFile(
                os.path.join(folder, name),
                _readable(path),
                os.path.join(given, path),
                top,
                False,
                seen_of(status),
            )
        elif name not in LEFT_OUT and entry.is_dir(follow_symlinks=False):
            below = f"{inside}/{name}" if inside else name
            yield from _walk(top, below, given, os.path.join(real, name), out, links)
