"""The diagnosis tried on simulated jobs: how often it is right, how well it knows that, and how fast it gets there.

One trial is one hidden engine: the program's first proposal is done and written into the log until one cause is at
0.95 or the tests run out, and on until the repair is proved by the look that the program asks for, which is where a
second fault shows; then the same engine again in the fixed order of the textbook.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from logbook.diagnosis.answers import SEVERAL
from logbook.diagnosis.case import Case
from logbook.diagnosis.diagnose import case_of
from logbook.diagnosis.groups import Group, grouped, leader, shares_of
from logbook.diagnosis.look_again import MISREADING, misreadings
from logbook.diagnosis.proposals import open_questions, propose
from logbook.diagnosis.questions import Question, engine_questions, questions
from logbook.job.ledger import build
from logbook.pages.shop_findings import wilson
from logbook.text.reader import read

from . import generator, textbook
from .truth import FIRES_ABOVE, Setting

NAMES: dict[str, list[str]] = tomllib.loads(
    (Path(__file__).parent.parent / "told" / "names.toml").read_text(encoding="utf-8")
)["cause"]
SURE = 0.95
MOST_TESTS = 24  # for the program and for the textbook alike
MOST_AFTER = 10  # steps after the sure answer, until the repair is proved
PROOF = "proved"  # how a proposal begins that proves a repair
EVERY = 3  # the book is tried on every third job
Cause = tuple[str, tuple[str, str]]  # mode, where


@dataclass
class Result:
    """What came of one trial. Minutes are None where it never got sure."""

    right: bool = False
    sure: bool = False
    several: float = 0.0  # the share of 'several' before any repair
    several_true: bool = False
    several_stop: bool = False  # two things, no one of which mends the other, each keep it from firing
    several_after: float = 0.0  # the same once the repair was looked at
    brier: float = 1.0
    forecasts: list[tuple[float, bool]] = field(default_factory=list)
    minutes: float | None = None
    tests: int = 0
    textbook_minutes: float | None = None
    textbook_right: bool = False
    book: bool = False  # whether the book was tried on this job
    flags: list[tuple[float, bool]] = field(default_factory=list)
    unfinished: bool = False  # given up for its time or a fault: it counts as wrong


@dataclass
class Answer:
    """The last state of belief about one cylinder."""

    case: Case
    groups: list[Group]
    chances: list[float]
    several: float  # the share of 'several faults at once'
    asked: tuple[Question, ...]


def answer_of(text: str, cylinder: int) -> Answer:
    """What the program believes of a cylinder after a log."""
    case = case_of(build(read("simulated.txt", text.encode())))
    asked = questions(case)
    mine = next((q for q in asked if q.cylinder == cylinder), None)
    if mine is None:
        return Answer(case, [], [], 0.0, asked)
    groups = grouped(case, mine.blamed)
    shares = shares_of(case, groups, mine.place)
    return Answer(case, groups, list(shares.each), shares.several, asked)


def is_true(answer: Answer, group: Group, causes: Sequence[Cause]) -> bool:
    """Whether a group of faults is one of the true causes: the same thing, by any of its rows."""
    case = answer.case
    fault = leader(case, group)
    rows = {case.problem.faults[f].row for f in group.faults}
    for mode, (kind, name) in causes:
        if not rows & set(NAMES[mode]):
            continue
        if kind in ("coil", "lead", "plug", "injector"):
            if fault.part and case.job.part(fault.part).name == name:
                return True
        elif not fault.part and (kind == "engine" or set(map(int, name.split())) <= set(fault.cylinders)):
            return True
    return False


def begin(number: int, setting: Setting, stream: int) -> tuple[generator.Job, Result]:
    """A hidden engine with nothing but the complaint in its log, and a result with nothing but what is true of it."""
    job = generator.start(number, setting, stream)
    cylinder = min(job.truth.causes)
    acting = job.tester.engine.acting(cylinder, job.truth.condition)
    stops = {t.where for t in acting if t.level > 1 - FIRES_ABOVE}
    return job, Result(several_true=len(job.truth.causes[cylinder]) > 1, several_stop=len(stops) > 1)


def finish(job: generator.Job, result: Result, number: int, setting: Setting, stream: int) -> None:
    """One trial: the program's way to a sure answer and on to a proved repair, then the textbook's."""
    cylinder = min(job.truth.causes)
    causes = sorted(job.truth.causes[cylinder])
    cannot: set[str] = set()
    answer = answer_of(job.text, cylinder)
    proved = False
    while max(answer.chances, default=0.0) < SURE and result.tests < MOST_TESTS and not proved:
        done = _ask(job, answer, cannot)
        if not done:
            break
        result.tests += 1
        answer = answer_of(job.text, cylinder)
        proved = _is_proved(done, answer)
    if max(answer.chances, default=0.0) >= SURE:
        result.minutes = job.spent
    _score(result, answer, causes)
    for _ in range(0 if proved else MOST_AFTER):
        done = _ask(job, answer, cannot)
        answer = answer_of(job.text, cylinder)
        if not done or _is_proved(done, answer):
            break
    result.several_after = answer.several
    result.flags = _flags(job, answer.case)
    if number % EVERY == 0:
        result.book = True
        _textbook(result, number, setting, stream, cylinder, causes)


def _is_proved(done: str, answer: Answer) -> bool:
    """Whether the look that the program asked for as the proof found nothing wanting, nor anything to look at again."""
    if not done.startswith(PROOF) or open_questions(answer.case, answer.asked):
        return False
    doubts = misreadings(answer.case)
    return doubts[max(doubts)][0] < MISREADING


def _flags(job: generator.Job, case: Case) -> list[tuple[float, bool]]:
    """For each entry P(misreading) and whether the tester slipped."""
    dated = [e.entry.index for e in case.job.entries if e.entry.day is not None]
    doubts = misreadings(case)
    return [(doubts[entry][0], slip) for entry, slip in zip(dated, job.slips, strict=True) if entry in doubts]


def _ask(job: generator.Job, answer: Answer, cannot: set[str]) -> str:
    """Do the first proposal that can be done here; what was done, '' where nothing can. ``cannot``: what could not."""
    steps, _ = propose(answer.case, answer.asked, engine_questions(answer.case))
    for step in steps:
        request = step.log_as.strip()
        if request in cannot or step.blocked:
            continue
        found = job.answer(request)
        if found is not None:
            job.note(found)
            return request
        cannot.add(request)
    return ""


def _score(result: Result, answer: Answer, causes: Sequence[Cause]) -> None:
    truths = [is_true(answer, g, causes) for g in answer.groups]
    result.forecasts = list(zip(answer.chances, truths, strict=True))
    result.several = answer.several
    if not answer.groups:
        return
    best = max(range(len(truths)), key=lambda i: answer.chances[i])
    result.right = truths[best]
    result.sure = answer.chances[best] >= SURE
    result.brier = sum((p - t) ** 2 for p, t in result.forecasts)


def _textbook(
    result: Result, number: int, setting: Setting, stream: int, cylinder: int, causes: Sequence[Cause]
) -> None:
    job = generator.start(number, setting, stream)
    bad = sorted(job.truth.causes)
    for request in textbook.requests(job.tester.engine.card, bad)[:MOST_TESTS]:
        found = job.answer(request)
        if found is None:
            continue
        job.note(found)
        answer = answer_of(job.text, cylinder)
        if max(answer.chances, default=0.0) >= SURE:
            result.textbook_minutes = job.spent
            result.textbook_right = is_true(answer, answer.groups[answer.chances.index(max(answer.chances))], causes)
            return


def mean_interval(values: Sequence[float]) -> tuple[float, float, float]:
    """Mean and its 95 % interval by the normal approximation."""
    n = len(values)
    mean = sum(values) / n if n else 0.0
    spread = math.sqrt(sum((v - mean) ** 2 for v in values) / max(n - 1, 1)) if n else 0.0
    half = 1.959964 * spread / math.sqrt(n) if n else 0.0
    return mean, mean - half, mean + half


def calibration(results: Sequence[Result], bins: int = 20) -> Iterator[dict[str, float]]:
    """Forecasts in bins of equal count: the mean forecast, how often it came true, and the standard error."""
    forecasts = sorted(f for r in results for f in r.forecasts)
    size = max(len(forecasts) // bins, 1)
    for start in range(0, len(forecasts) - size + 1, size):
        part = forecasts[start : start + size]
        said = sum(p for p, _ in part) / size
        came = sum(t for _, t in part) / size
        error = math.sqrt(max(said * (1 - said), 1e-9) / size)
        yield {"said": said, "came_true": came, "n": size, "standard_error": error}


def summary(results: Sequence[Result], setting: Setting, stream: int) -> dict[str, Any]:
    """Every figure with its 95 % interval."""

    def share(hits: Sequence[bool]) -> dict[str, float]:
        low, high = wilson(sum(hits), len(hits)) if hits else (0.0, 1.0)
        return {"value": sum(hits) / len(hits) if hits else 0.0, "low": low, "high": high, "n": len(hits)}

    both = [r for r in results if r.minutes is not None and r.textbook_minutes is not None]
    brier = mean_interval([r.brier for r in results])
    return {
        "setting": setting.name,
        "stream": stream,
        "jobs": len(results),
        "unfinished": sum(r.unfinished for r in results),
        "top_cause_right": share([r.right for r in results]),
        "right_when_sure": share([r.right for r in results if r.sure]),
        "got_sure": share([r.sure for r in results]),
        "several_named_when_true": share([r.several_after >= SEVERAL for r in results if r.several_true]),
        "several_named_when_two_stop_it": share([r.several_after >= SEVERAL for r in results if r.several_stop]),
        "several_named_before_repair": share([r.several >= SEVERAL for r in results if r.several_true]),
        "several_named_when_not": share([r.several_after >= SEVERAL for r in results if not r.several_true]),
        "several_threshold": SEVERAL,
        "brier": dict(zip(("value", "low", "high"), brier, strict=True)),
        "minutes_saved_against_textbook": _saved(both),
        "tests": dict(zip(("value", "low", "high"), mean_interval([float(r.tests) for r in results]), strict=True)),
        "textbook_right_when_sure": share([r.textbook_right for r in both]),
        "textbook_got_sure": share([r.textbook_minutes is not None for r in results if r.book]),
        "calibration": list(calibration(results)),
        "misreading_precision": share([slip for r in results for p, slip in r.flags if p >= MISREADING]),
        "misreading_recall": share([p >= MISREADING for r in results for p, slip in r.flags if slip]),
        "misreading_threshold": MISREADING,
    }


def _saved(both: Sequence[Result]) -> dict[str, float]:
    """Share of the textbook's minutes that were saved, with an interval by leaving out a twentieth at a time."""

    def ratio(rows: Sequence[Result]) -> float:
        return 1 - sum(r.minutes or 0 for r in rows) / max(sum(r.textbook_minutes or 0 for r in rows), 1.0)

    if len(both) < 20:
        return {"value": ratio(both) if both else 0.0, "low": -1.0, "high": 1.0, "n": len(both)}
    parts = [ratio([r for i, r in enumerate(both) if i % 20 != k]) for k in range(20)]
    middle = ratio(both)
    error = math.sqrt(19 / 20 * sum((p - sum(parts) / 20) ** 2 for p in parts))
    return {"value": middle, "low": middle - 1.96 * error, "high": middle + 1.96 * error, "n": len(both)}
