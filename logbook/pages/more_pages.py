"""The lesser pages of a job: at the engine, the build sheet, hours and money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.model import Number
from logbook.job.model import Job
from logbook.pages.build_sheet import BuildSheet, build_sheet
from logbook.pages.figure_pulls import PULLS
from logbook.pages.frame import Sheet, ShownFigure
from logbook.pages.heads import knock_words
from logbook.pages.ledger import Ledger, ledger
from logbook.pages.next_step import NextTest, next_steps, own_cautions
from logbook.pages.numbers_page import MONEY, Worked, worked
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.status import OPEN, is_build, status_of


@dataclass(frozen=True, slots=True)
class NextPage:
    sheet: Sheet
    test: NextTest
    words: Voice


@dataclass(frozen=True, slots=True)
class BuildPage:
    sheet: Sheet
    build: BuildSheet
    figures: tuple[ShownFigure, ...]
    knock: str
    cautions: tuple[str, ...]
    words: Voice


@dataclass(frozen=True, slots=True)
class MoneyPage:
    sheet: Sheet
    ledger: Ledger
    numbers: tuple[Worked, ...]
    words: Voice


def next_page(job: Job, diagnosis: Diagnosis, sheet: Sheet) -> NextPage | None:
    """The next test alone, in big type; None where there is none."""
    test = next_steps(job, diagnosis).test
    if test is None or status_of(job, diagnosis) not in OPEN:
        return None
    named = replace(sheet, title=test.title, page_title=f"{test.title}, {sheet.title}")
    return NextPage(replace(named, kicker=test.minutes, look="phone"), test, voice_of(job.units))


def build_page(job: Job, sheet: Sheet, figures: Mapping[str, tuple[ShownFigure, ...]]) -> BuildPage | None:
    """What was wanted beside what was measured, and the pulls; None where nothing was built."""
    build = build_sheet(job) if is_build(job) else None
    if build is None:
        return None
    voice = voice_of(job.units)
    return BuildPage(sheet, build, figures.get(PULLS, ()), knock_words(voice, job), own_cautions(job), voice)


def money_page(job: Job, numbers: Sequence[Number], sheet: Sheet) -> MoneyPage | None:
    """Hours and money of the shop's copy; None in a public one and where nothing was written."""
    found = ledger(job)
    if found is None:
        return None
    sums = [n for n in numbers if n.group == MONEY and not n.missing]
    told = tuple(worked(job, n, f"money-{i}") for i, n in enumerate(sums))
    return MoneyPage(sheet, found, told, voice_of(job.units))
