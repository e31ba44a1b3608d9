"""The unit that a written number is in. Gauge, absolute and vacuum are never guessed: they are asked for."""

from __future__ import annotations

import re

from logbook import units
from logbook.formulas.keys import ENDINGS, UNIT_DIMENSIONS, Ending
from logbook.formulas.quantities import AIR_PA
from logbook.formulas.refusals import MissingUnit, Refusal, WrongUnit
from logbook.formulas.rows import Input
from logbook.formulas.writing import Written
from logbook.units import UNITS, Unit

_PSI = UNITS["psi"].factor
_AIR = ("ambient", "start", "station", "dry_air", "inlet", "map_reference", "pressure")
"""Inputs that are the air of a place or of an inlet: a barometer's reading is absolute without saying so."""

_VACUUM = re.compile(r"\s*\b(?:of\s+)?(?:vac|vacuum)\s*$", re.I)
_GAUGE = re.compile(r"\s*\b(?:gauge|boost|g)\s*$", re.I)
_TRADE = {"width": "mm", "rim": "in", "pitch": "mm"}
"""Inputs whose bare number has one unit in the trade: tyres and metric threads."""


def unit(place: Input, key: str, written: Written, ending: Ending | None, whole: str = "") -> tuple[Ending | None, int]:
    """The unit that holds, and -1 where a vacuum is meant.

    Raises: ``MissingUnit`` without one where one is needed, ``WrongUnit`` for one of another dimension; both know the
    word that would be taken instead.
    """
    spelled = written.unit
    if not spelled or (not place.dimension and spelled.replace(" ", "") in (":1", "to1", "deg", "teeth", "cyl")):
        return _bare(place, key, written, ending, whole), 1
    if place.dimension == "rpm" and spelled.casefold() == "rpm":
        return ENDINGS["rpm"][0], 1
    if place.dimension in ("pressure", "absolute pressure") and ending is None:
        return _pressure(place, key, written, whole)
    found = named(place.dimension, spelled)
    if found is None:
        near = ", ".join(dict.fromkeys(e.shown for e in ENDINGS.get(place.dimension, ()) if e.text))
        want = f"a unit of {place.dimension}: {near}" if near else "no unit here"
        raise WrongUnit(key, spelled, want)
    if ending is not None and ending.text and (ending.factor, ending.offset) != (found.factor, found.offset):
        raise WrongUnit(key, spelled, f"the key says {ending.shown} already")
    return found, 1


def _bare(place: Input, key: str, written: Written, ending: Ending | None, whole: str) -> Ending | None:
    if ending is not None or not place.dimension or any(not e.text for e in ENDINGS[place.dimension]):
        return ending
    if place.dimension in ("angle", "percent", "rpm", "hours"):
        return ENDINGS[place.dimension][0]
    if place.dimension == "length" and (written.fraction or place.stem in _TRADE):
        name = "in" if written.fraction else _TRADE[place.stem]
        return next(e for e in ENDINGS["length"] if e.text == name)
    refusal = MissingUnit(key, _shown(written, whole), _wanted(place))
    refusal.instead = f"{key}={_shown(written, whole)}{_likely(place, written, whole)}"
    raise refusal


def _shown(written: Written, whole: str) -> str:
    return whole.strip() or str(written.shown)


def _wanted(place: Input) -> str:
    """'needs a unit of length, as in bore=4in or bore_in=4 (known: m, mm, cm ...)'."""
    endings = [e for e in ENDINGS[place.dimension] if e.text]
    shown = ", ".join(dict.fromkeys(e.shown for e in endings))
    usual = next((e for e in endings if place.key.casefold().endswith("_" + e.text)), endings[0])
    example = f"{place.stem}=...{usual.shown.replace(' ', '')} or {place.stem}_{usual.text}=..."
    return f"needs a unit of {place.dimension}, as in {example} (known: {shown})"


def _likely(place: Input, written: Written, whole: str) -> str:
    """The unit that a shop most likely means by this number."""
    gap = " " if whole else ""
    if place.dimension == "length":
        return gap + (
            "in" if abs(written.value) < 20 and place.key.endswith(("_mm", "_in")) else place.key.rpartition("_")[2]
        )
    if place.dimension in ("pressure", "pressure difference"):
        return gap + "psi"
    if place.dimension == "absolute pressure":
        return gap + ("kPaa" if abs(written.value) > 40 else "psia")
    if place.dimension == "temperature":
        return gap + "F"
    if place.dimension == "fuel use":
        return gap + "lb/hp-hr"
    own = next((e for e in ENDINGS[place.dimension] if e.text and place.key.casefold().endswith("_" + e.text)), None)
    return gap + (own or ENDINGS[place.dimension][0]).shown.replace(" ", "")


