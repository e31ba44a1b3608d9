"""Worked numbers by subject: each with its formula, what went in, where that came from, and what it means here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.findings.model import Input, Number
from logbook.job.model import Job
from logbook.pages.frame import Link, ShownFigure
from logbook.pages.places import entry_links
from logbook.pages.words import capital, pairs_bound

MONEY = "money"
_LONGEST_SIGN = 3  # a longer one is a name, which the words beside it say better
_GROUPS = {
    "health": "Health of the cylinders",
    "injectors": "Injectors",
    "mixture": "Mixture",
    "build": "The build",
    "limits": "What gives out first",
    "electrical": "Wiring and battery",
    "car": "The car",
    "money": "Hours and money",
}


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
    title: str
    shown: str
    out: bool
    sentence: str
    formula: str
    inputs: tuple[WorkedInput, ...]
    source: str
    cautions: tuple[str, ...]
    same_as: str = ""  # the anchor of one above with the same formula, source and cautions, which are told there

    @property
    def shared_origin(self) -> bool:
        """Whether all inputs were read in the same place, which then is told once."""
        return (
            len(self.inputs) > 1 and len({(i.links, i.source) for i in self.inputs}) == 1 and bool(self.inputs[0].links)
        )


@dataclass(frozen=True, slots=True)
class WorkedGroup:
    id: str
    heading: str
    numbers: tuple[Worked, ...]
    nearly: tuple[tuple[str, str], ...]  # title, what to add
    figures: tuple[ShownFigure, ...] = ()


def worked_groups(
    job: Job, numbers: Sequence[Number], figures: dict[str, tuple[ShownFigure, ...]], *, money: bool = False
) -> tuple[WorkedGroup, ...]:
    """Numbers by their group, in the trade's order; ``money`` picks that group alone, else it is left out."""
    shown = [n for n in numbers if (n.group == MONEY) == money and not (job.copy == "public" and n.private)]
    order = {g: i for i, g in enumerate(_GROUPS)}
    groups = sorted({n.group for n in shown}, key=lambda g: (order.get(g, len(order)), g))
    used: dict[str, list[str]] = {}
    return tuple(
        WorkedGroup(
            f"worked-{group}",
            _GROUPS.get(group, capital(group)),
            tuple(_worked(job, n, used) for n in shown if n.group == group and not n.missing),
            tuple((_title(n), n.missing) for n in shown if n.group == group and n.missing),
            figures.get(group, ()),
        )
        for group in groups
    )


def _title(number: Number) -> str:
    return (
        f"{number.title}, {number.subject}" if number.subject and number.subject not in number.title else number.title
    )


def _worked(job: Job, number: Number, used: dict[str, list[str]]) -> Worked:
    """One number; what an earlier one of the same calculation has told already is not told again."""
    name = f"number-{number.calculation.replace('_', '-')}"
    told = used.setdefault(f"{number.group} {number.calculation} {number.formula}", [])
    count = sum(len(v) for k, v in used.items() if k.split(" ")[1] == number.calculation)
    anchor = f"{name}-{count + 1}" if count else name
    told.append(anchor)
    same_as = told[0] if len(told) > 1 else ""
    return Worked(
        anchor,
        capital(_title(number)),
        number.shown,
        number.out,
        number.sentence,
        "" if same_as else _signs(number.formula),
        tuple(_input(job, i) for i in number.inputs),
        number.source,
        () if same_as else number.cautions,
        same_as,
    )


def _signs(formula: str) -> str:
    """A formula as text with a real minus sign."""
    return formula.replace(" - ", " − ")


def _input(job: Job, given: Input) -> WorkedInput:
    sign = given.sign if len(given.sign) <= _LONGEST_SIGN else ""
    return WorkedInput(sign, given.what, pairs_bound(given.value), entry_links(job, given.entries), given.source)
