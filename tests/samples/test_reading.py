"""The samples are read as they were meant: one line of one of them is wrong on purpose, the rest are not."""

from __future__ import annotations

import re

import pytest
from PIL import Image

from logbook.problems import Weight
from logbook.text.kinds import TABLE

from .logs import FOLDER, NAMES, job_of, log_of, text_of

WRONG = {"hay-baler": "coil resistence: 1.4"}
EIGHT = 8


def test_there_are_eight_and_a_shop_file() -> None:
    assert len(NAMES) == EIGHT
    assert (FOLDER / "shop.txt").is_file()


@pytest.mark.parametrize("name", NAMES)
def test_each_line_is_accounted_for(name: str) -> None:
    log, text = log_of(name), text_of(name)
    assert log.lines.total == len(text.split("\n")) - (text.endswith("\n"))
    assert log.lines.problem == (name in WRONG)


@pytest.mark.parametrize("name", NAMES)
def test_only_the_wrong_line_is_an_error(name: str) -> None:
    job = job_of(name)
    errors = [p for p in job.problems if p.weight is Weight.ERROR]
    assert len(errors) == (name in WRONG), errors
    if name in WRONG:
        assert text_of(name)[errors[0].span.start :].startswith("coil resistence")
        assert "resistance" in errors[0].mend


def test_one_sample_has_a_note_that_no_table_knows() -> None:
    """It stands in the log to the letter, and nothing of the diagnosis rests on it."""
    notes = [n.text for e in log_of("sand-buggy").entries for n in e.notes]
    assert any("no table knows" in text for text in notes)


@pytest.mark.parametrize("name", NAMES)
def test_several_days_with_notes(name: str) -> None:
    job = job_of(name)
    assert len([d for d in job.days if d.day]) >= 3
    assert any(e.entry.notes for e in job.entries)


def test_photos_are_small_pictures_and_each_is_used() -> None:
    named = {m for n in NAMES for m in re.findall(r"^(?:private )?photo: (\S+)", text_of(n), re.MULTILINE)}
    there = {p.name for p in FOLDER.iterdir() if p.suffix in (".jpg", ".jpeg", ".png")}
    assert named == there and len(named) >= 4
    for photo in there:
        assert (FOLDER / photo).stat().st_size < 60_000
        with Image.open(FOLDER / photo) as picture:
            assert picture.format in ("JPEG", "PNG") and min(picture.size) >= 200
            assert not picture.getexif()


def test_no_sample_is_an_eight_with_three_dead() -> None:
    """The facts of the trade stand alone; no sample may combine them."""
    for name in NAMES:
        job = job_of(name)
        if any(len(e.cylinders) == EIGHT for e in job.engines):
            assert len({r.place for r in job.readings if r.value.word == "dead"}) < 3


def test_the_samples_show_most_of_the_language() -> None:
    used = {e.kind for n in NAMES for e in log_of(n).entries}
    assert len(used) >= 0.65 * len(TABLE), sorted({k.word for k in TABLE} - used)
    marks = [e for n in NAMES for e in log_of(n).entries]
    assert any(e.correct for e in marks) and any(e.spec_mark for e in marks) and any(e.proved for e in marks)
    assert any(e.private for e in marks) and any(w.value and w.value.doubted for e in marks for w in e.readings)
    assert {job_of(n).units for n in NAMES} == {"us", "metric"}
