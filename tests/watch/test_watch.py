"""Editors of every habit, folders that come and go, and what open pages and the terminal are told."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
import warnings
from pathlib import Path

import pytest

from logbook.build.run import Builder, Request
from logbook.output.writing import Busy
from logbook.watch import BELIEVED_S, watch
from tests.build.conftest import files_of, log_text, words_of
from tests.watch.conftest import Watcher, cold, wait_until, watching


@pytest.fixture(autouse=True)
def own_cache_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LOGBOOK_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    folder = tmp_path / "logs"
    folder.mkdir()
    (folder / "van.txt").write_text(log_text("Parcel van", "spark: 3 none, 4 strong"), encoding="utf-8")
    (folder / "boat.txt").write_text(log_text("Launch", "firing: 2 dead, rest fires"), encoding="utf-8")
    return folder


def test_what_the_observer_warns_of_is_not_said_to_the_builder(logs: Path, tmp_path: Path) -> None:
    """Of a folder that it meets twice while it is being made the library warns, in words of its own inside."""
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        with watching(logs, tmp_path / "site"):
            for module in ("watchdog.observers.inotify", "elsewhere"):
                warnings.warn_explicit("Callback already exists", RuntimeWarning, "x.py", 1, module)
    assert len(said) == 1


def page(site: Path) -> str:
    return words_of(site, "van")


def by_truncating(log: Path, text: str) -> None:
    with log.open("w", encoding="utf-8") as file:
        file.write(text[:40])
        file.flush()
        file.write(text[40:])


def by_renaming(log: Path, text: str) -> None:
    beside = log.with_name(f".{log.name}.swp")
    beside.write_text(text, encoding="utf-8")
    backup = log.with_name(log.name + "~")
    backup.write_bytes(log.read_bytes())
    beside.replace(log)
    backup.unlink()


def by_moving_away_and_writing_anew(log: Path, text: str) -> None:
    log.rename(log.with_name(log.name + "~"))
    log.write_text(text, encoding="utf-8")


def in_a_burst(log: Path, text: str) -> None:
    for end in range(0, len(text), 7):
        log.write_text(text[:end], encoding="utf-8")
    log.write_text(text, encoding="utf-8")


@pytest.mark.parametrize("save", [by_truncating, by_renaming, by_moving_away_and_writing_anew, in_a_burst])
def test_however_an_editor_saves(logs: Path, tmp_path: Path, save: object) -> None:
    text = log_text("Parcel van", "spark: 3 none, 4 strong", "  The plug of 3 smells of fuel.")
    with watching(logs, tmp_path / "site") as watcher:
        save(logs / "van.txt", text)  # type: ignore[operator]
        wait_until(lambda: "smells of fuel" in page(tmp_path / "site"), "the saved line on the page")
        wait_until(lambda: any(line.startswith("van: ") for line in watcher.said), "the line in the terminal")
    rebuilt = [line for line in watcher.said if line.startswith("van: ")]
    assert all(" s. " in line and "roblems" in line for line in rebuilt)
    assert files_of(tmp_path / "site") == cold(logs, tmp_path / "cold")


def test_new_renamed_and_removed_logs(logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    with watching(logs, site):
        (logs / "2026").mkdir()
        (logs / "2026/tractor.txt").write_text(log_text("Tractor", "firing: 1 weak"), encoding="utf-8")
        wait_until((site / "2026/tractor/index.html").exists, "the page of a log in a new folder")
        (logs / "2026/tractor.txt").rename(logs / "digger.txt")
        wait_until((site / "digger/index.html").exists, "the page of the renamed log")
        (logs / "boat.txt").unlink()
        wait_until(lambda: not (site / "boat").exists() and not (site / "2026").exists(), "no pages left behind")
    assert files_of(site) == cold(logs, tmp_path / "cold")


def test_a_renamed_log_never_counts_twice(logs: Path, tmp_path: Path) -> None:
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("gizmo: 1 9.2\n")
    builder = Builder(Request((str(logs),), tmp_path / "site"), say=print)
    assert builder.run(time.time_ns()).errors == 1
    (logs / "van.txt").rename(logs / "lorry.txt")
    look = builder.look()
    outcome = builder.run(time.time_ns(), look, builder.suspects(look))
    assert (outcome.jobs, outcome.errors) == (2, 1)
    (logs / "boat.txt").unlink()
    assert builder.suspects(builder.look()) == {str(logs / "boat.txt")}


def test_a_log_that_went_while_the_shop_file_changed_ends_no_watching(
    logs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The log is believed to be there for a moment longer, and must be read again for another shop."""
    monkeypatch.setattr("logbook.watch.BELIEVED_S", 2.0)
    site = tmp_path / "site"
    with watching(logs, site) as watcher:
        (logs / "van.txt").unlink()
        (logs / "shop.txt").write_text("shop: Quay Engines\n", encoding="utf-8")
        wait_until(lambda: any("cannot be read any more" in line for line in watcher.said), "a word about the log")
        wait_until(lambda: not (site / "van").exists(), "no page of the log that went")
        assert "Quay Engines" in (site / "index.html").read_text(encoding="utf-8")


