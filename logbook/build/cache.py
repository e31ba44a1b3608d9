"""What earlier runs read and made, kept in a folder of the user's own. Losing it costs one rebuild, nothing else.

Two files, JSON alone, since nothing that is read here may run: ``seen.json`` is all that a run needs to find that
nothing has changed; ``jobs.jsonl`` holds a line for each log, what it tells the pages over all jobs.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import json
import os
import stat
import sys
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

import logbook
from logbook.output.record import digest
from logbook.output.site import Stamp
from logbook.output.writing import CannotWrite, make_private_folder, write_private

Input = tuple[int, int, int, int, str]  # size, mtime, inode, ctime, content hash; ABSENT where there was nothing

ABSENT: Input = (-1, 0, 0, 0, "")
UNKNOWN: Input = (-2, 0, 0, 0, "?")  # to be read again whatever it looks like
JUST_CHANGED_NS = 2_000_000_000  # a file this fresh at the last run may have changed again within one tick of its clock

_VERSION = 2
_STAMPS = 1 << 11  # stamps that are written at once
_LIBRARIES = ("click", "jinja2", "markdown_it", "matplotlib", "numpy", "PIL")


@dataclass(slots=True)
class Seen:
    """What a run with nothing changed needs: what was read and what was written, by stamp."""

    code: str
    request: str
    built_ns: int = 0
    inputs: dict[str, Input] = field(default_factory=dict)  # absolute path
    outputs: dict[str, Stamp] = field(default_factory=dict)  # name in the site
    shown: tuple[str, ...] = ()  # what the run said about the logs, to be said again when nothing changed
    failed: tuple[str, ...] = ()  # a line for each log that could not be worked out
    errors: int = 0
    jobs: int = 0
    record: tuple[int, ...] = ()  # size, mtime and inode of the site's record after the run


@dataclass(slots=True)
class Cache:
    """``folder`` is this site's own. ``damaged``: what lies there cannot be used."""

    folder: Path
    seen: Seen
    damaged: bool = False

    def jobs(self) -> list[Any] | None:
        """The lines that ``remember`` was given; None where they are lost, damaged or of another program."""
        try:
            with _opened(self.folder / "jobs.jsonl") as file:
                if json.loads(file.readline()) != [self.seen.code, self.seen.request]:
                    return None
                return [json.loads(line) for line in file]
        except (OSError, ValueError, RecursionError):
            return None

    def workplace(self) -> Path:
        """Where a run may put what is not finished: never in the site, which may be published at any moment."""
        try:
            make_private_folder(self.folder)
        except CannotWrite:
            self.folder = Path(tempfile.mkdtemp(prefix="logbook-"))
        return self.folder

    def remember(self, jobs: Iterable[Any]) -> bool:
        """Keep ``seen`` and a line for each of ``jobs``. False where that fails: then the next run starts afresh."""
        head = [self.seen.code, self.seen.request]
        try:
            make_private_folder(self.folder)
            write_private(self.folder / "jobs.jsonl", (_json(line) + b"\n" for line in (head, *jobs)))
            write_private(self.folder / "seen.json", _encoded(self.seen))
        except CannotWrite:
            return False
        return True


def cache_folder() -> Path:
    """LOGBOOK_CACHE, else the platform's place for caches (XDG Base Directory on Unix)."""
    named = os.environ.get("LOGBOOK_CACHE")
    if named:
        return Path(named)
    if os.name == "nt":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "logbook" / "cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "logbook"
    xdg = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(xdg) if os.path.isabs(xdg) else Path.home() / ".cache") / "logbook"


def code_identity(templates: Path | None = None) -> str:
    """Changes whenever the program, its tables, its templates or a library that makes pages may have changed."""
    found = hashlib.blake2b(f"{_VERSION} {logbook.__version__} {sys.version}".encode(), digest_size=16)
    package = os.path.dirname(os.path.abspath(logbook.__file__))
    beside = os.path.join(os.path.dirname(package), "templates")
    for folder in (package, beside, *([os.path.abspath(templates)] if templates else [])):
        _add_folder(found, folder)
    for name in _LIBRARIES:
        spec = importlib.util.find_spec(name)
        if spec is not None and spec.origin is not None:
            _add_file(found, spec.origin, os.stat(spec.origin))
    return found.hexdigest()


