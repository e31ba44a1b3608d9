"""What is proposed can be written into the log: each beginning of a line reads when it is completed."""

from __future__ import annotations

import pytest

from logbook.diagnosis.knowledge import load
from logbook.diagnosis.repair_lines import LINES, line
from logbook.problems import Weight
from logbook.text.reader import read

ENGINE = "V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil near plug, leads, injection port"
CARD = f"units: metric\nengine: {ENGINE}\n2026-01-01\n"
KNOWN = load()


def errors(text: str) -> list[str]:
    log = read("x.txt", (CARD + text + "\n").encode())
    return [p.message for p in log.problems if p.weight is Weight.ERROR] or ([] if log.entries else ["nothing read"])


def completed(start: str) -> str:
    """A beginning of a line, with what a builder would write behind it."""
    if start.endswith("-"):
        return start
    if "now" in start:
        return start + "2 fires"
    return start + {"adjust timing: ": "+4 deg", "fill fuel: ": "20 l", "fit injector: ": "new in 2"}.get(start, "-")


@pytest.mark.parametrize("repair", LINES)
def test_each_repair_has_a_line_that_reads(repair: str) -> None:
    assert not errors(completed(line(repair, 2, (2, 4))))


def test_no_line_is_for_a_repair_that_nobody_knows() -> None:
    assert set(KNOWN.repairs) - set(LINES) == {"look_further"}  # what no test has named can't be mended
    assert set(LINES) <= set(KNOWN.repairs)


@pytest.mark.parametrize("row", [r for r in KNOWN.tests.values() if r.title], ids=lambda r: r.name)
def test_each_test_has_a_line_that_reads(row: object) -> None:
    named = {"n": 2, "part": "the coil found in 2", "near": ", 4 -, 6 -", "others": ", old 4 -, old 6 -"}
    start = row.write.format(**named).replace("2 , ", "2 -, ")  # type: ignore[attr-defined]
    assert not errors(completed(start))


@pytest.mark.parametrize("part", KNOWN.swaps)
def test_an_exchange_reads(part: str) -> None:
    assert not errors(completed(f"swap {part} 2 4: now "))
