"""Which files of the site are whole, so that they need not be made or written again."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from logbook.output.record import Record, digest_of_file
from logbook.output.site import Stamp, stamp_of


class _Hashes(Mapping[str, str]):
    """The hashes among the stamps, without a copy of thousands."""

    def __init__(self, stamps: Mapping[str, Stamp]) -> None:
        self._stamps = stamps

    def __getitem__(self, name: str) -> str:
        return self._stamps[name][3]

    def __iter__(self) -> Iterator[str]:
        return iter(self._stamps)

    def __len__(self) -> int:
        return len(self._stamps)


class StandingFiles:
    """Name to hash of every whole file, and its stamp. ``looked``: each of them was looked at in this run."""

    def __init__(self, stamps: Mapping[str, Stamp], looked: bool) -> None:
        self.hashes: Mapping[str, str] = _Hashes(stamps)
        self.stamps = stamps
        self.looked = looked
        self._below: dict[str, dict[str, str]] | None = None

    def are_whole(self, files: Mapping[str, str]) -> bool:
        """Of a job or page that the last run left: are its files as it left them?"""
        if not self.looked:
            return True
        return all(self.hashes.get(name) == content for name, content in files.items())

    def of(self, names: Iterable[str]) -> dict[str, str]:
        return {name: self.hashes[name] for name in names if name in self.hashes}

    def below(self, address: str) -> dict[str, str]:
        """The whole files of a job of which nothing is remembered."""
        if self._below is None:
            self._below = {}
            for name, content in self.hashes.items():
                steps = name.split("/")
                for depth in range(1, len(steps)):
                    self._below.setdefault("/".join(steps[:depth]), {})[name] = content
        return self._below.get(address, {})


def as_remembered(outputs: Mapping[str, Stamp]) -> StandingFiles:
    """All that the last run left, without a look at any of it."""
    return StandingFiles(outputs, looked=False)


def looked_at(site: Path, record: Record, outputs: Mapping[str, Stamp]) -> StandingFiles:
    """Those that are as remembered by their stamp, or as recorded by their content."""
    stamps: dict[str, Stamp] = {}
    for name in {*outputs, *record.files, *record.moving}:
        path = site / name
        try:
            found = os.stat(path)
        except OSError:
            continue
        known = outputs.get(name)
        if known is not None and stamp_of(found, known[3]) == tuple(known):
            stamps[name] = known
        elif record.is_unchanged(name, content := digest_of_file(path) or ""):
            stamps[name] = stamp_of(found, content)
    return StandingFiles(stamps, looked=True)
