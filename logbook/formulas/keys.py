"""Input and output keys carry their unit: ``bore_mm``, ``gauge_psi``. This is the one table of those endings."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from logbook import units

# dimension: (ending of a key, unit of logbook.units). The first is the one that the functions themselves take.
_ENDINGS: dict[str, tuple[tuple[str, str], ...]] = {
    "length": (
        ("m", "m"),
        ("mm", "mm"),
        ("cm", "cm"),
        ("in", "in"),
        ("inch", "in"),
        ("ft", "ft"),
        ("thou", "thou"),
        ("um", "um"),
    ),
    "pressure": (
        ("pa", "Pa"),
        ("kpa", "kPa"),
        ("psi", "psi"),
        ("bar", "bar"),
        ("mbar", "mbar"),
        ("mpa", "MPa"),
        ("inh2o", "inH2O"),
        ("inhg", "inHg"),
    ),
    "absolute pressure": (
        ("pa_abs", "Pa abs"),
        ("pa", "Pa abs"),
        ("kpa", "kPaa"),
        ("kpa_abs", "kPaa"),
        ("kpaa", "kPaa"),
        ("psi", "psia"),
        ("psi_abs", "psia"),
        ("psia", "psia"),
        ("bar", "bara"),
        ("bar_abs", "bara"),
        ("bara", "bara"),
        ("mbar", "mbar abs"),
        ("hpa", "mbar abs"),
        ("mbar_abs", "mbar abs"),
        ("inhg", "inHg abs"),
        ("inhg_abs", "inHg abs"),
        ("atm", "atm"),
    ),
    "pressure difference": (
        ("pa", "Pa"),
        ("kpa", "kPa"),
        ("psi", "psi"),
        ("bar", "bar"),
        ("mbar", "mbar"),
        ("mpa", "MPa"),
        ("inh2o", "inH2O"),
        ("inhg", "inHg"),
    ),
    "stress": (("pa", "Pa of stress"), ("gpa", "GPa"), ("mpa", "N/mm2"), ("psi", "psi of stress"), ("ksi", "ksi")),
    "volume": (
        ("m3", "m3"),
        ("cc", "cc"),
        ("ml", "ml"),
        ("l", "l"),
        ("cu_in", "cu in"),
        ("in3", "cu in"),
        ("gal", "gal"),
        ("qt", "qt"),
    ),
    "flow": (
        ("m3_s", "m3/s"),
        ("cc_min", "cc/min"),
        ("ml_min", "cc/min"),
        ("l_h", "l/h"),
        ("l_min", "l/min"),
        ("gal_h", "gal/h"),
        ("cfm", "ft3/min"),
    ),
    "mass flow": (
        ("kg_s", "kg/s"),
        ("g_s", "g/s"),
        ("lb_h", "lb/h"),
        ("lb_min", "lb/min"),
        ("kg_h", "kg/h"),
    ),
    "temperature": (("k", "K"), ("c", "C"), ("f", "F"), ("degc", "C"), ("degf", "F")),
    "time": (("s", "s"), ("ms", "ms"), ("min", "min")),
    "volt": (("v", "V"), ("mv", "mV"), ("kv", "kV")),
    "amp": (("a", "A"), ("ma", "mA")),
    "ohm": (("ohm", "ohm"), ("mohm", "mohm"), ("kohm", "kohm"), ("megohm", "Mohm")),
    "inductance": (("h", "henry"), ("mh", "mH")),
    "energy": (("j", "J"), ("mj", "mJ"), ("kj", "kJ"), ("megajoule", "MJ")),
    "specific energy": (("j_kg", "J/kg"), ("kj_kg", "kJ/kg"), ("mj_kg", "MJ/kg")),
    "power": (("w", "W"), ("kw", "kW"), ("hp", "hp"), ("ps", "PS")),
    "fuel use": (("kg_j", "kg/J"), ("g_kwh", "g/kWh"), ("lb_hp_h", "lb/hp h"), ("lb_hph", "lb/hp h")),
    "density": (("kg_m3", "kg/m3"), ("g_cc", "g/cc"), ("kg_l", "g/cc"), ("lb_ft3", "lb/ft3")),
    "viscosity": (("pa_s", "Pa s"), ("mpa_s", "mPa s"), ("cp", "mPa s")),
    "area": (("m2", "m2"), ("mm2", "mm2"), ("cm2", "cm2"), ("in2", "sq in")),
    "mass": (("kg", "kg"), ("g", "g"), ("mg", "mg"), ("lb", "lb mass")),
    "force": (("n", "N"), ("kn", "kN"), ("lbf", "lbf")),
    "torque": (
        ("n_m", "Nm"),
        ("nm", "Nm"),
        ("lbf_ft", "lbft"),
        ("lb_ft", "lbft"),
        ("lbft", "lbft"),
        ("lbf_in", "lbin"),
        ("kgf_m", "kgm"),
    ),
    "speed": (("m_s", "m/s"), ("km_h", "km/h"), ("mph", "mph"), ("ft_min", "ft/min"), ("ft_s", "ft/s")),
    "frequency": (("hz", "Hz"),),
    "stiffness": (("n_per_m", "N/m"), ("n_mm", "N/mm"), ("lb_in", "lb/in")),
}

# plain units of keys whose functions take them as they are
_PLAIN: dict[str, tuple[tuple[str, float], ...]] = {
    "angle": (("deg", 1.0), ("rad", 57.29577951308232)),
    "rpm": (("rpm", 1.0),),
    "hours": (("hours", 1.0), ("h", 1.0), ("min", 1 / 60), ("s", 1 / 3600)),
    "percent": (("percent", 1.0), ("pct", 1.0), ("fraction", 100.0)),
    "fraction": (("", 1.0), ("fraction", 1.0), ("percent", 0.01), ("pct", 0.01)),
    # one flow in any unit, whose result is in the same
    "any flow": (("", 1.0), ("cc_min", 1.0), ("ml_min", 1.0), ("g_s", 1.0), ("lb_h", 1.0), ("l_h", 1.0)),
}


@dataclass(frozen=True, slots=True)
class Ending:
    """One unit as a key may end with it. ``taken = written * factor + offset``, ``taken`` being what functions take."""

    text: str
    shown: str
    factor: float
    offset: float = 0.0

    def take(self, value: float) -> float:
        return value * self.factor + self.offset

    def give(self, value: float) -> float:
        return (value - self.offset) / self.factor


def _of(dimension: str, pairs: tuple[tuple[str, str], ...]) -> tuple[Ending, ...]:
    found = []
    for text, name in pairs:
        unit = units.UNITS[name]
        found.append(Ending(text, unit.symbol or unit.name, unit.factor, unit.offset))
    return tuple(found)


ENDINGS = MappingProxyType(
    {dimension: _of(dimension, pairs) for dimension, pairs in _ENDINGS.items()}
    | {
        dimension: tuple(
            Ending(text, {"deg": "°", "percent": "%", "pct": "%"}.get(text, text), factor) for text, factor in pairs
        )
        for dimension, pairs in _PLAIN.items()
    }
)
"""Every dimension with its endings; the first is what the functions take."""

UNIT_DIMENSIONS = MappingProxyType(
    {dimension: (dimension,) for dimension in ENDINGS}
    | {
        "pressure": ("pressure", "vacuum"),
        "absolute pressure": ("absolute pressure", "pressure", "vacuum"),
        "pressure difference": ("pressure", "vacuum"),
        "length": ("length", "distance"),
        "hours": ("hours", "time"),
        "time": ("time", "hours"),
        "fraction": ("percent",),
        "percent": ("percent",),
        "any flow": ("flow", "mass flow"),
    }
)
"""Dimensions of ``logbook.units`` whose units may be written after a number of each dimension here."""

BOTH_SYSTEMS = MappingProxyType(
    {
        "length": ("mm", "in"),
        "pressure": ("kpa", "psi"),
        "absolute pressure": ("kpa_abs", "psi_abs"),
        "pressure difference": ("kpa", "psi"),
        "stress": ("gpa", "ksi"),
        "volume": ("cc", "cu_in"),
        "flow": ("cc_min", "gal_h"),
        "mass flow": ("g_s", "lb_h"),
        "temperature": ("c", "f"),
        "fraction": ("percent",),
        "energy": ("mj", "j"),
        "power": ("kw", "hp"),
        "fuel use": ("g_kwh", "lb_hp_h"),
        "density": ("kg_m3", "lb_ft3"),
        "area": ("mm2", "in2"),
        "mass": ("g", "lb"),
        "force": ("kn", "lbf"),
        "torque": ("n_m", "lbf_ft"),
        "speed": ("km_h", "mph"),
        "stiffness": ("n_mm", "lb_in"),
    }
)
"""Metric and customary ending in which a result of each dimension is shown side by side."""


def split(key: str, dimension: str) -> tuple[str, Ending] | None:
    """The stem of ``key`` and its unit, read as of ``dimension``; None where the key ends in no such unit.

    >>> split("bore_mm", "length")[0]
    'bore'
    >>> split("speed_ft_min", "speed")[1].shown
    'ft/min'
    """
    folded = key.casefold()
    for ending in sorted(ENDINGS.get(dimension, ()), key=lambda e: -len(e.text)):
        if ending.text and folded.endswith("_" + ending.text):
            return key[: -len(ending.text) - 1], ending
    plain = next((e for e in ENDINGS.get(dimension, ()) if not e.text), None)
    return (key, plain) if plain else None


def first(dimension: str) -> Ending:
    """The ending that the functions take."""
    return ENDINGS[dimension][0]
