"""What a shop can believe: the range of each kind of quantity, and the usual spread of what nobody measures.

A value beyond its range is doubted by the terminal and not used by a page. The ranges are wide on purpose: they catch
a wrong unit or prefix (megohm for milliohm), not an odd engine. All are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from logbook.formulas.keys import Ending
from logbook.formulas.rows import Row

RANGES: Mapping[str, tuple[float, float]] = MappingProxyType(
    {  # SI, or as the functions take it
        "length": (-12_000.0, 12_000.0),
        "pressure": (-101_500.0, 4e8),
        "absolute pressure": (0.0, 4e8),
        "pressure difference": (-4e8, 4e8),
        "temperature": (150.0, 3500.0),
        "time": (0.0, 1e6),
        "volt": (-1e5, 1e5),
        "amp": (-3000.0, 3000.0),
        "ohm": (0.0, 1e6),
        "inductance": (0.0, 100.0),
        "energy": (0.0, 1e6),
        "specific energy": (0.0, 2e8),
        "power": (0.0, 4e6),
        "fuel use": (0.0, 1e-6),
        "density": (0.0, 23_000.0),
        "viscosity": (0.0, 100.0),
        "volume": (-1.0, 1.0),
        "flow": (0.0, 10.0),
        "mass flow": (0.0, 20.0),
        "area": (0.0, 10.0),
        "mass": (0.0, 1e5),
        "force": (0.0, 2e6),
        "torque": (-20_000.0, 20_000.0),
        "speed": (-1200.0, 1200.0),
        "rpm": (0.0, 350_000.0),
        "frequency": (0.0, 1e5),
        "angle": (-1080.0, 1080.0),
    }
)

_NARROWER: Mapping[tuple[str, str], tuple[float, float]] = MappingProxyType(
    {  # (first word of the name, dimension)
        ("bore", "length"): (0.0, 0.3),
        ("stroke", "length"): (0.0, 0.4),
        ("rod", "length"): (0.0, 1e6),
        ("gasket", "length"): (0.0, 0.3),
        ("joint", "ohm"): (0.0, 10.0),
        ("resistance", "ohm"): (0.0, 1e5),
        ("resistances", "ohm"): (0.0, 1e5),
        ("supply", "volt"): (0.0, 60.0),
        ("voltage", "volt"): (0.0, 60.0),
        ("open", "volt"): (0.0, 60.0),
        ("drop", "volt"): (0.0, 60.0),
        ("readings", "pressure"): (0.0, 6e6),
        ("manifold", "pressure"): (-101_500.0, 1e6),
        ("boost", "pressure"): (-101_500.0, 1e6),
        ("inlet", "temperature"): (220.0, 700.0),
        ("manifold", "temperature"): (220.0, 700.0),
        ("ambient", "temperature"): (220.0, 340.0),
        ("ambient", "absolute pressure"): (0.0, 120_000.0),
    }
)


def believed(name: str, dimension: str, value: float) -> bool:
    """Whether a value, as the functions take it, is one that a shop can meet.

    >>> believed("joint", "ohm", 5e-3), believed("joint", "ohm", 5e6)
    (True, False)
    """
    low, high = _NARROWER.get((name.partition("_")[0], dimension), RANGES.get(dimension, (-math.inf, math.inf)))
    return low <= value <= high


def doubt(name: str, dimension: str, value: Any, ending: Ending | None) -> str:
    """'5 MΩ looks wrong; is the unit right?', or ''."""
    values = value if isinstance(value, (tuple, list)) else (value,)
    for one in values:
        if isinstance(one, (int, float)) and not isinstance(one, bool) and not believed(name, dimension, one):
            given = one if ending is None else ending.give(one)
            return f"{given:g} {ending.shown if ending else ''}".strip() + " looks wrong; is the unit right?"
    return ""


_USUAL_SPREADS: Mapping[str, tuple[float, bool, str]] = MappingProxyType(
    {  # parameter: standard uncertainty, whether it is a share of the value, why
        "nut_factor": (0.14, True, "finish and oil"),
        "friction_thread": (0.1, True, "finish and oil"),
        "friction_head": (0.1, True, "finish and oil"),
        "bsfc_kg_j": (0.05, True, "engine and tune"),
        "exponent": (0.035, False, "cranking speed and heat"),
        "ve_manifold": (0.05, True, "engine and speed"),
        "isentropic_efficiency": (0.03, True, "place on the map"),
        "effectiveness": (0.05, True, "air over the cooler"),
        "reference_orifice_m": (0.05, True, "make of the tester"),
        "dead_time_s": (0.15e-3, False, "type, volts and pressure"),
        "density_kg_m3": (0.012, True, "season and temperature"),
        "viscosity_pa_s": (0.1, True, "temperature"),
        "charge_k": (8.0, False, "heat soak"),
        "efficiency": (0.05, True, "engine and tune"),
        "discharge_share": (0.05, True, "shape of the edge"),
    }
)


def spreads(row: Row, values: Mapping[str, Any], told: Mapping[str, Any]) -> tuple[dict[str, float], list[str]]:
    """Usual standard uncertainty of inputs that nobody writes a spread for, and the words that name each.

    What is written with ± outranks it; a plain number without ± is taken as exact.
    """
    found: dict[str, float] = {}
    words = []
    for place in row.inputs:
        value = values.get(place.parameter, place.default)
        if place.parameter not in _USUAL_SPREADS or place.parameter in told or not isinstance(value, float):
            continue
        size, share, why = _USUAL_SPREADS[place.parameter]
        found[place.parameter] = size * abs(value) if share else size
        words.append(f"usual for {place.stem.rstrip('_').replace('_', ' ')} ({why})")
    return found, words
