"""In which order the variables of a graph are summed out, and which of them are folded away before."""

from __future__ import annotations

import heapq
import math
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from logbook.diagnosis.effort import spend

STATES = 3  # the most states of a variable
WIDE = 1 << 18  # cells of all tables from which a second order is tried, and more for each doubling
MOST_ORDERS = 16
SPREAD = 0.4  # how far costs are off then
CELLS_A_COST = 20  # cells that are worked in the time that one neighbour of a cost takes
Links = list[set[int]]
Cliques = dict[int, tuple[int, ...]]
Cost = Callable[[int, Mapping[int, int], int], float]


@dataclass(frozen=True, slots=True)
class Folded:
    """Variables that touch one or two others and nothing else, by those that they touch: ``members[i]`` by ``near[i]``.

    No two of them touch each other, so all are summed out in one stroke.
    """

    near: tuple[tuple[int, ...], ...]
    members: tuple[tuple[int, ...], ...]

    @property
    def variables(self) -> tuple[int, ...]:
        """All members, those of one neighbourhood behind each other."""
        return tuple(v for some in self.members for v in some)


def fold(links: Links, touching: int) -> Folded:
    """Take the variables with ``touching`` neighbours out of the links, and tie those neighbours to each other.

    ``links`` is changed: what was folded is left without links.
    """
    kept: set[int] = set()
    found: dict[tuple[int, ...], list[int]] = {}
    for v, near in enumerate(links):
        if len(near) == touching and v not in kept:
            found.setdefault(tuple(sorted(near)), []).append(v)
            kept |= near
    for group, members in found.items():
        for v in members:
            links[v] = set()
        for w in group:
            links[w] -= set(members)
            links[w] |= set(group) - {w}
    return Folded(tuple(found), tuple(map(tuple, found.values())))


def order(
    sizes: Sequence[int], links: Links, wanted: Sequence[int], most: int = MOST_ORDERS
) -> tuple[list[int], Cliques]:
    """The ``wanted`` variables in the order in which they are summed out, and their cliques.

    By the smallest table first, which is quick; where that grows wide, by the fewest new links too, and both again
    with costs that are a little off, which helps a good deal where tables are large. The best of them.
    """
    left = {v: sum(1 << w for w in links[v]) for v in wanted}
    best = _greedy(sizes, left, _smallest)
    cells = sum(_tables(sizes, best[1]))
    for again in range(most):
        if cells <= WIDE << again // 3:
            break
        other = _greedy(sizes, left, _smallest if again % 2 else _fewest_links, again)
        found = sum(_tables(sizes, other[1]))
        if found < cells:
            best, cells = other, found
    return best


def _tables(sizes: Sequence[int], cliques: Cliques) -> list[int]:
    return [math.prod(sizes[w] for w in clique) for clique in cliques.values()]


def _greedy(sizes: Sequence[int], links: Mapping[int, int], cost_of: Cost, turn: int = 0) -> tuple[list[int], Cliques]:
    """Always the variable that costs least now, then the lowest number. A set of neighbours is the bits of a number.

    With a ``turn`` the costs are taken a little higher than they are, for each variable and turn in its own way.
    """
    left = dict(links)
    three = sum(1 << v for v in left if sizes[v] == STATES)
    chance = random.Random(turn)
    more = {v: 1 + SPREAD * chance.random() for v in left} if turn else dict.fromkeys(left, 1.0)
    cost = {v: cost_of(v, left, three) * more[v] for v in left}
    heap = [(least, v) for v, least in cost.items()]
    heapq.heapify(heap)
    found: list[int] = []
    cliques: Cliques = {}
    while heap:
        least, v = heapq.heappop(heap)
        if v not in left or cost[v] != least:
            continue  # done, or it costs something else since
        near = left.pop(v)
        members = _bits(near)
        found.append(v)
        cliques[v] = (v, *members)
        stale = near
        for w in members:
            before = left[w]
            left[w] = (before | near) & ~(1 << v | 1 << w)
            if cost_of is _fewest_links and near & ~before != 1 << w:
                stale |= left[w]
        again = members if stale == near else _bits(stale)
        spend(CELLS_A_COST * len(again) * (len(members) if cost_of is _fewest_links else 1))
        for w in again:
            now = cost_of(w, left, three) * more[w]
            if now != cost[w]:
                cost[w] = now
                heapq.heappush(heap, (now, w))
    return found, cliques


def _smallest(v: int, left: Mapping[int, int], three: int) -> float:
    """Cells of its table."""
    near = left[v] | 1 << v
    more = (near & three).bit_count()
    return float(2 ** (near.bit_count() - more) * STATES**more)


def _fewest_links(v: int, left: Mapping[int, int], three: int) -> float:
    """Links that its neighbours lack among each other, then the cells of its table."""
    near = left[v]
    lacking = sum((near & ~left[w]).bit_count() - 1 for w in _bits(near))
    cells = _smallest(v, left, three)
    return lacking // 2 + cells / (cells + 1)


def _bits(members: int) -> list[int]:
    found = []
    while members:
        low = members & -members
        found.append(low.bit_length() - 1)
        members ^= low
    return found
