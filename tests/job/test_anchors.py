"""Anchors: unique, plain, and the same when lines are put in elsewhere."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from logbook.job.anchors import anchors, slug
from logbook.text.entries import Log
from logbook.text.reader import read

LINES = (
    "cut-out: 1 70, 2 0, 3 70, 4 70",
    "swap coil: 1 2, now 1 dead",
    "swap coil: 2 3",
    "put back coil: 1 2",
    "compression: 1 150 psi, 2 151 psi",
    "road: around the block",
    "firing: all fires",
)


def log(lines: list[str]) -> Log:
    return read("job.txt", "\n".join(["engine: inline 4", "2026-05-04", *lines, ""]).encode())


@given(st.lists(st.sampled_from(LINES), max_size=8))
def test_anchors_are_unique_and_plain(lines: list[str]) -> None:
    found = anchors(log(lines).entries)
    assert len(set(found)) == len(found)
    assert all(a.isascii() and a == a.lower() and " " not in a for a in found)


@given(st.lists(st.sampled_from(LINES), min_size=1, max_size=8), st.data())
def test_a_line_put_in_moves_only_the_anchors_of_its_equals(lines: list[str], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(lines)))
    new = data.draw(st.sampled_from(LINES))
    before = anchors(log(lines).entries)[1:]
    after = anchors(log([*lines[:at], new, *lines[at:]]).entries)[1:]
    kept = [*after[:at], *after[at + 1 :]]
    for line, old, now in zip(lines, before, kept, strict=True):
        assert old == now or line == new


def test_a_corrected_figure_keeps_its_anchor() -> None:
    assert anchors(log(["cut-out: 3 70"]).entries) == anchors(log(["cut-out: 3 65"]).entries)


def test_an_anchor_says_day_kind_and_subject() -> None:
    found = anchors(log(["swap coil: 2 3, now 3 dead", "proved cut-out: 70 70 70 70", "swap coil: 2 3"]).entries)
    assert found == (
        "card-engine",
        "2026-05-04-swap-coil-2-3",
        "2026-05-04-proved-cut-out-1-2-3-4",
        "2026-05-04-swap-coil-2-3--2",
    )


@given(st.text())
def test_a_slug_is_plain_whatever_comes_in(text: str) -> None:
    found = slug(text)
    assert found == slug(found)
    assert found.isascii() and "--" not in found