def test_a_file_that_is_empty_for_a_moment_is_not_believed(
    logs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("logbook.watch.BELIEVED_S", 600.0)  # a moment of a busy machine may be long
    site, log = tmp_path / "site", logs / "van.txt"
    with watching(logs, site) as watcher:
        text = log.read_text(encoding="utf-8")
        log.write_bytes(b"")
        (logs / "other.txt").write_text(log_text("Other", "firing: 1 weak"), encoding="utf-8")
        wait_until((site / "other/index.html").exists, "a build while the log is empty")
        assert "Parcel van" in page(site)
        log.write_text(text + "  Written again.\n", encoding="utf-8")
        wait_until(lambda: "Written again" in page(site), "the log as it is now")
        assert not any("not a log" in line for line in watcher.said)


def test_a_file_that_stays_away_is_believed_gone(logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    with watching(logs, site):
        before = time.monotonic()
        (logs / "van.txt").unlink()
        wait_until(lambda: not (site / "van").exists(), "the page gone")
        assert time.monotonic() - before >= BELIEVED_S
    assert files_of(site) == cold(logs, tmp_path / "cold")


def test_a_folder_that_vanishes_and_comes_back(logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    with watching(logs, site) as watcher:
        logs.rename(tmp_path / "away")
        wait_until(lambda: any("no such file or folder" in line for line in watcher.said), "the missing folder named")
        assert "Parcel van" in page(site)
        (tmp_path / "away").rename(logs)
        with (logs / "van.txt").open("a", encoding="utf-8") as file:
            file.write("  It is back.\n")
        wait_until(lambda: "It is back." in page(site), "the folder watched again")


def test_photos_come_and_go(logs: Path, tmp_path: Path) -> None:
    from PIL import Image

    site = tmp_path / "site"
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("photo: boot.jpg split\n")
    with watching(logs, site):
        Image.new("RGB", (64, 48), "white").save(logs / "boot.jpg")
        wait_until(lambda: "photos/" in page(site), "the photo on the page")
        (logs / "boot.jpg").unlink()
        wait_until(lambda: "photos/" not in page(site), "the photo gone")
    assert files_of(site) == cold(logs, tmp_path / "cold")


def test_the_site_inside_the_logs_does_not_loop(logs: Path) -> None:
    site = logs / "site"
    with watching(logs, site) as watcher:
        with (logs / "van.txt").open("a", encoding="utf-8") as file:
            file.write("  Once.\n")
        wait_until(lambda: "Once." in page(site), "the saved line")
        with (logs / "van.txt").open("a", encoding="utf-8") as file:
            file.write("  Twice.\n")
        wait_until(lambda: "Twice." in page(site), "the saved line")
    assert len([line for line in watcher.said if " s. " in line]) <= 4


def test_open_pages_are_told_only_while_watching(logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    told = site / ".logbook/watching.js"
    with watching(logs, site):
        wait_until(told.exists, "the small file")
        with (logs / "van.txt").open("a", encoding="utf-8") as file:
            file.write("  More.\n")
        wait_until(lambda: b'"van/' in told.read_bytes(), "the changed page named")
        prefix, data = told.read_text(encoding="utf-8").split("=", 1)
        assert prefix == "var logbookWatching"
        moment, names = json.loads(data.strip().rstrip(";"))[-1]
        assert moment <= time.time_ns() // 1_000_000
        assert "boat/index.html" not in names
    assert not told.exists()


def test_a_public_folder_holds_nothing_but_what_may_be_published(logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    watcher = Watcher(Request((str(logs),), site, copy="public", workers=1))
    watcher.begin()
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("  More.\n")
    wait_until(lambda: any(line.startswith("van: ") for line in watcher.said), "the page made again")
    assert {path.name for path in (site / ".logbook").iterdir()} == {"lock", "record-public.json", "watching.lock"}
    watcher.end()


def test_pages_are_the_same_whether_watched_or_not(logs: Path, tmp_path: Path) -> None:
    with watching(logs, tmp_path / "site"):
        watched = files_of(tmp_path / "site")
    assert watched == cold(logs, tmp_path / "cold")


def test_the_small_file_of_a_killed_watcher_is_removed_by_the_next_run(logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    cold(logs, site)
    (site / ".logbook/watching.js").write_text("var logbookWatching=[];", encoding="utf-8")
    (logs / "boat.txt").unlink()
    cold(logs, site)
    assert not (site / ".logbook/watching.js").exists()


def test_two_watchers_on_one_site(logs: Path, tmp_path: Path) -> None:
    with watching(logs, tmp_path / "site"), pytest.raises(Busy):
        watch(Request((str(logs),), tmp_path / "site"), False, lambda line: None, time.time_ns, threading.Event())


def test_the_second_of_two_runs_waits_and_says_so(logs: Path, tmp_path: Path) -> None:
    from logbook.output import writing

    site = tmp_path / "site"
    said: list[str] = []
    with writing.held(site / ".logbook/lock", 1.0, lambda: None):
        from logbook.build.run import Builder

        second = threading.Thread(
            target=lambda: Builder(Request((str(logs),), site, workers=1), say=said.append).run(time.time_ns())
        )
        second.start()
        wait_until(lambda: bool(said), "the second run says that it waits")
        assert not (site / "index.html").exists()
    second.join(30)
    assert (site / "index.html").exists()
    assert said == ["Another run is writing into this site; waiting for it to end."]


def test_polling_for_network_drives(logs: Path, tmp_path: Path) -> None:
    watcher = Watcher(Request((str(logs),), tmp_path / "site", workers=1))
    watcher._run = lambda: watch(watcher.request, True, watcher.said.append, time.time_ns, watcher.stop)  # type: ignore[method-assign]
    watcher._thread = threading.Thread(target=watcher._run, daemon=True)
    watcher.begin()
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("  Polled.\n")
    wait_until(lambda: "Polled." in page(tmp_path / "site"), "the change found by looking")
    watcher.end()


def test_ctrl_c_ends_cleanly(logs: Path, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "logbook", "watch", str(logs), "--to", str(tmp_path / "site")]
    env = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=env) as run:
        assert run.stdout is not None
        for line in run.stdout:
            if line.startswith("Watching"):
                run.send_signal(signal.SIGINT)
                break
        rest = run.stdout.read()
    assert run.returncode == 0
    assert rest == "Stopped.\n"
    assert not (tmp_path / "site/.logbook/watching.js").exists()


def test_removing_the_whole_site_while_watching(logs: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    with watching(logs, site):
        shutil.rmtree(site)
        with (logs / "van.txt").open("a", encoding="utf-8") as file:
            file.write("  Anew.\n")
        wait_until(lambda: "Anew." in page(site), "the site built again")
    assert files_of(site) == cold(logs, tmp_path / "cold")