def _add_folder(found: hashlib.blake2b, folder: str) -> None:
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in sorted(entries, key=lambda entry: entry.name):
            if entry.name == "__pycache__":
                continue
            if entry.is_dir():
                _add_folder(found, entry.path)
            else:
                _add_file(found, entry.path, entry.stat())


def _add_file(found: hashlib.blake2b, path: str, status: os.stat_result) -> None:
    found.update(f"{path}\0{status.st_size}\0{status.st_mtime_ns}\n".encode("utf-8", "surrogatepass"))


def cache_of(site: Path, code: str, request: str) -> Cache:
    """What is remembered of ``site``; empty where nothing is, or where it was made by other code or from other logs."""
    place = str(site.resolve()).encode("utf-8", "surrogatepass")
    folder = cache_folder() / digest(place)[:16]
    fresh = Seen(code, request)
    try:
        with _opened(folder / "seen.json") as file:
            seen = _decoded(json.loads(file.read()))
    except FileNotFoundError:
        return Cache(folder, fresh)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return Cache(folder, fresh, damaged=True)
    return Cache(folder, seen if (seen.code, seen.request) == (code, request) else fresh)


def _opened(path: Path) -> Any:
    """A file that nobody else can have written, or an ``OSError``: a link, a pipe, another owner are not believed."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    found = os.fstat(handle)
    ours = os.name == "nt" or (found.st_uid == os.geteuid() and not found.st_mode & (stat.S_IWGRP | stat.S_IWOTH))
    if not stat.S_ISREG(found.st_mode) or not ours:
        os.close(handle)
        raise PermissionError(str(path))
    return os.fdopen(handle, "rb")


def _decoded(data: dict[str, Any]) -> Seen:
    """Raises ``KeyError`` and ``TypeError`` where what was read has another shape than what is written."""
    texts = [data["code"], data["request"], *data["shown"], *data["failed"]]
    numbers = [data["built_ns"], data["errors"], data["jobs"], *data["record"]]
    if not all(type(text) is str for text in texts) or not all(type(number) is int for number in numbers):
        raise TypeError("seen.json")
    return Seen(
        code=data["code"],
        request=data["request"],
        built_ns=data["built_ns"],
        inputs=_stamps(data["inputs"], (int, int, int, int, str)),
        outputs=_stamps(data["outputs"], (int, int, int, str)),
        shown=tuple(data["shown"]),
        failed=tuple(data["failed"]),
        errors=data["errors"],
        jobs=data["jobs"],
        record=tuple(data["record"]),
    )


def _stamps(told: dict[str, list[Any]], shape: tuple[type, ...]) -> dict[str, Any]:
    if {tuple(map(type, stamp)) for stamp in told.values()} - {shape}:
        raise TypeError(shape)
    return {name: tuple(stamp) for name, stamp in told.items()}


def _encoded(seen: Seen) -> Iterator[bytes]:
    """As JSON, the thousands of stamps in pieces, so that they never lie in memory twice."""
    short = {
        "code": seen.code,
        "request": seen.request,
        "built_ns": seen.built_ns,
        "shown": seen.shown,
        "failed": seen.failed,
        "errors": seen.errors,
        "jobs": seen.jobs,
        "record": seen.record,
    }
    yield _json(short)[:-1]
    for name, stamps in (("inputs", seen.inputs), ("outputs", seen.outputs)):
        yield f',"{name}":{{'.encode()
        items = iter(stamps.items())
        before = b""
        while some := dict(islice(items, _STAMPS)):
            yield before + _json(some)[1:-1]
            before = b","
        yield b"}"
    yield b"}"


def _json(value: object) -> bytes:
    return json.dumps(value, separators=(",", ":")).encode()
