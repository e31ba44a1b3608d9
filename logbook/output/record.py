"""What logbook wrote into a site: names and hashes, nothing of what was read. It decides what is ours."""

from __future__ import annotations

import contextlib
import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Literal

from logbook.output.writing import delete, in_stretches, move_into_place, write_new

Copy = Literal["shop", "public"]
COPIES: tuple[Copy, ...] = ("shop", "public")

FOLDER = ".logbook"  # in the site; everything in it is ours
VERSION = 1
# A file of the site: no step begins with a dot, so none leads upwards or into a hidden folder, and none is absolute.
SITE_NAME = re.compile(r"[a-z0-9_][a-z0-9._-]*(/[a-z0-9_][a-z0-9._-]*)*", re.ASCII)
_NAMES = 1024  # that are listed at once


def digest(data: bytes) -> str:
    """The hash by which content is known everywhere: 32 hex digits."""
    return new_digest(data).hexdigest()


def new_digest(data: bytes = b"") -> hashlib.blake2b:
    return hashlib.blake2b(data, digest_size=16)


def digesting(pieces: Iterable[bytes], whole: hashlib.blake2b) -> Iterator[bytes]:
    """The same pieces, counted into ``whole`` as they go by."""
    for piece in pieces:
        whole.update(piece)
        yield piece


def digest_of_file(path: Path) -> str | None:
    """The hash of a regular file's content; None where there is none or it cannot be read."""
    try:
        return digest(path.read_bytes()) if path.is_file() else None
    except OSError:
        return None


@dataclass(frozen=True, slots=True)
class Record:
    """``files``: name in the site to hash. ``moving``: names that an interrupted run was moving in, and their hashes.

    ``damaged`` is True where a record lies there that cannot be read: then the folder is logbook's, but nothing says
    which files are, so nothing is deleted.
    """

    copy: Copy | None = None
    files: Mapping[str, str] = field(default_factory=dict)
    moving: Mapping[str, str] = field(default_factory=dict)
    damaged: bool = False

    def wrote(self, name: str) -> bool:
        return name in self.files or name in self.moving

    def is_unchanged(self, name: str, found: str | None) -> bool:
        """Is the content with hash ``found`` what logbook itself put there?"""
        return found is not None and found in (self.files.get(name), self.moving.get(name))


def _record_file(site: Path, copy: Copy) -> Path:
    return site / FOLDER / f"record-{copy}.json"


def _moving_file(site: Path, copy: Copy) -> Path:
    return site / FOLDER / f"moving-{copy}.json"


def _parse(path: Path) -> dict[str, str] | None:
    """The files of one record; None where it is damaged or of another version. Missing raises FileNotFoundError."""
    try:
        data = json.loads(path.read_bytes())
    except FileNotFoundError:
        raise
    except (OSError, ValueError):
        return None
    if not isinstance(data, dict) or data.get("version") != VERSION or not isinstance(data.get("files"), dict):
        return None
    files: dict[str, str] = data["files"]
    if not all(SITE_NAME.fullmatch(name) and isinstance(value, str) for name, value in files.items()):
        return None  # a name that logbook never gives: nothing of such a record is believed
    return files


def read_record(site: Path) -> Record:
    """What earlier runs wrote into ``site``. The copy is told by the file's name, so damage does not hide it."""
    for copy in COPIES:
        parsed: dict[str, dict[str, str] | None] = {}
        for role, path in (("files", _record_file(site, copy)), ("moving", _moving_file(site, copy))):
            with contextlib.suppress(FileNotFoundError):
                parsed[role] = _parse(path)
        if parsed:
            files, moving = parsed.get("files", {}), parsed.get("moving", {})
            return Record(copy, files or {}, moving or {}, damaged=files is None or moving is None)
    return Record()


def record_state(site: Path, copy: Copy) -> tuple[int, ...]:
    """Size, time and inode of the record; nothing while a run is half-way, or where there is none."""
    if _moving_file(site, copy).exists():
        return ()
    try:
        found = _record_file(site, copy).stat()
    except OSError:
        return ()
    return (found.st_size, found.st_mtime_ns, found.st_ino)


def _listing(files: Mapping[str, str]) -> bytes:
    """Some files of a record as they are written, each after a comma."""
    told = json.dumps(dict(sorted(files.items())), separators=(",", ":"))[1:-1]
    return f",{told}".encode() if told else b""


def _encoded(listings: Iterable[bytes]) -> Iterator[bytes]:
    """A record in pieces, so that one of thousands of jobs is never held as a whole."""
    some = filter(None, listings)
    yield b'{"version":%d,"files":{' % VERSION
    yield next(some, b"")[1:]
    yield from some
    yield b"}}"


def announce(site: Path, copy: Copy, files: Iterable[tuple[str, str]]) -> None:
    """Before the first file is moved in: say which will be, so that a run that dies half-way is understood."""
    left = iter(files)
    some = iter(lambda: dict(islice(left, _NAMES)), {})
    _put(_moving_file(site, copy), _encoded(map(_listing, some)))


def settle(site: Path, copy: Copy, made: Iterable[Mapping[str, str]]) -> None:
    """After the last file was moved in: the record is the truth again. ``made`` are all files together."""
    _put(_record_file(site, copy), _encoded(map(_listing, made)))
    delete(_moving_file(site, copy))


def _put(path: Path, pieces: Iterable[bytes]) -> None:
    beside = path.with_suffix(".part")
    write_new(beside, in_stretches(pieces))
    move_into_place(beside, path)
