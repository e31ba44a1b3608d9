"""The site as a folder: what is staged for it elsewhere, the check of what is ours, and the move into place."""

from __future__ import annotations

import os
import stat
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from logbook.output import writing
from logbook.output.record import (
    FOLDER,
    SITE_NAME,
    Copy,
    Record,
    announce,
    digest,
    digest_of_file,
    digesting,
    new_digest,
    settle,
)

Stamp = tuple[int, int, int, str]  # size, mtime in ns, inode, content hash


class Refused(Exception):
    """logbook does not go on: it would have to touch what is not its own, or what it was given does not work.

    ``paths`` are the files it is about; ``mend`` says what to do.
    """

    def __init__(self, message: str, mend: str, paths: tuple[str, ...] = ()) -> None:
        super().__init__(message, mend, paths)  # all, so that it comes whole out of a worker process
        self.message = message
        self.mend = mend
        self.paths = paths


def staged_path(staging: Path, name: str) -> Path:
    """Where a file waits: all in one folder, so that nothing is made or removed but files."""
    return staging / digest(name.encode())


@dataclass(slots=True)
class Stage:
    """Takes the files of one piece of the site (a job, the shelf) and writes those that are new into staging.

    ``trusted`` are the hashes of files that stand in the site already and were found whole: they are not written again.
    """

    folder: Path
    trusted: Mapping[str, str] = field(default_factory=dict)
    made: dict[str, str] = field(default_factory=dict)  # every file of the piece, name to hash
    staged: dict[str, Stamp] = field(default_factory=dict)  # those that were written into staging

    def put(self, name: str, data: bytes) -> None:
        """Add a file. ``name`` is relative, lower-case ASCII with '/' between folders; anything else is a defect."""
        found = digest(data)
        if self._is_new(name, found):
            self.staged[name] = stamp_of(self._write(name, [data]).stat(), found)

    def stream(self, name: str, pieces: Iterable[bytes]) -> None:
        """Add a file that never lies in memory as a whole, so it is written before it is known whether it is new."""
        whole = new_digest()
        path = self._write(name, digesting(pieces, whole))
        found = whole.hexdigest()
        if self._is_new(name, found):
            self.staged[name] = stamp_of(path.stat(), found)
        elif name not in self.staged:
            writing.delete(path)

    def _is_new(self, name: str, found: str) -> bool:
        if not SITE_NAME.fullmatch(name):
            raise ValueError(f"not a name for a file of the site: {name!r}")
        if self.made.setdefault(name, found) != found:
            raise ValueError(f"two different files of one name in the site: {name!r}")
        return self.trusted.get(name) != found and name not in self.staged

    def _write(self, name: str, pieces: Iterable[bytes]) -> Path:
        path = staged_path(self.folder, name)
        try:
            writing.write_new(path, pieces)
        except writing.CannotWrite as error:
            raise writing.CannotWrite(Path(name), error.reason) from error
        return path

    def keep(self, name: str) -> None:
        """A file that stands in the site is still right and need not be made again."""
        self.made[name] = self.trusted[name]


def stamp_of(found: os.stat_result, content: str) -> Stamp:
    return (found.st_size, found.st_mtime_ns, found.st_ino, content)


def check_target(site: Path, folders: Iterable[Path]) -> None:
    """May the site lie at ``site``? Not where it is a file, or is or contains a folder of logs."""
    if site.exists() and not site.is_dir():
        raise Refused(f"{site} is a file", "give --to a folder")
    place = site.resolve()
    for folder in folders:
        logs = folder.resolve()
        if place == logs or place in logs.parents:
            relation = "is" if place == logs else "contains"
            raise Refused(f"{site} {relation} the folder of logs {folder}", "give --to a folder of its own")


def check_folder(site: Path) -> None:
    """May logbook write into its own folder of the site? Not where a link stands in it, which would lead elsewhere."""
    folder = site / FOLDER
    try:
        mode = folder.lstat().st_mode
    except FileNotFoundError:
        return
    strange = [folder] if not stat.S_ISDIR(mode) else []
    if not strange:
        with os.scandir(folder) as entries:
            strange = [Path(e.path) for e in entries if e.is_symlink() or not (e.is_file() or e.is_dir())]
    if strange:
        names = tuple(sorted(path.relative_to(site).as_posix() for path in strange))
        raise Refused(
            f"{site} holds links where only logbook writes", "remove them, or give --to another folder", names
        )


def remove_leftovers(site: Path, record: Record) -> None:
    """What a run that was killed while it moved files in from another disk left beside them."""
    for name in record.moving:
        part = writing.part_beside(site / name)
        if part.exists():
            writing.delete(part)
            writing.delete_empty_folders(part.parent, site)


def check_copy(site: Path, record: Record, copy: Copy) -> None:
    if record.copy is not None and record.copy != copy:
        raise Refused(
            f"{site} holds the {record.copy} copy, and this would be the {copy} copy",
            "a folder holds one copy: give --to another folder",
        )


