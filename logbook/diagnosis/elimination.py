"""Exact sums over small discrete pair graphs: one plan, many weightings at once, and the sum's slope in each weight.

A graph has variables with two or three states and a table of factors for some pairs of them. For weights
``u[b, v, k]`` (one number a row, variable and state) the sum is::

    Z[b] = sum over all states s of  prod_v u[b, v, s_v] * prod_(v,w) pair_vw[s_v, s_w]

Weights may be negative: a noisy-OR finding is a sum over a helper whose second weight may be (Heckerman 1989, the
'Quickscore' idea). ``Z`` is linear in each variable's weights, so one backward pass gives every marginal.

The plan (an order of elimination by fewest cells of new links, then smallest table) is made once for all weightings.
Where the tables would grow beyond ``Plan.limit`` cells, some variables are fixed to their states in turn instead
(cut-set conditioning): exact while few enough, otherwise the
states with the fewest faults present, the bounded conditioning of Horvitz, Suermondt and Cooper (1989);
``Plan.left_out`` then bounds what was not summed.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating]
STATES = 3  # room for the states of each variable; two-state variables leave the last weight at zero

WIDTH = 19  # the widest table is 2**WIDTH cells
MOST_ROWS = 128  # cut-set states that are summed
MOST_CUT = 64  # variables that may be fixed
CELLS = 1 << 22  # cells of one table over all rows that are worked at once


class TooWide(ValueError):
    """No order of elimination was found that stays within the limit, whatever was fixed."""


@dataclass(frozen=True)
class Graph:
    """``sizes[v]`` is 2 or 3; ``pairs[v, w]`` (v < w) an array (sizes[v], sizes[w]) of numbers >= 0."""

    sizes: tuple[int, ...]
    pairs: Mapping[tuple[int, int], Array]


@dataclass(frozen=True)
class _Bucket:
    """One elimination: sum ``variable`` out of base * its weights * the sums handed to it."""

    variable: int
    size: int
    others: tuple[int, ...]  # in order of elimination
    base: Array  # (1, size, *sizes of others)
    shape: tuple[int, ...]  # of the weights against base
    children: tuple[tuple[int, tuple[int, ...]], ...]  # (bucket, its sum's shape in this table, without the row axis)
    child_axes: tuple[tuple[int, ...], ...]  # axes of this table (row axis 0) that the child's sum does not have


@dataclass(frozen=True)
class _Leaves:
    """Variables with a single neighbour, folded into it in one stroke."""

    variables: NDArray[np.intp]  # sorted by neighbour
    tables: Array  # (leaves, STATES, STATES), padded with zeros
    starts: NDArray[np.intp]  # where each neighbour's run begins
    neighbours: NDArray[np.intp]
    run: NDArray[np.intp]  # leaf -> index in neighbours
    alone: NDArray[np.intp]  # variables without a neighbour
    there: Array  # (alone, STATES): 1 where that state exists


@dataclass
class Sum:
    """The sum for each row, and what the backward pass needs."""

    z: Array  # (rows,)
    slopes: Array | None = None  # (rows, variables, STATES), where they were asked for


@dataclass
class _Tape:
    weights: Array
    folded: Array
    messages: list[Array]
    sums: list[Array]


class Plan:
    """An order of work for a graph. ``limit`` is the largest table, in cells for one row."""

    def __init__(
        self,
        graph: Graph,
        limit: int = 1 << WIDTH,
        cuttable: Callable[[int], bool] | None = None,
        most_rows: int = MOST_ROWS,
        most_cut: int = MOST_CUT,
        told: Sequence[int] = (),
    ) -> None:
        """``told`` are variables whose state every question gives: they are left to ``sum_told``."""
        self.graph = graph
        self.limit = limit
        self.told = tuple(told)
        self.cut: tuple[int, ...] = ()
        may_cut = cuttable or (lambda v: graph.sizes[v] == 2)
        while True:
            self._lay_out()
            if self._widest <= self.limit:
                break
            choice = [v for v in self._too_wide if may_cut(v)]
            if not choice or len(self.cut) >= most_cut:
                raise TooWide(f"tables of {self._widest} cells, and nothing left to fix")
            degree = self._degrees
            self.cut = (*self.cut, max(choice, key=lambda v: (degree[v], -v)))
        self.cut_states, self.exact = self._cut_states(most_rows)

    # --- the plan ---

    @property
    def cells(self) -> int:
        """Cells of all tables for one row."""
        return sum(b.base.size for b in self._buckets) * len(self.cut_states)

    @property
    def widest(self) -> int:
        """Cells of the largest table for one row."""
        return self._widest

    def _links(self) -> list[set[int]]:
        links: list[set[int]] = [set() for _ in self.graph.sizes]
        for v, w in self.graph.pairs:
            if v not in self._cut_set and w not in self._cut_set:
                links[v].add(w)
                links[w].add(v)
        return links

    def _lay_out(self) -> None:
        self._cut_set = {*self.cut, *self.told}
        links = self._links()
        self._degrees = [len(n) for n in links]
        self._leaves, gone = _fold_leaves(self.graph, links)
        order, cliques = _order(self.graph.sizes, links, gone)
        sizes = self.graph.sizes
        self._widest = max((math.prod(sizes[v] for v in c) for c in cliques.values()), default=1)
        self._too_wide: tuple[int, ...] = ()
        self._buckets: list[_Bucket] = []
        if self._widest > self.limit:
            widest = max(cliques.values(), key=lambda c: math.prod(sizes[v] for v in c))
            self._too_wide = tuple(sorted(widest))
            return
        self._buckets = self._make_buckets(order, cliques, gone)
        self._cut_pairs = [
            (v, w, table) for (v, w), table in self.graph.pairs.items() if v in self._cut_set or w in self._cut_set
        ]

    def _make_buckets(self, order: list[int], cliques: dict[int, tuple[int, ...]], gone: set[int]) -> list[_Bucket]:
        sizes = self.graph.sizes
        rank = {v: i for i, v in enumerate(order)}
        tables: dict[int, dict[int, Array]] = {v: {} for v in order}
        for (v, w), table in self.graph.pairs.items():
            if v in rank and w in rank:
                first, second = (v, w) if rank[v] < rank[w] else (w, v)
                tables[first][second] = table if first == v else table.T
        children: dict[int, list[int]] = {v: [] for v in order}
        others_of: dict[int, tuple[int, ...]] = {}
        for v in order:
            others = tuple(sorted((w for w in cliques[v] if w != v), key=rank.__getitem__))
            others_of[v] = others
            if others:
                children[others[0]].append(v)
        buckets = []
        for v in order:
            others = others_of[v]
            axes = (v, *others)
            base = np.ones((1, *(sizes[w] for w in axes)))
            for w, table in tables[v].items():
                shape = [1] * (len(axes) + 1)
                shape[1], shape[1 + axes.index(w)] = sizes[v], sizes[w]
                base = base * table.reshape(shape)
            kids, missing = [], []
            for child in children[v]:
                have = set(others_of[child])
                kids.append((rank[child], tuple(sizes[w] if w in have else 1 for w in axes)))
                missing.append(tuple(i + 1 for i, w in enumerate(axes) if w not in have))
            buckets.append(
                _Bucket(v, sizes[v], others, base, (sizes[v], *(1 for _ in others)), tuple(kids), tuple(missing))
            )
        return buckets

    def _cut_states(self, most_rows: int) -> tuple[list[tuple[int, ...]], bool]:
        """States of the cut variables, few present first, as many as ``most_rows``; and whether that is all of them."""
        count = len(self.cut)
        states: list[tuple[int, ...]] = []
        for present in range(count + 1):
            for chosen in itertools.combinations(range(count), present):
                if len(states) == most_rows:
                    return states, False
                states.append(tuple(1 if i in chosen else 0 for i in range(count)))
        return states, True

    # --- the work ---

    def sum(self, weights: Array, keep: bool = False) -> Sum:
        """Z for each row of ``weights`` (rows, variables, STATES). ``keep``: so that ``slopes`` can follow."""
        assert not self.told
        if not self.cut:
            z, slopes = self._chunks(weights, keep)
            return Sum(z, slopes)
        z = np.zeros(weights.shape[0], dtype=weights.dtype)
        total = np.zeros_like(weights) if keep else None
        together = max(1, self._rows_at_once // weights.shape[0])
        for start in range(0, len(self.cut_states), together):
            states = self.cut_states[start : start + together]
            some, slopes = self._chunks(
                np.concatenate([self._fixed(weights, dict(zip(self.cut, state, strict=True))) for state in states]),
                keep,
            )
            z += some.reshape(len(states), -1).sum(axis=0)
            if total is not None and slopes is not None:
                total += self._unfix(slopes.reshape(len(states), *weights.shape), states)
        return Sum(z, total)

    def sum_told(self, weights: Array, states: Sequence[int]) -> Array:
        """Z for each row of ``weights`` where the variables told are in ``states``, one for each of them."""
        told = dict(zip(self.told, states, strict=True))
        z = np.zeros(weights.shape[0], dtype=weights.dtype)
        for state in self.cut_states:
            z += self._chunks(self._fixed(weights, {**told, **dict(zip(self.cut, state, strict=True))}), False)[0]
        return z

    def slopes_told(self, weights: Array, states: Sequence[Sequence[int]]) -> tuple[Array, Array]:
        """Z for one row of weights at each of ``states`` of the variables told, and its slopes in the other weights.

        The slopes are those in the weights as they are once the pair factors with the variables told stand in them.
        """
        assert not self.cut
        rows = [self._fixed(weights, dict(zip(self.told, state, strict=True))) for state in states]
        z, slopes = self._chunks(np.concatenate(rows), True)
        assert slopes is not None
        return z, slopes

    def slopes(self, done: Sum, rows: int) -> Array:
        """dZ/du for each row, variable and state, from a kept ``sum`` over ``rows`` rows."""
        assert done.slopes is not None and len(done.slopes) == rows
        return done.slopes

    @property
    def _rows_at_once(self) -> int:
        return max(1, CELLS // max(self._widest, 1))

    def _fixed(self, weights: Array, at: Mapping[int, int]) -> Array:
        """The weights with some variables in the states ``at``, their pair factors turned into plain weights."""
        out = weights.copy()
        for v, s in at.items():
            keep = out[:, v, s].copy()
            out[:, v, :] = 0.0
            out[:, v, s] = keep
        for v, w, table in self._cut_pairs:
            if v in at and w in at:
                out[:, v, at[v]] *= table[at[v], at[w]]
            elif v in at:
                out[:, w, : table.shape[1]] *= table[at[v]]
            else:
                out[:, v, : table.shape[0]] *= table[:, at[w]]
        return out

    def _unfix(self, slopes: Array, states: list[tuple[int, ...]]) -> Array:
        """Slopes in the weights as given, summed over the cut states (chain rule through ``_fixed``)."""
        out = np.zeros(slopes.shape[1:], dtype=slopes.dtype)
        for i, state in enumerate(states):
            at = dict(zip(self.cut, state, strict=True))
            slope = slopes[i].copy()
            for v, w, table in self._cut_pairs:
                if v in at and w in at:
                    slope[:, v, at[v]] *= table[at[v], at[w]]
                elif v in at:
                    slope[:, w, : table.shape[1]] *= table[at[v]]
                else:
                    slope[:, v, : table.shape[0]] *= table[:, at[w]]
            for v, s in at.items():
                keep = slope[:, v, s].copy()
                slope[:, v, :] = 0.0
                slope[:, v, s] = keep
            out += slope
        return out

    def left_out(self, prior: Array) -> float:
        """What the cut states that are not summed weigh before any evidence: a bound on what they add to the sum.

        ``prior`` is one row of weights whose sum over all states is at most 1; findings weigh at most 1.
        """
        return 0.0 if self.exact else max(1.0 - float(self.sum(prior).z[0]), 0.0)

    def _chunks(self, weights: Array, keep: bool) -> tuple[Array, Array | None]:
        """A few rows at once, and their slopes at once, so that no more than a few tables are ever held."""
        step = self._rows_at_once
        parts: list[Array] = []
        slopes: list[Array] = []
        for start in range(0, weights.shape[0], step):
            z, tape = self._forward(weights[start : start + step])
            parts.append(z)
            if keep:
                slopes.append(self._backward(tape))
        z = parts[0] if len(parts) == 1 else np.concatenate(parts)
        if not keep:
            return z, None
        return z, slopes[0] if len(slopes) == 1 else np.concatenate(slopes)

    def _forward(self, weights: Array) -> tuple[Array, _Tape]:
        leaves = self._leaves
        folded = weights
        messages: list[Array] = []
        if len(leaves.variables):
            folded = weights.copy()
            sent = np.einsum("bli,lij->blj", weights[:, leaves.variables], leaves.tables)
            gathered = np.multiply.reduceat(sent, leaves.starts, axis=1)
            folded[:, leaves.neighbours] *= gathered
            messages.append(sent)
        z = np.prod(weights[:, leaves.alone].sum(axis=2), axis=1)
        sums: list[Array] = []
        for bucket in self._buckets:
            table = bucket.base * folded[:, bucket.variable, : bucket.size].reshape((-1, *bucket.shape))
            for child, shape in bucket.children:
                table = table * sums[child].reshape((-1, *shape))
            out = table.sum(axis=1)
            sums.append(out)
            if not bucket.others:
                z = z * out
        return z, _Tape(weights, folded, messages, sums)

    def _backward(self, tape: _Tape) -> Array:
        leaves, weights, folded = self._leaves, tape.weights, tape.folded
        out = np.zeros_like(weights)
        alone = weights[:, leaves.alone].sum(axis=2)
        roots = [i for i, b in enumerate(self._buckets) if not b.others]
        factors = np.concatenate([alone, *(tape.sums[i].reshape(-1, 1) for i in roots)], axis=1)
        rest = _products_of_others(factors)
        out[:, leaves.alone] = rest[:, : alone.shape[1], None] * leaves.there
        slope: list[Array | None] = [None] * len(self._buckets)
        for n, i in enumerate(roots):
            slope[i] = rest[:, alone.shape[1] + n]
        for i in range(len(self._buckets) - 1, -1, -1):
            bucket = self._buckets[i]
            handed = slope[i]
            assert handed is not None
            own = folded[:, bucket.variable, : bucket.size].reshape((-1, *bucket.shape))
            table = bucket.base * handed[:, None]
            kids = [tape.sums[child].reshape((-1, *shape)) for child, shape in bucket.children]
            after: list[Array] = []  # products of the kids behind each
            product = table
            for kid in reversed(kids):
                after.append(product)
                product = product * kid
            after.reverse()
            axes = tuple(range(2, table.ndim))
            out[:, bucket.variable, : bucket.size] = product.sum(axis=axes) if axes else product
            before = own
            for (child, _), missing, kid, behind in zip(bucket.children, bucket.child_axes, kids, after, strict=True):
                slope[child] = (behind * before).sum(axis=missing)
                before = before * kid
        if len(leaves.variables):
            sent = tape.messages[0]
            at = leaves.neighbours
            gathered = np.multiply.reduceat(sent, leaves.starts, axis=1)
            slope_folded = out[:, at]
            handed_down = (slope_folded * weights[:, at] * gathered)[:, leaves.run]
            handed_down = np.divide(handed_down, sent, out=np.zeros_like(handed_down), where=sent != 0)
            out[:, at] = slope_folded * gathered
            out[:, leaves.variables] = np.einsum("blj,lij->bli", handed_down, leaves.tables)
        return out


def _products_of_others(factors: Array) -> Array:
    """For each column the product of all the other columns (no division: a factor may be zero)."""
    rows, n = factors.shape
    ahead = np.ones((rows, n + 1), dtype=factors.dtype)
    behind = np.ones((rows, n + 1), dtype=factors.dtype)
    if n:
        ahead[:, 1:] = np.cumprod(factors, axis=1)
        behind[:, :-1] = np.cumprod(factors[:, ::-1], axis=1)[:, ::-1]
    return ahead[:, :n] * behind[:, 1:]


def _fold_leaves(graph: Graph, links: list[set[int]]) -> tuple[_Leaves, set[int]]:
    """Leaves of the graph and those without neighbours; two leaves of each other: the first is folded."""
    folded: dict[int, int] = {}
    kept: set[int] = set()
    for v, near in enumerate(links):
        if len(near) == 1 and v not in kept:
            (neighbour,) = near
            folded[v] = neighbour
            kept.add(neighbour)
    order = sorted(folded, key=lambda v: (folded[v], v))
    tables = np.zeros((len(order), STATES, STATES))
    for i, v in enumerate(order):
        w = folded[v]
        table = graph.pairs[v, w] if v < w else graph.pairs[w, v].T
        tables[i, : table.shape[0], : table.shape[1]] = table
    neighbours = sorted(set(folded.values()))
    index = {w: i for i, w in enumerate(neighbours)}
    run = np.array([index[folded[v]] for v in order], dtype=np.intp)
    starts = np.searchsorted(run, np.arange(len(neighbours))).astype(np.intp)
    alone = [v for v, near in enumerate(links) if not near]
    for v, w in folded.items():
        links[w].discard(v)
        links[v].clear()
    leaves = _Leaves(
        np.array(order, dtype=np.intp),
        tables,
        starts,
        np.array(neighbours, dtype=np.intp),
        run,
        np.array(alone, dtype=np.intp),
        np.array([[float(k < graph.sizes[v]) for k in range(STATES)] for v in alone]).reshape(-1, STATES),
    )
    return leaves, set(folded) | set(alone)


def _order(
    sizes: tuple[int, ...], links: list[set[int]], gone: Iterable[int]
) -> tuple[list[int], dict[int, tuple[int, ...]]]:
    """Greedy order: fewest new links, then the smallest table, then the lowest number. Sets are bits of a number."""
    done = set(gone)
    left = {v: sum(1 << w for w in near) for v, near in enumerate(links) if v not in done}
    three = sum(1 << v for v in left if sizes[v] == STATES)
    cost = {v: _cost(v, left, three) for v in left}
    order: list[int] = []
    cliques: dict[int, tuple[int, ...]] = {}
    while left:
        v = min(cost, key=lambda w: (cost[w], w))
        near = left.pop(v)
        del cost[v]
        order.append(v)
        members = tuple(_bits(near))
        cliques[v] = (v, *members)
        stale = near
        for w in members:
            new = near & ~left[w] & ~(1 << w)
            left[w] = (left[w] & ~(1 << v)) | new
            if new:
                stale |= left[w]
        for w in _bits(stale):
            cost[w] = _cost(w, left, three)
    return order, cliques


def _bits(members: int) -> Iterable[int]:
    while members:
        low = members & -members
        yield low.bit_length() - 1
        members ^= low


def _cost(v: int, left: dict[int, int], three: int) -> tuple[int, int]:
    """Cells of the new links, then cells of the table."""
    near = left[v]
    twice = 0
    for a in _bits(near):
        new = near & ~left[a] & ~(1 << a)
        if new:
            twice += (2 + (three >> a & 1)) * (2 * new.bit_count() + (new & three).bit_count())
    more = (near & three).bit_count()
    return twice // 2, 2 ** (near.bit_count() - more) * 3**more
