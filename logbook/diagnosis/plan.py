"""The plan to a proved repair at the least expected cost: repairs by chance over cost, a test first where it pays.

Decision-theoretic troubleshooting of Heckerman, Breese and Rommelse (1995): with one fault, repairs in falling order of
p / c have the least expected cost; a test is worth doing first when its own cost and the expected cost after each of
its outcomes are together less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.diagnosis.answers import PlanStep, Step
from logbook.diagnosis.belief import Belief
from logbook.diagnosis.candidates import Candidate
from logbook.diagnosis.gains import classes_of, gains
from logbook.diagnosis.grouping import leader, repair_of
from logbook.diagnosis.naming import mend
from logbook.diagnosis.next_step import all_candidates, open_troubles
from logbook.diagnosis.trouble import Trouble
from logbook.diagnosis.versions import NOW
from logbook.job.tools import lacking

PROOF = 4.0  # minutes of the look after each repair
MONEY = 1.0  # minutes that one unit of money for parts counts as
LAST_RESORT = 300.0  # minutes when none of the repairs has helped: a wider search
TESTS = 8  # candidates tried as the first step
WORTH = 0.02  # a repair less likely than this is left to the last resort


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


def least_cost(
    belief: Belief, troubles: Sequence[Trouble], steps: Sequence[Step]
) -> tuple[tuple[PlanStep, ...], float]:
    """The plan for the first open trouble, and its expected minutes."""
    asked = open_troubles(troubles)[:1]
    if not asked or not steps:
        return (), 0.0
    actions = _actions(belief, asked[0])
    plain = sequence(_worth(actions))
    wanted = [s.title for s in sorted(steps, key=lambda s: -s.rate) if not s.blocked][:TESTS]
    found = [c for c in all_candidates(belief, asked) if c.title in wanted and not lacking(belief.network.job, c.tools)]
    best: tuple[float, Candidate, list[tuple[float, Expected]]] | None = None
    for candidate, gain in zip(found, gains(belief, asked, found), strict=True):
        after = [
            (p, sequence(_worth(_updated(actions, joint))))
            for p, joint in zip(gain.outcomes, gain.posteriors[0], strict=True)
        ]
        cost = candidate.minutes + sum(p * e.cost for p, e in after)
        if best is None or cost < best[0]:
            best = (cost, candidate, after)
    if best is None or best[0] >= plain.cost:
        return _listed([(1.0, plain)]), round(plain.minutes, 6)
    _, candidate, after = best
    minutes = candidate.minutes + sum(p * e.minutes for p, e in after)
    return (PlanStep(candidate.title, candidate.minutes, 1.0), *_listed(after)), round(minutes, 6)


def _actions(belief: Belief, trouble: Trouble) -> list[Action]:
    """One repair a class of causes, at its present chance alone."""
    network = belief.network
    classes = classes_of(belief, trouble)
    shares = belief.shares(classes.groups, trouble.causes)
    mounted = network.mounted(NOW)
    found = []
    for group, alone in zip(classes.groups, shares.alone, strict=True):
        variable = network.variables[leader(belief, group)]
        repair = repair_of(network, group)
        at = next((p.cylinder for (_, p), part in mounted.items() if part == variable.subject.part), 0)
        title = mend(network.job, network.knowledge, variable, at or trouble.place.cylinder)
        found.append(Action(title, alone, repair.minutes + PROOF + MONEY * repair.money, repair.minutes + PROOF))
    return found


def _worth(actions: Sequence[Action]) -> list[Action]:
    return [a for a in actions if a.chance >= WORTH]


def _updated(actions: Sequence[Action], joint: Sequence[float]) -> list[Action]:
    """The same repairs at their chances after an outcome."""
    total = float(sum(joint)) or 1.0
    return [
        Action(a.title, float(x) / total, a.cost, a.minutes)
        for a, x in zip(actions, joint[: len(actions)], strict=True)
    ]


def _listed(ways: Sequence[tuple[float, Expected]]) -> tuple[PlanStep, ...]:
    """The repairs by how likely the plan is to get to them, over all outcomes."""
    reach: dict[str, float] = {}
    minutes: dict[str, float] = {}
    for p, way in ways:
        for action, reached in zip(way.order, way.reached, strict=True):
            reach[action.title] = reach.get(action.title, 0.0) + p * reached
            minutes[action.title] = action.minutes
    ranked = sorted(reach, key=lambda title: (-round(reach[title], 9), title))
    return tuple(PlanStep(title, minutes[title], round(reach[title], 9)) for title in ranked[:6])
