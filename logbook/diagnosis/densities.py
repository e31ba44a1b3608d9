"""How likely a number is where an effect is absent or present: densities that come from what the number measures.

A reading is compared with its own set where there is one (a compression with the rest of its engine, a drop with
the drops of the same look), never with a figure from a book that fits another engine.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import median
from typing import Any

_SQRT2 = math.sqrt(2)
TWO = ("good", "bad")
THREE = ("fires", "weak", "dead")
COPPER = 0.00393  # 1/K at 20 C; IEC 60028
SEA_LEVEL_KPA = 101.325


def normal(x: float, centre: float, spread: float) -> float:
    """Normal density at x."""
    z = (x - centre) / spread
    return math.exp(-0.5 * z * z) / (spread * math.sqrt(2 * math.pi))


def _below(x: float) -> float:
    return 0.5 * (1 + math.erf(x / _SQRT2))


def flat(x: float, low: float, high: float, edge: float) -> float:
    """Density that is flat from low to high and falls off over about ``edge`` beyond either end."""
    return (_below((x - low) / edge) - _below((x - high) / edge)) / (high - low)


def shape(x: float, numbers: Sequence[float], noise: float) -> float:
    """[centre, spread] is a normal density, [low, high, edge] a flat one; ``noise`` is the instrument's own spread."""
    if len(numbers) == 2:
        return normal(x, numbers[0], math.hypot(numbers[1], noise))
    return flat(x, numbers[0], numbers[1], math.hypot(numbers[2], noise))


def _reach(numbers: Sequence[float]) -> tuple[float, float]:
    if len(numbers) == 2:
        return numbers[0] - 4 * numbers[1], numbers[0] + 4 * numbers[1]
    return numbers[0] - 2 * numbers[2], numbers[1] + 2 * numbers[2]


def likelihood(x: float, spec: Mapping[str, Any], noise: float = 0.0) -> tuple[float, ...]:
    """The densities of a row at x, as (absent, present) or (fires, weak, dead), scaled so that the largest is 1.

    A share ``stray`` of readings may be anything within the reach of the row: no number is ever proof.
    """
    names = TWO if "good" in spec else THREE
    shapes = [spec[name] for name in names]
    reaches = [_reach(s) for s in shapes]
    width = max(r[1] for r in reaches) - min(r[0] for r in reaches)
    stray = float(spec.get("stray", 0.02))
    found = [(1 - stray) * shape(x, s, noise) + stray / width for s in shapes]
    top = max(found)
    return tuple(f / top for f in found)


def softened(pair: tuple[float, ...], doubt: float) -> tuple[float, ...]:
    """The same evidence when a share ``doubt`` of it may be worth nothing: a doubted reading ('118?')."""
    mean = sum(pair) / len(pair)
    return tuple((1 - doubt) * p + doubt * mean for p in pair)


def set_centre(values: Sequence[float], apart: float) -> float:
    """The middle of those members of a set that are not far below its largest.

    A plain median breaks where half the set is bad; the good ones are known by lying close to the top.
    """
    top = max(values)
    kept = [v for v in values if v >= apart * top] or list(values)
    return float(median(kept))


def station_pressure_share(altitude_m: float) -> float:
    """Air pressure at an altitude as a share of that at sea level (ISO 2533; -500 to 11000 m)."""
    geopotential = 6356766 * altitude_m / (6356766 + altitude_m)
    return float((1 - 0.0065 * geopotential / 288.15) ** 5.25588)
