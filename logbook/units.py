"""SI inside, units at the edge: the one table of units, their dimensions and spellings.

Gauge and absolute pressure, and temperatures and temperature differences, are dimensions of their own.
"""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType
from typing import NamedTuple


class Unit(NamedTuple):
    """``si = value * factor + offset``. ``name`` is the canonical spelling, ASCII; ``symbol`` is what pages print."""

    name: str
    dimension: str
    factor: float
    offset: float = 0.0
    symbol: str = ""
    spellings: tuple[str, ...] = ()

    def to_si(self, value: float) -> float:
        return value * self.factor + self.offset

    def from_si(self, value: float) -> float:
        return (value - self.offset) / self.factor


_PSI = 6894.757293168361  # lbf/in2 in Pa: 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)2
_INHG = 3386.389
_LBF = 4.4482216152605

_TABLE: tuple[Unit, ...] = (
    Unit("mm", "length", 1e-3, spellings=("millimetre", "millimeter")),
    Unit("cm", "length", 1e-2),
    Unit("m", "length", 1.0, spellings=("metre", "meter", "metres", "meters")),
    Unit("in", "length", 0.0254, symbol="in", spellings=('"', "inch", "inches", "″")),
    Unit("ft", "length", 0.3048, spellings=("'", "foot", "feet", "′")),
    Unit("thou", "length", 0.0254e-3, spellings=("mil", "mils")),
    Unit("um", "length", 1e-6, symbol="µm", spellings=("micron", "microns")),
    Unit("km", "distance", 1e3),
    Unit("mile", "distance", 1609.344, spellings=("miles", "mi")),
    Unit("psi", "pressure", _PSI, spellings=("psig",)),
    Unit("bar", "pressure", 1e5, spellings=("barg",)),
    Unit("kPa", "pressure", 1e3, spellings=("kpag",)),
    Unit("Pa", "pressure", 1.0, spellings=("pascal",)),
    Unit("MPa", "pressure", 1e6),
    Unit("mbar", "pressure", 1e2),
    Unit("inH2O", "pressure", 249.08891, symbol="inH₂O"),
    Unit("psia", "absolute pressure", _PSI, spellings=("psi abs",)),
    Unit("bara", "absolute pressure", 1e5, symbol="bar abs", spellings=("bar abs",)),
    Unit("kPaa", "absolute pressure", 1e3, symbol="kPa abs", spellings=("kpa abs",)),
    Unit("Pa abs", "absolute pressure", 1.0),
    Unit("mbar abs", "absolute pressure", 1e2, spellings=("hpa abs", "hpa")),
    Unit("inHg abs", "absolute pressure", _INHG),
    Unit("torr", "absolute pressure", 101325.0 / 760, spellings=("mmhg",)),
    Unit("atm", "absolute pressure", 101325.0, spellings=("atmosphere", "atmospheres")),
    Unit("inHg", "vacuum", _INHG, spellings=("inhg vac", "inches of mercury")),
    Unit("kPa vac", "vacuum", 1e3),
    Unit("cc", "volume", 1e-6, spellings=("cm3", "cm³")),
    Unit("ml", "volume", 1e-6, spellings=("millilitre", "millilitres")),
    Unit("l", "volume", 1e-3, spellings=("litre", "liter", "litres", "liters")),
    Unit("cu in", "volume", 0.0254**3, spellings=("ci", "cid", "in3", "in³", "cuin")),
    Unit("m3", "volume", 1.0, symbol="m³"),
    Unit("qt", "volume", 0.946352946e-3, spellings=("quart", "quarts")),
    Unit("gal", "volume", 3.785411784e-3, spellings=("gallon", "gallons")),
    Unit("cc/min", "flow", 1e-6 / 60, spellings=("ml/min", "cm3/min", "ccm")),
    Unit("l/h", "flow", 1e-3 / 3600, spellings=("lph", "l/hr")),
    Unit("l/min", "flow", 1e-3 / 60),
    Unit("gal/h", "flow", 3.785411784e-3 / 3600, spellings=("gph",)),
    Unit("lb/h", "mass flow", 0.45359237 / 3600, spellings=("lb/hr", "lbs/hr", "pph")),
    Unit("lb/min", "mass flow", 0.45359237 / 60),
    Unit("g/s", "mass flow", 1e-3),
    Unit("kg/s", "mass flow", 1.0),
    Unit("kg/h", "mass flow", 1 / 3600),
    Unit("ft3/min", "flow", 0.3048**3 / 60, symbol="ft³/min", spellings=("cfm", "cu ft/min")),
    Unit("m3/s", "flow", 1.0, symbol="m³/s"),
    Unit("C", "temperature", 1.0, 273.15, "°C", ("°c", "celsius", "degc", "deg c")),
    Unit("F", "temperature", 5 / 9, 459.67 * 5 / 9, "°F", ("°f", "fahrenheit", "degf", "deg f")),
    Unit("K", "temperature", 1.0, 0.0, "K", ("kelvin",)),
    Unit("K difference", "temperature difference", 1.0, symbol="K", spellings=("delta_degc", "c difference")),
    Unit("F difference", "temperature difference", 5 / 9, symbol="°F", spellings=("delta_degf",)),
    Unit("s", "time", 1.0, spellings=("sec", "second", "seconds", "secs")),
    Unit("ms", "time", 1e-3, spellings=("millisecond", "milliseconds")),
    Unit("min", "time", 60.0, spellings=("minute", "minutes", "mins")),
    Unit("h", "hours", 3600.0, spellings=("hr", "hrs", "hour", "hours")),
    Unit("V", "volt", 1.0, spellings=("volt", "volts")),
    Unit("mV", "volt", 1e-3),
    Unit("kV", "volt", 1e3),
    Unit("A", "amp", 1.0, spellings=("amp", "amps", "ampere")),
    Unit("mA", "amp", 1e-3),
    Unit("ohm", "ohm", 1.0, symbol="Ω", spellings=("ohms", "Ω", "ω")),
    Unit(
        "kohm",
        "ohm",
        1e3,
        symbol="kΩ",
        spellings=("kohms", "kΩ", "kω", "k", "K", "k ohm", "k ohms", "kilohm", "kilohms"),
    ),
    Unit("mohm", "ohm", 1e-3, symbol="mΩ", spellings=("mΩ", "milliohm", "milliohms")),
    Unit("Mohm", "ohm", 1e6, symbol="MΩ", spellings=("MΩ", "megohm", "megohms")),
    Unit("%", "percent", 0.01, spellings=("percent", "pct", "per cent")),
    Unit("rpm", "rpm", 1 / 60, spellings=("r/min", "revs", "/min")),
    Unit("deg", "angle", 0.017453292519943295, symbol="°", spellings=("°", "degree", "degrees")),
    Unit("turn", "angle", 6.283185307179586, spellings=("turns",)),
    Unit("Nm", "torque", 1.0, symbol="N m", spellings=("n m", "n·m", "newton metre")),
    Unit(
        "lbft",
        "torque",
        _LBF * 0.3048,
        symbol="lbf ft",
        spellings=(
            "lb ft",
            "lbf ft",
            "ft lb",
            "ftlb",
            "lb-ft",
            "ft-lb",
            "lb·ft",
            "lbs ft",
            "ft-lbs",
            "ft lbs",
            "ft·lb",
            "foot pounds",
        ),
    ),
    Unit(
        "lbin",
        "torque",
        _LBF * 0.0254,
        symbol="lbf in",
        spellings=("lb in", "in lb", "lbf in", "in-lb", "in-lbs", "in lbs", "lb-in", "inch pounds"),
    ),
    Unit("kgm", "torque", 9.80665, symbol="kgf m", spellings=("kgf m", "kg m", "mkg")),
    Unit("N", "force", 1.0, spellings=("newton",)),
    Unit("kN", "force", 1e3),
    Unit("lbf", "force", _LBF),
    Unit("g", "mass", 1e-3, spellings=("gram", "grams")),
    Unit("kg", "mass", 1.0),
    Unit("mg", "mass", 1e-6),
    Unit("lb mass", "mass", 0.45359237, spellings=("lbm",)),
    Unit("oz mass", "mass", 0.45359237 / 16, spellings=("ozm",)),
    Unit("hp", "power", 745.6998715822702, spellings=("bhp",)),
    Unit("PS", "power", 735.49875, spellings=("ps",)),
    Unit("kW", "power", 1e3),
    Unit("W", "power", 1.0),
    Unit("mJ", "energy", 1e-3),
    Unit("J", "energy", 1.0, spellings=("joule", "joules")),
    Unit("kJ", "energy", 1e3),
    Unit("MJ", "energy", 1e6),
    Unit("kg/m3", "density", 1.0, symbol="kg/m³", spellings=("g/l",)),
    Unit("g/cc", "density", 1e3, spellings=("kg/l", "g/cm3", "g/ml")),
    Unit("lb/ft3", "density", 0.45359237 / 0.3048**3, symbol="lb/ft³"),
    Unit("m2", "area", 1.0, symbol="m²"),
    Unit("cm2", "area", 1e-4, symbol="cm²"),
    Unit("mm2", "area", 1e-6, symbol="mm²"),
    Unit("sq in", "area", 0.0254**2, symbol="in²", spellings=("in2",)),
    Unit("kg/J", "fuel use", 1.0),
    Unit("g/kWh", "fuel use", 1e-3 / 3.6e6, symbol="g/(kW h)", spellings=("g/kw h", "g/(kw h)", "g/kw-h")),
    Unit(
        "lb/hp h",
        "fuel use",
        0.45359237 / (745.6998715822702 * 3600),
        symbol="lb/(hp h)",
        spellings=("lb/hp-h", "lb/hp-hr", "lb/hp hr", "lb/hph", "lb/(hp h)", "lb/hp/h"),
    ),
    Unit("J/kg", "specific energy", 1.0),
    Unit("kJ/kg", "specific energy", 1e3),
    Unit("MJ/kg", "specific energy", 1e6),
    Unit("Pa s", "viscosity", 1.0, spellings=("pa.s", "pa·s")),
    Unit("mPa s", "viscosity", 1e-3, spellings=("mpa.s", "cp", "centipoise")),
    Unit("GPa", "stress", 1e9),
    Unit("N/mm2", "stress", 1e6, symbol="N/mm²", spellings=("mpa",)),
    Unit("Pa of stress", "stress", 1.0, symbol="Pa", spellings=("pa",)),
    Unit("psi of stress", "stress", _PSI, symbol="psi"),
    Unit("ksi", "stress", _PSI * 1e3),
    Unit("henry", "inductance", 1.0, symbol="H"),
    Unit("mH", "inductance", 1e-3),
    Unit("Hz", "frequency", 1.0, spellings=("hertz",)),
    Unit("afr", "mixture", 1.0, symbol=": 1", spellings=("afr", ":1", ": 1")),
    Unit("lambda", "mixture lambda", 1.0, symbol="λ", spellings=("λ",)),
    Unit("ratio", "ratio", 1.0, symbol="", spellings=("to 1",)),
    Unit("count", "count", 1.0, symbol=""),
    Unit("km/h", "speed", 1 / 3.6, spellings=("kph", "kmh")),
    Unit("mph", "speed", 0.44704),
    Unit("m/s", "speed", 1.0),
    Unit("ft/min", "speed", 0.3048 / 60),
    Unit("ft/s", "speed", 0.3048),
    Unit("N/m", "stiffness", 1.0),
    Unit("N/mm", "stiffness", 1e3),
    Unit("lb/in", "stiffness", _LBF / 0.0254, symbol="lbf/in", spellings=("lbs/in", "lbf/in")),
)

