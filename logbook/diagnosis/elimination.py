"""Exact sums over small discrete pair graphs: one plan, many weightings at once, and the sum's slope in each weight.

A graph has variables with two or three states and a table of factors for some pairs of them. For weights
``u[b, v, k]`` (one number a row, variable and state) the sum is::

    Z[b] = sum over all states s of  prod_v u[b, v, s_v] * prod_(v,w) pair_vw[s_v, s_w]

Weights may be negative: a noisy-OR finding is a sum over a helper whose second weight may be (Heckerman 1989, the
'Quickscore' idea). ``Z`` is linear in each variable's weights, so one backward pass gives every marginal.

The plan (``ordering``) is made once for all weightings. Variables that touch one or two others are folded away, all of
them in one stroke, and again those that then touch one or two; the others are summed out one by one. In every table the
rows are the last axis, so that numpy's inner loop runs over them and not over two states. Where the tables would grow
beyond ``Plan.limit`` cells, some variables are fixed to their states in turn (cut-set conditioning): exact while few
enough, otherwise the states with the fewest faults present, the bounded conditioning of Horvitz, Suermondt and
Cooper (1989); ``Plan.left_out`` then bounds what was not summed.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from logbook.diagnosis.effort import spend
from logbook.diagnosis.ordering import MOST_ORDERS, STATES, Folded, Links, fold, order

Array = NDArray[np.floating]
Shape = tuple[int, ...]
_Way = Mapping[int, Shape]  # bucket -> those of its factors whose slopes are needed

WIDTH = 18  # the widest table is 2**WIDTH cells
ROUNDS = 3  # of folding; there is next to nothing to fold after them
MOST_ROWS = 128  # cut-set states that are summed
MOST_CUT = 64  # variables that may be fixed
CELLS = 1 << 19  # cells of one table over all rows that are worked at once


class TooWide(ValueError):
    """No order of elimination was found that stays within the limit, whatever was fixed."""


@dataclass(frozen=True)
class Graph:
    """``sizes[v]`` is 2 or 3; ``pairs[v, w]`` (v < w) an array (sizes[v], sizes[w]) of numbers >= 0."""

    sizes: tuple[int, ...]
    pairs: Mapping[tuple[int, int], Array]

    def pair(self, v: int, w: int) -> Array:
        """The factors of two variables, v's states first."""
        return self.pairs[v, w] if v < w else self.pairs[w, v].T


@dataclass(frozen=True)
class _Fold:
    """Variables folded into one or two others, padded to STATES: each sends ``sum over i of tables[:, i] * u_i``.

    Where an earlier fold left something between the variable and what it touches, that is a factor of the sum too.
    """

    variables: NDArray[np.intp]  # sorted by what they touch
    tables: Array  # (variables, cells of what they touch, STATES)
    starts: NDArray[np.intp]  # where the run of each neighbourhood begins
    run: NDArray[np.intp]  # variable -> its neighbourhood
    near: tuple[Shape, ...]  # the neighbourhoods, what is summed out first in front
    to: NDArray[np.intp]  # neighbourhood -> the variable that it is, or the edge between its two
    through: tuple[NDArray[np.intp], ...]  # for each that is touched: variable -> the edge to it; () with nothing there


class _Factor(NamedTuple):
    """What goes into a bucket: where it is found, its shape in the table (-1 for the rows), the axes that it lacks."""

    source: int  # a variable, an edge, or a bucket
    shape: Shape
    missing: Shape


class _Bucket(NamedTuple):
    """One elimination: sum a variable out of base * its weights * what was folded into it * the sums handed to it."""

    size: int
    others: Shape  # in order of elimination
    base: Array  # (size, *sizes of others, 1)
    factors: tuple[_Factor, ...]  # its weights, then ``folded`` edges, then the sums of other buckets
    folded: int


@dataclass
class Sum:
    """The sum for each row, and what the backward pass needs."""

    z: Array  # (rows,)
    slopes: Array | None = None  # (rows, variables, STATES), where they were asked for


class _Sent(NamedTuple):
    """One fold done."""

    own: Array  # the weights of its variables: (variables, STATES, rows)
    between: list[Array]  # what was folded in between them and each that they touch: (variables, cells, STATES, rows)
    sent: Array  # by variable: (variables, cells, rows)
    together: Array  # by neighbourhood
    before: Array  # what stood where that went