@dataclass(frozen=True, slots=True)
class Committed:
    """What a move into place did. ``kept`` are files of removed jobs that somebody changed: left where they are."""

    written: tuple[str, ...]  # in the order in which they were moved in
    stamps: Mapping[str, Stamp]  # of the same
    deleted: tuple[str, ...]
    kept: tuple[str, ...]
    rewritten: tuple[str, ...]  # pages of ours that somebody had changed by hand


def _holder(site: Path, name: str) -> str | None:
    """What stands in the way of ``name``: the first of its folders that is not a real folder."""
    parts = name.split("/")
    for depth in range(1, len(parts)):
        part = "/".join(parts[:depth])
        try:
            mode = (site / part).lstat().st_mode
        except FileNotFoundError:
            return None
        if not stat.S_ISDIR(mode):
            return part
    return None


def _foreign(site: Path, record: Record, known: Mapping[str, str], staged: Mapping[str, Stamp]) -> list[str]:
    """Paths that the run is about to write and that hold what logbook did not write."""
    found = []
    for name, (_, _, _, content) in staged.items():
        holder = _holder(site, name)
        if holder is not None:
            found.append(holder)
            continue
        try:
            mode = (site / name).lstat().st_mode
        except FileNotFoundError:
            continue
        if stat.S_ISREG(mode) and (record.wrote(name) or name in known or digest_of_file(site / name) == content):
            continue
        found.append(name)
    return sorted(set(found))


def _order(name: str) -> tuple[int, str]:
    """Pages come after what they show; after them what leads to them: data of the search, feed, pages at the top."""
    leads = "/" not in name and not name.endswith(".json")
    return (2 * leads + name.endswith(".html"), name)


def commit(
    site: Path,
    stage: Path,
    copy: Copy,
    record: Record,
    known: Mapping[str, str],
    staged: Mapping[str, Stamp],
    gone: Collection[str],
    made: Iterable[Mapping[str, str]],
) -> Committed:
    """Move what is staged into place, delete what is ours and no longer made, and settle the record.

    ``known`` are files that are as an earlier run left them, by what it remembers; ``gone`` are recorded files that
    are no longer made; ``made`` are all files of the site, name to hash. Raises ``Refused`` before anything is
    touched, and ``CannotWrite`` when the disk fails on the way: each file is then the old one or the new one.
    """
    foreign = _foreign(site, record, known, staged)
    if foreign:
        raise Refused(
            f"{site} holds files that logbook did not write, where it is about to write its own",
            "move them away, or give --to another folder",
            tuple(foreign),
        )
    rewritten = [n for n in staged if n in record.files and not _as_recorded(site, record, n)]
    moved = sorted(staged, key=_order)
    announce(site, copy, ((name, staged[name][3]) for name in moved))
    if _on_one_disk(stage, site):
        for name in moved:
            writing.move_into_place(staged_path(stage, name), site / name)
    else:
        staged = _brought_in(site, stage, moved, staged)
    deleted, kept = _delete_gone(site, record, sorted(gone))
    settle(site, copy, made)
    return Committed(tuple(moved), staged, tuple(deleted), tuple(kept), tuple(rewritten))


def _on_one_disk(stage: Path, site: Path) -> bool:
    return stage.stat().st_dev == site.stat().st_dev


def _brought_in(site: Path, stage: Path, names: Sequence[str], staged: Mapping[str, Stamp]) -> dict[str, Stamp]:
    """From another disk: all files are copied beside their places before the first is moved, so that a disk that is
    full leaves the site as it was. The answer are the stamps of the copies.
    """
    try:
        for name in names:
            writing.copy_beside(staged_path(stage, name), site / name)
    except writing.CannotWrite:
        for name in names:
            writing.delete(writing.part_beside(site / name))
            writing.delete_empty_folders((site / name).parent, site)
        raise
    for name in names:
        writing.move_into_place(writing.part_beside(site / name), site / name)
    return {name: stamp_of((site / name).stat(), staged[name][3]) for name in names}


def _as_recorded(site: Path, record: Record, name: str) -> bool:
    found = digest_of_file(site / name)
    return found is None or record.is_unchanged(name, found)


def _delete_gone(site: Path, record: Record, gone: Collection[str]) -> tuple[list[str], list[str]]:
    """Delete files that logbook wrote and that are as it wrote them; name those that somebody changed since."""
    deleted, kept = [], []
    for name in gone:
        path = site / name
        if path.is_symlink() or _holder(site, name) is not None:
            kept.append(name)
        elif not path.exists():
            continue
        elif record.is_unchanged(name, digest_of_file(path)):
            writing.delete(path)
            writing.delete_empty_folders(path.parent, site)
            deleted.append(name)
        else:
            kept.append(name)
    return deleted, kept


def strays(site: Path, ours: Collection[str]) -> tuple[str, ...]:
    """Files in the site that are not of this build: nobody can say who wrote them once the record is damaged.

    Dot files and dot folders are nobody's business.
    """
    found = []
    for inside, folders, names in os.walk(site):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        relative = Path(inside).relative_to(site)
        found += [(relative / name).as_posix() for name in names if not name.startswith(".")]
    return tuple(sorted(set(found) - set(ours)))
