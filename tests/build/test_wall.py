"""One log that cannot be worked out costs its own page alone: the others are built, and it is told."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.build import stages
from logbook.build.run import Builder, Request
from logbook.job import ledger
from logbook.pages import parts_shelf
from tests.build.conftest import Build, files_of, log_text, words_of

Break = Callable[[str], None]


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Break:
    """Make one stage fail on the log of this name, as a defect of the program would; "" mends it."""
    names: set[str] = set()
    whole = stages.diagnose

    def diagnose(job: object, *more: object) -> object:
        if job.path in names:  # type: ignore[attr-defined]
            raise KeyError("Mrs Private")
        return whole(job, *more)  # type: ignore[arg-type]

    def set_to(name: str) -> None:
        names.clear()
        names.add(name)

    stages._recent.clear()  # as a new process begins
    monkeypatch.setattr(stages, "diagnose", diagnose)
    return set_to


def test_the_others_are_built_and_a_page_says_it(build: Build, site: Path, broken: Break) -> None:
    broken("van.txt")
    outcome = build()
    assert outcome.made == ("boat",)
    assert "Launch" in (site / "boat/index.html").read_text(encoding="utf-8")
    page = (site / "van/index.html").read_text(encoding="utf-8")
    assert "logbook failed on this log" in page and "650" in page and "Please report it" in page
    assert "KeyError in" in page and "Private" not in page
    assert "van.txt" in (site / "index.html").read_text(encoding="utf-8")
    assert "650" in (site / "problems.html").read_text(encoding="utf-8")
    (line,) = outcome.failed
    assert "van.txt could not be worked out (problem 650): logbook failed: KeyError in build/" in line


def test_the_last_page_stays_and_comes_right_again(
    build: Build, logs: Path, site: Path, tmp_path: Path, broken: Break
) -> None:
    build()
    before = files_of(site / "van")
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("compression: 3 7.1\n")
    broken("van.txt")
    first = build()
    assert (first.made, len(first.failed)) == ((), 1)
    assert files_of(site / "van") == before
    assert "650" in (site / "problems.html").read_text(encoding="utf-8")
    again = build()
    assert (again.written, again.failed) == ((), first.failed), "told again although nothing has changed"
    broken("")
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("  A note.\n")
    assert build().failed == ()
    build(to=tmp_path / "cold")
    assert files_of(site) == files_of(tmp_path / "cold")


def test_what_a_log_says_to_the_others_stays_too(
    build: Build, logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    donor = "donor D1: a wreck\nparts coil: A1-A4 from D1\n"
    (logs / "boat.txt").write_text(donor + log_text("Launch", "firing: 2 dead"), encoding="utf-8")
    (logs / "van.txt").write_text(log_text("Parcel van", "fit coil: D1/A2 in 3"), encoding="utf-8")
    build()
    before = files_of(site / "van")
    with (logs / "boat.txt").open("a", encoding="utf-8") as file:
        file.write("  A note.\n")
    monkeypatch.setattr("logbook.build.stages.stocks_of", lambda log, place: 1 / 0 if "A note." in log.text else ())
    outcome = build()
    assert len(outcome.failed) == 1
    assert files_of(site / "van") == before


def test_a_public_copy_keeps_no_page_that_nobody_can_vouch_for(
    build: Build, logs: Path, site: Path, broken: Break
) -> None:
    build(copy="public")
    broken("van.txt")
    with (logs / "van.txt").open("a", encoding="utf-8") as file:
        file.write("compression: 3 7.1\n")
    assert len(build(copy="public").failed) == 1
    assert set(files_of(site / "van")) == {"index.html"}
    assert "Parcel van" not in "".join(p.read_text(encoding="utf-8") for p in site.rglob("index.html"))
    assert "van.txt" not in (site / "van/index.html").read_text(encoding="utf-8")


def test_a_page_over_all_jobs_that_fails_stays(
    build: Build, logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build()
    before, van = (site / "parts.html").read_bytes(), (site / "van/index.html").read_bytes()
    donor = "donor D1: a wreck\nparts coil: A1-A4 from D1\n"
    (logs / "van.txt").write_text(donor + log_text("Parcel van", "fit coil: D1/A2 in 3"), encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr(parts_shelf, "parts_shelf", lambda *given: 1 / 0)
        outcome = build()
    assert outcome.made == ("van",) and len(outcome.failed) == 1 and "'parts'" in outcome.failed[0]
    assert (site / "parts.html").read_bytes() == before
    assert (site / "van/index.html").read_bytes() != van
    (logs / "van.txt").write_text(donor + log_text("Parcel van", "fit coil: D1/A2 in 3", "  x"), encoding="utf-8")
    assert build().failed == ()
    assert (site / "parts.html").read_bytes() != before


def test_want_of_memory_is_tried_again(build: Build, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(ledger, "build", lambda *given, **more: exec("raise MemoryError"))
        assert len(build().failed) == 2
    assert build().failed == ()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_log_that_may_not_be_read(build: Build, logs: Path, site: Path) -> None:
    (logs / "van.txt").chmod(0)
    try:
        assert_only_van_fails(build, site)
    finally:
        (logs / "van.txt").chmod(0o600)


def test_a_log_that_cannot_be_read(build: Build, logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a drive with a bad block; the rights of a file say nothing to root, who may run the tests."""
    from logbook.build import reading, run

    whole, content_of = reading._bytes_of, run.content_of
    monkeypatch.setattr(reading, "_bytes_of", lambda p: exec("raise OSError(5, 'bad')") if "van" in p else whole(p))
    monkeypatch.setattr("logbook.build.making.content_of", lambda p: "" if "van.txt" in p else content_of(p))
    assert_only_van_fails(build, site)


