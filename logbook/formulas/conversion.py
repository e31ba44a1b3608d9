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
    "hpa": "mbar",
    "micrometer": "um",
    "micrometre": "um",
    "delta degf": "F difference",
    "delta degc": "K difference",
    "g/kw/h": "g/kWh",
}
# metres, kilograms and seconds that a unit of each dimension is made of, for units put together: 'gallon/hour'
_MADE_OF: dict[str, tuple[int, int, int]] = {
    "length": (1, 0, 0),
    "distance": (1, 0, 0),
    "area": (2, 0, 0),
    "volume": (3, 0, 0),
    "mass": (0, 1, 0),
    "time": (0, 0, 1),
    "hours": (0, 0, 1),
    "force": (1, 1, -2),
    "pressure": (-1, 1, -2),
    "stress": (-1, 1, -2),
    "torque": (2, 1, -2),
    "energy": (2, 1, -2),
    "power": (2, 1, -3),
    "flow": (3, 0, -1),
    "mass flow": (0, 1, -1),
    "speed": (1, 0, -1),
    "density": (-3, 1, 0),
    "fuel use": (-2, 0, 2),
    "specific energy": (2, 0, -2),
    "viscosity": (-1, 1, -1),
    "frequency": (0, 0, -1),
    "rpm": (0, 0, -1),
}
# quantities that may be turned into one another although logs keep them apart
_FAMILIES = (
    {"pressure", "absolute pressure", "vacuum"},
    {"length", "distance"},
    {"time", "hours"},
)
_KNOWN = "a unit that is known: mm, in, psi, kPa, Nm, lbft, hp, kW, C, F, l/h ..."
_ABSOLUTE_ONLY = {"psia", "bara", "kPaa", "Pa abs", "mbar abs", "inHg abs"}


def find(spelling: str) -> Unit | None:
    """The unit of this spelling, of any dimension."""
    words = re.sub(r"\s+", " ", spelling.replace("_", " ").replace("**", "").replace("^", "")).strip()
    words = re.sub(r"\bper\b", "/", words).replace(" / ", "/")
    for long, short in (("hour", "h"), ("minute", "min"), ("second", "s")):
        words = re.sub(rf"/{long}s?\b", f"/{short}", words)
    name = _ALSO.get(words.casefold(), "")
    return units.UNITS.get(name) or units.find(words) or units.find(words.replace(" ", ""))


Made = tuple[float, tuple[int, int, int]]


def _made(field: str, spelling: str) -> Made:
    """Factor to SI and what it is made of, for a unit alone or put together with * and /."""
    whole = find(spelling)
    if whole is not None and whole.dimension in _MADE_OF and not whole.offset:
        return whole.factor, _MADE_OF[whole.dimension]
    opened = re.sub(r"/\(([^)]*)\)", lambda m: "/" + m[1].replace("*", "/"), spelling)
    pieces = re.findall(r"([*/]?)\s*([^*/]+)", opened.replace("**", "^"))
    if not pieces:
        raise WrongUnit(field, spelling, _KNOWN)
    factor, made = 1.0, (0, 0, 0)
    for sign, piece in pieces:
        one, power = _piece(field, spelling, piece.strip())
        power = -power if sign == "/" else power
        factor *= one.factor**power
        made = tuple(a + power * b for a, b in zip(made, _MADE_OF[one.dimension], strict=True))  # type: ignore[assignment]
    return factor, made


def _piece(field: str, spelling: str, piece: str) -> tuple[Unit, int]:
    """One unit of several, and its power: 'inch^3', 'ft3', 'h'."""
    found = re.fullmatch(r"(.*?)\^?([1-9])?", piece)
    short = {"hour": "h", "hours": "h", "minute": "min", "second": "s"}
    for name, power in ((piece, 1), (found[1], int(found[2] or 1)) if found else ("", 1)):
        unit = find(short.get(name, name)) if name else None
        if unit is not None and unit.dimension in _MADE_OF and not unit.offset:
            return unit, power
    raise WrongUnit(field, spelling, _KNOWN)


def _turn(value: float, unit: str, to: str, dimension: str = "") -> float:
    finite(value=value)
    one, other = find(unit), find(to)
    if dimension:
        for field, spelling, found in (("unit", unit, one), ("to", to, other)):
            if found is not None and found.dimension != dimension:
                raise WrongUnit(field, spelling, f"a unit of {dimension}")
    if one is None or other is None or not _related(one, other):
        return _turn_made(value, unit, to, one, other)
    if (one.name in _ABSOLUTE_ONLY) != (other.name in _ABSOLUTE_ONLY) and not {"atm", "torr"} & {one.name, other.name}:
        refusal = WrongUnit("to", to, "gauge to gauge or absolute to absolute: between them lies the air pressure here")
        if other.name in _ABSOLUTE_ONLY and (said := find(f"{one.name} abs") or find(f"{one.name}a")):
            refusal = WrongUnit(
                "unit",
                unit,
                f"gauge, vacuum or absolute? Absolute is unit='{said.name}'; gauge needs gauge_to_absolute",
            )
            refusal.instead = f"unit={said.name}"
        raise refusal
    return other.from_si(one.to_si(value))


def _related(one: Unit, other: Unit) -> bool:
    return one.dimension == other.dimension or any({one.dimension, other.dimension} <= f for f in _FAMILIES)


def _turn_made(value: float, unit: str, to: str, one: Unit | None, other: Unit | None) -> float:
    if one is not None and other is not None and not {one.dimension, other.dimension} <= set(_MADE_OF):
        raise WrongUnit("to", to, f"a unit of {one.dimension}, as {unit} is")
    (factor, made), (other_factor, other_made) = _made("unit", unit), _made("to", to)
    if made != other_made:
        raise WrongUnit("to", to, f"a unit of {one.dimension if one else 'the same kind'}, as {unit} is")
    return value * factor / other_factor


def unit_conversion(value: float, unit: str, to: str) -> float:
    """One unit into another

    Formula: value · factor of one/factor of the other
    value: the number
    unit: its unit
    to: the unit wanted
    Range: units of one dimension.
    Raises: a unit that is not known; units of different dimensions; gauge into absolute pressure.
    Caution: hp is the mechanical horsepower (745.700 W), PS the metric one (735.499 W).
    Source: exact definitions of the international yard and pound, BIPM SI brochure
    Example: 29.92 inHg kPa
    Also: convert, converter, units

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
    Source: exact definitions of the international yard and pound, BIPM SI brochure
    Example: value=90 unit=ft-lbs to=Nm
    Also: convert, ft-lbs, in-lbs

    >>> round(torque_units(65, "lbf_ft", "N_m"), 3)
    88.128
    """
    return _turn(value, unit, to, "torque")
