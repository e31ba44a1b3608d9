"""In which order the variables of a graph are summed out, and which of them are folded away before."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

STATES = 3  # the most states of a variable
WIDE = 1 << 15  # cells of a table from which a second order is tried
Links = list[set[int]]
Cliques = dict[int, tuple[int, ...]]
Cost = Callable[[int, Mapping[int, int], int], tuple[int, int]]


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


def order(sizes: Sequence[int], links: Links, wanted: Sequence[int]) -> tuple[list[int], Cliques]:
    """The ``wanted`` variables in the order in which they are summed out, and their cliques.

    By the smallest table first, which is quick; where that grows wide, by the fewest new links too, and the better one.
    """
    left = {v: sum(1 << w for w in links[v]) for v in wanted}
    first = _greedy(sizes, left, _smallest)
    if max(_tables(sizes, first[1]), default=0) <= WIDE:
        return first
    second = _greedy(sizes, left, _fewest_links)
    return min(first, second, key=lambda found: sum(_tables(sizes, found[1])))


def _tables(sizes: Sequence[int], cliques: Cliques) -> list[int]:
    return [math.prod(sizes[w] for w in clique) for clique in cliques.values()]


def _greedy(sizes: Sequence[int], links: Mapping[int, int], cost_of: Cost) -> tuple[list[int], Cliques]:
    """Always the variable that costs least now, then the lowest number. A set of neighbours is the bits of a number."""
    left = dict(links)
    three = sum(1 << v for v in left if sizes[v] == STATES)
    cost = {v: cost_of(v, left, three) for v in left}
    heap = [(least, v) for v, least in cost.items()]
    heapq.heapify(heap)
    found: list[int] = []
    cliques: Cliques = {}
    while heap:
        least, v = heapq.heappop(heap)
        if v not in left or cost[v] != least:
            continue  # done, or it costs something else since
        near = left.pop(v)
        found.append(v)
        members = tuple(_bits(near))
        cliques[v] = (v, *members)
        stale = near
        for w in members:
            new = near & ~left[w] & ~(1 << w)
            left[w] = (left[w] | near) & ~(1 << v | 1 << w)
            if new and cost_of is _fewest_links:
                stale |= left[w]
        for w in _bits(stale):
            more = cost_of(w, left, three)
            if more != cost[w]:
                cost[w] = more
                heapq.heappush(heap, (more, w))
    return found, cliques


def _smallest(v: int, left: Mapping[int, int], three: int) -> tuple[int, int]:
    """Cells of its table."""
    near = left[v] | 1 << v
    more = (near & three).bit_count()
    return 2 ** (near.bit_count() - more) * STATES**more, 0


def _fewest_links(v: int, left: Mapping[int, int], three: int) -> tuple[int, int]:
    """Links that its neighbours lack among each other, then the cells of its table."""
    near = left[v]
    lacking = sum((near & ~left[w]).bit_count() - 1 for w in _bits(near))
    return lacking // 2, _smallest(v, left, three)[0]


def _bits(members: int) -> Iterator[int]:
    while members:
        low = members & -members
        yield low.bit_length() - 1
        members ^= low
