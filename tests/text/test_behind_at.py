"""What stands behind '@': conditions, a second reading with its own, and what was seen."""

from __future__ import annotations

import pytest

from logbook.problems import Weight
from logbook.text.forms import entry_line
from tests.text.jottings_told import job_with, told


@pytest.mark.parametrize(
    ("line", "understood"),
    [
        ("oil pressure: 42 @ cold, 25 @ hot", "oil pressure: engine 42 psi @ cold; engine 25 psi @ hot"),
        ("oil pressure: 42 psi @ warm, 2500 rpm", "oil pressure: engine 42 psi @ warm, 2500 rpm"),
        ("timing: 12 @ idle, 28 @ 3000 rpm", "timing: engine 12 deg @ idle; engine 28 deg @ 3000 rpm"),
        ("fuel pressure: 58 @ key on, idle 52", "fuel pressure: engine 58 psi @ key on; idle 52 psi @ idle"),
        ("pull: boost 8 @ 5500 rpm, afr 11.6", "pull: boost 8 psi @ 5500 rpm; afr 11.6 afr @ 5500 rpm"),
        ("cut-out: 4 0 @ idle, 5 70 rpm", "cut-out: 4 0 rpm @ idle; 5 70 rpm"),
        ("leak-down: 6 45 @ 100 psi, oil fill", "leak-down: 6 45 % oil-filler @ 100 psi ~ oil fill"),
        ("leak-down: 6 45 @ 100 psi (oil cap)", "leak-down: 6 45 % oil-filler @ 100 psi ~ oil cap"),
        ("leak-down: 6 60 @ intake", "leak-down: 6 60 % intake ~ intake"),
        ("flow: 4 61 ml @ 30 s, 3 bar, test fluid", "flow: 4 61 ml @ 30 s, 3 bar, test fluid"),
        ("fuel pressure: 58 (key on)", "fuel pressure: engine 58 psi @ key on"),
        ("compression: 1 165, 6 90 @ warm, throttle open",
         "compression: 1 165 psi @ warm, throttle open; 6 90 psi @ warm, throttle open"),
        ("compression: 1 165, 6 90 @ cold, 1 170, 6 95 @ warm",
         "compression: 1 165 psi @ cold; 6 90 psi @ cold; 1 170 psi @ warm; 6 95 psi @ warm"),
    ],
)  # fmt: skip
def test_each_goes_where_it_belongs(line: str, understood: str) -> None:
    said, problems = told("pickup8", "", line)
    assert said == understood
    assert not [p.message for p in problems if p.weight is Weight.ERROR]


@pytest.mark.parametrize(
    "line",
    [
        "afr: 14.5 @ idle, 11.5 rpm @ wot",
        "compression: 3 11.5 @ warm, 4 dead",
        "leak-down: 1 8, 6 45 @ 100 psi, oil fill",
        "ground at inj 3 0.25 V under load",
        "output: 13.2 @ idle, 14.0 at 2500",
    ],
)
def test_what_is_no_condition_is_never_swallowed(line: str) -> None:
    said, problems = told("pickup8", "", line)
    assert not said and [p for p in problems if p.weight is Weight.ERROR]


@pytest.mark.parametrize(
    "line",
    [
        "oil pressure: 42 @ cold, 25 @ hot",
        "compression: 1 165 @ cold, 2 160 @ cold, 1 170 @ warm",
        "cut-out: 4 0 @ idle, 5 70 rpm",
        "fuel pressure: 58 @ key on, idle 52",
    ],
)
def test_conditions_of_their_own_are_written_as_they_are_read(line: str) -> None:
    job, _, _ = job_with("pickup8", "", line)
    assert entry_line(job.entries[-1].entry) == line


def test_a_condition_of_its_own_is_masked_too() -> None:
    from logbook.job.copy import copied
    from logbook.job.ledger import build
    from logbook.text.reader import read

    log = b"owner: Marigold Example\nunits: us\n2026-05-04\noil pressure: 42 @ Marigold watching, 25 @ hot\n"
    public = copied(build(read("van.txt", log)), "public")
    assert "Marigold" not in repr(public)
