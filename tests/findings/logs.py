"""Small logs for the tests of findings, read as a builder would write them."""

from __future__ import annotations

from pathlib import Path

from logbook.diagnosis.answers import NOTHING, Diagnosis
from logbook.findings.model import Number
from logbook.findings.work import work_out
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.reader import read

SAMPLES = Path(__file__).resolve().parents[2] / "sample_logs"
CARD = """job: test
units: {units}
engine: {engine}
place: altitude {altitude}
{more}
2026-05-04
"""
FOUR = "four in line, fires 1 3 4 2, coil on plug, injection port, mains 5"
V_SIX = "V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug, injection port, mains 4"


def log(body: str, *, units: str = "metric", engine: str = FOUR, altitude: str = "0 m", more: str = "") -> Job:
    """The job of a card and one day. A line that cannot be read fails the test that wrote it."""
    text = CARD.format(units=units, engine=engine, altitude=altitude, more=more) + body
    found = read("test.txt", text.encode())
    errors = [p.message for p in found.problems if p.weight == "error"]
    assert not errors, errors
    return build(found)


def sample(name: str) -> Job:
    shop = read("shop.txt", (SAMPLES / "shop.txt").read_bytes())
    path = SAMPLES / f"{name}.txt"
    return build(read(path.name, path.read_bytes(), shop), shop)


def sample_names() -> list[str]:
    return sorted(p.stem for p in SAMPLES.glob("*.txt") if p.stem != "shop")


def numbers(job: Job, calculation: str, diagnosis: Diagnosis = NOTHING) -> list[Number]:
    return [n for n in work_out(job, diagnosis) if n.calculation == calculation]


def one(job: Job, calculation: str, diagnosis: Diagnosis = NOTHING) -> Number:
    """The only number of this calculation."""
    found = numbers(job, calculation, diagnosis)
    assert len(found) == 1, [n.title for n in found]
    return found[0]


def result(number: Number) -> dict[str, object]:
    return dict(number.result)


def lines(job: Job, number: Number) -> list[str]:
    """The lines of the log that a number came from."""
    return [job.entries[e].line_text for i in number.inputs for e in i.entries]
