"""Which files are logs: folders walked, hidden folders, templates and the site itself left out."""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

SUFFIX = ".txt"
SHOP_FILE = "shop.txt"
LEFT_OUT = frozenset({"templates"})  # folders of this name, and hidden ones, hold no logs
LARGEST_LOG = 4_000_000  # bytes; larger is no log that a person wrote

_RESERVED = frozenset(  # device names of other systems, and names that a job's own folder uses
    {"con", "prn", "aux", "nul", "static", "figures", "photos", "parts", "donors", "shelf"}
    | {f"{device}{digit}" for device in ("com", "lpt") for digit in range(10)}
)
_LONGEST_SEGMENT = 60

Seen = tuple[int, int, int]  # size, mtime in ns, inode


class NoLogs(Exception):
    """A folder or file of LOGS that is not there, cannot be read, or holds no log."""


@dataclass(frozen=True, slots=True)
class LogFile:
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
    return (found.st_size, found.st_mtime_ns, found.st_ino)


def find_logs(given: Iterable[str], leave_out: Path | None = None) -> tuple[LogFile, ...]:
    """Every file that may be a log, by path. Raises ``NoLogs`` for what is missing or cannot be read."""
    out = str(leave_out.resolve()) if leave_out is not None else ""
    found: dict[str, LogFile] = {}
    for name in given:
        for log in _logs_of(name, out):
            found.setdefault(log.file, log)
    return tuple(sorted(found.values(), key=lambda log: (log.path, log.file)))


def _logs_of(name: str, out: str) -> Iterator[LogFile]:
    try:
        status = os.stat(name)
        if os.path.isdir(name):
            top = os.path.abspath(name)
            yield from _walk(top, "", name, os.path.realpath(top), out)
            return
    except OSError as error:
        raise NoLogs(f"{name}: {_reason(error)}") from error
    file = os.path.abspath(name)
    folder, base = os.path.split(file)
    yield LogFile(file, base, name, folder, True, seen_of(status))


def _reason(error: OSError) -> str:
    return "there is no such file or folder" if isinstance(error, FileNotFoundError) else (error.strerror or str(error))


def _walk(top: str, inside: str, given: str, real: str, out: str) -> Iterator[LogFile]:
    """The logs below one folder. Links to folders are not followed: they may lead in a ring, or out of the folder."""
    folder = os.path.join(top, inside) if inside else top
    if out and (real == out or real.startswith(out + os.sep)):
        return
    try:
        with os.scandir(folder) as entries:
            listed = sorted(entries, key=lambda entry: entry.name)
    except FileNotFoundError:
        return  # gone since its parent was listed
    except OSError as error:
        raise NoLogs(f"{os.path.join(given, inside)}: {_reason(error)}") from error
    for entry in listed:
        name = entry.name
        if name.startswith("."):
            continue
        if name.lower().endswith(SUFFIX):
            if name == SHOP_FILE and not inside:
                continue
            try:
                status = entry.stat()
                if not entry.is_file():
                    continue
            except OSError:
                continue  # a link to nowhere, or gone
            path = f"{inside}/{name}" if inside else name
            yield LogFile(
                os.path.join(folder, name),
                path,
                os.path.join(given, path),
                top,
                False,
                seen_of(status),
            )
        elif name not in LEFT_OUT and entry.is_dir(follow_symlinks=False):
            below = f"{inside}/{name}" if inside else name
            yield from _walk(top, below, given, os.path.join(real, name), out)


def slug(path: str) -> str:
    """``path`` without suffix as an address: lower-case ASCII, a short hash where letters were lost or names collide
    with those of devices. '2026/Blue van.txt' is '2026/blue-van'.
    """
    stem = path[: -len(SUFFIX)] if path.lower().endswith(SUFFIX) else path
    return "/".join(_segment(part) for part in stem.split("/") if part) or _short(path)


def _segment(written: str) -> str:
    plain = unicodedata.normalize("NFKD", written)
    kept = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    made = re.sub(r"[^a-z0-9]+", "-", kept).strip("-")
    lost = any(ord(c) > 127 and c.isalnum() for c in kept)
    if made and not lost and made not in _RESERVED and len(made) <= _LONGEST_SEGMENT:
        return made
    return f"{made[:_LONGEST_SEGMENT].strip('-')}-{_short(written)}".lstrip("-")


def _short(text: str) -> str:
    return hashlib.blake2b(text.encode("utf-8", "surrogatepass"), digest_size=3).hexdigest()


def addresses(wanted: Mapping[str, str]) -> dict[str, str]:
    """An address for each key (a log's path): what it asks for, with a short hash of the path where two ask for one."""
    asking: dict[str, list[str]] = {}
    for path in sorted(wanted):
        asking.setdefault(wanted[path].casefold(), []).append(path)
    return {
        path: address if len(paths) == 1 else f"{address}-{_short(path)}"
        for address, paths in asking.items()
        for path in paths
    }
