"""Numbers in words: rounded to what their spread is worth, in the units of the log."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date

from logbook.job.model import Job
from logbook.units import UNITS, Unit

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_UNITS = {  # dimension: unit in a log of customary and of metric units
    "length": ("in", "mm"),
    "pressure": ("psi", "bar"),
    "absolute pressure": ("psia", "kPaa"),
    "volume": ("cc", "cc"),
    "displacement": ("cu in", "cc"),
    "temperature": ("F", "C"),
    "flow": ("cc/min", "cc/min"),
    "pump flow": ("gal/h", "l/h"),
    "mass flow": ("lb/h", "g/s"),
    "air flow": ("lb/min", "g/s"),
    "power": ("hp", "kW"),
    "torque": ("lbft", "Nm"),
    "speed": ("mph", "km/h"),
    "piston speed": ("ft/min", "m/s"),
    "altitude": ("ft", "m"),
    "distance": ("ft", "m"),
}


def unit_of(job: Job, dimension: str) -> Unit:
    """The unit in which the log's writer thinks of this dimension."""
    customary, metric = _UNITS[dimension]
    return UNITS[customary if job.units == "us" else metric]


def decimals(spread: float) -> int:
    """Decimals that a spread is worth: two figures where it begins with 1 or 2, else one."""
    if spread <= 0 or not math.isfinite(spread):
        return 3
    exponent = math.floor(math.log10(spread))
    lead = spread / 10.0**exponent
    return max(0, -exponent + (1 if lead < 2.95 else 0))


def plain(value: float, places: int) -> str:
    """``value`` with so many decimals and a true minus, never minus zero.

    >>> plain(-0.04, 1), plain(-1.25, 1)
    ('0.0', '−1.2')
    """
    text = f"{value:.{places}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return text.replace("-", "−")


def figures(value: float, count: int = 3) -> str:
    """``value`` to so many figures, as a person would write it.

    >>> figures(349.85), figures(0.01234), figures(12345.0)
    ('350', '0.0123', '12345')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    return plain(value, max(0, count - 1 - math.floor(math.log10(abs(value)))))


def with_spread(value: float, u: float, unit: str = "", count: int = 3) -> str:
    """'9.2 ± 1.1 %': the spread is 2 u, about 95 in 100."""
    tail = f" {unit}" if unit else ""
    if u <= 0:
        return figures(value, count) + tail
    places = decimals(2 * u)
    return f"{plain(value, places)} ± {plain(2 * u, places)}{tail}"


def in_unit(job: Job, value: float, dimension: str, u: float = 0.0, count: int = 3) -> str:
    """A value in SI, in the log's unit of ``dimension``."""
    unit = unit_of(job, dimension)
    return with_spread(unit.from_si(value), u / unit.factor, unit.symbol or unit.name, count)


def percent(share: float, u: float = 0.0) -> str:
    """A share in percent; with a spread to a tenth at least, as people compare such figures."""
    if u <= 0:
        return f"{figures(100 * share)} %"
    places = max(1, decimals(200 * u))
    return f"{plain(100 * share, places)} ± {plain(200 * u, places)} %"


def day_words(day: date | None) -> str:
    """'4 May', or 'an unknown day'."""
    return f"{day.day} {_MONTHS[day.month - 1]}" if day else "an unknown day"


def listed(words: Iterable[str]) -> str:
    """'1, 2 and 3'."""
    found = list(words)
    if len(found) < 2:
        return "".join(found)
    return ", ".join(found[:-1]) + " and " + found[-1]


def cylinders(numbers: Iterable[object]) -> str:
    """'cylinder 3', 'cylinders 1 and 4'."""
    found = [str(n) for n in numbers]
    return f"cylinder{'' if len(found) == 1 else 's'} {listed(found)}"
