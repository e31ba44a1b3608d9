"""kill -9 at any moment: pages stay whole, and the next run mends the rest.

``LOGBOOK_KILLS`` is the number of moments (20 in the suite, 300 by the command in DEVELOPERS.md).
"""

from __future__ import annotations

import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.output import writing
from tests.build.conftest import Build, files_of
from tests.build.test_faults import OPERATIONS, check_pages, restore, scene

__all__ = ["scene"]

KILLS = int(os.environ.get("LOGBOOK_KILLS", "20"))


def in_a_child(work: Callable[[], object], kill_after_s: float | None) -> None:
    """Run ``work`` in a process of its own and kill it after a time; None: it kills itself."""
    child = os.fork()
    if child == 0:
        try:
            work()
        finally:
            os._exit(0)
    if kill_after_s is not None:
        time.sleep(kill_after_s)
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def operations_of(build: Build, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many operations on the disk a build makes."""
    count = 0

    def counted(work: Callable[..., None]) -> Callable[..., None]:
        def one(*given: object) -> None:
            nonlocal count
            count += 1
            work(*given)

        return one

    with monkeypatch.context() as patch:
        for name in OPERATIONS:
            patch.setattr(writing, name, counted(getattr(writing, name)))
        build()
    return count


def dying_at(operation: int, build: Build) -> Callable[[], object]:
    """A build that is killed just before its n-th operation on the disk."""
    count = 0

    def counted(work: Callable[..., None]) -> Callable[..., None]:
        def one(*given: object) -> None:
            nonlocal count
            count += 1
            if count > operation:
                os.kill(os.getpid(), signal.SIGKILL)
            work(*given)

        return one

    def run() -> None:
        for name in OPERATIONS:
            setattr(writing, name, counted(getattr(writing, name)))
        build()

    return run


@pytest.mark.filterwarnings("ignore:This process.*is multi-threaded:DeprecationWarning")
def test_killed_at_random_moments(
    build: Build,
    site: Path,
    tmp_path: Path,
    scene: tuple[dict[str, bytes], dict[str, bytes]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    old, new = scene
    restore(site, tmp_path)
    operations = operations_of(build, monkeypatch)
    restore(site, tmp_path)
    started = time.monotonic()
    build()
    whole_s = time.monotonic() - started
    chance = random.Random(20)
    half_way = 0
    for number in range(KILLS):
        restore(site, tmp_path)
        if number % 2:
            in_a_child(build, chance.random() * whole_s * 1.2)
        else:
            in_a_child(dying_at(int(operations * (number + chance.random()) / KILLS), build), None)
        left = files_of(site)
        assert all(left[name] in (old.get(name), new.get(name)) for name in left)
        check_pages(site)
        half_way += left not in (old, new)
        build()
        assert files_of(site) == new
    assert half_way >= KILLS // 10
