"""How far the spread of the inputs reaches into a result: the law of propagation, with slopes taken numerically.

JCGM 100:2008 (GUM), clause 5.1.2, for independent inputs: u(y)^2 = sum (dy/dx_i u(x_i))^2. An error that all readings
share, such as a gauge's scale, is passed as one input of its own, so that it cancels where physics says it does.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from logbook.formulas.refusals import Refusal


def propagate(
    function: Callable[..., Any],
    values: Mapping[str, Any],
    spreads: Mapping[str, float | Sequence[float]],
    read: Callable[[Any], Mapping[str, Any]],
) -> dict[str, float]:
    """Standard uncertainty of each number that ``read`` finds in ``function(**values)``.

    ``spreads`` gives a standard uncertainty for each input, or one for each member of a list.

    >>> found = propagate(lambda a, b: a * b, {"a": 2.0, "b": 3.0}, {"a": 0.1}, lambda y: {"y": y})
    >>> round(found["y"], 6)
    0.3
    """
    squares: dict[str, float] = {}
    for name, spread in spreads.items():
        value = values[name]
        if isinstance(spread, (int, float)):
            for key, part in _parts(function, values, name, None, float(spread), read).items():
                squares[key] = squares.get(key, 0.0) + part**2
            continue
        for index, one in enumerate(spread):
            if index < len(value):
                for key, part in _parts(function, values, name, index, float(one), read).items():
                    squares[key] = squares.get(key, 0.0) + part**2
    return {key: math.sqrt(square) for key, square in squares.items()}


def _parts(
    function: Callable[..., Any],
    values: Mapping[str, Any],
    name: str,
    index: int | None,
    spread: float,
    read: Callable[[Any], Mapping[str, Any]],
) -> dict[str, float]:
    """Change of each number for one standard uncertainty of one input: half of what lies between + and -."""
    if spread <= 0:
        return {}
    sides = []
    # a small share of the spread keeps to the slope at the value, as the law wants it
    step = spread / 64
    for sign in (1.0, -1.0):
        try:
            sides.append(read(function(**_moved(values, name, index, sign * step))))
        except Refusal:
            sides.append(read(function(**values)))
    high, low = sides
    one_sided = 1.0 if high != low else 0.0
    return {
        key: one_sided * abs(high[key] - low[key]) / 2 * 64
        for key in high
        if key in low and _is_number(high[key]) and _is_number(low[key])
    }


def _moved(values: Mapping[str, Any], name: str, index: int | None, by: float) -> dict[str, Any]:
    value = values[name]
    if index is None:
        return {**values, name: value + by}
    members = list(value)
    members[index] += by
    return {**values, name: tuple(members)}


def _is_number(value: object) -> bool:
    return isinstance(value, float) and math.isfinite(value)
