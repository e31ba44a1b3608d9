"""The commands that a builder calls beside the truck."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from tests.cli.conftest import BAD, GOOD, Call, write

ENGINE = "V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug"


def test_start_from_options(call: Call, folder: Path) -> None:
    options = (
        "--job",
        "Parcel van",
        "--symptom",
        "shakes",
        "--engine",
        ENGINE,
        "--units",
        "metric",
        "--day",
        "2026-05-04",
    )
    result = call("start", "van.txt", *options)
    assert result.exit_code == 0
    assert "logbook next van.txt" in result.output
    text = (folder / "van.txt").read_text(encoding="utf-8")
    assert text.startswith("language: 1\njob: Parcel van\n")
    assert text.endswith("\n2026-05-04\n")
    assert call("check", "van.txt").output == "1 log: every line is understood.\n"
    assert call("tidy", "--check", "van.txt").exit_code == 0


def test_start_never_writes_over_a_log(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD)
    result = call("start", "van.txt", "--job", "Another")
    assert result.exit_code == 2
    assert (folder / "van.txt").read_text(encoding="utf-8") == GOOD


@pytest.mark.parametrize("options", [("--engine", "a big one"), ("--day", "4 May"), ("--units", "stones")])
def test_start_refuses_what_would_not_be_understood(call: Call, folder: Path, options: tuple[str, str]) -> None:
    result = call("start", "van.txt", *options)
    assert result.exit_code == 2
    assert not (folder / "van.txt").exists()


def test_next_says_what_to_test_with_minutes_cautions_and_outcomes(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD.replace("spark: 3 none, 4 strong", "cut-out: 1 70, 2 68, 3 0, 4 71"))
    result = call("next", "van.txt")
    assert "is dead. Most likely: " in " ".join(result.output.split())
    assert result.exit_code == 0
    assert result.output.startswith("Parcel van\n")
    for word in ("1. ", "minutes", "Danger:", "%: ", "write:"):
        assert word in result.output


def test_the_log_s_own_caution_and_a_tool_that_is_away_stand_with_the_tests(call: Call, folder: Path) -> None:
    log = GOOD.replace("spark: 3 none, 4 strong", "cut-out: 1 70, 2 68, 3 0, 4 71")
    head, _, rest = log.partition("\n\n")
    first = call("next", "van.txt") if write(folder / "van.txt", log) else None
    assert first is not None and "spark tester" in first.output
    write(folder / "van.txt", f"{head}\ncaution: boom down first\n\n{rest}waiting: spark tester, lent out\n")
    said = call("next", "van.txt").output
    tests, _, later = said.partition("Can’t do yet:")
    assert "On this machine: Boom down first." in tests
    assert "spark tester" not in tests and "the spark tester is away" in " ".join(later.split()).casefold()
    call("sheet", "van.txt")
    assert "Boom down first." in (folder / "van-sheet.html").read_text(encoding="utf-8")


def test_next_of_a_log_that_asks_for_nothing(call: Call, folder: Path) -> None:
    write(folder / "van.txt", "job: Parcel van\nengine: inline 4, coil on plug\n\n2026-05-04\nfiring: all fires\n")
    assert "Nothing left to test" in call("next", "van.txt").output


def test_a_first_look_foretells_no_chances(call: Call, folder: Path) -> None:
    """Nothing seen so far says which cylinder is in trouble; a spark of none would say it."""
    write(folder / "van.txt", GOOD.replace("spark: 3 none, 4 strong", "spark: 3 strong"))
    said = call("next", "van.txt").output
    assert "Cut out the cylinders one by one" in said
    assert "%" not in said
    assert "- dead: no drop" in said


def test_next_of_a_donor_alone_asks_for_no_test(call: Call, folder: Path) -> None:
    write(folder / "donor.txt", "job: Shelf\ndonor D1: grey saloon\n\n2026-05-04\nparts coil: A1-A4 from D1\n")
    assert "Parts of a donor, for other jobs" in call("next", "donor.txt").output
    assert "spark" not in call("next", "donor.txt").output


def test_sheet_writes_a_page_and_its_stylesheet(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD.replace("spark: 3 none, 4 strong", "cut-out: 1 70, 2 68, 3 0, 4 71"))
    result = call("sheet", "van.txt")
    assert "Written: van-sheet.html and its stylesheet van-sheet.css, beside the log; --to" in result.output
    assert result.output.endswith("print van-sheet.html\n")
    page = (folder / "van-sheet.html").read_text(encoding="utf-8")
    assert 'href="van-sheet.css"' in page
    assert "<script" not in page
    assert (folder / "van-sheet.css").is_file()
    assert call("sheet", "van.txt").exit_code == 0


def test_sheet_leaves_another_file_alone(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD)
    write(folder / "page.html", "mine")
    assert call("sheet", "van.txt", "--to", "page.html").exit_code == 2
    assert (folder / "page.html").read_text(encoding="utf-8") == "mine"
    write(folder / "page.html", "<p>My own test sheet</p>")
    write(folder / "other.css", "p { color: red }")
    assert call("sheet", "van.txt", "--to", "page.html").exit_code == 2
    assert call("sheet", "van.txt", "--to", "other.html").exit_code == 2
    assert not (folder / "other.html").exists()
    assert (folder / "page.html").read_text(encoding="utf-8") == "<p>My own test sheet</p>"


def test_sheet_wants_the_name_of_a_page(call: Call, folder: Path) -> None:
    write(folder / "van.txt", GOOD)
    (folder / "pages.html").mkdir()
    for name in ("van.txt", "van.css", "van", "pages.html"):
        assert call("sheet", "van.txt", "--to", name).exit_code == 2
    assert (folder / "van.txt").read_text(encoding="utf-8") == GOOD
    assert (
        "Written: out/van.html and its stylesheet van.css." in call("sheet", "van.txt", "--to", "out/van.html").output
    )


@pytest.mark.parametrize("command", ["next", "sheet"])
def test_the_shop_file_is_no_job(call: Call, folder: Path, command: str) -> None:
    write(folder / "logs/shop.txt", "shop: Shed by the canal\nunits: metric\n")
    result = call(command, "logs/shop.txt")
    assert result.exit_code == 2
    assert "logs/shop.txt is the shop's file and holds no job" in result.output
    assert [p.name for p in (folder / "logs").iterdir()] == ["shop.txt"]


UNTIDY = GOOD.replace("spark: 3 none, 4 strong", "SPARK 3 none;4 strong\n    Two  blanks,  kept.")


def test_tidy_changes_the_form_and_keeps_notes_and_rights(call: Call, folder: Path) -> None:
    log = write(folder / "logs/van.txt", UNTIDY)
    log.chmod(0o640)
    assert call("tidy", "--check", "logs/van.txt").exit_code == 1
    assert log.read_text(encoding="utf-8") == UNTIDY
    assert "logs/van.txt is tidy now." in call("tidy", "logs/van.txt").output
    text = log.read_text(encoding="utf-8")
    assert "spark: 3 none, 4 strong\n" in text
    assert "Two  blanks,  kept." in text
    assert stat.S_IMODE(log.stat().st_mode) == 0o640
    assert call("tidy", "--check", "logs").exit_code == 0
    assert [path.name for path in (folder / "logs").iterdir()] == ["van.txt"]


def test_tidy_leaves_lines_with_errors_to_the_byte(call: Call, folder: Path) -> None:
    log = write(folder / "bad.txt", BAD.replace("gizmo: 1 9.2", "gizmo:   1  9.2"))
    call("tidy", "bad.txt")
    assert "gizmo:   1  9.2\n" in log.read_text(encoding="utf-8")


def test_tidy_leaves_alone_what_is_not_utf8(call: Call, folder: Path) -> None:
    raw = GOOD.encode() + b"  Gr\xfcn.\n"
    log = write(folder / "old.txt", raw)
    result = call("tidy", "old.txt")
    assert result.exit_code == 2
    assert result.output.count("left alone") == 1 and str(folder) not in result.output
    assert log.read_bytes() == raw


def test_the_example_of_the_readme_is_understood(call: Call, folder: Path) -> None:
    readme = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
    example = readme.split("```text\n", 1)[1].split("```", 1)[0]
    write(folder / "van.txt", example)
    assert call("check", "van.txt").exit_code == 0
    for command in ("start", "check", "next", "sheet", "report", "watch", "tidy", "work"):
        assert f"`logbook {command} " in readme