def _pressure(place: Input, key: str, written: Written, whole: str) -> tuple[Ending, int]:
    """A pressure's unit, with 'vacuum' or 'gauge' behind it taken into account."""
    spelled, number = written.unit, _shown(written, whole)
    vacuum = bool(_VACUUM.search(spelled)) or spelled.casefold() in ("kpa vac", "inhgv")
    bare = _GAUGE.sub("", _VACUUM.sub("", spelled)) or spelled
    gauge = not vacuum and (bare != spelled or bare.casefold() in ("psig", "barg", "kpag"))
    found = units.find(bare, ("pressure", "vacuum", "absolute pressure"))
    if found is None:
        near = ", ".join(dict.fromkeys(e.shown for e in ENDINGS[place.dimension] if e.text))
        raise WrongUnit(key, spelled, f"a unit of {place.dimension}: {near}")
    if place.dimension == "pressure":
        return _as_gauge(key, number, spelled, found, written.value, vacuum)
    return _as_absolute(place, key, number, spelled, found, written.value, vacuum, gauge)


def _as_gauge(key: str, number: str, spelled: str, found: Unit, value: float, vacuum: bool) -> tuple[Ending, int]:
    shown = Ending("", found.symbol or found.name, found.factor)
    if found.dimension == "absolute pressure":
        better = f"{key}={(value * found.factor - AIR_PA) / _PSI:.2f}psi"
        words = "is absolute, and a gauge pressure is asked for: take off the air pressure here; at sea level it is"
        raise _refused(key, f"{number}{spelled}", f"{words} {better}", better)
    if vacuum:
        return Ending("", f"{shown.shown} under the air", found.factor), -1
    if found.dimension == "vacuum" and value > 0:
        better = f"{key}=-{number}{spelled}"
        words = "vacuum, under the air pressure here, or pressure above it? Vacuum is"
        raise _refused(key, f"{number} {spelled}", f"{words} {better}; pressure above it say in psi or kPa", better)
    return shown, 1


def _as_absolute(
    place: Input, key: str, number: str, spelled: str, found: Unit, value: float, vacuum: bool, gauge: bool
) -> tuple[Ending, int]:
    shown = found.symbol or found.name
    if found.dimension == "absolute pressure":
        return Ending("", shown, found.factor), 1
    of_air = place.stem.startswith(_AIR)
    if not vacuum and not gauge and (of_air or found.name in ("kPa", "mbar")):
        return Ending("", f"{shown} abs", found.factor), 1
    below = vacuum or found.dimension == "vacuum"
    at_sea = f"{key}={(AIR_PA + (-1 if below else 1) * value * found.factor) / 1e3:.1f}kPaa"
    if below or gauge:
        how = "vacuum" if below else "gauge"
        words = f"an absolute pressure is asked for; at sea level {number} {found.name} of {how} is {at_sea}"
        raise _refused(key, f"{number}{spelled}", words, at_sea)
    plain = f"{key}={number}{found.name}a"
    words = f"gauge or absolute pressure? Absolute is {plain}; as boost over the air of sea level it is {at_sea}"
    raise _refused(key, f"{number}{spelled}", words, plain)


def _refused(key: str, value: str, limit: str, instead: str) -> Refusal:
    refusal = WrongUnit(key, value, limit)
    refusal.instead = instead
    return refusal


def named(dimension: str, written: str) -> Ending | None:
    """The unit of this spelling within a dimension of a calculation's input, or None."""
    exact = units.find(written, UNIT_DIMENSIONS.get(dimension, ()))
    folded = re.sub(r"[\s/.·_-]+", "_", written.strip().casefold())
    for ending in ENDINGS.get(dimension, ()):
        # the case of a prefix counts, so a unit of the table goes before a folded ending of a key
        if exact is None and folded and folded in (ending.text, ending.shown.casefold()) and not _prefix(written):
            return ending
    if exact is None or dimension not in UNIT_DIMENSIONS:
        return None
    if dimension in ("percent", "fraction"):
        return Ending("percent", "%", 1.0 if dimension == "percent" else 0.01)
    if dimension == "hours":
        return Ending("", exact.name, exact.factor / 3600)
    if dimension in ("angle", "rpm"):
        return ENDINGS[dimension][0]
    if dimension == "any flow":
        return Ending("", exact.symbol or exact.name, 1.0)
    return Ending("", exact.symbol or exact.name, exact.factor, exact.offset)


def _prefix(written: str) -> bool:
    """Whether the spelling opens with a capital M that must not be taken for a thousandth."""
    return written.strip()[:1] == "M" and len(written.strip()) > 1
