"""Which of the injectors on the shelf make the best matched set, by what they gave on the bench."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.pages.parts_record import PartRecord, PartTest
from logbook.pages.parts_words import latest

SIZES = (2, 3, 4, 5, 6, 8, 10, 12, 16)  # cylinders of engines that there are


@dataclass(frozen=True, slots=True)
class Flowed:
    """A part with its last bench flow, SI."""

    record: PartRecord
    test: PartTest
    number: float


@dataclass(frozen=True, slots=True)
class MatchedSet:
    """The set of ``size`` parts that differ least: (greatest - least) / mean, a share."""

    size: int
    parts: tuple[Flowed, ...]
    apart: float


def best_set(flows: Sequence[Flowed], size: int) -> MatchedSet | None:
    """The ``size`` of ``flows`` that lie closest together; None where there are fewer or they let nothing through.

    Of all sets with a given least member the one of its next neighbours upwards is narrowest, so only runs of the
    sorted flows need to be looked at; ties go to the set that gives more.
    """
    order = sorted(flows, key=lambda f: (f.number, f.record.key))
    runs = [order[n : n + size] for n in range(len(order) - size + 1)] if 2 <= size <= len(order) else []
    sets = [
        MatchedSet(size, tuple(run), apart) for run in runs if (apart := _apart([f.number for f in run])) is not None
    ]
    return min(sets, key=lambda s: (round(s.apart, 9), -s.parts[0].number), default=None)


def _apart(numbers: Sequence[float]) -> float | None:
    mean = sum(numbers) / len(numbers)
    return (max(numbers) - min(numbers)) / mean if mean > 0 else None


def matched_sets(records: Iterable[PartRecord]) -> tuple[tuple[str, tuple[MatchedSet, ...]], ...]:
    """(conditions, the best set of each size) for parts that flowed under equal conditions."""
    groups: dict[str, list[Flowed]] = {}
    for record in records:
        test = latest(record.tests).get("flow")
        if test is not None and test.number is not None:
            groups.setdefault(f"{record.kind}, {test.conditions}".rstrip(", "), []).append(
                Flowed(record, test, test.number)
            )
    found = []
    for conditions, flows in sorted(groups.items()):
        sets = tuple(s for size in SIZES if (s := best_set(flows, size)) is not None)
        if sets:
            found.append((conditions, sets))
    return tuple(found)
