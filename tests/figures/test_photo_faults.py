"""Every fault that a photo can have is explained, and each is one that the code gives."""

from __future__ import annotations

import inspect
import re

from logbook.findings import recordings
from logbook.job import file_faults
from logbook.output import photos
from logbook.pages.explanations import explanations
from logbook.text.reader import read


def test_numbers_given_and_numbers_explained_are_the_same() -> None:
    given = {int(n) for n in re.findall(r"(?:_fault|Fault)\((6\d\d)", inspect.getsource(photos))}
    assert given == {number for number in file_faults.FAULTS if number < recordings.NUMBER}
    assert recordings.NUMBER in file_faults.FAULTS
    assert all(str(number) in file_faults.explain(number) for number in given)
    assert file_faults.explain(101) == ""


def test_the_lines_of_the_examples_are_lines_of_a_log() -> None:
    for row in file_faults.FAULTS.values():
        for text in filter(None, (row.bad, row.good)):
            kind = {recordings.NUMBER: "trace", file_faults.NO_WEB_ADDRESS: "public address"}.get(row.number, "photo")
            assert read("van.txt", text.encode()).entries[-1].kind == kind


def test_all_stages_are_in_the_catalogue_once() -> None:
    numbers = [e.number for e in explanations()]
    assert numbers == sorted(set(numbers))
    assert {n // 100 for n in numbers} >= {1, 2, 3, 4, 5, 6}
    assert all(e.title and e.text for e in explanations())
