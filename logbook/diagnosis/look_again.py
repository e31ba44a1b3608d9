"""Entries that go badly with the rest: likely misreadings."""

from __future__ import annotations

from logbook.diagnosis.answers import CheckAgain
from logbook.diagnosis.case import Case
from logbook.diagnosis.naming import entry_words

MISREADING = 0.35  # P(misreading | all entries) from which an entry is named


def misreadings(case: Case) -> dict[int, tuple[float, str]]:
    """For each entry P(misreading | all entries) of its most doubtful reading, and what that is a reading of."""
    worst: dict[int, tuple[float, str]] = {}
    for number, o in enumerate(case.problem.observations):
        if not o.seen or o.reading is None or o.reading.test == "look":
            continue  # what the eye finds beside the point is there all the same
        p = round(float(case.belief.misread(number)), 9)
        if o.entry not in worst or p > worst[o.entry][0]:
            worst[o.entry] = (p, o.reading.subject)
    return worst


def check_again(case: Case) -> tuple[CheckAgain, ...]:
    """Entries that are more likely than not to be misreadings, or nearly so, given all the others."""
    doubtful = [(entry, p, subject) for entry, (p, subject) in misreadings(case).items() if p >= MISREADING]
    return tuple(
        CheckAgain(entry, p, _words(entry_words(case.job, entry), subject, case.showed(entry), p))
        for entry, p, subject in sorted(doubtful, key=lambda row: (-row[1], row[0]))
    )


def _words(entry: str, subject: str, said: str, p: float) -> str:
    at = f" at {subject}" if subject else ""
    how = "does not go with the rest" if p >= 0.5 else "goes badly with the rest"
    return f"Check {entry}{at} again: {said}; it {how}."
