"""What a job understands of one line, in a short form that a table can hold: 'cut-out: 1 none; 2 70 rpm'."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from logbook.commands.check_data import understood
from logbook.job.ledger import build
from logbook.job.model import Job
from logbook.problems import Problem
from logbook.text.reader import read

HERE = Path(__file__).resolve().parent / "jottings"


def job_with(setting: str, before: str, *lines: str) -> tuple[Job, int, str]:
    """The job of a card, a day, the lines before (parted by ' | ') and these; the number of the first of these."""
    card = (HERE / "cards" / f"{setting}.txt").read_text(encoding="utf-8").rstrip("\n").split("\n")
    above = [*card, "", "2026-05-12", *(line for line in before.split(" | ") if line)]
    text = "\n".join([*above, *lines]) + "\n"
    return build(read("x.txt", text.encode(), hearing=False)), len(above) + 1, text


def told(setting: str, before: str, line: str) -> tuple[str, list[Problem]]:
    """What is understood of the last line, '' where it is refused; and the problems told of it."""
    job, number, text = job_with(setting, before, line)
    problems = [p for p in job.problems if text.count("\n", 0, p.span.start) + 1 == number]
    return " / ".join(_short(e) for e in understood(job) if e["line"] == number), problems


def _short(entry: dict[str, Any]) -> str:
    head = " ".join(w for w in (entry["kind"], entry["part"], entry["name"]) if w)
    parts = [f"{head}: " + "; ".join(_reading(r, entry["kind"]) for r in entry["readings"])]
    if entry["moves"]:
        parts.append("moves " + ", ".join(">".join(move) for move in entry["moves"]))
    if entry["money"] is not None:
        parts.append(f"money {entry['money']:g} {entry['currency']}")
    if entry["hours"] is not None:
        parts.append(f"hours {entry['hours']:g}")
    if entry["text"]:
        parts.append(f"~ {entry['text']}")
    return " ".join(parts)


def _reading(r: dict[str, Any], kind: str) -> str:
    number = (
        f"{r['value']:g}" if r["value"] is not None else f"{r['low']:g}..{r['high']:g}" if r["low"] is not None else ""
    )
    test = "" if r["test"] == kind else r["test"]
    word = f"{r['word']}{'?' if r['doubt'] else ''}"
    said = " ".join(w for w in (test, r["at"], r["bound"], number, r["unit"], word, *r["words"]) if w)
    return f"{said} @ {', '.join(r['conditions'])}" if r["conditions"] else said
