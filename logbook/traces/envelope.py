"""Fewer points for a figure without losing an extreme: the least and the greatest of each stretch, in their order."""

from __future__ import annotations

import itertools

import numpy as np

from logbook.traces.model import Array


def envelope(values: Array, points: int = 1200) -> tuple[Array, Array]:
    """Indexes and values of at most ``points`` samples that keep every stretch's least and greatest.

    Every global extreme is kept. ``points`` must be at least 4. NaN samples are passed over.
    """
    index = np.flatnonzero(np.isfinite(values))
    if len(index) <= points:
        return index.astype(np.float64), values[index]
    stretches = points // 2
    edges = np.linspace(0, len(index), stretches + 1).astype(int)
    picked = []
    for start, end in itertools.pairwise(edges):
        part = values[index[start:end]]
        low, high = int(np.argmin(part)), int(np.argmax(part))
        picked += [index[start + min(low, high)], index[start + max(low, high)]]
    chosen = np.array(picked)
    return chosen.astype(np.float64), values[chosen]
