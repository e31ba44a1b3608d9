"""What the program proposes at the end of each day of each sample, with one line of defence for it beside it.

A changed proposal fails here until somebody has looked at it and can defend it (``defences.toml``).
"""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from logbook.diagnosis.answers import Diagnosis

from .logs import HERE, NAMES, days_of, diagnosis, until_end_of

DEFENCES: dict[str, dict[str, Any]] = tomllib.loads((HERE / "defences.toml").read_text(encoding="utf-8"))


def proposal(found: Diagnosis) -> str:
    if not found.next:
        return f"nothing ({found.standing})"
    return f"{found.next[0].title} | {found.next[0].log_as.strip()}"


@pytest.mark.parametrize("name", NAMES)
def test_the_first_proposal_of_each_day(name: str, snapshot: SnapshotAssertion) -> None:
    told = []
    for day in days_of(name):
        said = proposal(diagnosis(name, until_end_of(name, day))[1])
        defence = DEFENCES[name][day]
        assert said.endswith(defence["for"]), (
            f"{name} {day}: '{said}' has no defence; the one there is for '{defence['for']}'"
        )
        told.append(f"{day}: {said} -- {defence['why']}")
    assert told == snapshot


@pytest.mark.parametrize("name", NAMES)
def test_each_defence_is_for_a_day_of_the_sample(name: str) -> None:
    assert list(DEFENCES[name]) == days_of(name)
