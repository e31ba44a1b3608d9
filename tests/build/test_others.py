"""Nothing of others is touched: links, pipes, devices, foreign files, planted records and caches."""

from __future__ import annotations

import hashlib
import json
import os
import socket
import threading
import time
from pathlib import Path

import pytest

from logbook.build.run import Builder, Request
from logbook.commands.tidying import tidy_logs
from logbook.output.site import Refused
from logbook.output.writing import CannotWrite, write_in_place
from tests.build.conftest import Build, files_of, log_text, words_of

PATIENCE_S = 60.0


def tree(folder: Path) -> dict[str, str]:
    """Every path below a folder with its rights and what it holds, links by where they lead."""
    found = {}
    for path in sorted(folder.rglob("*")):
        state = path.lstat()
        if path.is_symlink():
            held = f"link to {path.readlink()}"
        elif path.is_file():
            held = hashlib.sha256(path.read_bytes()).hexdigest()
        else:
            held = ""
        found[path.relative_to(folder).as_posix()] = f"{state.st_mode:o} {state.st_nlink} {held}"
    return found


@pytest.fixture
def others(tmp_path: Path) -> Path:
    """A folder of somebody else, with what would be a log of ours."""
    folder = tmp_path / "others"
    (folder / "deep").mkdir(parents=True)
    (folder / "theirs.txt").write_text(log_text("Theirs", "SPARK  3 none"), encoding="utf-8")
    (folder / "deep/more.txt").write_text(log_text("More", "SPARK  3 none"), encoding="utf-8")
    (folder / "letter.txt").write_text("mail:  someone@shop.example\nDear Sir,\nthank you.\n", encoding="utf-8")
    return folder


def strange_files(logs: Path, others: Path) -> None:
    (logs / "link.txt").symlink_to(others / "theirs.txt")
    (logs / "nowhere.txt").symlink_to(others / "gone.txt")
    (logs / "ring.txt").symlink_to(logs / "ring.txt")
    (logs / "folder").symlink_to(others)
    (logs / "up").symlink_to("..")
    os.mkfifo(logs / "pipe.txt")
    (logs / "folder.txt").mkdir()
    with socket.socket(socket.AF_UNIX) as one:
        here = Path.cwd()
        os.chdir(logs)
        one.bind("socket.txt")
        os.chdir(here)


def within(work: object) -> None:
    """A pipe that is opened would hold the test for ever."""
    raised: list[BaseException] = []

    def run() -> None:
        try:
            work()  # type: ignore[operator]
        except BaseException as error:
            raised.append(error)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(PATIENCE_S)
    assert not thread.is_alive()
    if raised:
        raise raised[0]


def test_links_pipes_and_devices_among_the_logs(build: Build, logs: Path, site: Path, others: Path) -> None:
    strange_files(logs, others)
    before = tree(others), tree(logs)
    outcomes = []
    within(lambda: outcomes.append(build()))
    assert outcomes[0].jobs == 2
    said = [line for line in outcomes[0].shown if "is a link and is not read" in line]
    assert [line.split()[0].rsplit("/", 1)[-1] for line in said] == ["link.txt", "nowhere.txt", "ring.txt"]
    assert not any(b"Theirs" in content for content in files_of(site).values())
    within(lambda: tidy_logs([str(logs)], only_check=False))
    assert (tree(others), {k: v for k, v in tree(logs).items() if k not in ("van.txt", "boat.txt")}) == (
        before[0],
        {k: v for k, v in before[1].items() if k not in ("van.txt", "boat.txt")},
    )


def test_a_link_that_is_named_is_read_and_never_written(build: Build, logs: Path, others: Path) -> None:
    (logs / "link.txt").symlink_to(others / "theirs.txt")
    before = tree(others)
    assert build(logs / "link.txt").jobs == 1
    lines, status = tidy_logs([str(logs / "link.txt")], only_check=False)
    assert (status, "it is a link" in lines[0]) == (2, True)
    assert tree(others) == before


