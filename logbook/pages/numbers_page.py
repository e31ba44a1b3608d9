"""Numbers that a decision on the job used, each with the decision; the working is folded, the rest is in the data."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from logbook.findings.model import Number
from logbook.job.model import Job
from logbook.pages.frame import Link, Sheet
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import entry_links
from logbook.pages.repair import Repair, last_repair
from logbook.pages.words import capital, counted, pairs_bound, sentence

MONEY = "money"
MOST_OF_A_KIND = 3
MOST_LINES = 11  # on the page; the data has all
_LONGEST_SIGN = 3  # a longer one is a name, which the words beside it say better
# Calculations that decide something by themselves; others feed them, or are nice to know.
_DECIDES = frozenset({
    "compression_spread", "wet_dry_rise", "power_balance", "compare_readings", "leakdown_percent", "fuel_trim_total",
    "injector_set_imbalance", "injector_best_subset", "injector_bank_split", "battery_rest_state", "wire_voltage_drop",
    "lambda_from_afr", "static_compression_ratio", "quench_height", "torque_angle_check", "injector_size_for_power",
    "fuel_pump_flow", "power_from_air", "cranking_exponent_from_reading",
})  # fmt: skip
_SAID_BETTER = frozenset({"compression_limits", "compression_deviation", "robust_outlier_score"})  # by the spread
_BUILD = ("build", "limits", "car")
_FROM_MEMORY = re.compile(r"\s*\(from memory\)")
_FIRST = re.compile(r"(?:[^.;]|\.(?=\d))*[.;]?")
_PRACTICE = re.compile(r"common practice(, no source)?(; the signs are this project's own)?")


@dataclass(frozen=True, slots=True)
class WorkedInput:
    sign: str
    what: str
    value: str
    links: tuple[Link, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Worked:
    id: str
    shown: str
    decision: str
    meaning: str  # all of it
    title: str
    formula: str
    inputs: tuple[WorkedInput, ...]
    source: str
    cautions: tuple[str, ...]
    out: bool


@dataclass(frozen=True, slots=True)
class NumberGroup:
    id: str
    heading: str
    numbers: tuple[Worked, ...]


@dataclass(frozen=True, slots=True)
class NumbersPage:
    sheet: Sheet
    groups: tuple[NumberGroup, ...]
    nearly: tuple[tuple[str, str], ...]  # title, what to add
    nearly_heading: str
    asides: tuple[str, ...]


def numbers_page(job: Job, numbers: Sequence[Number], sheet: Sheet) -> NumbersPage | None:
    """None where no number decides anything."""
    voice = voice_of(job.units)
    shown = [n for n in numbers if n.group != MONEY and not (job.copy == "public" and n.private)]
    used = [n for n in shown if not n.missing and _decides(n)]
    nearly = tuple(
        (voice.retell(capital(n.title)), sentence(n.missing)) for n in shown if n.missing and n.calculation in _DECIDES
    )
    if not used and not nearly:
        return None
    groups: dict[str, list[Number]] = {}
    repair = last_repair(job)
    for number in used:
        group = groups.setdefault(_group(number, repair), [])
        if sum(n.calculation == number.calculation for n in group) < MOST_OF_A_KIND:
            group.append(number)
    groups = _fewest(groups)
    told = tuple(_told(job, voice, name, groups[name]) for name in ("find", "prove", "build") if name in groups)
    left = sum(not n.missing for n in shown) - sum(len(g.numbers) for g in told)
    rest = counted(left, "number")
    asides = (voice.say("numbers.doubt"), *((voice.say("numbers.rest", numbers=rest),) if left else ()))
    return NumbersPage(sheet, told, nearly, voice.say("numbers.nearly", count=len(nearly)), asides)


def _fewest(groups: Mapping[str, Sequence[Number]]) -> dict[str, list[Number]]:
    """At most ``MOST_LINES`` in all: from the longest group goes the last one that is not out of its limits."""
    left = {name: list(numbers) for name, numbers in groups.items()}
    while sum(map(len, left.values())) > MOST_LINES:
        longest = max(left.values(), key=len)
        fine = [number for number in longest if not number.out]
        longest.remove(fine[-1] if fine else longest[-1])
    return left


def _told(job: Job, voice: Voice, name: str, numbers: Sequence[Number]) -> NumberGroup:
    shown = tuple(worked(job, n, f"{name}-{i}") for i, n in enumerate(numbers))
    return NumberGroup(f"to-{name}", voice.say(f"numbers.{name}"), shown)


def _decides(number: Number) -> bool:
    if number.calculation in _SAID_BETTER:
        return False
    return number.calculation in _DECIDES or number.out


def _group(number: Number, repair: Repair | None) -> str:
    """By what the number served: to find the fault, to prove the repair, or to build."""
    if number.group in _BUILD:
        return "build"
    entries = [e for i in number.inputs for e in i.entries]
    steps = [*(a.step for a in repair.acts), *(c.step for c in repair.changes)] if repair else []
    return "prove" if steps and entries and max(entries) > max(steps) and repair and repair.proofs else "find"


def worked(job: Job, number: Number, name: str) -> Worked:
    """One number as its page shows it."""
    voice = voice_of(job.units)
    beside = number.subject and number.subject not in number.title
    title = f"{number.title}, {number.subject}" if beside else number.title
    return Worked(
        f"number-{name}",
        number.shown,
        voice.retell(_decision(number)),
        voice.retell(number.sentence),
        voice.retell(capital(title)),
        number.formula.replace(" - ", " − "),
        tuple(_inputs(voice, job, number)),
        source_words(voice, number.source),
        tuple(voice.retell(c) for c in number.cautions),
        number.out,
    )


def _decision(number: Number) -> str:
    """What it decided: the first sentence of what it means here."""
    return _FIRST.match(number.sentence)[0].strip() if number.sentence else ""  # type: ignore[index]


def source_words(voice: Voice, source: str) -> str:
    """A source as a reader needs it: the standard or the book, or that it is the shop's practice."""
    return capital(_PRACTICE.sub(voice.say("numbers.practice"), _FROM_MEMORY.sub("", source)).strip())


def _inputs(voice: Voice, job: Job, number: Number) -> Iterable[WorkedInput]:
    for given in number.inputs:
        sign = given.sign if len(given.sign) <= _LONGEST_SIGN else ""
        links = entry_links(job, given.entries)
        yield WorkedInput(sign, given.what, pairs_bound(given.value), links, source_words(voice, given.source))
