"""Every number of the catalogue is explained, provoked by its own example, and gone once that is mended."""

from __future__ import annotations

import pytest

from logbook.problems import Weight
from logbook.text.faults import Fault, explain, faults
from logbook.text.limits import MOST_BYTES
from logbook.text.reader import read

SPECIAL = {701}  # too long to be built for each test: below


def as_bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogateescape")


HEARD = {250, 251, 252}


def numbers(text: str, hearing: bool = False) -> list[int]:
    return [p.number for p in read("log.txt", as_bytes(text), hearing=hearing).problems]


@pytest.mark.parametrize("row", [r for n, r in faults().items() if n not in SPECIAL], ids=lambda r: str(r.number))
def test_provoked_and_mended(row: Fault) -> None:
    assert row.number in numbers(row.bad, row.number in HEARD)
    assert row.number not in numbers(row.good, row.number in HEARD)
    assert not [p for p in read("log.txt", as_bytes(row.good)).problems if p.weight is Weight.ERROR]


@pytest.mark.parametrize("row", faults().values(), ids=lambda r: str(r.number))
def test_explained(row: Fault) -> None:
    told = explain(row.number)
    assert told.startswith(f"{row.number} ({row.weight.value}): ")
    assert row.why in told
    assert row.why.endswith(".")


def test_numbers_keep_to_their_blocks() -> None:
    assert {n // 100 for n in faults()} == {1, 2, 3, 4, 7}
    assert explain(999) == ""


def test_a_log_that_is_too_long() -> None:
    log = read("log.txt", b"job: x\n" * (MOST_BYTES // 7 + 1))
    assert [p.number for p in log.problems] == [701]
    assert log.lines.problem == log.lines.total == MOST_BYTES // 7 + 1
