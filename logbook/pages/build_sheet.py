"""Build sheet: what was wanted beside what was set or measured, one line a kind, in the order of the table of kinds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from logbook.job.model import Job, Limit, Reading
from logbook.pages.frame import Cell, Column, Link, Table
from logbook.pages.places import entry_link, is_hidden
from logbook.pages.values import conditions_words, is_absent, quantity_words, si, unit_sign, value_words
from logbook.pages.words import HARD, capital, listed
from logbook.text.entries import Value
from logbook.text.kinds import TABLE

_HEADING = "The build"
_ORDER = {kind.word: n for n, kind in enumerate(TABLE) if kind.heading == _HEADING}
CAUTION = "What is wanted stands in the writer’s own lines, never in this tool. The maker’s service data outranks it."

BUILD_KINDS = frozenset(_ORDER)

Key = tuple[str, tuple[str, ...], str, str]  # test, qualifiers, name of the step, part kind


@dataclass(frozen=True, slots=True)
class BuildSheet:
    table: Table | None
    words: tuple[tuple[str, str, Link], ...]  # what is told in words: turbo, cooler, tyre
    caution: str = CAUTION


def build_sheet(job: Job) -> BuildSheet | None:
    """The section; None where nothing was built. A repeat at the same place stands in for the earlier reading."""
    groups: dict[Key, dict[tuple[str, str, str], Reading]] = {}
    for reading in job.readings:
        if reading.test in _ORDER and reading.counts and not is_hidden(job, reading.entry):
            key = (reading.test, reading.qualifiers, reading.name, reading.part_kind)
            groups.setdefault(key, {})[(reading.subject, reading.slot, reading.letter)] = reading
    told = tuple(_told(job))
    keys = sorted(groups, key=lambda k: (_ORDER[k[0]], min(r.step for r in groups[k].values())))
    rows = [_row(job, key, list(groups[key].values())) for key in keys]
    rows += [_wanted_row(limit) for limit in _only_wanted(job, keys)]
    if not rows and not told:
        return None
    columns = (Column("Item"), Column("Wanted"), Column("Measured"))
    return BuildSheet(Table("Measured", columns, tuple(rows), fold=True) if rows else None, told)


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


def _name(test: str, qualifiers: Iterable[str], *more: str) -> str:
    return capital(" ".join(w for w in (test, *qualifiers, *more) if w))


def _row(job: Job, key: Key, readings: list[Reading]) -> tuple[Cell, ...]:
    limits = list(dict.fromkeys(value_words(x) for r in readings if (x := _limit(job, r))))
    wanted = Cell(", ".join(limits))
    where = conditions_words(readings[0].conditions)
    name = _name(key[0], key[1], key[2])
    return (
        Cell(f"{name}, {where}" if where else name),
        wanted,
        Cell(_measured(readings), note=_outside_words(job, readings), out_note=True, soft=_none_read(readings)),
    )


def _measured(readings: list[Reading]) -> str:
    """'0.14 mm', 'all 0.65 mm', '1 0.44, 2 0.45, 3 0.45, 4 0.44 mm', 'opens 8°, closes 48°, lift 10.2 mm'."""
    if len(readings) == 1 and not readings[0].slot:
        one = readings[0]
        at = f"{one.subject}{HARD}" if one.place or one.letter else ""
        return f"{at}{_said(one)}"
    units = {r.value.quantity.unit for r in readings if r.value.quantity}
    sign = unit_sign(units.pop()) if len(units) == 1 and not any(r.slot for r in readings) else ""
    if _all_alike(readings):
        return f"all {len(readings)}: {_said(readings[0])}"
    values = (f"{r.slot or r.subject}{HARD}{_said(r, unit=not sign)}" for r in readings)
    return f"{', '.join(values)} {sign}".rstrip()


def _said(reading: Reading, *, unit: bool = True) -> str:
    """The value with the word that tells where it counts from: '8° btdc'."""
    return " ".join((value_words(reading.value, unit=unit), *reading.value.remark_words))


def _all_alike(readings: list[Reading]) -> bool:
    first = readings[0].value
    told = value_words(first)
    return len(readings) > 2 and all(value_words(r.value) == told and not r.slot for r in readings)


def _none_read(readings: list[Reading]) -> bool:
    return all(is_absent(r.value) for r in readings)


def _outside_words(job: Job, readings: list[Reading]) -> str:
    """'3 over what is wanted', "" where all is within."""
    found: dict[str, list[str]] = {}
    for reading in readings:
        where = outside(reading.value, _limit(job, reading))
        if where:
            found.setdefault(where, []).append(reading.slot or reading.subject or "it is")
    return "; ".join(f"{listed(subjects)} {where} what is wanted" for where, subjects in sorted(found.items()))


def _limit(job: Job, reading: Reading) -> Value | None:
    if reading.limit is not None:
        return reading.limit
    fits = [limit for limit in job.limits if _fits(limit, reading)]
    return fits[-1].value if fits else None


def _fits(limit: Limit, reading: Reading) -> bool:
    return (
        limit.test == reading.test
        and set(limit.qualifiers) <= set(reading.qualifiers)
        and limit.subject in ("", reading.subject)
        and limit.slot in ("", reading.slot)
        and limit.engine in ("", reading.engine)
    )


def outside(value: Value, limit: Value | None) -> str:
    """'under', 'over' or "": compared unrounded, in SI."""
    if value.quantity is None or limit is None or limit.quantity is None:
        return ""
    measured, wanted = si(value.quantity), limit.quantity
    low, high = si(wanted._replace(high=wanted.low)), si(wanted._replace(low=wanted.high))
    slack = 1e-9 * max(abs(low), abs(high), 1e-12)
    if measured < low - slack and wanted.bound != "under":
        return "under"
    return "over" if measured > high + slack and wanted.bound != "over" else ""


def _only_wanted(job: Job, measured: list[Key]) -> list[Limit]:
    """Ranges of the build that the log wants and nobody has measured yet."""
    seen = {(test, qualifiers) for test, qualifiers, _, _ in measured}
    return [x for x in job.limits if x.test in _ORDER and (x.test, x.qualifiers) not in seen and not x.from_shop]


def _wanted_row(limit: Limit) -> tuple[Cell, ...]:
    wanted = quantity_words(limit.value.quantity) if limit.value.quantity else limit.value.word
    name = _name(limit.test, limit.qualifiers, limit.slot)
    return (Cell(name), Cell(wanted), Cell("not measured", soft=True))
