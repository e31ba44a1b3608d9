"""The sample logs as the tests want them: whole, until the end of a day, or with one line changed."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from logbook.diagnosis.answers import Diagnosis
from logbook.diagnosis.diagnose import diagnose
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.text.entries import Log
from logbook.text.reader import read

HERE = Path(__file__).parent
FOLDER = HERE.parents[1] / "sample_logs"
EXPECTED: dict[str, Any] = tomllib.loads((HERE / "expected.toml").read_text(encoding="utf-8"))
NAMES = tuple(sorted(p.stem for p in FOLDER.glob("*.txt") if p.stem != "shop"))


@cache
def shop() -> Log:
    return read("shop.txt", (FOLDER / "shop.txt").read_bytes())


@cache
def text_of(name: str) -> str:
    return (FOLDER / f"{name}.txt").read_text(encoding="utf-8")


@cache
def log_of(name: str, text: str | None = None) -> Log:
    return read(f"{name}.txt", (text_of(name) if text is None else text).encode(), shop())


@cache
def job_of(name: str, text: str | None = None) -> Job:
    return build(log_of(name, text), shop())


def days_of(name: str) -> list[str]:
    """The days of a sample, in order, as ISO dates."""
    return [d.day.isoformat() for d in log_of(name).days if d.day]


def until_end_of(name: str, day: str, text: str | None = None) -> str:
    """The text of a log up to the end of a day."""
    whole = text_of(name) if text is None else text
    later = [d.span.start for d in log_of(name, whole).days if d.day and d.day.isoformat() > day]
    return whole[: min(later)] if later else whole


def diagnosis(name: str, text: str | None = None) -> tuple[Job, Diagnosis]:
    return _diagnosed(name, text_of(name) if text is None else text)


@cache
def _diagnosed(name: str, text: str) -> tuple[Job, Diagnosis]:
    """Once for all tests: whole samples, their beginnings and their changed forms overlap."""
    job = job_of(name, text)
    return job, diagnose(job)
