"""Readings of one test at one time: what a figure sets side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from logbook.job.model import Job, Reading
from logbook.pages.places import is_hidden
from logbook.pages.words import short_date

Subject = Callable[[Reading], str]


@dataclass(frozen=True, slots=True)
class Moment:
    """One test at one time: the readings by subject, the last of each.

    ``tries`` are all readings of a subject at the same conditions, with nothing done between them.
    """

    day: date | None
    qualifiers: tuple[str, ...]
    proved: bool
    step: int
    readings: tuple[tuple[str, Reading], ...]
    called: str = ""  # 'before', 'after'
    tries: tuple[tuple[str, tuple[Reading, ...]], ...] = ()
    us: bool = False

    @property
    def label(self) -> str:
        """'4 May', '4 May, dry', 'after, 4 May'."""
        return ", ".join(filter(None, (self.called, short_date(self.day, us=self.us), *self.qualifiers)))

    def reading(self, subject: str) -> Reading | None:
        return dict(self.readings).get(subject)

    def tried(self, subject: str) -> tuple[Reading, ...]:
        return dict(self.tries).get(subject, ())


def shown_readings(job: Job, test: str) -> list[Reading]:
    """The readings of a test that count and that this copy shows."""
    hidden = job.copy == "public"
    return [
        r
        for r in job.readings
        if r.test == test and r.counts and not is_hidden(job, r.entry) and not (hidden and r.private)
    ]


def moments(job: Job, readings: Iterable[Reading], subject: Subject) -> tuple[Moment, ...]:
    """Readings by day, qualifiers and proof, in time order; what was done in between parts one day in two."""
    actions = sorted(e.step for e in job.events)
    found: dict[tuple[date | None, tuple[str, ...], bool, int], dict[str, list[Reading]]] = {}
    for reading in sorted(readings, key=lambda r: r.step):
        day = job.entries[reading.entry if reading.corrects is None else reading.corrects].entry.day
        since = sum(a < reading.step for a in actions)
        key = (day, reading.qualifiers, reading.proved, since)
        found.setdefault(key, {}).setdefault(subject(reading), []).append(reading)
    return tuple(
        Moment(
            day,
            qualifiers,
            proved,
            min(tries[-1].step for tries in named.values()),
            tuple((name, tries[-1]) for name, tries in named.items()),
            tries=tuple((name, _alike(tries)) for name, tries in named.items()),
            us=job.units == "us",
        )
        for (day, qualifiers, proved, _), named in found.items()
    )


def _alike(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Those that were taken as the last one was: at its conditions, with a number."""
    said = {c.text for c in readings[-1].conditions}
    return tuple(r for r in readings if r.value.quantity and {c.text for c in r.conditions} == said)
