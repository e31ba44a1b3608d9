"""The one small file that exists while a site is watched: which files changed when, for pages that are open."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Sequence
from pathlib import Path

from logbook.output import writing
from logbook.output.record import FOLDER

_REMEMBERED = 30  # builds
_MOST_NAMES = 200  # of one build; beyond, every page reloads


def watching_file(site: Path) -> Path:
    return site / FOLDER / "watching.js"


def watching_lock(site: Path) -> Path:
    """Held by ``watch`` for as long as it runs, so that nobody takes its small file for a leftover."""
    return site / FOLDER / "watching.lock"


class Announcer:
    """Tells open pages of changes. ``now_ms`` is the wall clock just after the files were moved into place."""

    def __init__(self, site: Path) -> None:
        self._file = watching_file(site)
        self._changes: list[tuple[int, list[str]]] = []

    def tell(self, names: Sequence[str], now_ms: int) -> None:
        said = list(names) if len(names) <= _MOST_NAMES else ["*"]
        self._changes = [*self._changes, (now_ms, said)][-_REMEMBERED:]
        data = json.dumps(self._changes, separators=(",", ":"))
        beside = self._file.with_suffix(".part")
        writing.write_new(beside, [f"var logbookWatching={data};\n".encode()])
        writing.move_into_place(beside, self._file)

    def end(self) -> None:
        writing.delete(self._file)


def remove_leftover(site: Path) -> None:
    """Remove the small file of a watcher that was killed; one that is alive holds its lock."""
    if not watching_file(site).exists():
        return
    with contextlib.suppress(writing.Busy), writing.held(watching_lock(site), 0.0, lambda: None):
        writing.delete(watching_file(site))
