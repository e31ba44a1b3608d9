"""In which order the variables of a graph are summed out, and which of them are folded away before.

Sets of variables are bits of a number: a clique of a hundred variables is one integer.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

STATES = 3  # the most states of a variable
Links = list[set[int]]


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


def order(sizes: Sequence[int], links: Links, wanted: Sequence[int]) -> tuple[list[int], dict[int, tuple[int, ...]]]:
    """The ``wanted`` variables, the one with the smallest table first, then the lowest number; and their cliques.

    On the graphs of wide jobs that is as good an order as by the fewest new links, in a tenth of the time.
    """
    left = {v: sum(1 << w for w in links[v]) for v in wanted}
    three = sum(1 << v for v in left if sizes[v] == STATES)
    cost = {v: _cells(near, three, sizes[v]) for v, near in left.items()}
    heap = [(cells, v) for v, cells in cost.items()]
    heapq.heapify(heap)
    found: list[int] = []
    cliques: dict[int, tuple[int, ...]] = {}
    while heap:
        cells, v = heapq.heappop(heap)
        if v not in left or cost[v] != cells:
            continue  # done, or its table has changed since
        near = left.pop(v)
        found.append(v)
        members = tuple(_bits(near))
        cliques[v] = (v, *members)
        for w in members:
            left[w] = (left[w] | near) & ~(1 << v | 1 << w)
            more = _cells(left[w], three, sizes[w])
            if more != cost[w]:
                cost[w] = more
                heapq.heappush(heap, (more, w))
    return found, cliques


def _cells(near: int, three: int, size: int) -> int:
    """Cells of the table of a variable of ``size`` states with these neighbours."""
    more = (near & three).bit_count()
    return int(size * 2 ** (near.bit_count() - more) * STATES**more)


def _bits(members: int) -> Iterator[int]:
    while members:
        low = members & -members
        yield low.bit_length() - 1
        members ^= low
