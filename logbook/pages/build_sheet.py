"""Build sheet: what was wanted beside what was set or measured, in the order of the table of kinds."""

from __future__ import annotations

from dataclasses import dataclass, replace

from logbook.job.model import Job, Limit, Reading
from logbook.pages.frame import Cell, Column, Link, Table
from logbook.pages.places import entry_link, is_hidden
from logbook.pages.values import conditions_words, is_absent, si, subject_words, value_words
from logbook.pages.words import capital
from logbook.text.entries import Value
from logbook.text.kinds import TABLE

_HEADING = "The build"
_ORDER = {kind.word: n for n, kind in enumerate(TABLE) if kind.heading == _HEADING}
CAUTION = "What is wanted stands in the writer’s own lines, never in this tool. The maker’s service data outranks it."

Key = tuple[str, tuple[str, ...], str]  # test, qualifiers, name of the step


@dataclass(frozen=True, slots=True)
class BuildSheet:
    tables: tuple[Table, ...]
    words: tuple[tuple[str, str, Link], ...]  # what is told in words: turbo, cooler, tyre
    caution: str = CAUTION


def build_sheet(job: Job) -> BuildSheet | None:
    """One table a kind; None where nothing was built."""
    groups: dict[Key, list[Reading]] = {}
    for reading in job.readings:
        if reading.test in _ORDER and reading.counts and not (job.copy == "public" and reading.private):
            groups.setdefault((reading.test, reading.qualifiers, reading.name), []).append(reading)
    told = tuple(_told(job))
    if not groups and not told:
        return None
    keys = sorted(groups, key=lambda k: (_ORDER[k[0]], groups[k][0].step))
    tables = [_table(job, key, groups[key]) for key in keys]
    wanted = _only_wanted(job, set(groups))
    return BuildSheet((*tables, *([wanted] if wanted else [])), told)


def _told(job: Job) -> list[tuple[str, str, Link]]:
    """Entries of the build in free words, which are no readings."""
    measured = {r.entry for r in job.readings}
    return [
        (e.entry.kind, e.entry.text, entry_link(job, e.entry.index))
        for e in job.entries
        if e.entry.kind in _ORDER
        and e.entry.text
        and e.entry.index not in measured
        and not e.entry.spec_mark
        and not is_hidden(job, e.entry.index)
    ]


def _name(key: Key) -> str:
    test, qualifiers, step = key
    return capital(" ".join((test, *qualifiers, step)).strip())


def _table(job: Job, key: Key, readings: list[Reading]) -> Table:
    """The last reading of each subject, with the range that the writer wants."""
    last: dict[str, Reading] = {}
    for reading in readings:
        last[reading.subject] = reading
    shown = list(last.values())
    limits = any(_limit(job, r) for r in shown)
    same = _all_alike(shown) if len(shown) > 3 else None
    rows = [_row(job, r, limits) for r in shown] if same is None else [_alike(job, shown, limits)]
    columns = [Column("At"), *([Column("Wanted")] if limits else []), Column("Set or measured", number=True)]
    day = {entry_link(job, r.entry).text for r in shown}
    where = conditions_words(shown[0].conditions)
    caption = ", ".join(w for w in (_name(key), where, *sorted(day, key=lambda d: d)[: 1 if len(day) == 1 else 0]) if w)
    return Table(caption, (*columns, Column("Day")), tuple(rows), fold=limits)


def _all_alike(readings: list[Reading]) -> Value | None:
    """The one value that all share, or None."""
    first = readings[0].value
    alike = all(_same(r.value, first) and r.entry == readings[0].entry for r in readings)
    return first if alike else None


def _same(one: Value, other: Value) -> bool:
    return (one.quantity, one.word) == (other.quantity, other.word) or (
        one.quantity is not None
        and other.quantity is not None
        and (one.quantity.low, one.quantity.high, one.quantity.unit)
        == (other.quantity.low, other.quantity.high, other.quantity.unit)
    )


def _alike(job: Job, readings: list[Reading], limits: bool) -> tuple[Cell, ...]:
    _, *rest = _row(job, readings[0], limits)
    return (Cell(f"all {len(readings)}"), *rest)


def _row(job: Job, reading: Reading, limits: bool) -> tuple[Cell, ...]:
    limit = _limit(job, reading)
    value = value_words(reading.value)
    where = _outside(reading.value, limit)
    measured = Cell(f"{value}, {where}" if where else value, out=bool(where), soft=is_absent(reading.value))
    wanted = [Cell(value_words(limit)) if limit else Cell("nothing wanted yet", soft=True)] if limits else []
    subject = reading.slot or f"{subject_words(reading)}{reading.letter}" or "the engine"
    link = entry_link(job, reading.entry)
    return (Cell(subject), *wanted, measured, Cell(link.text, link=link if link.anchor else None))


def _limit(job: Job, reading: Reading) -> Value | None:
    if reading.limit is not None:
        return reading.limit
    fits = [
        x for x in job.limits if x.test == reading.test and set(x.qualifiers) <= set(reading.qualifiers)
        and x.subject in ("", reading.subject) and x.slot in ("", reading.slot)
    ]  # fmt: skip
    return fits[-1].value if fits else None


def _outside(value: Value, limit: Value | None) -> str:
    """'under', 'over' or "": compared unrounded, in SI."""
    if value.quantity is None or limit is None or limit.quantity is None:
        return ""
    measured, wanted = si(value.quantity), limit.quantity
    low, high = si(replace(wanted, high=wanted.low)), si(replace(wanted, low=wanted.high))
    slack = 1e-9 * max(abs(low), abs(high), 1e-12)
    if wanted.bound == "over":
        return "under" if measured < low - slack else ""
    if wanted.bound == "under":
        return "over" if measured > high + slack else ""
    return "under" if measured < low - slack else "over" if measured > high + slack else ""


def _only_wanted(job: Job, measured: set[Key]) -> Table | None:
    """Ranges that the log wants and nobody has measured yet."""
    seen = {(test, qualifiers) for test, qualifiers, _ in measured}
    open_ = [x for x in job.limits if x.test in _ORDER and (x.test, x.qualifiers) not in seen and not x.from_shop]
    if not open_:
        return None
    rows = tuple(_wanted_row(x) for x in open_)
    return Table("Wanted, not measured yet", (Column("Item"), Column("Wanted"), Column("Measured", number=True)), rows)


def _wanted_row(limit: Limit) -> tuple[Cell, ...]:
    name = _name((limit.test, limit.qualifiers, limit.slot))
    return (Cell(name), Cell(value_words(limit.value)), Cell("not measured", soft=True))
