"""What is kept between runs: the user's own, JSON alone, and whatever is wrong with it costs one rebuild."""

from __future__ import annotations

import errno
import json
import os
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.build import making
from logbook.build.stages import Context
from logbook.build.values import from_plain, to_plain
from logbook.output import site as sites
from logbook.output import writing
from tests.build.conftest import Build, files_of, log_text

DAMAGE: tuple[object, ...] = (None, 7, -1.5, "x", [], [1], {}, {"x": 1}, {"x": [1, 2]}, [["x"]], True)
LETTER = "Mrs Quill, 0171 5550199"


def kept(tmp_path: Path, name: str) -> Path:
    return next((tmp_path / "cache").rglob(name))


def test_nobody_else_may_look_into_it(build: Build, tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        build()
    finally:
        os.umask(before)
    (folder,) = (tmp_path / "cache").iterdir()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    files = [path for path in folder.rglob("*") if path.is_file()]
    assert {path.name: stat.S_IMODE(path.stat().st_mode) for path in files} == {"jobs.jsonl": 0o600, "seen.json": 0o600}


def test_a_folder_that_was_open_to_others_is_closed(build: Build, tmp_path: Path) -> None:
    build()
    (folder,) = (tmp_path / "cache").iterdir()
    folder.chmod(0o755)
    kept(tmp_path, "seen.json").chmod(0o644)
    (tmp_path / "logs/van.txt").unlink()
    build()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(kept(tmp_path, "seen.json").stat().st_mode) == 0o600


@pytest.mark.parametrize("plant", ["link", "writable", "link to the folder", "pipe"])
def test_what_others_can_have_written_is_not_believed(build: Build, site: Path, tmp_path: Path, plant: str) -> None:
    build()
    whole = files_of(site)
    seen = kept(tmp_path, "seen.json")
    other = tmp_path / "other"
    other.mkdir()
    if plant == "writable":
        seen.chmod(0o666)
    elif plant == "link to the folder":
        (folder,) = (tmp_path / "cache").iterdir()
        shutil.move(folder, other / "moved")
        folder.symlink_to(other / "moved")
    else:
        shutil.move(seen, other / "seen.json")
        seen.symlink_to(other / "seen.json") if plant == "link" else os.mkfifo(seen)
    before = {path: path.read_bytes() for path in other.rglob("*") if path.is_file()}
    (site / "van/index.html").unlink()
    if plant == "link to the folder":
        build()
    else:
        assert sorted(build().made) == ["boat", "van"]
    assert files_of(site) == whole
    assert {path: path.read_bytes() for path in other.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("file", ["seen.json", "jobs.jsonl"])
def test_wrong_shapes_cost_one_rebuild(build: Build, site: Path, tmp_path: Path, file: str) -> None:
    build()
    whole = files_of(site)
    path = kept(tmp_path, file)
    good = path.read_bytes()
    tried = 0
    for damaged in damages(file, good):
        path.write_bytes(damaged)
        (site / "van/index.html").unlink()  # so that it is asked what is remembered
        build()
        assert files_of(site) == whole
        tried += 1
    assert tried > 30
    build.said.clear()  # type: ignore[attr-defined]
    assert build().written == ()
    assert build.said == []  # type: ignore[attr-defined]


def damages(file: str, good: bytes) -> list[bytes]:
    found = [b"", b"[]", b"null", b"\xff", b"[" * 100_000, good[:-9]]
    if file == "seen.json":
        data = json.loads(good)
        for name in data:
            found += [json.dumps({**data, name: wrong}).encode() for wrong in DAMAGE if wrong != data[name]]
            found.append(json.dumps({key: value for key, value in data.items() if key != name}).encode())
        return found
    lines = [json.loads(line) for line in good.splitlines()]
    for number, line in enumerate(lines):
        for wrong in DAMAGE[::2]:
            found.append(b"\n".join(json.dumps(wrong if n == number else one).encode() for n, one in enumerate(lines)))
        if isinstance(line, list) and number > 1:
            for place in range(len(line[1])):
                worse = [line[0], [*line[1][:place], {"x": 7}, *line[1][place + 1 :]]]
                found.append(b"\n".join(json.dumps(worse if n == number else o).encode() for n, o in enumerate(lines)))
    return found


def test_where_nothing_can_be_kept_the_site_is_made_all_the_same(
    build: Build, site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "cache").write_text("a file in its place", encoding="utf-8")
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    assert build().jobs == 2
    assert (site / "van/index.html").exists()
    assert sorted(build().made) == ["boat", "van"]


def private_logs(logs: Path) -> None:
    for name in ("van", "boat"):
        text = f"owner: {LETTER}\n" + log_text(f"Job {name}", "firing: 2 dead, rest fires")
        (logs / f"{name}.txt").write_text(text, encoding="utf-8")


def test_nothing_of_a_build_lies_in_the_site(
    build: Build, logs: Path, site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Looked at as each file is staged and as each is moved in."""
    private_logs(logs)
    seen: set[str] = set()
    whole_create, whole_replace = writing._create, writing._replace

    def look() -> None:
        if site.exists():
            seen.update(p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file())

    monkeypatch.setattr(writing, "_create", lambda *given: (whole_create(*given), look()))
    monkeypatch.setattr(writing, "_replace", lambda *given: (whole_replace(*given), look()))
    build(copy="public", workers=2)
    ours = {name for name in seen if name.startswith(".")}
    assert ours == {
        ".logbook/lock", ".logbook/moving-public.json", ".logbook/moving-public.part", ".logbook/record-public.json",
        ".logbook/record-public.part",
    }  # fmt: skip
    assert seen - ours == set(files_of(site))
    leftovers = [p for p in (tmp_path / "cache").rglob("*") if p.is_file()]
    assert {p.name for p in leftovers} == {"jobs.jsonl", "seen.json"}


@pytest.mark.filterwarnings("ignore:This process.*is multi-threaded:DeprecationWarning")
def test_a_public_run_that_is_killed_leaves_no_private_byte_in_the_site(
    build: Build, logs: Path, site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tests.build.test_kill import dying_at, in_a_child, operations_of

    private_logs(logs)
    operations = operations_of(lambda: build(copy="public", to=tmp_path / "counted"), monkeypatch)
    assert operations > 30
    for at in range(0, operations, 7):
        in_a_child(dying_at(at, lambda: build(copy="public")), None)
        if site.exists():
            for path in site.rglob("*"):
                if path.is_file():
                    held = path.read_bytes()
                    assert b"Quill" not in held and b"5550199" not in held, path
            assert not (site / ".logbook/staging").exists()
        shutil.rmtree(site, ignore_errors=True)


def on_another_disk(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As where the cache folder and the site lie on two disks."""
    whole = writing._replace

    def replace(source: Path, target: Path) -> None:
        if ("cache" in source.parts) != ("cache" in target.parts):
            raise OSError(errno.EXDEV, os.strerror(errno.EXDEV))
        whole(source, target)

    monkeypatch.setattr(writing, "_replace", replace)


def test_from_another_disk_each_file_is_copied_whole_and_then_moved(
    build: Build, logs: Path, site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build(to=tmp_path / "cold")
    with monkeypatch.context() as patch:
        on_another_disk(patch, tmp_path)
        build()
        assert files_of(site) == files_of(tmp_path / "cold")
        assert not list(site.rglob("*.logbook-part"))
        assert build().written == (), "stamps are those of the files as they stand in the site"
        whole = writing._create

        def full(path: Path, pieces: list[bytes], mode: int = 0o666) -> None:
            if path.name.endswith(".logbook-part"):
                whole(path, [b"half"])
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            whole(path, pieces, mode)

        (logs / "boat.txt").unlink()
        patch.setattr(writing, "_create", full)
        with pytest.raises(writing.CannotWrite):
            build()
        assert not list(site.rglob("*.logbook-part"))
    whole_site = files_of(site)
    (logs / "new.txt").write_text(log_text("New", "spark: 3 none"), encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr(sites, "_on_one_disk", lambda stage, site: False)
        copied: list[Path] = []

        def fills(source: Path, target: Path) -> Path:
            copied.append(target)
            if len(copied) == 4:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return copied_beside(source, target)

        copied_beside = writing._copied_beside
        patch.setattr(writing, "_copied_beside", fills)
        with pytest.raises(writing.CannotWrite):
            build()
        assert files_of(site) == whole_site, "nothing is moved before all is there"
        assert not list(site.rglob("*.logbook-part")) and not (site / "new").exists()
        patch.setattr(writing, "_copied_beside", copied_beside)
        part = writing.part_beside(site / "new/index.html")
        part.parent.mkdir()
        part.write_bytes(b"left by a run that was killed")
        (logs / "new.txt").unlink()
        build()
        assert not part.exists()
    build(to=tmp_path / "colder")
    assert files_of(site) == files_of(tmp_path / "colder")


def test_every_value_that_is_kept_comes_back_as_it_was(build: Build, monkeypatch: pytest.MonkeyPatch) -> None:
    """On all samples: what each tells the pages over all jobs, and what processes share."""
    samples = Path(__file__).resolve().parents[2] / "sample_logs"
    found: list[object] = []
    for name in ("_orders", "_pages_over_all"):
        whole: Callable[..., object] = getattr(making.Making, name)

        def spy(self: making.Making, *given: object, whole: Callable[..., object] = whole) -> object:
            found.extend(one for one in given if isinstance(one, Context))
            found.append(self)
            return whole(self, *given)

        monkeypatch.setattr(making.Making, name, spy)
    build(samples)
    contexts = [one for one in found if isinstance(one, Context)]
    (run,) = {id(one): one for one in found if isinstance(one, making.Making)}.values()
    assert len(run.after.logs) >= 8 and contexts
    lines = json.loads(json.dumps(list(run.after.lines())))
    assert making.remembered(lines) == run.after
    for context in contexts:
        assert from_plain(Context, json.loads(json.dumps(to_plain(Context, context)))) == context
