"""What is ours on disk: logbook touches only what it wrote, and refuses before it touches anything."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from logbook.build.discovery import CannotRead
from logbook.output.site import Refused
from tests.build.conftest import Build, files_of


def everything(folder: Path) -> dict[str, bytes | None]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
    }


@pytest.mark.parametrize("name", ["index.html", "van/index.html", "van/data.json", "static"])
def test_a_foreign_file_in_the_way_is_refused_and_nothing_is_touched(build: Build, site: Path, name: str) -> None:
    (site / name).parent.mkdir(parents=True)
    (site / name).write_text("mine", encoding="utf-8")
    before = everything(site)
    with pytest.raises(Refused) as refused:
        build()
    assert refused.value.paths == (name,)
    assert everything(site) == before


def test_a_folder_where_a_page_should_go_is_refused(build: Build, site: Path) -> None:
    (site / "index.html").mkdir(parents=True)
    with pytest.raises(Refused) as refused:
        build()
    assert refused.value.paths == ("index.html",)


def test_a_link_out_of_the_site_is_refused(build: Build, site: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    site.mkdir()
    (site / "van").symlink_to(outside)
    with pytest.raises(Refused) as refused:
        build()
    assert refused.value.paths == ("van",)
    assert list(outside.iterdir()) == []


def test_files_that_are_not_needed_are_left_alone(build: Build, logs: Path, site: Path) -> None:
    for name in (".htaccess", "notes.md", "van/mine.txt", ".git/config"):
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        (site / name).write_text("mine", encoding="utf-8")
    build()
    (logs / "van.txt").unlink()
    build()
    assert not (site / "van/index.html").exists()
    for name in (".htaccess", "notes.md", "van/mine.txt", ".git/config"):
        assert (site / name).read_text(encoding="utf-8") == "mine"


def test_the_same_bytes_of_somebody_else_are_no_obstacle(build: Build, site: Path, tmp_path: Path) -> None:
    """A site that was copied without its dot folder holds what logbook would write: nothing is lost by going on."""
    build(to=tmp_path / "first")
    for name, content in files_of(tmp_path / "first").items():
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        (site / name).write_bytes(content)
    build()
    assert files_of(site) == files_of(tmp_path / "first")


def test_to_is_a_file(build: Build, site: Path) -> None:
    site.write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="is a file"):
        build()


def test_to_equals_or_contains_a_folder_of_logs(build: Build, logs: Path) -> None:
    with pytest.raises(Refused, match="is the folder of logs"):
        build(to=logs)
    with pytest.raises(Refused, match="contains the folder of logs"):
        build(to=logs.parent)
    with pytest.raises(Refused, match="is the folder of logs"):
        build(to=logs / "below" / "..")
    assert sorted(path.name for path in logs.iterdir()) == ["boat.txt", "van.txt"]


def test_output_inside_the_logs_is_neither_read_nor_in_the_way(build: Build, logs: Path) -> None:
    first = build(to=logs / "site")
    (logs / "site/tables.txt").write_text("firing: 1 dead\n", encoding="utf-8")
    assert first.jobs == 2
    assert build(to=logs / "site").made == ()


def test_hidden_folders_and_templates_are_left_out(build: Build, logs: Path) -> None:
    for name in (".old/van.txt", "templates/van.txt"):
        (logs / name).parent.mkdir()
        (logs / name).write_text("firing: 1 dead\n", encoding="utf-8")
    assert build().jobs == 2


def test_a_folder_holds_one_copy(build: Build, site: Path) -> None:
    build()
    before = files_of(site)
    with pytest.raises(Refused, match="holds the shop copy") as refused:
        build(copy="public")
    assert "another folder" in refused.value.mend
    assert files_of(site) == before


def test_a_page_of_a_removed_job_that_was_changed_by_hand_stays(build: Build, logs: Path, site: Path) -> None:
    build()
    (site / "boat/index.html").write_text("mine", encoding="utf-8")
    (logs / "boat.txt").unlink()
    build()
    assert everything(site / "boat") == {"index.html": b"mine"}
    assert build.said == [  # type: ignore[attr-defined]
        "boat/index.html belongs to a job that is gone, but was changed by hand: left there."
    ]


def test_a_damaged_record_is_said_strays_are_listed_and_nothing_is_deleted(
    build: Build, logs: Path, site: Path
) -> None:
    build()
    whole = files_of(site)
    (logs / "boat.txt").unlink()
    record = site / ".logbook/record-shop.json"
    record.write_bytes(record.read_bytes()[:100])
    build()
    said = build.said  # type: ignore[attr-defined]
    assert said[0] == "The record of the site is damaged: everything is made again, and nothing is deleted."
    assert "boat/index.html may be a leftover: nothing says who wrote it, so it is left there." in said
    assert (site / "boat/index.html").read_bytes() == whole["boat/index.html"]
    assert not any("van/" in line for line in said)


def test_a_damaged_record_still_tells_which_copy_it_was(build: Build, site: Path) -> None:
    build()
    (site / ".logbook/record-shop.json").write_bytes(b"")
    with pytest.raises(Refused, match="holds the shop copy"):
        build(copy="public")


def test_the_record_holds_names_and_hashes_only(build: Build, site: Path) -> None:
    import json

    build()
    record = json.loads((site / ".logbook/record-shop.json").read_bytes())
    assert set(record) == {"version", "files"}
    assert set(record["files"]) == set(files_of(site))
    assert all(len(value) == 32 for value in record["files"].values())


def test_what_cannot_be_read_is_said(build: Build, tmp_path: Path) -> None:
    with pytest.raises(CannotRead, match="no such file or folder"):
        build(tmp_path / "nowhere")
    (tmp_path / "empty").mkdir()
    with pytest.raises(CannotRead, match="no logs in"):
        build(tmp_path / "empty")


@pytest.mark.parametrize(
    "address", ["../outside", "/etc/passwd", "..", "C:\\logs", "a/../../b", "con", "static", ".git/hooks"]
)
def test_no_address_leads_out_of_the_site(build: Build, logs: Path, site: Path, address: str) -> None:
    log = logs / "van.txt"
    log.write_text(f"address: {address}\n" + log.read_text(encoding="utf-8"), encoding="utf-8")
    around = {path for path in logs.parent.rglob("*") if site not in path.parents and "cache" not in path.parts}
    build()
    assert {p for p in logs.parent.rglob("*") if site not in p.parents and "cache" not in p.parts} - {site} == around
    assert sum(path.name == "data.json" for path in site.rglob("*")) == 2
    assert os.path.isfile(site / "static" / next((site / "static").glob("style.*.css")).name)  # noqa: PTH113


def test_names_that_differ_in_case_alone_get_folders_of_their_own(build: Build, logs: Path, site: Path) -> None:
    (logs / "Van.txt").write_bytes((logs / "van.txt").read_bytes())
    (logs / "ván.txt").write_bytes((logs / "van.txt").read_bytes())
    assert build().jobs == 4
    folders = [path.parent.name for path in site.rglob("data.json")]
    assert len({name.casefold() for name in folders}) == 4
    assert all(name.isascii() for name in folders)
