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
    """Change of each number for one standard uncertainty of one input: the slope at the value times the spread.

    At a kink (a reading that ties for the highest) or an edge of what is allowed the steeper side counts.
    """
    if spread <= 0:
        return {}
    middle = read(function(**values))
    sides = []
    for sign in (1.0, -1.0):
        # a small share of the spread keeps to the slope at the value, as the law wants it
        try:
            sides.append(read(function(**_moved(values, name, index, sign * spread / _SHARE))))
        except Refusal:
            sides.append(middle)
    high, low = sides
    return {
        key: _SHARE * _slope(high[key] - value, value - low[key])
        for key, value in middle.items()
        if all(_is_number(side.get(key)) for side in (high, middle, low))
    }


_SHARE = 64


def _slope(up: float, down: float) -> float:
    steeper = max(abs(up), abs(down))
    return steeper if abs(up - down) > 0.05 * steeper else abs(up + down) / 2


def _moved(values: Mapping[str, Any], name: str, index: int | None, by: float) -> dict[str, Any]:
    value = values[name]
    if index is None:
        return {**values, name: value + by}
    members = list(value)
    members[index] += by
    return {**values, name: tuple(members)}


def _is_number(value: object) -> bool:
    return isinstance(value, float) and math.isfinite(value)
