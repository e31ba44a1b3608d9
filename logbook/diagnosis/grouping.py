"""Faults that one repair on one thing puts right need not be told apart: they are one cause, named by the likeliest."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.diagnosis.belief import Belief
from logbook.diagnosis.knowledge import Repair
from logbook.diagnosis.latents import Parents
from logbook.diagnosis.network import Network
from logbook.diagnosis.subjects import Subject

STRONG = 0.2  # a fault that alone brings the trouble about less often than this cannot be its cause on its own

Group = tuple[int, ...]


def grouped(network: Network, causes: Sequence[int]) -> list[Group]:
    """The causes by repair and subject, in the order of their first member."""
    found: dict[tuple[str, Subject], list[int]] = {}
    for v in causes:
        variable = network.variables[v]
        found.setdefault((network.knowledge.faults[variable.fault].repair, variable.subject), []).append(v)
    return [tuple(group) for group in found.values()]


def repair_of(network: Network, group: Group) -> Repair:
    """What puts the faults of a group right: the same for all of them."""
    knowledge = network.knowledge
    return knowledge.repairs[knowledge.faults[network.variables[group[0]].fault].repair]


def leader(belief: Belief, group: Group) -> int:
    """The likeliest fault of a group; the first among equals."""
    return max(group, key=lambda v: (round(float(belief.marginals[v]), 9), -v))


def strengths(network: Network, parents: Parents) -> dict[int, float]:
    """How often each fault alone would bring the trouble about, as far as the states are asked about."""
    found: dict[int, float] = {}
    waiting = [(v, 1.0, rows) for v, rows in parents]
    while waiting:
        v, above, rows = waiting.pop()
        q = above * (1 - rows[-1][-1])
        if v in network.behind:
            waiting.extend((w, q, behind) for w, behind in network.behind[v])
        else:
            found[v] = 1 - (1 - found.get(v, 0.0)) * (1 - q)
    return found


def strong_groups(groups: Sequence[Group], strength: dict[int, float]) -> list[Group]:
    """Of each group the faults that can be the cause on their own; groups without any are left out."""
    kept = [tuple(v for v in group if strength.get(v, 0.0) >= STRONG) for group in groups]
    return [group for group in kept if group]