UNITS = MappingProxyType({u.name: u for u in _TABLE})


_CASE_COUNTS = frozenset({"volt", "amp", "ohm", "energy", "inductance", "power"})
"""Dimensions in which m is a thousandth and M a million, and both are met: mΩ and MΩ, mJ and MJ."""


def find(spelling: str, dimensions: Iterable[str] = ()) -> Unit | None:
    """The unit with this spelling: exact first, then folded for case; within ``dimensions`` where given.

    The case of a prefix m or M is kept where both are in use.

    >>> find("mΩ").name, find("MΩ").name, find("mohm").name, find("MJ").name, find("PSI").name
    ('mohm', 'Mohm', 'mohm', 'MJ', 'psi')
    """
    wanted = tuple(dimensions)
    rows = [u for u in _TABLE if not wanted or u.dimension in wanted]
    plain = spelling.strip()
    for unit in rows:
        if plain == unit.name:
            return unit
    for unit in rows:
        if plain and (plain == unit.symbol or plain in unit.spellings):
            return unit
    return next((u for u in rows if _folded(u, plain)), None)


def _folded(unit: Unit, spelling: str) -> bool:
    for known in (unit.name, unit.symbol, *unit.spellings):
        if known and known.casefold() == spelling.casefold():
            same_prefix = known[0] == spelling[0] or known[0] not in "mM"
            return same_prefix or unit.dimension not in _CASE_COUNTS
    return False
