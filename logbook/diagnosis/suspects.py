"""What could be to blame for a cylinder's trouble: the faults of one thing that one repair puts right, and how likely.

A fault that can bring the trouble about on its own is to blame where it is present. One that seldom can (a clogged
injector, a worn plug) is to blame only where none of those is: elsewhere it is there and does no harm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.diagnosis.belief import Belief
from logbook.diagnosis.elimination import Array
from logbook.diagnosis.grouping import Group, grouped, strong_groups
from logbook.diagnosis.network import Network
from logbook.diagnosis.trouble import Trouble

FAINT = 0.02  # a fault that alone brings the trouble about less often than this is not to blame


@dataclass(frozen=True, slots=True)
class Suspect:
    """``strong`` are the faults of the group that can do it alone; ``faint`` those that count where none of ``all``."""

    strong: Group
    faint: Group = ()
    all: Group = ()  # every strong fault of the trouble


def suspects_of(belief: Belief, trouble: Trouble) -> list[Suspect]:
    """Every group of a trouble's causes that has a strong fault."""
    groups = grouped(belief.network, trouble.causes)
    strong = strong_groups(groups, trouble.strength)
    every = tuple(v for group in strong for v in group)
    own = {group[0]: group for group in strong}
    found = []
    for group in groups:
        mine = next((own[v] for v in group if v in own), ())
        faint = tuple(v for v in group if v not in mine and trouble.strength.get(v, 0.0) >= FAINT)
        if mine:
            found.append(Suspect(mine, faint, every))
    return found


def weak_suspects(network: Network, trouble: Trouble) -> list[Suspect]:
    """The other groups, in which no fault could do it alone: for what no suspect explains."""
    groups = grouped(network, trouble.causes)
    return plain([group for group in groups if not strong_groups([group], trouble.strength)])


def plain(groups: Sequence[Group]) -> list[Suspect]:
    """Groups that are to blame wherever one of their faults is present."""
    return [Suspect(group) for group in groups]


def chance(belief: Belief, suspect: Suspect) -> float:
    """P(one of its faults is to blame), with all evidence."""
    return belief.any_of([suspect.strong])[0] + alone(belief, suspect)


def history(belief: Belief, suspect: Suspect) -> Array:
    """The same after each beginning of the log: (moments + 1,)."""
    found = belief.any_history(suspect.strong)
    for v in suspect.faint:
        found = found + belief.history_without(suspect.all)[:, v]
    return np.minimum(found, 1.0)


def alone(belief: Belief, suspect: Suspect) -> float:
    """P(a faint fault of it is present and no strong one of the trouble)."""
    return float(sum(belief.present_without(suspect.all)[v] for v in suspect.faint))
