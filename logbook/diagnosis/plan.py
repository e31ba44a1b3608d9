"""The way to a proved repair from the first proposal on, at its expected minutes.

Decision-theoretic troubleshooting of Heckerman, Breese and Rommelse (1995): with one fault, repairs in falling order of
p / c have the least expected cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.answers import PlanStep, Step
from logbook.diagnosis.case import Array
from logbook.diagnosis.groups import mend_line, mend_of, mend_title, minutes_of
from logbook.diagnosis.proposals import Prospect, Weighed

PROOF = 4.0  # minutes of the look after each repair
MONEY = 1.0  # minutes that one unit of money for parts counts as
LAST_RESORT = 300.0  # minutes when none of the repairs has helped: a wider search
WORTH = 0.02  # a repair less likely than this is left to the last resort
MOST_LISTED = 6


@dataclass(frozen=True, slots=True)
class Action:
    """A repair: its chance to be the cure (shares), what it costs in all, and its minutes."""

    title: str
    chance: float
    cost: float
    minutes: float


@dataclass(frozen=True, slots=True)
class Expected:
    """A sequence of repairs with its expected cost and minutes, and the chance to get to each of them."""

    order: tuple[Action, ...]
    reached: tuple[float, ...]
    cost: float
    minutes: float


def sequence(actions: Sequence[Action], last_resort: float = LAST_RESORT) -> Expected:
    """Repairs in the order of chance over cost; chances may add up to less than 1, the rest goes to the last resort."""
    order = tuple(sorted((a for a in actions if a.chance > 0), key=lambda a: (-a.chance / a.cost, a.title)))
    left = 1.0
    cost = minutes = 0.0
    reached = []
    for action in order:
        reached.append(left)
        cost += left * action.cost
        minutes += left * action.minutes
        left = max(left - action.chance, 0.0)
    return Expected(order, tuple(reached), cost + left * last_resort, minutes + left * last_resort)


def plan_of(view: Prospect | None, steps: Sequence[Step]) -> tuple[tuple[PlanStep, ...], float]:
    """The first proposal, then the repairs of the first open question as its outcomes would have them."""
    ready = [s for s in steps if not s.blocked]
    if view is None or not ready:
        return (), 0.0
    look = next((w for w in view.looks if w.candidate.title == ready[0].title), None)
    if look is None or 0 not in look.gain.joints:
        plain = sequence(_actions(view, None))
        return _listed([(1.0, plain)]), round(plain.minutes, 6)
    joint = look.gain.joints[0]
    ways = [(float(p), sequence(_actions(view, row))) for p, row in zip(look.gain.outcomes, joint, strict=True)]
    minutes = ready[0].minutes + sum(p * way.minutes for p, way in ways)
    first = PlanStep(ready[0].title, ready[0].minutes, 1.0)
    return (first, *_listed(ways)), round(minutes, 6)


def _actions(view: Prospect, joint: Array | None) -> list[Action]:
    """One repair a mend, at its chance to be all that is needed: now, or where ``joint`` is given after an outcome."""
    classes, question = view.classes[0], view.asked[0]
    alone = np.zeros(len(classes.groups))
    row = classes.chances if joint is None else joint
    for p, needs in zip(row, classes.needs, strict=True):
        if len(needs) == 1:
            alone[next(iter(needs))] += float(p) / max(float(row.sum()), 1e-300)
    found = []
    for group, chance in zip(classes.groups, alone, strict=True):
        minutes = minutes_of(view.case, group)
        if chance >= WORTH and mend_line(view.case, group, question.place):
            cost = minutes + PROOF + MONEY * mend_of(view.case, group).money
            found.append(Action(mend_title(view.case, group, question.place), float(chance), cost, minutes + PROOF))
    return found


def _listed(ways: Sequence[tuple[float, Expected]]) -> tuple[PlanStep, ...]:
    """The repairs by how likely the plan is to get to them, over all outcomes."""
    reach: dict[str, float] = {}
    minutes: dict[str, float] = {}
    for p, way in ways:
        for action, reached in zip(way.order, way.reached, strict=True):
            reach[action.title] = reach.get(action.title, 0.0) + p * reached
            minutes[action.title] = action.minutes
    ranked = sorted(reach, key=lambda title: (-round(reach[title], 9), title))
    return tuple(PlanStep(title, minutes[title], round(reach[title], 9)) for title in ranked[:MOST_LISTED])


__all__ = ["Action", "Expected", "Weighed", "plan_of", "sequence"]