def assert_only_van_fails(build: Build, site: Path) -> None:
    outcome = build()
    assert outcome.made == ("boat",)
    (line,) = outcome.failed
    assert "van.txt: cannot be read" in line


@pytest.mark.parametrize("when", ["card", "job"])
def test_a_log_that_goes_during_a_run(
    build: Build, logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch, when: str
) -> None:
    whole = stages.read_card if when == "card" else stages.make_job

    def going(first: object, *more: object) -> object:
        (logs / "van.txt").unlink(missing_ok=True)
        stages.read_log.__globals__["_recent"].clear()
        return whole(first, *more)  # type: ignore[operator]

    with monkeypatch.context() as patch:
        patch.setattr("logbook.build.workers." + ("read_card" if when == "card" else "make_job"), going)
        outcome = build()
    assert outcome.made == ("boat",)
    assert len(outcome.failed) == 1 and "cannot be read any more" in outcome.failed[0]
    again = build()
    assert (again.jobs, again.failed) == (1, ())
    assert not (site / "van").exists()


def test_a_name_of_bytes_that_are_no_text(build: Build, logs: Path, site: Path) -> None:
    for name in (b"caf\xe9.txt", b"caf\xe8.txt", b"\xff\xfe.txt"):
        Path(os.fsdecode(os.fsencode(logs) + b"/" + name)).write_text(
            log_text("Odd", "photo: none.jpg"), encoding="utf-8"
        )
    outcome = build()
    assert (outcome.jobs, outcome.failed) == (5, ())
    assert build().written == ()
    assert build(copy="public", to=site.parent / "public").failed == ()
    assert len(list(site.rglob("data.json"))) == 5


def test_the_exit_status_tells_it(logs: Path, site: Path, tmp_path: Path) -> None:
    broken = "import logbook.build.workers as w\nw.make_job = lambda order, context: 1 / 0\n"
    script = (
        "import sys\nfrom logbook.cli import main\n"
        + broken
        + f"main(['report', {str(logs)!r}, '--to', {str(site)!r}])\n"
    )
    env = {**os.environ, "LOGBOOK_CACHE": str(tmp_path / "cache")}
    run = subprocess.run([sys.executable, "-c", script], env=env, capture_output=True, text=True, check=False)
    assert run.returncode == 2
    assert run.stderr.count("could not be worked out (problem 650)") == 2
    assert "Traceback" not in run.stderr + run.stdout
    assert (site / "index.html").exists()


def test_a_watcher_says_it_once_and_goes_on(logs: Path, site: Path, broken: Break, tmp_path: Path) -> None:
    from tests.watch.conftest import wait_until, watching

    broken("van.txt")
    with watching(logs, site) as watcher:
        for text in ("Once.", "Twice."):
            with (logs / "boat.txt").open("a", encoding="utf-8") as file:
                file.write(f"  {text}\n")
            wait_until(lambda text=text: text in words_of(site, "boat"), "the note on the page")  # type: ignore[misc]
    assert sum("could not be worked out" in line for line in watcher.said) == 1
    assert watcher.outcome is not None and len(watcher.outcome.failed) == 1


def test_a_fault_outside_of_any_log_ends_no_watching(
    logs: Path, site: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from tests.watch.conftest import wait_until, watching

    monkeypatch.setenv("LOGBOOK_CACHE", str(tmp_path / "cache"))
    with watching(logs, site) as watcher:
        with monkeypatch.context() as patch:
            patch.setattr("logbook.build.making.company_of", lambda *given: 1 / 0)
            with (logs / "boat.txt").open("a", encoding="utf-8") as file:
                file.write("  Once.\n")
            wait_until(lambda: any("ZeroDivisionError" in line for line in watcher.said), "a word about it")
        with (logs / "boat.txt").open("a", encoding="utf-8") as file:
            file.write("  Twice.\n")
        wait_until(lambda: "Twice." in words_of(site, "boat"), "the page made all the same")


def test_the_jobs_of_several_processes_have_the_same_wall(logs: Path, site: Path) -> None:
    """A failure comes back from another process as an answer, not as an exception."""
    import pickle

    from logbook.build.stages import Failure, attempt

    failure = attempt(lambda: 1 / 0)
    assert isinstance(failure, Failure)
    assert pickle.loads(pickle.dumps(failure)) == failure
    assert (
        failure.message == "logbook failed: ZeroDivisionError in build/stages.py, line " + failure.message.split()[-1]
    )


def test_nothing_is_walled_that_is_no_fault_of_a_log(logs: Path, site: Path, tmp_path: Path) -> None:
    from logbook.output.site import Refused

    own = tmp_path / "own/pages"
    own.mkdir(parents=True)
    (own / "job.html").write_text("{{ page.no_such_thing }}", encoding="utf-8")
    with pytest.raises(Refused, match="your template"):
        Builder(Request((str(logs),), site, templates=own.parent, workers=1), say=lambda line: None).run(1)
