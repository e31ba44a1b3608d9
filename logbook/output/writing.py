"""The one module that writes: each file beside its place, then moved in; what fails leaves what was there.

Everything that changes a disk goes through the six operations at the top, so that a test can make any one of them
fail, in turn, and see what is left.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import time
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from pathlib import Path


class CannotWrite(Exception):
    """The disk is full, a right is missing, a drive is gone. ``path`` is where, ``reason`` in plain words."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(path, reason)  # both, so that it comes whole out of a worker process
        self.path = path
        self.reason = reason

    def __str__(self) -> str:
        return f"{self.path}: {self.reason}"


class Busy(Exception):
    """Another run holds this site and did not finish in time."""


_TOGETHER = 256  # small pieces that are written at once

# The operations ------------------------------------------------------------------------------------------------------


def _create(path: Path, pieces: Iterable[bytes], mode: int = 0o666) -> None:
    """A new file of ``pieces``; what stood at ``path`` (a leftover, never a page) goes first: it may be a link."""
    how = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, how, mode)
    except FileExistsError:
        path.unlink()
        handle = os.open(path, how, mode)
    try:
        for piece in pieces:
            view = memoryview(piece)
            while view:
                view = view[os.write(handle, view) :]
    finally:
        os.close(handle)


def _replace(source: Path, target: Path) -> None:
    source.replace(target)


def _unlink(path: Path) -> None:
    path.unlink()


def _mkdir(path: Path, mode: int = 0o777) -> None:
    path.mkdir(mode, parents=True, exist_ok=True)


def _rmdir(path: Path) -> None:
    path.rmdir()


def _chmod(path: Path, mode: int) -> None:
    path.chmod(mode)


@contextlib.contextmanager
def _said_plainly(path: Path) -> Iterator[None]:
    """An OSError of an operation, as ``CannotWrite`` with the system's own words."""
    try:
        yield
    except OSError as error:
        raise CannotWrite(path, error.strerror or type(error).__name__) from error


# What the rest of the house calls ------------------------------------------------------------------------------------


def make_folder(path: Path) -> None:
    with _said_plainly(path):
        _mkdir(path)


def make_private_folder(path: Path) -> None:
    """A folder that nobody else may look into. ``CannotWrite`` where a link or somebody else's folder stands there."""
    with _said_plainly(path):
        if not path.parent.is_dir():
            _mkdir(path.parent, 0o700)
        _mkdir(path, 0o700)
        found = path.lstat()
        if not stat.S_ISDIR(found.st_mode) or (os.name != "nt" and found.st_uid != os.geteuid()):
            raise PermissionError(errno.EPERM, "is a link, or belongs to somebody else")
        if os.name != "nt" and stat.S_IMODE(found.st_mode) != 0o700:
            _chmod(path, 0o700)


