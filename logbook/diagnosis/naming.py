"""The trade's words for causes, parts, cylinders and days."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.diagnosis.knowledge import Knowledge
from logbook.diagnosis.subjects import Subject
from logbook.diagnosis.versions import Variable
from logbook.job.model import Job

_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def joined(items: Sequence[object]) -> str:
    """'3', '3 and 4', '1, 3 and 5'."""
    words = [str(i) for i in items]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def cylinders_of(job: Job, subject: Subject) -> str:
    """The cylinders a subject stands for, in words; 'all' where it is the whole engine."""
    engine = job.engine(subject.engine)
    if engine is not None and len(subject.cylinders) > 2 and subject.cylinders == engine.cylinders:
        return "all"
    return joined(subject.cylinders)


def subject_words(job: Job, subject: Subject) -> str:
    """'coil A3', '3', '1 and 2'."""
    return job.part(subject.part).called() if subject.part else cylinders_of(job, subject)


def label(job: Job, knowledge: Knowledge, variable: Variable) -> str:
    """'the coil found in 3 dead', 'wiring or connector of the injector at 4 broken'."""
    row = knowledge.faults[variable.fault]
    subject = variable.subject
    part = job.part(subject.part).called() if subject.part else ""
    return row.label.format(part=part, n=cylinders_of(job, subject))


def mend(job: Job, knowledge: Knowledge, variable: Variable, cylinder: int = 0) -> str:
    """What repairs it: 'Fit another coil at 3'."""
    title = knowledge.repairs[knowledge.faults[variable.fault].repair].title
    n = str(cylinder) if variable.subject.part and cylinder else subject_words(job, variable.subject)
    return title.format(n=n, part=subject_words(job, variable.subject))


def day_words(job: Job, entry: int) -> str:
    """'4 May', or '' where the day is not known."""
    day = job.entries[entry].entry.day if 0 <= entry < len(job.entries) else None
    return f"{day.day} {_MONTHS[day.month - 1]}" if day else ""


def entry_words(job: Job, entry: int) -> str:
    """'the coil swap of 4 May', 'the cut-out of 5 May', 'the clue on the card'."""
    if not 0 <= entry < len(job.entries):
        return "an entry"
    if job.copy == "public" and job.entries[entry].private:
        return "an entry kept private"
    e = job.entries[entry].entry
    name = f"{e.part} {e.kind}" if e.part else e.kind
    if e.qualifiers and e.kind in ("compression", "fuel pressure", "look", "trims", "battery"):
        name = " ".join([*e.qualifiers, name]) if e.kind != "look" else f"look at the {e.part} {' '.join(e.qualifiers)}"
    day = day_words(job, entry)
    return f"the {name} of {day}" if day else f"the {name}"
