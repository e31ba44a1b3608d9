"""Shop findings: what the causes turned out to be over all closed jobs, and how often the ranking here was right."""

from __future__ import annotations

import math
import statistics
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from logbook.pages import frame
from logbook.pages.closed_jobs import ClosedJob
from logbook.pages.frame import Cell, Column, Field, Link, Sheet, Table
from logbook.pages.parts import Shop
from logbook.pages.words import capital, counted, date_words, hundredths, percent

SURE = 0.95
_BANDS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


@dataclass(frozen=True, slots=True)
class ShopFindingsPage:
    sheet: Sheet
    lead: tuple[str, ...]
    causes: Table | None
    settled: Table | None
    jobs: Table | None
    honest: tuple[str, ...]
    reliability: Table | None
    nothing: str = ""


def findings_page(closed: Iterable[ClosedJob], shop: Shop) -> ShopFindingsPage:
    """The page over all closed jobs, the latest first."""
    jobs = sorted(closed, key=lambda j: (-(j.day or date.min).toordinal(), j.path))
    ranked = [j for j in jobs if j.rank is not None]
    proved = sum(j.proved for j in jobs)
    sheet = Sheet(
        frame.SHOP_FINDINGS,
        "What fails here",
        f"{capital(counted(len(jobs), 'closed job'))}: what the causes were, and how often the ranking here was right.",
        shop=shop.name,
        copy=shop.copy,
        fields=(
            Field("Cause found", str(len(jobs))),
            Field("Proved", str(proved)),
            Field("Ranked before", str(len(ranked))),
        ),
        ways=(Link("Jobs", frame.SHELF), Link("Parts", frame.PARTS)),
        ways_label="Elsewhere",
        scripts=("reload.js",),
        foot="Written from all logs",
    )
    return ShopFindingsPage(
        sheet,
        _lead(jobs),
        _counted_table("What the causes turned out to be", "Cause", [j.what for j in jobs]),
        _counted_table("Which test told most", "Entry", [j.settled_by for j in jobs if j.settled_by]),
        _jobs_table(jobs),
        _honest(ranked),
        _reliability(ranked),
        "" if jobs else "No job has a cause yet. Write 'cause coil: 3' when it is found.",
    )


def _lead(jobs: Sequence[ClosedJob]) -> tuple[str, ...]:
    if not jobs:
        return ()
    hours = [j.hours for j in jobs if j.hours is not None]
    what, times = Counter(j.what for j in jobs).most_common(1)[0]
    said = [f"{capital(counted(len(jobs), 'job'))} with a cause found, most often {what} ({times} of {len(jobs)})."]
    if hours:
        said.append(f"Hours of diagnosis: {statistics.median(hours):f} in the middle of {counted(len(hours), 'job')}.")
    return tuple(said)


def _counted_table(caption: str, head: str, words: Sequence[str]) -> Table | None:
    counts = sorted(Counter(words).items(), key=lambda c: (-c[1], c[0]))
    rows = tuple((Cell(word), Cell(str(n))) for word, n in counts)
    return Table(caption, (Column(head), Column("Jobs", number=True)), rows) if rows else None


def _jobs_table(jobs: Sequence[ClosedJob]) -> Table | None:
    hours = any(j.hours is not None for j in jobs)
    rows = tuple(
        (
            Cell(j.title, link=Link(j.title, j.path)),
            Cell(j.text or j.what, link=Link(j.text or j.what, j.path, j.anchor)),
            Cell(date_words(j.day)),
            Cell(_rank_words(j), out=j.rank is not None and j.rank != 1, soft=j.rank is None),
            *((Cell(f"{j.hours:f} h" if j.hours is not None else "not noted", soft=j.hours is None),) if hours else ()),
        )
        for j in jobs
    )
    heads = ("Job", "Cause", "Found", "Ranked before", *(("Diagnosis",) if hours else ()))
    return Table("Jobs, latest first", tuple(map(Column, heads)), rows, fold=True) if rows else None


def _rank_words(job: ClosedJob) -> str:
    if job.rank is None:
        return "nothing ranked"
    if job.rank == 0:
        return f"not listed; first was at {percent(job.top)}"
    place = {1: "first", 2: "second", 3: "third"}.get(job.rank, f"{job.rank}th")
    return f"{place}, at {percent(job.stated)}"


def _honest(jobs: Sequence[ClosedJob]) -> tuple[str, ...]:
    """How often the ranking was right, with the range that so few jobs leave open."""
    if not jobs:
        return ("No closed job had a ranking before its cause was written down, so nothing can be said of it yet.",)
    right = sum(j.rank == 1 for j in jobs)
    said = [
        f"The cause that was found was ranked first in {right} of {counted(len(jobs), 'job')}: "
        f"{share_words(right, len(jobs))}."
    ]
    sure = [j for j in jobs if j.top >= SURE]
    if sure:
        good = sum(j.rank == 1 for j in sure)
        said.append(
            f"Where the first was at 95% or more it was right in {good} of {len(sure)}: {share_words(good, len(sure))}."
        )
    missed = sum(j.rank == 0 for j in jobs)
    if missed:
        said.append(f"In {missed} the cause was not among those listed at all.")
    return tuple(said)


def share_words(hits: int, of: int) -> str:
    """'83%; from so few jobs, anything from 44% to 97%'."""
    low, high = wilson(hits, of)
    return f"{_whole(hits / of)}%; from so few jobs, anything from {_whole(low)}% to {_whole(high)}%"


def _whole(share: float) -> int:
    return math.floor(100 * share + 0.5)


def wilson(hits: int, of: int, z: float = 1.959963984540054) -> tuple[float, float]:
    """The 95 % score interval of a share (Wilson 1927), 0 to 1. ``of`` is at least 1."""
    share, spread = hits / of, z * z / of
    middle = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)


def _reliability(jobs: Sequence[ClosedJob]) -> Table | None:
    """What was said of the first cause against what came true, by bands."""
    rows = []
    for low, high in pairwise(_BANDS):
        band = [j for j in jobs if low <= j.top < high or (high == 1.0 and j.top == 1.0)]
        if band:
            said = sum(j.top for j in band) / len(band)
            true = sum(j.rank == 1 for j in band)
            rows.append(
                (
                    Cell(f"{round(100 * low)} to {round(100 * high)}"),
                    Cell(str(hundredths(said))),
                    Cell(f"{true} of {len(band)}"),
                )
            )
    columns = (Column("First was at, %"), Column("On average", number=True), Column("Right", number=True))
    return Table("Odds given and how often right", columns, tuple(rows)) if rows else None