def write_private(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a file that nobody else may read, beside ``path``, and move it in; what stood there is gone."""
    beside = path.with_name(f".{path.name}.part")
    try:
        with _said_plainly(path):
            _create(beside, in_stretches(pieces), 0o600)
            _replace(beside, path)
    except CannotWrite:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise


def in_stretches(pieces: Iterable[bytes]) -> Iterator[bytes]:
    """Thousands of small pieces, some joined at a time: few writes, and the whole never lies in memory."""
    left = iter(pieces)
    while some := list(islice(left, _TOGETHER)):
        yield b"".join(some)


def write_new(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a file that nobody reads yet (staging); its folder is made where missing."""
    with _said_plainly(path):
        try:
            _create(path, pieces)
        except FileNotFoundError:
            _mkdir(path.parent)
            _create(path, pieces)


def move_into_place(source: Path, target: Path) -> None:
    """Move ``source`` onto ``target`` in one step; a reader sees the old file or the new one, never a part.

    From another disk it is copied beside ``target`` first, to the last byte, and moved from there.
    """
    with _said_plainly(target):
        try:
            _move(source, target)
        except FileNotFoundError:
            _mkdir(target.parent)
            _move(source, target)


def _move(source: Path, target: Path) -> None:
    try:
        _replace(source, target)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        _replace(_copied_beside(source, target), target)


def copy_beside(source: Path, target: Path) -> Path:
    """Copy a file from another disk beside ``target``, to the last byte; it is to be moved from there."""
    with _said_plainly(target):
        _mkdir(target.parent)
        return _copied_beside(source, target)


def _copied_beside(source: Path, target: Path) -> Path:
    beside = part_beside(target)
    try:
        _create(beside, [source.read_bytes()])
        with beside.open("rb") as file:
            os.fsync(file.fileno())
    except OSError:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise
    return beside


def part_beside(target: Path) -> Path:
    """Where a file from another disk stands for a moment; a run that was killed then may leave it."""
    return target.with_name(f".{target.name}.logbook-part")


class ChangedMeanwhile(Exception):
    """A file is not what it was when it was read; it is left as it is now."""


def write_in_place(path: Path, pieces: Iterable[bytes], instead_of: bytes | None = None) -> None:
    """Write ``pieces`` beside ``path`` and move in; permissions stay. Nothing is written through a link.

    ``instead_of``: what the file held when it was read; where it holds something else by now, ``ChangedMeanwhile``.
    """
    if path.is_symlink():
        raise CannotWrite(path, "is a link; name the file that it leads to")
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        write_new(beside, pieces)
        with _said_plainly(path):
            if path.exists():
                _chmod(beside, stat.S_IMODE(path.stat().st_mode))
            if instead_of is not None and path.read_bytes() != instead_of:
                raise ChangedMeanwhile(f"{path.name} changed meanwhile")
        move_into_place(beside, path)
    except (CannotWrite, ChangedMeanwhile):
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise


def delete(path: Path) -> None:
    with _said_plainly(path), contextlib.suppress(FileNotFoundError):
        _unlink(path)


def delete_empty_folders(start: Path, root: Path) -> None:
    """Remove ``start`` and its parents below ``root`` as long as nothing is in them."""
    folder = start
    while folder != root and root in folder.parents:
        try:
            _rmdir(folder)
        except OSError:  # not empty, or gone: either way no business of ours any more
            return
        folder = folder.parent


def clear_folder(folder: Path) -> None:
    """Empty and remove a folder that only logbook writes into."""
    empty_folder(folder)
    with _said_plainly(folder):
        if folder.is_dir():
            _rmdir(folder)


def empty_folder(folder: Path) -> None:
    """Empty a folder that only logbook writes into (staging), where it is there."""
    with _said_plainly(folder):
        for inside, folders, names in os.walk(folder, topdown=False):
            for name in names:
                _unlink(Path(inside, name))
            for name in folders:
                path = Path(inside, name)
                if path.is_symlink():
                    _unlink(path)
                else:
                    _rmdir(path)


# One run at a time ---------------------------------------------------------------------------------------------------


@contextlib.contextmanager
def held(lock: Path, patience_s: float, waiting: Callable[[], None]) -> Iterator[None]:
    """Hold ``lock`` against other runs. The system frees it when a run dies, however it dies.

    ``waiting`` is called once when another run holds it; after ``patience_s`` seconds ``Busy`` is raised.
    """
    make_folder(lock.parent)
    with _said_plainly(lock):
        handle = os.open(lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
    try:
        _wait_for(handle, patience_s, waiting)
        yield
    finally:
        os.close(handle)


def _wait_for(handle: int, patience_s: float, waiting: Callable[[], None]) -> None:
    until = time.monotonic() + patience_s
    said = False
    while not _try_lock(handle):
        if not said:
            waiting()
            said = True
        if time.monotonic() > until:
            raise Busy
        time.sleep(0.05)


if os.name == "nt":
    import msvcrt

    def _try_lock(handle: int) -> bool:
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        except OSError:
            return False
        return True

else:
    import fcntl

    def _try_lock(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
