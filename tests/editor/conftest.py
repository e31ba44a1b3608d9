"""The servers that the tests of a run share are told goodbye at its end."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from .client import WIRES


@pytest.fixture(scope="session", autouse=True)
def goodbye() -> Iterator[None]:
    yield
    for wire in WIRES.values():
        wire.end()
