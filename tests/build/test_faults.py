"""A full disk, a lost right, a broken drive: at every write, move and delete in turn, in the one module that writes.

After each the site holds only whole files, old or new, and the next run brings it to what a cold build makes.
"""

from __future__ import annotations

import errno
import html.parser
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from logbook.output import writing
from logbook.output.writing import CannotWrite
from tests.build.conftest import Build, files_of, log_text

OPERATIONS = ("_create", "_replace", "_unlink", "_mkdir", "_rmdir")
REASONS = (errno.ENOSPC, errno.EACCES, errno.EIO)


class Faults:
    """Counts the operations and makes the ``at``-th of them fail, as the system would."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.count = 0
        self.at = -1
        self.reason = errno.ENOSPC
        for name in OPERATIONS:
            monkeypatch.setattr(writing, name, self._faulty(name, getattr(writing, name)))

    def _faulty(self, name: str, work: Callable[..., None]) -> Callable[..., None]:
        def operation(*given: object) -> None:
            self.count += 1
            if self.count - 1 != self.at:
                return work(*given)
            if name == "_create":  # a full disk stops in the middle of a file
                whole = b"".join(given[1])  # type: ignore[arg-type]
                work(given[0], [whole[: len(whole) // 2]])
            raise OSError(self.reason, os.strerror(self.reason))

        return operation


def change(logs: Path) -> None:
    """One job changed, one new, one gone."""
    (logs / "van.txt").write_text(log_text("Parcel van", "spark: 3 weak, 4 strong"), encoding="utf-8")
    (logs / "tractor.txt").write_text(log_text("Tractor", "firing: 4 weak, rest fires"), encoding="utf-8")
    (logs / "boat.txt").unlink()


def check_pages(site: Path) -> None:
    for name, content in files_of(site).items():
        if name.endswith(".html"):
            text = content.decode("utf-8")
            html.parser.HTMLParser().feed(text)
            assert text.rstrip().endswith("</html>"), name


@pytest.fixture
def scene(build: Build, logs: Path, site: Path, tmp_path: Path) -> Iterator[tuple[dict[str, bytes], dict[str, bytes]]]:
    """A site as it was, and a folder of logs that has changed since; the answer is the old site and the new one."""
    build()
    old = files_of(site)
    shutil.copytree(site, tmp_path / "site-before", symlinks=True)
    shutil.copytree(tmp_path / "cache", tmp_path / "cache-before")
    change(logs)
    build(to=tmp_path / "cold")
    yield old, files_of(tmp_path / "cold")


def restore(site: Path, tmp_path: Path) -> None:
    for name in ("site", "cache"):
        shutil.rmtree(tmp_path / name)
        shutil.copytree(tmp_path / f"{name}-before", tmp_path / name, symlinks=True)


def test_every_operation_may_fail(
    build: Build, site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    scene: tuple[dict[str, bytes], dict[str, bytes]],
) -> None:  # fmt: skip
    old, new = scene
    faults = Faults(monkeypatch)
    restore(site, tmp_path)
    build()
    total = faults.count
    assert total > 30
    failed = 0
    for at in range(total):
        restore(site, tmp_path)
        faults.count, faults.at, faults.reason = 0, at, REASONS[at % len(REASONS)]
        try:
            build()
        except CannotWrite as error:
            failed += 1
            assert error.reason == os.strerror(faults.reason)
        left = files_of(site)
        assert all(left[name] in (old.get(name), new.get(name)) for name in left), at
        check_pages(site)
        faults.at = -1
        build()
        assert files_of(site) == new, at
    assert failed > total / 2


def test_the_first_build_on_a_full_disk_leaves_nothing_and_the_next_one_works(
    build: Build, site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build(to=tmp_path / "cold")
    faults = Faults(monkeypatch)
    faults.at = 12
    with pytest.raises(CannotWrite, match=os.strerror(errno.ENOSPC)):
        build()
    assert files_of(site) == {}
    build()
    assert files_of(site) == files_of(tmp_path / "cold")
