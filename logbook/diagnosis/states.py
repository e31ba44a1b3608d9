"""States of what is shared: which faults of pairs, banks or the whole engine are there, none or a few at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from logbook.diagnosis.appearances import Index, Option, distinct
from logbook.diagnosis.clusters import Parted, Switch, option_of
from logbook.diagnosis.problem import Chances, Rows

NO = -1


@dataclass(frozen=True, slots=True)
class Shared:
    """Every option of a shared fault, flat."""

    items: tuple[Option | Switch, ...]
    group: Index  # (N,) options of one group exclude each other
    log_odds: Chances  # (N,)
    rows: Rows  # (N, E); what comes and goes lowers no row of a cylinder by itself
    hub_rows: Rows  # (N, E); as they show in readings of the whole engine
    comes: NDArray[np.bool_]  # (N,)
    raises: NDArray[np.bool_]  # (N,)
    none: Rows  # (E,)


@dataclass(frozen=True, slots=True)
class States:
    """States (S): which options (S, 3; -1 for none), prior, rows and what comes and goes in them."""

    options: Index  # (S, 3)
    log_prior: Chances  # (S,)
    rows: Rows  # (S, E)
    hub_rows: Rows  # (S, E)
    comes: Index  # (S, 3) options that come and go, -1 for none
    context: Index  # (S,) 1 where something raises other faults

    def of(self, which: Index | NDArray[np.bool_]) -> States:
        return States(
            self.options[which],
            self.log_prior[which],
            self.rows[which],
            self.hub_rows[which],
            self.comes[which],
            self.context[which],
        )


@dataclass(frozen=True, slots=True)
class Alike:
    """States that look alike are weighed as one: ``which`` (S,) of those, and ``part`` (S,) each has in it."""

    members: States
    which: Index
    part: Chances

    def spread(self, share: Chances) -> Chances:
        """Shares of the looks (..., U) over the states (..., S)."""
        return np.asarray(share[..., self.which] * self.part)


def merged(states: States, hub: NDArray[np.bool_]) -> tuple[States, Alike]:
    """One state for all that no reading tells apart, with their priors together, and which they are."""
    rest = np.concatenate([states.comes + 1, states.context[:, None]], axis=1).astype(np.uint8)
    first, which = distinct(np.concatenate([states.rows, states.hub_rows[:, hub], rest], axis=1))
    log_prior = np.log(np.bincount(which, np.exp(states.log_prior), len(first)))
    part = np.exp(states.log_prior - log_prior[which])
    return replace(states.of(first), log_prior=log_prior), Alike(states, which, part)


def shared_options(parted: Parted) -> Shared:
    seen = parted.seen
    items: list[Option | Switch] = []
    group: list[int] = []
    for g, options in enumerate(parted.shared):
        items += options
        group += [g] * len(options)
    made = [option_of(i) for i in items]
    comes = np.array([isinstance(i, Switch) for i in items], np.bool_)
    width = len(seen.index)
    rows = np.array([o.rows for o in made], np.uint8).reshape(len(made), width)
    hub_rows = rows.copy()
    for n, item in enumerate(items):
        if isinstance(item, Switch):
            hub_rows[n] = shown(item, seen.none)
    return Shared(
        tuple(items),
        np.array(group, np.intp),
        np.log(np.array([max(float(o.odds[0]), 1e-300) for o in made])),
        np.where(comes[:, None], seen.none, rows),
        hub_rows,
        comes,
        np.array([any(f in parted.raisers for f, *_ in o.members) for o in made], np.bool_),
        seen.none,
    )


def shown(switch: Switch, none: Rows) -> Rows:
    """Its rows where it shows more often than not."""
    return np.where(switch.active >= 0.5, switch.option.rows, none).astype(np.uint8)


def states_of(shared: Shared, options: Sequence[tuple[int, ...]]) -> States:
    """The states in which these options are there."""
    padded = np.array([(*o, *([NO] * (3 - len(o)))) for o in options], np.intp).reshape(-1, 3)
    # one more option at the end stands for none of them
    log_odds = np.append(shared.log_odds, 0.0)
    rows = np.concatenate([shared.rows, shared.none[None, :]])
    hub_rows = np.concatenate([shared.hub_rows, shared.none[None, :]])
    comes = np.append(shared.comes, False)
    raises = np.append(shared.raises, False)
    return States(
        padded,
        log_odds[padded].sum(axis=1),
        rows[padded].min(axis=1),
        hub_rows[padded].min(axis=1),
        np.asarray(np.sort(np.where(comes[padded], padded, NO), axis=1)[:, ::-1], np.intp),
        np.asarray(raises[padded].any(axis=1), np.intp),
    )


def none_and_single(shared: Shared) -> list[tuple[int, ...]]:
    return [(), *((n,) for n in range(len(shared.items)))]


def pairs_worth(shared: Shared, log_weight: Chances, edge: float) -> list[tuple[int, ...]]:
    """Pairs of options that may come to ``exp(edge)`` of the leader; ``log_weight`` is of none and the single ones.

    Two at once explain at most what each explains by itself, but where each undoes harm that the other does.
    """
    alone, single = log_weight[0], log_weight[1:]
    gain = np.maximum(single - alone, shared.log_odds)
    most = alone + gain[:, None] + gain[None, :]
    a, b = np.nonzero(most >= log_weight.max() + edge)
    return [(int(x), int(y)) for x, y in zip(a, b, strict=True) if x < y and shared.group[x] != shared.group[y]]


def triples_worth(
    shared: Shared, pairs: Sequence[tuple[int, ...]], log_weight: Chances, top: float, edge: float
) -> list[tuple[int, ...]]:
    """One more option on top of the pairs that weigh most."""
    found: set[tuple[int, ...]] = set()
    for pair, weight in zip(pairs, log_weight, strict=True):
        if weight < top + edge:
            continue
        groups = {int(shared.group[n]) for n in pair}
        for n in range(len(shared.items)):
            if int(shared.group[n]) not in groups:
                found.add(tuple(sorted((*pair, n))))
    return sorted(found)
