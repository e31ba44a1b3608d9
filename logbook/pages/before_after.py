"""One table of before and after: the cylinders concerned, the others now, and what belongs to the whole engine."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal

from logbook.diagnosis.answers import Diagnosis
from logbook.job.model import Job, Place, Reading
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.naming import places_name
from logbook.pages.phrases import voice_of
from logbook.pages.places import is_hidden
from logbook.pages.repair import Repair
from logbook.pages.values import number_words, unit_sign, value_words
from logbook.pages.words import capital

MOST_ROWS = 5
_STATES = ("firing",)  # what a state says is told in words above
_LEFT_OUT = ("look", "plug look", "wiggle", "click", "codes", "road", "noise", *_STATES)
Key = tuple[str, tuple[str, ...], str, str]


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """The table, and where it can be drawn the test that changed most, cylinder by cylinder."""

    table: Table
    bars: Table | None


def before_after(job: Job, diagnosis: Diagnosis, repair: Repair) -> BeforeAfter | None:
    """The first reading of a round and its last one, of each test that was made before the work and after it."""
    worked = [*(a.step for a in repair.acts), *(c.step for c in repair.changes)]
    if not worked:
        return None
    concerned = _concerned(job, diagnosis)
    rows = sorted(_rows(job, repair, concerned, min(worked)), key=lambda r: -r.change)
    if not rows:
        return None
    numbers = capital(places_name(job, concerned)) if concerned else ""
    voice = voice_of(job.units)
    heads = [Column(voice.say("before.head")), Column(voice.say("before.after"))]
    columns = (Column(numbers), *heads, Column(voice.say("before.others")))
    cells = tuple(
        (Cell(r.name, strong=n == 0), Cell(r.before), Cell(r.after, strong=n == 0), Cell(r.others))
        for n, r in enumerate(rows[:MOST_ROWS])
    )
    table = Table(
        voice.say("before.caption"), tuple(Column(c.text, number=n > 0) for n, c in enumerate(columns)), cells
    )
    return BeforeAfter(table, _bars(job, rows[0].key, min(worked), repair))


@dataclass(frozen=True, slots=True)
class _Row:
    key: Key
    name: str
    before: str
    after: str
    others: str
    change: float


def _concerned(job: Job, diagnosis: Diagnosis) -> tuple[Place, ...]:
    named = {p for c in job.causes for p in c.places if not is_hidden(job, c.entry)}
    seen = {a.place for a in diagnosis.cylinders if a.complaint in ("dead", "weak")}
    return tuple(sorted(seen or named))


def _rows(job: Job, repair: Repair, concerned: Collection[Place], worked: int) -> list[_Row]:
    found: dict[Key, list[Reading]] = {}
    for reading in job.readings:
        shown = reading.counts and not is_hidden(job, reading.entry) and not reading.after_action
        if shown and repair.start <= reading.step <= repair.end and reading.test not in _LEFT_OUT and not reading.speed:
            found.setdefault(_key(reading), []).append(reading)
    rows = []
    for key, readings in found.items():
        mine = [r for r in readings if r.place in concerned or (r.place is None and not r.part)]
        before = [r for r in mine if r.step < worked]
        after = [r for r in mine if r.step > worked]
        if not before or not after:
            continue
        first, last = _first(before), _last(after)
        whole = first[0].place is None
        others = [] if whole else _last([r for r in readings if r.step > worked and r.place not in concerned])
        change = _change(first, last)
        words = (_span(first), _span(last), _span(others))
        if words[0] != words[1] and change is not None:
            rows.append(_Row(key, _name(first[0], first), *words, change - (1 if whole else 0)))
    return rows


def _key(reading: Reading) -> Key:
    how = tuple(q for q in reading.qualifiers if q != "dry")
    return reading.test, how, reading.part_kind, reading.slot or (reading.subject if reading.place is None else "")


def _first(readings: Sequence[Reading]) -> list[Reading]:
    """The first reading of each subject."""
    found: dict[str, Reading] = {}
    for reading in readings:
        found.setdefault(reading.subject, reading)
    return list(found.values())


def _last(readings: Sequence[Reading]) -> list[Reading]:
    return list({r.subject: r for r in readings}.values())


def _change(first: Sequence[Reading], last: Sequence[Reading]) -> float | None:
    """How much it changed, relative to the greater; None where the two cannot be compared."""
    one, other = _middle(first), _middle(last)
    if one is None or other is None:
        same = {r.value.word for r in first} == {r.value.word for r in last}
        return None if same else 0.0
    most = max(abs(one), abs(other))
    return float(abs(other - one) / most) if most else None


def _middle(readings: Sequence[Reading]) -> Decimal | None:
    numbers = [r.value.quantity.middle for r in readings if r.value.quantity]
    return sum(numbers, Decimal(0)) / len(numbers) if numbers else None


def _name(reading: Reading, all_of: Sequence[Reading]) -> str:
    how = [q for q in reading.qualifiers if q != "dry"]
    slot = reading.slot or (reading.subject if reading.place is None and reading.subject != reading.test else "")
    sign = next((unit_sign(r.value.quantity.unit) for r in all_of if r.value.quantity), "")
    name = capital(" ".join(w for w in (*how, reading.part_kind, reading.test, slot) if w))
    return f"{name}, {sign}" if sign else name


def _span(readings: Sequence[Reading]) -> str:
    """'48', '90 to 95', 'none, 0.2'."""
    if not readings:
        return ""
    quantities = [q for r in readings if (q := r.value.quantity)]
    words = list(dict.fromkeys(value_words(r.value) for r in readings if not r.value.quantity))
    numbers = sorted({n for q in quantities for n in (q.low, q.high)})
    if numbers:
        low, high = number_words(numbers[0]), number_words(numbers[-1])
        words.append(low if low == high else f"{low}–{high}")
    return ", ".join(words)


def _bars(job: Job, key: Key, worked: int, repair: Repair) -> Table | None:
    """Every cylinder before and after in the one test, a bar each."""
    readings = [
        r
        for r in job.readings
        if _key(r) == key
        and r.counts
        and not is_hidden(job, r.entry)
        and r.place
        and repair.start <= r.step <= repair.end
    ]
    before = {r.place: r for r in reversed(readings) if r.step < worked and r.value.quantity}
    after = {r.place: r for r in readings if r.step > worked and r.value.quantity}
    places = sorted(p for p in before.keys() & after.keys() if p)
    units = {r.value.quantity.unit for m in (before, after) for r in m.values() if r.value.quantity}
    if len(places) < 2 or len(units) != 1:
        return None
    most = max(float(r.value.quantity.high) for m in (before, after) for r in m.values() if r.value.quantity)
    if most <= 0:
        return None
    voice = voice_of(job.units)
    days = [voice.day(job.entries[m[places[0]].entry].entry.day) for m in (before, after)]
    columns = (
        Column(voice.say("readings.cylinder")),
        Column(voice.say("before.head"), number=True),
        Column(voice.say("before.after"), number=True),
    )
    dates = voice.say("before.same_day" if days[0] == days[1] else "before.days", before=days[0], after=days[1])
    rows = tuple(
        (
            Cell(str(p.cylinder)),
            _bar(before[p], most, was=True),
            _bar(after[p], most, was=False),
        )
        for p in places
    )
    return Table(f"{_name(before[places[0]], list(before.values()))}. {dates}", columns, rows)


def _bar(reading: Reading, most: float, *, was: bool) -> Cell:
    quantity = reading.value.quantity
    share = 100 * float(quantity.middle) / most if quantity else -1.0
    return Cell(value_words(reading.value, unit=False), bar=round(share, 1), was=was)
