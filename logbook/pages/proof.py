"""Before and after, and the proof: the same test before the repair and after it, with what the gauge can tell apart."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.diagnosis.answers import Diagnosis
from logbook.findings.before_after import Record, records
from logbook.findings.before_after import repair_step as mending_step
from logbook.job.model import Job, Reading
from logbook.pages.causes import cause_words, causes_words
from logbook.pages.frame import Cell, Column, Link, Table
from logbook.pages.places import entry_link, is_hidden
from logbook.pages.values import number_words, subject_words, unit_sign, value_words
from logbook.pages.words import HARD, capital, counted, listed, short_date
from logbook.units import UNITS

_STATES = ("dead", "weak", "fires")


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    aside: str
    table: Table


@dataclass(frozen=True, slots=True)
class Proof:
    sentences: tuple[str, ...]
    table: Table | None


def before_after(job: Job, diagnosis: Diagnosis) -> BeforeAfter | None:
    """The earliest reading before the repair and the latest after it, of each test that was made on both sides.

    Numbers whose usual scatter is known are judged by the findings; of others only the change is told.
    """
    told = {(r.before, r.after): r for r in records(job)}
    seen = {(r.test, r.subject) for r in told.values()}
    pairs = [(b, a) for b, a in _pairs(job) if (b.test, b.subject) not in seen]
    pairs = [p for p in [*told, *pairs] if not any(is_hidden(job, r.entry) for r in p)]
    troubled = {a.place.cylinder for a in diagnosis.cylinders}
    pairs.sort(key=lambda p: (p[0].place is None or p[0].place.cylinder not in troubled, p[0].step))
    if not pairs:
        return None
    columns = (
        Column(""),
        Column(_head("Before", job, [b for b, _ in pairs]), number=True),
        Column(_head("After", job, [a for _, a in pairs]), number=True),
        Column("Change", number=True),
    )
    rows = tuple(_row(b, a, told.get((b, a))) for b, a in pairs)
    caption = "Measured the same way on both sides of the repair"
    return BeforeAfter(_aside(job), Table(caption, columns, rows, fold=True))


def _pairs(job: Job) -> list[tuple[Reading, Reading]]:
    """Everything else that was read on both sides and can be compared."""
    repair = repair_step(job)
    first: dict[tuple[object, ...], Reading] = {}
    last: dict[tuple[object, ...], Reading] = {}
    for reading in job.readings:
        if not reading.counts:
            continue
        if reading.step < repair and not reading.after_action:
            first.setdefault(_key(reading), reading)
        elif reading.step > repair:
            last[_key(reading)] = reading
    return [(first[k], last[k]) for k in first if k in last and _comparable(first[k], last[k])]


def proof(job: Job) -> Proof | None:
    """Every reading that the log marks as proof of the repair."""
    shown = [r for r in job.readings if r.proved and r.counts and not is_hidden(job, r.entry)]
    closing = _closing(job)
    if not shown and not closing:
        return None
    entries: dict[int, list[Reading]] = {}
    for reading in shown:
        entries.setdefault(reading.entry, []).append(reading)
    rows = tuple(_proof_row(job, entry, readings) for entry, readings in entries.items())
    columns = (Column("Test"), Column("What was read"), Column("Day"))
    return Proof(closing, Table("Tests that prove the repair", columns, rows, fold=True) if rows else None)


def repair_step(job: Job) -> int:
    """The moment of the repair: the last mending before the first proof, else that proof, else the end of the log."""
    mended = mending_step(job)
    return mended if mended is not None else min((r.step for r in job.readings if r.proved), default=len(job.entries))


def _key(reading: Reading) -> tuple[object, ...]:
    place = reading.place
    return (
        reading.test,
        reading.qualifiers,
        reading.part_kind,
        reading.engine,
        place.cylinder if place and not reading.part else reading.subject,
        reading.slot,
        reading.letter,
    )


def _kind(reading: Reading) -> str:
    """What can be compared: quantities of one dimension, or states; "" for the rest."""
    if reading.value.quantity:
        unit = UNITS.get(reading.value.quantity.unit)
        return unit.dimension if unit else "number"
    return "state" if reading.value.word in _STATES else "word" if reading.value.word else ""


def _comparable(before: Reading, after: Reading) -> bool:
    """The same kind of value; a word that has not changed tells nothing."""
    kind = _kind(before)
    if kind in ("state", "word") and before.value.word == after.value.word:
        return False
    return kind == _kind(after) != ""


def _head(word: str, job: Job, readings: list[Reading]) -> str:
    days = {job.entries[r.entry].entry.day for r in readings}
    return f"{word}, {short_date(days.pop())}" if len(days) == 1 else word


def _row(before: Reading, after: Reading, record: Record | None) -> tuple[Cell, ...]:
    return (Cell(_name(before)), _cell(before), _cell(after), _change(before, after, record))


def _name(reading: Reading) -> str:
    subject = reading.slot or subject_words(reading)
    if reading.test == "firing":
        return capital(subject)
    test = " ".join((reading.test, *reading.qualifiers, reading.part_kind if reading.part_kind not in subject else ""))
    return capital(f"{test.strip()}, {subject}" if subject else test.strip())


def _cell(reading: Reading) -> Cell:
    state = reading.value.word if reading.value.word in _STATES else ""
    return Cell(value_words(reading.value), state=state, soft=reading.value.word in ("not done", "stopped"))


def _change(before: Reading, after: Reading, record: Record | None) -> Cell:
    one, other = before.value.quantity, after.value.quantity
    if one is None or other is None or one.unit != other.unit:
        return Cell("")
    change = other.middle - one.middle
    sign = "+" if change > 0 else ""
    words = f"{sign}{number_words(abs(change) if change == 0 else change)} {unit_sign(one.unit)}".strip()
    return Cell(words, soft=record is not None and not record.real, note=record.words if record else "")


def _aside(job: Job) -> str:
    causes = causes_words(job)
    if not causes:
        return "The earliest reading before the repair and the last one after it."
    return f"What it was: {listed(causes)}."


def _closing(job: Job) -> tuple[str, ...]:
    said = []
    for cause in job.causes:
        if not is_hidden(job, cause.entry):
            said.append(f"The cause, as written on {entry_link(job, cause.entry).text}: {cause_words(job, cause)}.")
    if job.handed_over:
        said.append(f"Handed over on {short_date(job.handed_over)}.")
    if job.came_back:
        said.append(f"It has come back {counted(len(job.came_back), 'time')} since.")
    return tuple(said)


def _proof_row(job: Job, entry: int, readings: list[Reading]) -> tuple[Cell, ...]:
    first = readings[0]
    link = entry_link(job, entry)
    name = " ".join((first.test, *first.qualifiers, first.part_kind)).strip()
    units = {r.value.quantity.unit for r in readings if r.value.quantity}
    shared = len(units) == 1 and len(readings) > 1
    told = ", ".join(f"{r.slot or r.subject}{HARD}{value_words(r.value, unit=not shared)}".strip() for r in readings)
    sign = f" {unit_sign(units.pop())}" if shared else ""
    return (Cell(capital(name)), Cell(f"{told}{sign}".rstrip()), Cell(link.text, link=Link(link.text, "", link.anchor)))