@dataclass
class _Tape:
    weights: Array  # (variables, STATES, rows), with what was folded into them
    edges: Array  # (edges and one of ones, STATES, STATES, rows): what was folded in between two variables
    folds: list[_Sent]
    sums: list[Array]
    values: list[list[Array]]  # by bucket: its weights, what was folded into it and what was handed to it


class Plan:
    """An order of work for a graph. ``limit`` is the largest table, in cells for one row.

    Raises ``TooWide`` where fixing ``most_cut`` variables does not help, or takes more than ``most_cells`` in all.
    """

    def __init__(
        self,
        graph: Graph,
        limit: int = 1 << WIDTH,
        cuttable: Callable[[int], bool] | None = None,
        most_rows: int = MOST_ROWS,
        most_cut: int = MOST_CUT,
        most_cells: float = math.inf,
        most_orders: int = MOST_ORDERS,
        told: Sequence[int] = (),
    ) -> None:
        """``told`` are variables whose state every question gives: they are left to ``sum_told``."""
        self.graph = graph
        self.limit = limit
        self.told = tuple(told)
        self._most_orders = most_orders
        self.cut: tuple[int, ...] = ()
        may_cut = cuttable or (lambda v: graph.sizes[v] == 2)
        while too_wide := self._lay_out():
            if self._in_all * 2 ** len(self.cut) > most_cells:  # to fix one more is no less work
                raise TooWide(f"{self._in_all} cells in all, {len(self.cut)} variables fixed")
            choice = [v for v in too_wide if may_cut(v)]
            if not choice or len(self.cut) >= most_cut:
                raise TooWide(f"tables of {self.widest} cells, and nothing left to fix")
            self.cut = (*self.cut, max(choice, key=lambda v: (self._degrees[v], -v)))
        self.cut_states, self.exact = self._cut_states(most_rows)
        if self.cells > most_cells:
            raise TooWide(f"{self.cells} cells in all, {len(self.cut)} variables fixed")
        self._everything: _Way = {i: tuple(range(len(b.factors))) for i, b in enumerate(self._buckets)}

    # --- the plan ---

    @cached_property
    def cells(self) -> int:
        """Cells of all tables for one row."""
        return sum(b.base.size for b in self._buckets) * len(self.cut_states)

    @cached_property
    def _base_cells(self) -> int:
        return sum(b.base.size for b in self._buckets)

    def _links(self, fixed: set[int]) -> Links:
        links: Links = [set() for _ in self.graph.sizes]
        for v, w in self.graph.pairs:
            if v not in fixed and w not in fixed:
                links[v].add(w)
                links[w].add(v)
        return links

    def _lay_out(self) -> Shape:
        """Make the plan; where it is too wide, the variables of the widest table instead."""
        fixed = {*self.cut, *self.told}
        links = self._links(fixed)
        self._degrees = [len(near) for near in links]
        folded = [fold(links, touching) for _ in range(ROUNDS) for touching in (1, 2)]
        folded = [some for some in folded if some.near]
        gone = {v for some in folded for v in some.variables}
        alone = [v for v, near in enumerate(links) if not near and v not in gone]
        left = [v for v, near in enumerate(links) if near]
        sizes = self.graph.sizes
        found, cliques = order(sizes, links, left, self._most_orders)
        cells = {v: math.prod(sizes[w] for w in clique) for v, clique in cliques.items()}
        self.widest, self._in_all = max(cells.values(), default=1), sum(cells.values())  # cells for one row
        if self.widest > self.limit:
            return tuple(sorted(cliques[max(cells, key=cells.__getitem__)]))
        rank = {v: i for i, v in enumerate([*(v for some in folded for v in some.variables), *alone, *found])}
        self._edges: dict[Shape, int] = {}
        self._folds = [self._folded(some, rank) for some in folded]
        self._alone = np.array(alone, dtype=np.intp)
        self._there = np.array([[float(k < sizes[v]) for k in range(STATES)] for v in alone]).reshape(-1, STATES, 1)
        self._buckets = self._make_buckets(found, cliques)
        self._fixed_pairs = [(v, w, t) for (v, w), t in self.graph.pairs.items() if v in fixed or w in fixed]
        return ()

    def _folded(self, folded: Folded, rank: Mapping[int, int]) -> _Fold:
        near = tuple(tuple(sorted(some, key=rank.__getitem__)) for some in folded.near)
        touching, counts = len(near[0]), [len(members) for members in folded.members]
        run = np.repeat(np.arange(len(counts), dtype=np.intp), counts)
        touches = [near[i] for i in run.tolist()]
        sides = [
            self._padded([(w[k], v) for w, v in zip(touches, folded.variables, strict=True)]) for k in range(touching)
        ]
        tables = sides[0] if touching == 1 else sides[0][:, :, None] * sides[1][:, None]
        through = [
            np.array([self._edges.get((v, w[k]), -1) for w, v in zip(touches, folded.variables, strict=True)])
            for k in range(touching if self._edges else 0)
        ]
        to = [some[0] if touching == 1 else self._edges.setdefault(some, len(self._edges)) for some in near]
        return _Fold(
            np.array(folded.variables, dtype=np.intp),
            tables.reshape(len(tables), -1, STATES),
            np.cumsum([0, *counts[:-1]], dtype=np.intp),
            run,
            near,
            np.array(to, dtype=np.intp),
            tuple(through),
        )

    def _padded(self, wanted: Sequence[tuple[int, int]]) -> Array:
        """The factors of pairs of variables, padded to STATES; 1 where nothing but what was folded is in between."""
        pairs, sizes = self.graph.pairs, self.graph.sizes
        found: list[Array] = []
        known: dict[int, int] = {}  # a table that many pairs share is padded once
        where = []
        for v, w in wanted:
            table = pairs.get((v, w) if v < w else (w, v))
            if table is None:
                table = _ones(sizes[min(v, w)], sizes[max(v, w)])
            key = id(table) if v < w else -id(table)
            if key not in known:
                known[key] = len(found)
                found.append(np.zeros((STATES, STATES)))
                found[-1][: sizes[v], : sizes[w]] = table if v < w else table.T
            where.append(known[key])
        return np.array(found)[where]

    def _make_buckets(self, found: list[int], cliques: dict[int, Shape]) -> list[_Bucket]:
        rank = {v: i for i, v in enumerate(found)}
        edges = [(near, i) for near, i in self._edges.items() if near[0] in rank]
        tables: dict[int, list[int]] = {v: [] for v in found}
        for v, w in self.graph.pairs:
            if v in rank and w in rank:
                first, second = (v, w) if rank[v] < rank[w] else (w, v)
                tables[first].append(second)
        folds: dict[int, list[tuple[Shape, int]]] = {v: [] for v in found}
        for near, i in edges:
            folds[near[0]].append((near, i))
        children: dict[int, list[int]] = {v: [] for v in found}
        axes_of: dict[int, Shape] = {}
        buckets = []
        for v in found:
            axes = axes_of[v] = tuple(sorted(cliques[v], key=rank.__getitem__))
            if len(axes) > 1:
                children[axes[1]].append(v)
            factors = [_Factor(v, (self.graph.sizes[v], *(1,) * (len(axes) - 1), -1), tuple(range(1, len(axes))))]
            factors += [self._factor(i, axes, near) for near, i in folds[v]]
            factors += [self._factor(rank[child], axes, axes_of[child][1:]) for child in children[v]]
            base = self._base(axes, tables[v])
            buckets.append(_Bucket(self.graph.sizes[v], axes[1:], base, tuple(factors), len(folds[v])))
        return buckets

    def _base(self, axes: Shape, partners: Sequence[int]) -> Array:
        """The product of a variable's own pair factors over its table."""
        sizes = self.graph.sizes
        base = np.ones((*(sizes[w] for w in axes), 1))
        for w in partners:
            shape = [1] * base.ndim
            shape[0], shape[axes.index(w)] = sizes[axes[0]], sizes[w]
            base *= self.graph.pair(axes[0], w).reshape(shape)
        return base

    def _factor(self, source: int, axes: Shape, scope: Shape) -> _Factor:
        sizes = self.graph.sizes
        shape, missing = [], []
        for i, w in enumerate(axes):
            if w in scope:
                shape.append(sizes[w])
            else:
                shape.append(1)
                missing.append(i)
        return _Factor(source, (*shape, -1), tuple(missing))

    def _cut_states(self, most_rows: int) -> tuple[NDArray[np.intp], bool]:
        """States of the cut variables, few present first, as many as ``most_rows``; and whether that is all of them."""
        count = len(self.cut)
        chosen = itertools.chain.from_iterable(itertools.combinations(range(count), k) for k in range(count + 1))
        some = list(itertools.islice(chosen, most_rows))
        states = np.zeros((len(some), count), dtype=np.intp)
        for row, present in enumerate(some):
            states[row, list(present)] = 1
        return states, len(some) == 2**count

    def _way(self, wanted: Iterable[int]) -> _Way:
        """What a backward pass goes through for the slopes of some variables."""
        own = set(wanted)
        edges: set[int] = set()
        folded = {v for some in self._folds for v in some.variables.tolist()}
        for some in self._folds:  # what a folded variable needs is what it was folded into
            for i in {i for v, i in zip(some.variables.tolist(), some.run.tolist(), strict=True) if v in own}:
                first, *second = some.near[i]
                if second:
                    edges.add(int(some.to[i]))
                if not second or first in folded:
                    own.add(first)
        way: dict[int, Shape] = {}
        for i, bucket in enumerate(self._buckets):
            inside = (own, *(edges,) * bucket.folded, *(way,) * (len(bucket.factors) - 1 - bucket.folded))
            kept = [j for j, f in enumerate(bucket.factors) if f.source in inside[j]]
            if kept:
                way[i] = tuple(kept)
        return way

    # --- the work ---

    def sum(self, weights: Array, keep: bool = False) -> Sum:
        """Z for each row of ``weights`` (rows, variables, STATES). ``keep``: so that ``slopes`` can follow."""
        assert not self.told
        if not self.cut:
            z, slopes = self._chunks(_inside(weights), self._everything if keep else None)
            return Sum(z, None if slopes is None else _outside(slopes))
        z = np.zeros(weights.shape[0], dtype=weights.dtype)
        total = np.zeros_like(weights) if keep else None
        together = max(1, self._rows_at_once // weights.shape[0])
        for start in range(0, len(self.cut_states), together):
            states = self.cut_states[start : start + together]
            fixed = self._fixed(weights, self.cut, states)
            some, slopes = self._chunks(fixed, self._everything if keep else None)
            z += some.reshape(len(states), -1).sum(axis=0)
            if total is not None and slopes is not None:
                total += self._unfix(_outside(slopes).reshape(len(states), *weights.shape), states)
        return Sum(z, total)

    def sum_told(self, weights: Array, states: Sequence[Sequence[int]]) -> Array:
        """Z (states, rows) where the variables told are in each of ``states``, one number for each of them."""
        found = np.zeros((len(states), weights.shape[0]), dtype=weights.dtype)
        for cut in self.cut_states:
            both = np.array([[*state, *cut] for state in states], dtype=np.intp).reshape(len(states), -1)
            found += self._chunks(self._fixed(weights, (*self.told, *self.cut), both), None)[0].reshape(found.shape)
        return found

    def slopes_told(
        self, weights: Array, states: Sequence[Sequence[int]], wanted: Sequence[int]
    ) -> tuple[Array, Array]:
        """Z for one row of weights at each of ``states`` of the variables told, and its slopes in the ``wanted`` ones.

        The slopes are those in the weights as they are once the pair factors with the variables told stand in them.
        """
        assert not self.cut
        rows = self._fixed(weights, self.told, np.array(states, dtype=np.intp).reshape(len(states), -1))
        z, slopes = self._chunks(rows, self._way(wanted))
        assert slopes is not None
        return z, _outside(slopes)

    def slopes(self, done: Sum, rows: int) -> Array:
        """dZ/du for each row, variable and state, from a kept ``sum`` over ``rows`` rows."""
        assert done.slopes is not None and len(done.slopes) == rows
        return done.slopes

    @property
    def _rows_at_once(self) -> int:
        return max(1, CELLS // max(self.widest, 1))

    def _fixed(self, weights: Array, variables: Shape, states: NDArray[np.intp]) -> Array:
        """The weights with some variables in each of ``states``, their pair factors turned into plain weights.

        (variables, STATES, states x rows): all rows of the first state, then those of the next.
        """
        column = {v: i for i, v in enumerate(variables)}
        out = np.repeat(_inside(weights)[:, :, None], len(states), axis=2)
        for v, i in column.items():
            out[v] *= (np.arange(STATES)[:, None] == states[:, i])[:, :, None]
        for v, w, table in self._fixed_pairs:
            if v in column and w in column:
                out[v] *= table[states[:, column[v]], states[:, column[w]]][None, :, None]
            elif v in column:
                out[w, : table.shape[1]] *= table[states[:, column[v]]].T[:, :, None]
            else:
                out[v, : table.shape[0]] *= table[:, states[:, column[w]]][:, :, None]
        return out.reshape(*out.shape[:2], -1)

    def _unfix(self, slopes: Array, states: NDArray[np.intp]) -> Array:
        """Slopes in the weights as given, summed over the cut states (chain rule through ``_fixed``)."""
        column = {v: i for i, v in enumerate(self.cut)}
        out = slopes.copy()
        for v, w, table in self._fixed_pairs:
            if v in column and w in column:
                out[:, :, v] *= table[states[:, column[v]], states[:, column[w]]][:, None, None]
            elif v in column:
                out[:, :, w, : table.shape[1]] *= table[states[:, column[v]]][:, None]
            else:
                out[:, :, v, : table.shape[0]] *= table[:, states[:, column[w]]].T[:, None]
        for v, i in column.items():
            out[:, :, v] *= (np.arange(STATES) == states[:, i, None])[:, None]
        total: Array = out.sum(axis=0)
        return total

    def left_out(self, prior: Array) -> float:
        """What the cut states that are not summed weigh before any evidence: a bound on what they add to the sum.

        ``prior`` is one row of weights whose sum over all states is at most 1; findings weigh at most 1.
        """
        return 0.0 if self.exact else max(1.0 - float(self.sum(prior).z[0]), 0.0)

    def _chunks(self, weights: Array, way: _Way | None) -> tuple[Array, Array | None]:
        """A few rows at once, and their slopes at once, so that no more than a few tables are ever held."""
        step, rows = self._rows_at_once, weights.shape[2]
        spend((self._base_cells + STATES * len(self.graph.sizes)) * rows)
        parts: list[Array] = []
        slopes: list[Array] = []
        for start in range(0, rows, step):
            some = weights if rows <= step else np.ascontiguousarray(weights[:, :, start : start + step])
            z, tape = self._forward(some)
            parts.append(z)
            if way is not None:
                slopes.append(self._backward(tape, way))
        z = parts[0] if len(parts) == 1 else np.concatenate(parts)
        if way is None:
            return z, None
        return z, slopes[0] if len(slopes) == 1 else np.concatenate(slopes, axis=2)

    def _forward(self, weights: Array) -> tuple[Array, _Tape]:
        tape = _Tape(weights.copy(), np.ones((len(self._edges) + 1, STATES, STATES, weights.shape[2])), [], [], [])
        tape.edges = tape.edges.astype(weights.dtype, copy=False)
        for some in self._folds:
            tape.folds.append(_fold_in(some, tape))
        z = np.prod(tape.weights[self._alone].sum(axis=1), axis=0)
        for bucket in self._buckets:
            own, *others = bucket.factors
            values = [tape.weights[own.source, : bucket.size].reshape(own.shape)]
            for f in others[: bucket.folded]:
                values.append(tape.edges[f.source, : bucket.size, : math.prod(f.shape[1:-1])].reshape(f.shape))
            for f in others[bucket.folded :]:
                values.append(tape.sums[f.source].reshape(f.shape))
            table = bucket.base * values[0]
            for value in values[1:]:
                table *= value
            tape.values.append(values)
            out = table.sum(axis=0)
            tape.sums.append(out)
            if not bucket.others:
                z = z * out
        return z, tape

    def _backward(self, tape: _Tape, way: _Way) -> Array:
        out = np.zeros_like(tape.weights)
        alone = tape.weights[self._alone].sum(axis=1)
        roots = [i for i, b in enumerate(self._buckets) if not b.others]
        rest = _products_of_others(np.concatenate([alone, *(tape.sums[i].reshape(1, -1) for i in roots)]))
        out[self._alone] = rest[: len(alone), None] * self._there
        slope: dict[int, Array] = dict(zip(roots, rest[len(alone) :], strict=True))
        edges = np.zeros_like(tape.edges)
        for i in range(len(self._buckets) - 1, -1, -1):
            if i in way:
                self._down(self._buckets[i], way[i], tape.values[i], slope.pop(i), (out, edges, slope))
        for some, done in zip(reversed(self._folds), reversed(tape.folds), strict=True):
            _fold_back(some, done, out, edges)
        return out

    @staticmethod
    def _down(
        bucket: _Bucket, kept: Shape, values: list[Array], slope: Array, to: tuple[Array, Array, dict[int, Array]]
    ) -> None:
        """Hand the slope of a bucket's sum on to those of its factors that are ``kept``."""
        table = bucket.base * slope
        if len(kept) < len(values):
            for j, value in enumerate(values):
                if j not in kept:
                    table *= value
        rests = [table]  # products of the table and what stands behind each
        for j in kept[:0:-1]:
            rests.append(rests[-1] * values[j])
        ahead: Array | None = None
        for j in kept:
            rest = rests.pop()
            factor = bucket.factors[j]
            found = np.add.reduce(rest if ahead is None else rest * ahead, axis=factor.missing)
            if j != kept[-1]:
                ahead = values[j] if ahead is None else ahead * values[j]
            if j == 0:
                to[0][factor.source, : bucket.size] = found
            elif j <= bucket.folded:
                to[1][factor.source, : bucket.size, : found.shape[1]] = found
            else:
                to[2][factor.source] = found


@lru_cache(maxsize=STATES**2)
def _ones(*sizes: int) -> Array:
    return np.ones(sizes)


def _inside(weights: Array) -> Array:
    """(rows, variables, STATES) to (variables, STATES, rows), as the work has it."""
    return np.ascontiguousarray(weights.transpose(1, 2, 0))


def _outside(weights: Array) -> Array:
    return weights.transpose(2, 0, 1)


def _fold_in(fold: _Fold, tape: _Tape) -> _Sent:
    """Sum the variables of a fold out into the weights, or the edges, of what they touch."""
    own = tape.weights[fold.variables]
    between = [tape.edges[edge].swapaxes(1, 2) for edge in fold.through]
    if between:
        sent = np.einsum("nji,njib,nib->njb", fold.tables, _side_by_side(between), own)
    else:
        sent = np.einsum("nji,nib->njb", fold.tables, own)
    together = np.multiply.reduceat(sent, fold.starts, axis=0)
    where = tape.weights if len(fold.near[0]) == 1 else tape.edges
    before = where[fold.to]
    where[fold.to] = before * together.reshape(before.shape)
    return _Sent(own, between, sent, together, before)


def _fold_back(fold: _Fold, done: _Sent, out: Array, edges: Array) -> None:
    """The slopes in what a fold summed out, from those in what it was folded into, which are then those before it."""
    where = out if len(fold.near[0]) == 1 else edges
    after = where[fold.to]
    slope = (after * done.before).reshape(done.together.shape)[fold.run] * _others(fold, done.sent)
    where[fold.to] = after * done.together.reshape(after.shape)
    if not done.between:
        out[fold.variables] = np.einsum("nji,njb->nib", fold.tables, slope)
        return
    each = fold.tables[..., None] * slope[:, :, None]
    out[fold.variables] = (each * _side_by_side(done.between)).sum(axis=1)
    each *= done.own[:, None]
    if len(done.between) == 1:
        edges[fold.through[0]] = each.swapaxes(1, 2)
        return
    first, second = done.between
    each = each.reshape(len(each), STATES, STATES, *each.shape[2:])
    edges[fold.through[0]] = (each * second[:, None]).sum(axis=2).swapaxes(1, 2)
    edges[fold.through[1]] = (each * first[:, :, None]).sum(axis=1).swapaxes(1, 2)


def _side_by_side(between: Sequence[Array]) -> Array:
    """What stands between folded variables and the one or two that each touches: (variables, cells, STATES, rows)."""
    if len(between) == 1:
        return between[0]
    first, second = between
    both = first[:, :, None] * second[:, None]
    return both.reshape(len(both), -1, *both.shape[3:])


def _others(fold: _Fold, sent: Array) -> Array:
    """For each folded variable the product of what the others of its neighbourhood sent."""
    nothing = sent == 0
    there = np.where(nothing, 1.0, sent)
    others: Array = np.multiply.reduceat(there, fold.starts, axis=0)[fold.run] / there
    if nothing.any():  # where one of the others sends nothing, nothing is left
        gone = np.add.reduceat(nothing, fold.starts, axis=0, dtype=np.intp)[fold.run] - nothing
        others[gone > 0] = 0.0
    return others


def _products_of_others(factors: Array) -> Array:
    """For each row the product of all the other rows (no division: a factor may be zero)."""
    n = len(factors)
    ahead = np.ones((n + 1, *factors.shape[1:]), dtype=factors.dtype)
    behind = np.ones_like(ahead)
    if n:
        ahead[1:] = np.cumprod(factors, axis=0)
        behind[:-1] = np.cumprod(factors[::-1], axis=0)[::-1]
    return ahead[:n] * behind[1:]
