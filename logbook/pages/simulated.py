"""What made-up jobs gave: the simulation's own report, where it was shipped beside the knowledge, as tables."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from importlib import resources
from itertools import groupby
from typing import Any

from logbook.diagnosis.answers import SEVERAL
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.words import capital, counted, in_hundred

WORDS = (
    "Jobs drawn by a generator with a structure of its own and told by an imperfect tester, "
    "each figure with the range that its number of jobs leaves open (95 %). "
    "A repair that mends is no part of the minutes; one in vain is. "
    f"A second fault counts as named from {in_hundred(SEVERAL)} on."
)
# Key of the report, what it is called, what was hoped for.
_FIGURES = (
    ("top_cause_right", "the first cause was the true one", "0.92, with the rates off 0.88"),
    ("right_when_sure", "right where it was at least 0.95 sure", "0.95"),
    ("got_sure", "got that sure at all", ""),
    ("several_named_when_true", "several faults named where there were several, after the proof", "0.70"),
    ("several_named_when_two_stop_it", "the same where two things keep it from firing, each for itself", ""),
    ("several_named_before_repair", "several faults named before any repair", ""),
    ("several_named_when_not", "several faults named where there was one", ""),
    ("minutes_saved_against_textbook", "minutes saved against a fixed order of tests", "0.30"),
    ("textbook_right_when_sure", "the fixed order right where it got sure", ""),
    ("misreading_precision", "entries to check again that were written wrongly", "0.75"),
    ("misreading_recall", "wrongly written entries that were found", "0.70"),
    ("brier", "mean squared error of a chance (0 is best)", ""),
    ("tests", "tests to the end", ""),
    ("textbook_got_sure", "the fixed order of tests got sure", ""),
)


def shipped_report() -> Mapping[str, Any]:
    """The report as it was shipped; empty where none was."""
    file = resources.files("logbook.diagnosis") / "knowledge" / "trust.json"
    found: Mapping[str, Any] = json.loads(file.read_text(encoding="utf-8")) if file.is_file() else {}
    return found


def simulated_tables(report: Mapping[str, Any]) -> tuple[Table, ...]:
    """Two tables a setting: the figures, and what was said against what came true."""
    tables = []
    for setting in report.get("settings", ()):
        jobs = counted(int(setting["jobs"]), "job")
        if setting.get("unfinished"):
            jobs += f", {int(setting['unfinished'])} of them given up for their time and counted as wrong"
        tables.append(_figures(setting, f"{capital(setting['setting'])}: {jobs}"))
        if setting.get("calibration"):
            tables.append(_calibration(setting))
    return tuple(tables)


def _figures(setting: Mapping[str, Any], caption: str) -> Table:
    rows = tuple(
        (
            Cell(capital(words)),
            Cell(_figure(setting[key]["value"])),
            Cell(f"{_figure(setting[key]['low'])} to {_figure(setting[key]['high'])}"),
            Cell(goal or "none set", soft=not goal),
        )
        for key, words, goal in _FIGURES
        if key in setting
    )
    columns = (Column("Share or mean"), Column("Found", number=True), Column("Range", number=True), Column("Hoped for"))
    return Table(caption, columns, rows, fold=True)


def _figure(value: float) -> str:
    return f"{value:.3f}".replace("-", "−")


def _bands(bins: Sequence[Mapping[str, float]]) -> Iterator[Mapping[str, float]]:
    """Bins whose forecasts are the same to the hundredth as one: most causes are all but ruled out."""
    for _, group in groupby(bins, key=lambda band: round(band["said"], 2)):
        some = list(group)
        n = sum(band["n"] for band in some)
        said, came = (sum(band[key] * band["n"] for band in some) / n for key in ("said", "came_true"))
        yield {"said": said, "came_true": came, "standard_error": math.sqrt(said * (1 - said) / n), "n": n}


def _calibration(setting: Mapping[str, Any]) -> Table:
    rows = tuple(
        (
            Cell(f"{band['said']:.3f}"),
            Cell(f"{band['came_true']:.3f}"),
            Cell(f"{band['standard_error']:.3f}"),
            Cell(str(int(band["n"]))),
        )
        for band in _bands(setting["calibration"])
    )
    columns = (
        Column("Said, on average"),
        Column("Came true", number=True),
        Column("Standard error", number=True),
        Column("Forecasts", number=True),
    )
    return Table(f"{capital(setting['setting'])}: chances that were given, and what came true", columns, rows)