@pytest.mark.parametrize("name", ["/dev/zero", "pipe.txt"])
def test_a_pipe_or_device_that_is_named(build: Build, logs: Path, name: str) -> None:
    from logbook.build.discovery import CannotRead

    os.mkfifo(logs / "pipe.txt")

    def run() -> None:
        with pytest.raises(CannotRead, match="a pipe or a device"):
            build(logs / name)

    within(run)


def test_a_pipe_that_comes_in_place_of_a_log(logs: Path) -> None:
    """Between the look and the reading."""
    from logbook.build.discovery import CannotRead, find_logs
    from logbook.build.reading import Shop, read_log

    (file,) = find_logs([str(logs / "van.txt")])
    (logs / "van.txt").unlink()
    os.mkfifo(logs / "van.txt")

    def run() -> None:
        with pytest.raises(CannotRead):
            read_log(file, Shop())

    within(run)


def test_the_shop_file_is_read_through_no_link(build: Build, logs: Path, site: Path, others: Path) -> None:
    (others / "shop.txt").write_text("shop: Somebody else\n", encoding="utf-8")
    (logs / "shop.txt").symlink_to(others / "shop.txt")
    outcome = build()
    assert any("shop.txt is a link" in line for line in outcome.shown)
    assert b"Somebody else" not in (site / "index.html").read_bytes()


def test_tidy_touches_what_is_a_log_beyond_doubt(logs: Path, others: Path) -> None:
    for name, text in {
        "letter.txt": (others / "letter.txt").read_text(encoding="utf-8"),
        "needs.txt": "numpy>=1.2\nfuel: none\nclick\nrich\n",
        "notes.txt": "note:  ring Joe\nspark  3 none\nBuy milk.\nAnd bread.\nAnd a kettle.\n",
        "mostly prose.txt": "2026-05-04\nspark  3 none\n" + "It was a dark night.\n" * 5,
    }.items():
        (logs / name).write_text(text, encoding="utf-8")
    (logs / "van.txt").write_text(log_text("Parcel van", "SPARK  3 none"), encoding="utf-8")
    (logs / "boat.txt").unlink()
    before = tree(logs)
    lines, _ = tidy_logs([str(logs)], only_check=False)
    after = tree(logs)
    assert {name for name in after if after[name] != before[name]} == {"van.txt"}
    assert sum("left alone" in line or "is not a log" in line for line in lines) == 4
    for name in ("letter.txt", "mostly prose.txt"):
        _, status = tidy_logs([str(logs / name)], only_check=False)
        assert status == 2, "named or not"
    assert tree(logs) == after


@pytest.mark.parametrize(
    "name", [".logbook", ".logbook/record-shop.json", ".logbook/lock", ".logbook/moving-shop.part"]
)
def test_a_link_in_the_folder_that_is_ours_is_refused(build: Build, site: Path, others: Path, name: str) -> None:
    target = others / "deep" if name == ".logbook" else others / "theirs.txt"
    (site / name).parent.mkdir(parents=True)
    (site / name).symlink_to(target)
    before = tree(others), tree(site)
    with pytest.raises(Refused, match="holds links") as refused:
        build()
    assert refused.value.paths == (name,)
    assert (tree(others), tree(site)) == before


@pytest.mark.parametrize(
    "name", ["../others/theirs.txt", "{abs}", "van/../../others/theirs.txt", "link/theirs.txt", ".ssh/key", "./a", ""]
)
def test_a_record_that_was_planted_deletes_nothing(build: Build, site: Path, others: Path, name: str) -> None:
    from logbook.output.record import digest

    name = name.replace("{abs}", str(others / "theirs.txt"))
    (site / ".logbook").mkdir(parents=True)
    (site / ".ssh").mkdir()
    (site / ".ssh/key").write_bytes((others / "theirs.txt").read_bytes())
    (site / "link").symlink_to(others)
    content = digest((others / "theirs.txt").read_bytes())
    for role in ("record", "moving"):
        record = {"version": 1, "files": {name: content}}
        (site / f".logbook/{role}-shop.json").write_text(json.dumps(record), encoding="utf-8")
    before = tree(others)
    build()
    assert tree(others) == before
    assert (site / ".ssh/key").exists() and (site / "link").is_symlink()
    assert (site / "van/index.html").exists()


