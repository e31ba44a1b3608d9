"""From one unit to another."""

from __future__ import annotations

import re

from logbook import units
from logbook.formulas.refusals import WrongUnit, finite
from logbook.units import Unit

# words that people and other programs write, beside those of logbook.units
_ALSO = {
    "lbf inch": "lbin",
    "inch lbf": "lbin",
    "pound force foot": "lbft",
    "foot pound": "lbft",
    "force pound foot": "lbft",
    "newton meter": "Nm",
    "n m": "Nm",
    "metric horsepower": "PS",
    "horsepower": "hp",
    "mechanical horsepower": "hp",
    "watt": "W",
    "kilowatt": "kW",
    "in hg": "inHg",
    "inch hg": "inHg",
    "pound force per square inch": "psi",
    "lb": "lb mass",
    "lbs": "lb mass",
    "pound": "lb mass",
    "pounds": "lb mass",
    "oz": "oz mass",
    "ounce": "oz mass",
    "kilogram": "kg",
    "gram": "g",
    "cubic inch": "cu in",
    "cubic inches": "cu in",
    "inch3": "cu in",
    "cubic centimeter": "cc",
    "cubic centimetre": "cc",
    "cm3": "cc",
    "pound force": "lbf",
    "kilonewton": "kN",
    "mile/h": "mph",
    "km/hour": "km/h",
    "cm3/min": "cc/min",
    "thousandth": "thou",
    "mil": "thou",
    "standard atmosphere": "atm",
    "pa": "Pa",
    "pascal": "Pa",
    "kilopascal": "kPa",
    "degree fahrenheit": "F",
    "degree celsius": "C",
    "g/kilowatt h": "g/kWh",
    "pound/h": "lb/h",
    "lb/horsepower/h": "lb/hp h",
    "revolution/min": "rpm",
}
# quantities that may be turned into one another although logs keep them apart
_FAMILIES = (
    {"pressure", "absolute pressure", "vacuum"},
    {"length", "distance"},
    {"time", "hours"},
)
_ABSOLUTE_ONLY = {"psia", "bara", "kPaa", "Pa abs", "mbar abs", "inHg abs"}


def find(field: str, spelling: str) -> Unit:
    """The unit of this spelling, of any dimension."""
    words = re.sub(r"\s+", " ", spelling.replace("_", " ").replace("**", "").replace("^", "")).strip()
    words = re.sub(r"\bper\b", "/", words).replace(" / ", "/")
    for long, short in (("hour", "h"), ("minute", "min"), ("second", "s")):
        words = re.sub(rf"/{long}s?\b", f"/{short}", words)
    name = _ALSO.get(words.casefold(), "")
    unit = units.UNITS.get(name) or units.find(words) or units.find(words.replace(" ", ""))
    if unit is None:
        raise WrongUnit(field, spelling, "a unit that is known: mm, in, psi, kPa, Nm, lbft, hp, kW, C, F, l/h ...")
    return unit


def _turn(value: float, unit: str, to: str, dimension: str = "") -> float:
    finite(value=value)
    one, other = find("unit", unit), find("to", to)
    if dimension:
        for field, spelling, found in (("unit", unit, one), ("to", to, other)):
            if found.dimension != dimension:
                raise WrongUnit(field, spelling, f"a unit of {dimension}")
    family = any({one.dimension, other.dimension} <= f for f in _FAMILIES)
    if one.dimension != other.dimension and not family:
        raise WrongUnit("to", to, f"a unit of {one.dimension}, as {unit} is")
    if (one.name in _ABSOLUTE_ONLY) != (other.name in _ABSOLUTE_ONLY) and "atm" not in (one.name, other.name):
        raise WrongUnit("to", to, "gauge to gauge or absolute to absolute: between them lies the air of the place")
    return other.from_si(one.to_si(value))


def unit_conversion(value: float, unit: str, to: str) -> float:
    """One unit into another

    Formula: value · factor of one/factor of the other
    value: the number
    unit: its unit
    to: the unit wanted
    Range: units of one dimension.
    Raises: a unit that is not known; units of different dimensions; gauge into absolute pressure.
    Caution: hp is the mechanical horsepower (745.700 W), PS the metric one (735.499 W).
    Source: exact definitions of the international yard and pound, BIPM SI brochure (from memory)

    >>> round(unit_conversion(29.92, "inHg", "kPa"), 3)
    101.321
    """
    return _turn(value, unit, to)


def torque_units(value: float, unit: str, to: str) -> float:
    """Torque in another unit

    Formula: value · factor of one/factor of the other
    value: the number
    unit: its unit: Nm, lbft, lbin, kgm
    to: the unit wanted
    Range: torques only.
    Raises: a unit that is not one of torque.
    Caution: lbf ft of torque is no ft lb of energy, and 12 lbf in make one lbf ft: mind which the wrench shows.
    Source: exact definitions of the international yard and pound, BIPM SI brochure (from memory)

    >>> round(torque_units(65, "lbf_ft", "N_m"), 3)
    88.128
    """
    return _turn(value, unit, to, "torque")
