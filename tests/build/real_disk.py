"""One real full disk, and one run without rights, outside the suite: ``python -m tests.build.real_disk`` (root, Linux).

A small file system in memory is filled to its last byte while a site is rebuilt; then a user without rights tries to
write into a site of root's. After each: exit status 2, a clear message, every page whole, and the next run mends it.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from click.testing import CliRunner

from logbook.cli import main
from tests.build.conftest import files_of, log_text
from tests.build.test_faults import change, check_pages

NOBODY = 65534


def report(logs: Path, site: Path, cache: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "logbook", "report", str(logs), "--to", str(site), "--workers", "1"]
    root = Path(__file__).resolve().parents[2]
    env = {**os.environ, "LOGBOOK_CACHE": str(cache), "PYTHONPATH": str(root)}
    return subprocess.run(command, capture_output=True, text=True, env=env, cwd=logs)


@contextmanager
def small_disk(place: Path, size: str) -> Iterator[Path]:
    place.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(place)], check=True)
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def make_logs(folder: Path) -> Path:
    folder.mkdir()
    for name, line in (("van", "spark: 3 none"), ("boat", "firing: 2 dead")):
        (folder / f"{name}.txt").write_text(log_text(name, line), encoding="utf-8")
    return folder


def full_disk(top: Path) -> str:
    logs = make_logs(top / "logs")
    with small_disk(top / "disk", "3m") as disk:
        site = disk / "site"
        first = report(logs, site, top / "cache")
        assert first.returncode == 0, first.stderr
        old = files_of(site)
        change(logs)
        filler = (disk / "filler").open("wb")
        left = os.statvfs(disk).f_bavail * os.statvfs(disk).f_bsize
        filler.write(b"x" * (left - 8192))
        filler.flush()
        full = report(logs, site, top / "cache")
        assert full.returncode == 2, full.stdout
        assert "No space left on device" in full.stderr
        check_pages(site)
        assert files_of(site) == old
        filler.close()
        (disk / "filler").unlink()
        again = report(logs, site, top / "cache")
        assert again.returncode == 0, again.stderr
        report(logs, top / "cold", top / "other-cache")
        assert files_of(site) == files_of(top / "cold")
    return full.stderr.strip()


def without_rights(top: Path) -> str:
    """The same process as another user: an interpreter in root's own folder could not be started by anybody else."""
    logs = make_logs(top / "logs-of-all")
    site = top / "site-of-root"
    assert report(logs, site, top / "cache-of-root").returncode == 0
    old = files_of(site)
    change(logs)
    top.chmod(0o755)
    cache, said = top / "cache-of-nobody", top / "said"
    for path in (cache, said):
        path.mkdir()
        os.chown(path, NOBODY, NOBODY)
    CliRunner().invoke(main, ["report", str(logs), "--to", str(top / "warm"), "--workers", "1"])  # loads everything
    child = os.fork()
    if child == 0:
        os.setuid(NOBODY)
        os.environ["LOGBOOK_CACHE"] = str(cache)
        result = CliRunner().invoke(main, ["report", str(logs), "--to", str(site), "--workers", "1"])
        (said / "words").write_text(result.output, encoding="utf-8")
        os._exit(result.exit_code)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    words = (said / "words").read_text(encoding="utf-8").strip()
    assert status == 2, words
    assert "Permission denied" in words
    assert files_of(site) == old
    assert report(logs, site, top / "cache-of-root").returncode == 0
    return words


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        print("full disk:", full_disk(Path(place)))
        print("no rights:", without_rights(Path(place)))