def test_a_damaged_record_is_no_leave_to_write_over_what_is_not_ours(build: Build, site: Path) -> None:
    (site / ".logbook").mkdir(parents=True)
    (site / ".logbook/record-shop.json").write_bytes(b"{")
    (site / "index.html").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused) as refused:
        build()
    assert refused.value.paths == ("index.html",)
    assert (site / "index.html").read_text(encoding="utf-8") == "mine"


def test_a_folder_of_logs_is_no_place_for_a_site(build: Build, logs: Path, others: Path) -> None:
    before = tree(others)
    with pytest.raises(Refused, match="holds logs") as refused:
        build(to=others)
    assert "--to" in refused.value.mend
    assert tree(others) == before
    (others / "theirs.txt").unlink()
    with pytest.raises(Refused, match="holds logs"):
        build(to=others)


@pytest.mark.parametrize(
    ("address", "taken"),
    [
        ("https://shop.example/", True),
        ("http://shop.example", True),
        ("javascript:alert(1)", False),
        ("file:///etc/", False),
        ("shop.example", False),
        ("https://", False),
        ("https:/x y", False),
        ("ftp://shop.example/", False),
    ],
)
def test_a_public_address_is_one_of_the_web(build: Build, logs: Path, site: Path, address: str, taken: bool) -> None:
    from logbook.build.reading import read_shop

    (logs / "shop.txt").write_text(f"shop: Quay Engines\npublic address: {address}\n", encoding="utf-8")
    build()
    assert (site / "feed.xml").exists() == taken
    numbers = [problem.number for problem in read_shop(str(logs)).log.problems]  # type: ignore[union-attr]
    assert (651 in numbers) == (not taken)


def test_an_edit_that_keeps_size_time_and_inode_is_seen(build: Build, logs: Path, site: Path) -> None:
    log = logs / "van.txt"
    moment = log.stat().st_mtime_ns
    build()
    before = log.stat()
    with log.open("r+b") as file:
        text = file.read()
        file.seek(0)
        file.write(text.replace(b"3 none", b"2 none"))
    os.utime(log, ns=(moment, moment))
    after = log.stat()
    assert (after.st_size, after.st_mtime_ns, after.st_ino) == (before.st_size, before.st_mtime_ns, before.st_ino)
    assert build().made == ("van",)
    assert "2 none" in words_of(site, "van").replace("\u00a0", " ")


def test_fresh_looks_into_everything(build: Build, logs: Path, site: Path, tmp_path: Path) -> None:
    """As where a page was changed in a way that no stamp shows."""
    build()
    whole, page = files_of(site), site / "van/index.html"
    state = page.stat()
    with page.open("r+b") as file:
        file.write(b"X")
    os.utime(page, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert build().written == ()
    request = Request((str(logs),), site, workers=1)
    outcome = Builder(request, say=lambda line: None, fresh=True).run(time.time_ns())
    assert outcome.written == ("van/index.html",)
    assert sorted(outcome.made) == ["boat", "van"]
    assert files_of(site) == whole


def test_what_is_written_in_place_goes_through_no_link(tmp_path: Path, others: Path) -> None:
    before = tree(others)
    (tmp_path / "van.txt").symlink_to(others / "theirs.txt")
    with pytest.raises(CannotWrite, match="is a link"):
        write_in_place(tmp_path / "van.txt", [b"x"])
    planted = tmp_path / f".log.txt.{os.getpid()}.part"
    for plant in (planted.symlink_to, planted.hardlink_to):
        plant(others / "theirs.txt")
        write_in_place(tmp_path / "log.txt", [b"x"])
        assert (tmp_path / "log.txt").read_bytes() == b"x"
        assert tree(others) == before
        (tmp_path / "log.txt").unlink()
