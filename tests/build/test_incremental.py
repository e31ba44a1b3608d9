"""What has the same inputs is not made again; what has changed is, and nothing else."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from logbook.build.cache import cache_of
from tests.build.conftest import Build, files_of, log_text, words_of


def times(site: Path) -> dict[str, int]:
    return {path.as_posix(): path.stat().st_mtime_ns for path in site.rglob("*") if path.is_file()}


def test_a_second_run_makes_and_writes_nothing(build: Build, site: Path) -> None:
    first = build()
    assert sorted(first.made) == ["boat", "van"]
    before = times(site)
    again = build()
    assert (again.made, again.written, again.deleted) == ((), (), ())
    assert again.shown == first.shown
    assert times(site) == before


def test_only_the_changed_job_is_made_again(build: Build, logs: Path, site: Path) -> None:
    build()
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("  The plug of 3 smells of fuel.\n")
    again = build()
    assert again.made == ("van",)
    assert {name.split("/")[0] for name in again.written} <= {"van", "search-data.js", "index.html"}
    assert "smells of fuel" in words_of(site, "van")


def test_what_leads_to_a_page_comes_after_it_and_what_it_shows_before(build: Build) -> None:
    came = [name for name in build().written if name.startswith("van/") or "/" not in name]
    page = came.index("van/index.html")
    assert {"van/data.json", "data.schema.json"} <= set(came[:page])
    assert {"search-data.js", "index.html", "parts.html"} <= set(came[page:])


def test_incremental_equals_cold(build: Build, logs: Path, site: Path, tmp_path: Path) -> None:
    build()
    (logs / "van.txt").write_text(log_text("Parcel van", "cut-out: 1 70, 2 71, 3 0, 4 69"), encoding="utf-8")
    (logs / "tractor.txt").write_text(
        log_text("Tractor", "compression: 1 11.2, 2 11.4, 3 11.3, 4 7.1"), encoding="utf-8"
    )
    (logs / "boat.txt").unlink()
    build()
    build(to=tmp_path / "cold")
    assert files_of(site) == files_of(tmp_path / "cold")


def test_a_file_touched_but_not_changed_makes_nothing(build: Build, logs: Path) -> None:
    build()
    os.utime(logs / "van.txt", ns=(1_700_000_000_000_000_000, 1_700_000_000_000_000_000))
    again = build()
    assert (again.made, again.written) == ((), ())


def test_a_change_within_the_same_clock_tick_is_seen(build: Build, logs: Path, site: Path) -> None:
    """Same size, same time, same inode: the stamp does not tell, so a file this fresh is read."""
    log = logs / "van.txt"
    moment = log.stat().st_mtime_ns
    build(now_ns=moment + 500_000_000)
    log.write_text(log.read_text(encoding="utf-8").replace("3 none", "2 none"), encoding="utf-8")
    os.utime(log, ns=(moment, moment))
    assert build(now_ns=moment + 600_000_000).made == ("van",)
    assert "2 none" in words_of(site, "van").replace("\u00a0", " ")


def test_a_page_deleted_by_hand_comes_back(build: Build, site: Path) -> None:
    build()
    whole = files_of(site)
    (site / "van/index.html").unlink()
    assert build().written == ("van/index.html",)
    assert files_of(site) == whole


def test_a_page_changed_by_hand_is_written_again_and_said(build: Build, site: Path) -> None:
    build()
    whole = files_of(site)
    (site / "van/index.html").write_text("mine", encoding="utf-8")
    build()
    assert files_of(site) == whole
    assert build.said == ["van/index.html was changed by hand; it is written again."]  # type: ignore[attr-defined]


def test_a_removed_log_leaves_nothing_behind(build: Build, logs: Path, site: Path) -> None:
    build()
    (logs / "boat.txt").unlink()
    assert "boat/index.html" in build().deleted
    assert not (site / "boat").exists()
    assert b"Launch" not in (site / "index.html").read_bytes()


def test_losing_the_cache_costs_a_rebuild_and_writes_nothing(build: Build, site: Path, tmp_path: Path) -> None:
    build()
    before = times(site / "van")
    for path in (tmp_path / "cache").rglob("*.*"):
        path.unlink()
    again = build()
    assert sorted(again.made) == ["boat", "van"]
    assert again.written == ()
    assert times(site / "van") == before


def test_a_damaged_cache_is_said_and_distrusted(build: Build, site: Path, tmp_path: Path) -> None:
    for name, damage in (("seen.json", b'{"code": 1'), ("jobs.jsonl", b"no json at all")):
        build()
        whole = files_of(site)
        (next((tmp_path / "cache").rglob(name))).write_bytes(damage)
        (site / "van/index.html").unlink()
        build.said.clear()  # type: ignore[attr-defined]
        assert sorted(build().made) == ["boat", "van"]
        assert files_of(site) == whole
        assert build.said == ["What was remembered of earlier runs is damaged: everything is made again."]  # type: ignore[attr-defined]


def test_a_photo_that_comes_later_is_seen(build: Build, logs: Path, site: Path) -> None:
    log = logs / "van.txt"
    log.write_text(log.read_text(encoding="utf-8") + "photo: boot.jpg split\n", encoding="utf-8")
    assert build().errors == 1
    from PIL import Image

    Image.new("RGB", (64, 48), "white").save(logs / "boot.jpg")
    again = build()
    assert (again.made, again.errors) == (("van",), 0)
    assert len(list((site / "van/photos").iterdir())) == 1


def test_the_shop_file_is_an_input_of_every_job(build: Build, logs: Path, site: Path) -> None:
    build()
    (logs / "shop.txt").write_text("shop: Quay Engines\n", encoding="utf-8")
    assert sorted(build().made) == ["boat", "van"]
    assert b"Quay Engines" in (site / "index.html").read_bytes()


def test_a_run_with_nothing_changed_loads_no_heavy_library(logs: Path, site: Path, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "logbook", "report", str(logs), "--to", str(site)]
    env = {**os.environ, "LOGBOOK_CACHE": str(tmp_path / "cache")}
    for log in logs.glob("*.txt"):
        os.utime(log, ns=(1_700_000_000_000_000_000, 1_700_000_000_000_000_000))
    subprocess.run(command, check=True, env=env, capture_output=True)
    timed = subprocess.run(
        [command[0], "-X", "importtime", *command[1:]], check=True, env=env, capture_output=True, text=True
    )
    assert "nothing has changed" in timed.stdout
    loaded = {line.rsplit("|", 1)[-1].strip().split(".")[0] for line in timed.stderr.splitlines()}
    assert not loaded & {"jinja2", "matplotlib", "numpy", "PIL", "markdown_it", "watchdog"}


def test_what_was_seen_of_thousands_of_files_is_read_back_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOGBOOK_CACHE", str(tmp_path / "cache"))
    known = cache_of(tmp_path / "site", "code", "request")
    known.seen.outputs = {f"job-{n}/é.html": (n, n, n, "f" * 32) for n in range(5000)}
    assert known.remember([])
    again = cache_of(tmp_path / "site", "code", "request").seen
    assert again.outputs == known.seen.outputs
    assert again.inputs == {}
