"""Which input a key means: written whole, shortened, by its words, or told apart by the unit of the value."""

from __future__ import annotations

import difflib

from logbook.formulas import units_asked, working, writing
from logbook.formulas.keys import ENDINGS, Ending
from logbook.formulas.refusals import Refusal, UnknownInput, WrongUnit
from logbook.formulas.rows import Input, Row

_BARE = frozenset({"", "angle", "percent", "rpm", "fraction", "hours", "any flow"})
_ROLLING = 0.97  # rolling against free diameter, 2 to 4 % under it: common practice, no source
_OTHER_WORDS = {"tire": "tyre", "order": "firing_sequence", "hp": "power", "ve": "ve_manifold", "map": "manifold"}

_BY_DIMENSION = {"volts": "volt", "amps": "amp", "ohms": "ohm", "watts": "power", "temp": "temperature"}


def opened(row: Row, key: str, text: str) -> list[tuple[str, str]]:
    """``tire=205/55R16`` and ``nominal=M10x1.5`` are several inputs in one word; any other word is one.

    >>> from logbook.formulas import registry
    >>> opened(registry.find("bolt_stress_area"), "nominal", "M10x1.5")
    [('nominal', '10mm'), ('pitch', '1.5mm')]
    """
    stems = {i.stem for i in row.inputs}
    tyre = writing.TYRE.fullmatch(text.strip())
    if tyre and key.casefold() in ("tire", "tyre", "size"):
        if {"width", "aspect", "rim"} <= stems:
            return [("width", f"{tyre[1]}mm"), ("aspect", f"{tyre[2]}%"), ("rim", f"{tyre[3]}in")]
        if "rolling_diameter" in stems:
            free = 2 * float(tyre[1]) * float(tyre[2]) / 100 + float(tyre[3]) * 25.4
            return [("rolling_diameter", f"{_ROLLING * free:.1f}mm")]
    if "nominal" in stems and key.casefold() in ("nominal", "thread", "size", "bolt"):
        metric, inch = writing.THREAD_METRIC.fullmatch(text.strip()), writing.THREAD_INCH.fullmatch(text.strip())
        if metric:
            return [("nominal", f"{metric[1]}mm"), *([("pitch", f"{metric[2]}mm")] if "pitch" in stems else [])]
        if inch:
            threads = [("threads_per_in", inch[2])] if "threads_per_in" in stems else []
            return [("nominal", f"{inch[1]}in"), *threads]
    return [(key, text)]


def place_and_unit(row: Row, key: str, text: str) -> tuple[Input, Ending | None]:
    """The input that ``key`` means, and the unit that the key names; an unknown key is refused with the nearest."""
    same = _alike(row, key)
    if len(same) > 1:
        return _by_unit(same, key, text), None
    found = working.place_of(row, key)
    if found is not None:
        return found
    near = place(row, key, text)
    if near is not None:
        return near, None
    free = next((i for i in row.inputs if i.sort == "open"), None)
    if free is not None:
        return free, None
    raise _unknown(row, key, text)


def place(row: Row, key: str, text: str, *, quiet: bool = False) -> Input | None:
    """The input that ``key`` means, or None."""
    found = working.place_of(row, key)
    same = _alike(row, key)
    if len(same) > 1 and text:
        return _by_unit(same, key, text)
    if found is not None:
        return found[0]
    return same[0] if len(same) == 1 else None


def _alike(row: Row, key: str) -> list[Input]:
    """Inputs whose name is ``key``, begins with it, or has its words; those that must be given come first."""
    folded = key.strip().casefold().replace("-", "_").replace(" ", "_")
    folded = _OTHER_WORDS.get(folded, folded) if not any(i.stem.casefold() == folded for i in row.inputs) else folded
    closed = [i for i in row.inputs if i.sort != "open"]
    exact = [i for i in closed if i.stem.casefold().rstrip("_") == folded]
    begun = [i for i in closed if i.stem.casefold().startswith(folded + "_") and i not in exact]
    if exact and (len(exact) > 1 or any(i.key.casefold() == folded for i in exact) or not begun):
        return exact
    words = set(folded.split("_"))
    having = [i for i in closed if words <= set(i.stem.casefold().split("_"))]
    found = [*exact, *begun] or having or [i for i in closed if i.dimension == _BY_DIMENSION.get(folded)]
    needed = [i for i in found if not i.optional]
    return needed if len(needed) == 1 and not exact else found


def _by_unit(same: list[Input], key: str, text: str) -> Input:
    """Of several inputs the one whose unit stands in the value; a bare number goes to the one that needs no unit."""
    try:
        unit = writing.number(key, text).unit
    except Refusal:
        unit = ""
    fitting = [i for i in same if (units_asked.named(i.dimension, unit) is not None if unit else i.dimension in _BARE)]
    needed = [i for i in fitting or same if not i.optional]
    return (needed or fitting or same)[0]


def _unknown(row: Row, key: str, text: str) -> Refusal:
    folded = key.casefold().replace("-", "_").replace(" ", "_")
    stem = next((i for i in row.inputs if folded.startswith(i.stem.casefold() + "_")), None)
    if stem is not None and stem.dimension:
        choice = ", ".join(e.text for e in ENDINGS[stem.dimension] if e.text)
        return WrongUnit(key, None, f"is no unit of {stem.dimension}; {stem.stem} takes {choice}")
    names = [i.stem for i in row.inputs] + [i.key for i in row.inputs]
    near = difflib.get_close_matches(folded, names, 2, 0.5)
    also = f"; did you mean {' or '.join(near)}?" if near else ""
    refusal = UnknownInput(key, None, f"is none of {', '.join(i.key for i in row.inputs)}{also}")
    refusal.instead = f"{near[0]}={text}" if near else ""
    return refusal
