"""The log as it was written, by day."""

from __future__ import annotations

import pytest

from logbook.job import ledger
from logbook.job.model import Photo
from logbook.pages.day_by_day import DaySection, ShownPhoto, days, split
from logbook.text import reader
from pages.example_job import job

CARD = "job: x\nunits: metric\nengine: V6, left 1 3 5, right 2 4 6\n"


def sections(text: str) -> tuple[DaySection, ...]:
    return days(ledger.build(reader.read("x.txt", text.encode(), None), None, {}, "x"), {})


def test_card_first_then_every_day_with_its_title() -> None:
    found = days(job(), {})
    assert [d.heading for d in found] == [
        "On the card",
        "Monday 4 May 2026",
        "Tuesday 5 May 2026",
        "Saturday 9 May 2026",
    ]
    assert [d.title for d in found[1:]] == ["looked it over", "", "came back"]
    assert len({d.id for d in found}) == 4


def test_a_value_put_right_is_struck_and_leads_to_its_mend() -> None:
    entry = days(job(), {})[1].entries[0]
    assert [(p.text, p.struck) for p in entry.rest if p.struck] == [("60", True)]
    assert [(words, link.anchor) for words, link in entry.mended] == [("corrected on", job().entries[13].anchor)]
    mend = days(job(), {})[3].entries[3]
    assert [link.text for _, link in mend.mended] == ["4 May"]


def test_the_whole_line_is_there_to_the_letter() -> None:
    for section, found in zip(days(job(), {})[1:], (5, 7, 10), strict=True):
        first = section.entries[0]
        line = job().entries[found].line_text
        told = f"{first.time} {first.word}{''.join(p.text for p in first.rest)}".replace("\u00a0", " ")
        assert [w for w in told if w.isalnum()] == [w for w in line if w.isalnum()]


@pytest.mark.parametrize(
    ("line", "word", "rest"),
    [
        ("cut-out: 1 70, 2 65, 3 70, 4 0, 5 60, 6 70", "cut-out", "1 70, 2 65, 3 70, 4 0, 5 60, 6 70"),
        ("swap coil 2 4: now same", "swap coil", "2 4: now same"),
        ("fit injector: new in 3", "fit injector", "new in 3"),
        ("pull 2 rpm: 2500 3000 3500", "pull 2 rpm", "2500 3000 3500"),
        ("feed injector: all 12.3 @ key on", "feed injector", "all 12.3 @ key on"),
        ("handed over", "handed over", ""),
    ],
)
def test_the_word_of_the_log_is_told_from_what_follows(line: str, word: str, rest: str) -> None:
    built = ledger.build(reader.read("x.txt", f"{CARD}\n2026-05-04\n{line}\n".encode(), None), None, {}, "x")
    assert split(built.entries[-1])[1:3] == (word, rest)


def test_times_stand_before_the_word() -> None:
    entry = days(job(), {})[3].entries[0]
    assert (entry.time, entry.word) == ("08:30", "swap coil")


def test_private_entries_leave_a_word_behind_in_the_public_copy() -> None:
    public = job()._replace(copy="public")
    found = days(public, {})
    assert found[0].left_out == "1 entry kept private"
    assert found[3].left_out == "2 entries kept private"
    told = repr(found)
    assert "K. Example" not in told and "pays late" not in told


def test_a_day_unknown_has_a_section_of_its_own() -> None:
    found = sections(f"{CARD}\n2026-05-04\ncrank: fires\n\n2026-04-31\ncrank: slow\n")
    assert [d.heading for d in found[1:]] == ["Monday 4 May 2026", "Day unknown"]


def test_one_day_written_twice_has_two_anchors() -> None:
    found = sections(f"{CARD}\n2026-05-04\ncrank: fires\n\n2026-05-05\ncrank: fires\n\n2026-05-04\ncrank: slow\n")
    assert len({d.id for d in found}) == len(found)


def test_a_doubted_value_says_why_in_the_shop_alone() -> None:
    text = f"{CARD}\n2026-05-04\ncompression: 1 131 bar\n"
    built = ledger.build(reader.read("x.txt", text.encode(), None), None, {}, "x")
    assert built.problems, "131 bar is not believable"
    assert days(built, {})[1].entries[0].doubts
    assert not days(built._replace(copy="public"), {})[1].entries[0].doubts


def test_photos_stand_where_they_were_named() -> None:
    with_photo = job()._replace(photos=(Photo(8, "photo", "tip.jpg", "the tip before cleaning"),))
    shown = ShownPhoto("parcel-van/photos/tip.jpg", 320, 240)
    entry = days(with_photo, {"tip.jpg": shown})[2].entries[1]
    assert [(p.photo, p.caption) for p in entry.photos] == [(shown, "the tip before cleaning")]
    assert not days(with_photo, {})[2].entries[1].photos
