"""What was looked at: an effect somewhere, in one arrangement and condition, and how a reading enters the sums."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from logbook.diagnosis.elimination import Array
from logbook.diagnosis.knowledge import BAD, BOTH, WEAK, Effect
from logbook.job.model import Place

Rows = tuple[tuple[float, ...], ...]  # what each state of a parent but its first leaves in each of a helper's columns
Parents = tuple[tuple[int, Rows], ...]  # (variable, its rows)


class Anchor(NamedTuple):
    """Where an effect is looked at: a cylinder, a part on its own, a bank or the engine."""

    engine: str
    cylinder: int = 0
    part: str = ""
    bank: str = ""


@dataclass(frozen=True, slots=True)
class Latent:
    """An effect in one arrangement and condition. ``parents`` may be empty (nothing but the leak)."""

    effect: Effect
    condition: str
    parents: Parents
    anchor: Anchor
    level: str = BOTH

    @property
    def key(self) -> tuple[str, str, str, Parents]:
        return self.effect.name, self.condition, self.level, self.parents

    @property
    def keeps(self) -> tuple[float, ...]:
        return self.effect.keeps(self.level)

    @property
    def states(self) -> int:
        """2, or 3 for a cylinder's state where both of its levels are asked about."""
        return len(self.keeps)

    @property
    def silent_unread(self) -> bool:
        """Whether the latent says nothing while it is not read: not so where only weak is asked and dead ruled out."""
        return self.keeps[0] == 1.0 and all(row[0] == 1.0 for _, rows in self.parents for row in rows)

    def reduced(self, likelihood: tuple[float, ...]) -> tuple[float, ...]:
        """P(reading | fires, weak, dead) as far as this latent asks."""
        if len(likelihood) == self.states:
            return likelihood
        fires, weak, dead = likelihood
        return fires, {WEAK: weak, BAD: (weak + dead) / 2}.get(self.level, dead)

    def weights(self, likelihood: tuple[float, ...]) -> tuple[float, ...]:
        """The helper's weights for P(reading | each state)."""
        return noisy_or_weights(likelihood, self.keeps)


def noisy_or_weights(likelihood: tuple[float, ...], keeps: tuple[float, ...]) -> tuple[float, ...]:
    """Weights of a latent's helper for P(reading | absent), P(reading | present), or for fires, weak, dead.

    A column holds the chance of 'at most this bad', so each state is a column less the next: the finding is
    ``l1 * c0 + (l0 - l1) * c1``, and for three states ``ld * c0 + (lw - ld) * c1 + (lf - lw) * c2``.
    """
    worst_first = tuple(reversed(likelihood))
    steps = (worst_first[0], *(b - a for a, b in pairwise(worst_first)))
    return tuple(step * keep for step, keep in zip(steps, keeps, strict=True))


@lru_cache(maxsize=4096)
def pair_table(rows: Rows) -> Array:
    """The pair factor of a parent and a helper: a row a state of the parent, a column a state of the helper."""
    table = np.array([[1.0] * len(rows[0]), *rows])
    table.setflags(write=False)  # the same for all that ask
    return table


@lru_cache(maxsize=256)
def hub_table(keeps: tuple[float, ...]) -> Array:
    """The pair factor of a hub and its helper: each state of the hub is a column of the helper less the next."""
    n = len(keeps)
    table = np.zeros((n, n))
    for state in range(n):
        column = n - 1 - state
        table[state, column] = keeps[column]
        if column + 1 < n:
            table[state, column + 1] = -keeps[column + 1]
    table.setflags(write=False)
    return table


def place_anchor(place: Place) -> Anchor:
    return Anchor(place.engine, place.cylinder)
