"""What earlier runs read and made, kept in the user's cache folder. Losing it costs one rebuild, nothing else."""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import io
import itertools
import json
import os
import pickle
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import logbook
from logbook.output.record import digest, digesting, new_digest
from logbook.output.site import Stamp
from logbook.output.writing import CannotWrite, delete, write_in_place

Input = tuple[int, int, int, int, str]  # size, mtime, inode, ctime, content hash; ABSENT where there was nothing

ABSENT: Input = (-1, 0, 0, 0, "")
UNKNOWN: Input = (-2, 0, 0, 0, "?")  # to be read again whatever it looks like
JUST_CHANGED_NS = 2_000_000_000  # a file this fresh at the last run may have changed again within one tick of its clock

_VERSION = 1
_CONCLUSIONS = "conclusions"
_STAMPS = 1 << 11  # stamps that are
_LIBRARIES = ("click", "jinja2", "markdown_it", "matplotlib", "numpy", "PIL")


@dataclass(slots=True)
class Seen:
    """The part that a run with nothing changed needs: what was read and what was written, by stamp."""

    code: str
    request: str
    built_ns: int = 0
    inputs: dict[str, Input] = field(default_factory=dict)  # absolute path
    outputs: dict[str, Stamp] = field(default_factory=dict)  # name in the site
    shown: tuple[str, ...] = ()  # what the run said about the logs, to be said again when nothing changed
    failed: tuple[str, ...] = ()  # a line for each log that could not be worked out
    errors: int = 0
    jobs: int = 0
    record: list[int] = field(default_factory=list)  # size, mtime and inode of the site's record after the run
    pickled: str = ""  # hash of the other part


@dataclass(slots=True)
class Memory:
    """``seen`` is read at once, what was made of each log only when something has changed."""

    folder: Path
    seen: Seen
    damaged: bool = False

    def made(self) -> dict[str, Any] | None:
        """Whatever the build gave to ``remember``; None where it is lost or damaged."""
        return _read_made(self.folder / "made.pickle", self.seen)


def conclusions_of(folder: Path, log: str) -> Path:
    """Where what was concluded of a log is kept."""
    return folder / _CONCLUSIONS / digest(log.encode("utf-8", "surrogatepass"))


def _forget_others(folder: Path, logs: Iterable[str]) -> None:
    """Conclusions of logs that are gone."""
    kept = {conclusions_of(folder, log).name for log in logs}
    with contextlib.suppress(OSError, CannotWrite):
        for found in (folder / _CONCLUSIONS).iterdir():
            if found.name not in kept:
                delete(found)


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


def memory_of(site: Path, code: str, request: str) -> Memory:
    """What is remembered of ``site``; empty where nothing is, or where it was made by other code or from other logs."""
    place = str(site.resolve()).encode("utf-8", "surrogatepass")
    folder = cache_folder() / digest(place)[:16]
    fresh = Seen(code, request)
    try:
        data = json.loads((folder / "seen.json").read_bytes())
        seen = Seen(
            data["code"],
            data["request"],
            data["built_ns"],
            _stamps(data["inputs"], (int, int, int, int, str)),
            _stamps(data["outputs"], (int, int, int, str)),
            tuple(data["shown"]),
            tuple(data["failed"]),
            data["errors"],
            data["jobs"],
            data["record"],
            data["pickled"],
        )
        _check(seen)
    except FileNotFoundError:
        return Memory(folder, fresh)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Memory(folder, fresh, damaged=True)
    return Memory(folder, seen if (seen.code, seen.request) == (code, request) else fresh)


def _stamps(told: dict[str, list[Any]], shape: tuple[type, ...]) -> dict[str, Any]:
    if {tuple(map(type, stamp)) for stamp in told.values()} - {shape}:
        raise TypeError(shape)
    return {name: tuple(stamp) for name, stamp in told.items()}


def _check(seen: Seen) -> None:
    """Raises ``TypeError`` where what was read has another shape than what is written."""
    texts = (seen.code, seen.request, seen.pickled, *seen.shown, *seen.failed)
    numbers = (seen.built_ns, seen.errors, seen.jobs, *seen.record)
    if not all(type(text) is str for text in texts) or not all(type(number) is int for number in numbers):
        raise TypeError(seen.code)


def _read_made(path: Path, seen: Seen) -> dict[str, Any] | None:
    """The pickled part, trusted only where it is byte for byte what the last run wrote into the user's own folder."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    if not seen.pickled or digest(data) != seen.pickled:
        return None
    made: dict[str, Any] = {}
    pickled = io.BytesIO(data)
    while pickled.tell() < len(data):
        name, one = pickle.load(pickled)
        made[name] = one
    return made


def _pickled(made: Mapping[str, object]) -> Iterator[bytes]:
    """One after another: what a pickler must bear in mind of one log is nothing to the next.

    In pieces, so that what is remembered of thousands of logs never lies in memory twice.
    """
    return (pickle.dumps(named, protocol=5) for named in made.items())


def _encoded(seen: Seen) -> Iterator[bytes]:
    """As JSON, the thousands of stamps in pieces, for the same reason."""
    short = {
        "code": seen.code,
        "request": seen.request,
        "built_ns": seen.built_ns,
        "shown": seen.shown,
        "failed": seen.failed,
        "errors": seen.errors,
        "jobs": seen.jobs,
        "record": seen.record,
        "pickled": seen.pickled,
    }
    yield _json(short)[:-1]
    for name, stamps in (("inputs", seen.inputs), ("outputs", seen.outputs)):
        yield f',"{name}":{{'.encode()
        items = iter(stamps.items())
        before = b""
        while some := dict(itertools.islice(items, _STAMPS)):
            yield before + _json(some)[1:-1]
            before = b","
        yield b"}"
    yield b"}"


def _json(value: object) -> bytes:
    return json.dumps(value, separators=(",", ":")).encode()


def remember(memory: Memory, made: Mapping[str, object]) -> bool:
    """Keep ``memory`` for the next run. False where the cache folder cannot be written: then that run starts afresh."""
    seen = memory.seen
    whole = new_digest()
    try:
        memory.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_in_place(memory.folder / "made.pickle", digesting(_pickled(made), whole))
    except (CannotWrite, OSError):
        return False
    seen.pickled = whole.hexdigest()
    try:
        write_in_place(memory.folder / "seen.json", _encoded(seen))
    except (CannotWrite, OSError):
        return False
    _forget_others(memory.folder, made)
    return True
