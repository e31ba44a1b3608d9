"""Numbers as people write them: 4.03in, 7/16, 4 1/32", M10, 2/0, -6AN, E85, $1,750, 1-8-4-3, 7:30."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from logbook.formulas.refusals import NotANumber, NotFinite
from logbook.formulas.working import LARGEST

_DECIMAL = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*(.*)", re.S)
_FRACTION = re.compile(r"\s*([+-]?)(?:([0-9]+)(?:\s+|-))?([0-9]+)/([1-9][0-9]*)(?![0-9])\s*(.*)", re.S)
_PLUS_MINUS = re.compile(r"(?:\+-|±|\+/-)\s*([0-9]*\.?[0-9]+)\s*(.*)", re.S)
TYRE = re.compile(r"(?:P|LT)?\s*([0-9]{3})\s*/\s*([0-9]{2,3})\s*(?:-|/|\s|Z?R)+\s*([0-9]{2}(?:\.[0-9])?)", re.I)
THREAD_METRIC = re.compile(r"M\s?([0-9]{1,2}(?:\.[0-9])?)\s*[x×]\s*([0-9]*\.?[0-9]+)", re.I)
THREAD_INCH = re.compile(r"([0-9]{1,2}/[0-9]{1,2})\s*-\s*([0-9]{1,2})")


@dataclass(frozen=True, slots=True)
class Written:
    """One number as written. ``u`` is the standard uncertainty of what stands behind ±, 0 without it."""

    value: float
    unit: str
    shown: int | float
    u: float = 0.0
    fraction: bool = False


def number(key: str, text: str) -> Written:
    """Number, unit and spread of ``4.03in``, ``4 1/32"`` or ``4.03 +- 0.01 in``.

    >>> number("bore", "4.03 +- 0.01 in").unit, number("bore", "4 1/32in").value
    ('in', 4.03125)
    """
    fraction = _FRACTION.fullmatch(text)
    if fraction:
        sign, whole, top, bottom, rest = fraction.groups()
        value = (-1 if sign == "-" else 1) * (int(whole or 0) + int(top) / int(bottom))
        u, unit = _spread(rest)
        return Written(value, unit, value, u, True)
    found = _DECIMAL.fullmatch(text)
    if not found:
        if text.strip().casefold().lstrip("+-") in ("nan", "inf", "infinity"):
            raise NotFinite(key, text, "a finite number")
        raise NotANumber(key, text, "a number, as in 4.03, 7/16 or 4.03in")
    digits, rest = found[1], found[2].strip()
    if re.match(r"[,.'][0-9]", rest):
        raise NotANumber(key, text, "write the number with a point and no thousands sign, as in 1250.5")
    u, unit = _spread(rest)
    value = float(digits)
    if abs(value) > LARGEST or u > LARGEST:
        raise NotFinite(key, text, f"at most {LARGEST:g}")
    return Written(value, unit, int(value) if re.fullmatch(r"[+-]?[0-9]+", digits) else value, u)


def _spread(rest: str) -> tuple[float, str]:
    """What stands behind ± is the half-width of an even distribution (JCGM 100:2008 4.3.7, from memory)."""
    after = _PLUS_MINUS.fullmatch(rest.strip())
    return (float(after[1]) / math.sqrt(3), after[2].strip()) if after else (0.0, rest.strip())


def pieces(text: str) -> list[str]:
    """The members of a list written with commas, semicolons, dashes or blanks.

    >>> pieces("150, 148 152 psi"), pieces("1-8-4-3")
    (['150', '148', '152 psi'], ['1', '8', '4', '3'])
    """
    if re.fullmatch(r"\s*[0-9]+(?:\s*-\s*[0-9]+)+\s*", text):
        return re.findall(r"[0-9]+", text)
    return [p for p in re.split(r"[,;]\s*|\s+(?=[+-]?[0-9.])", text.strip()) if p]


def _wire(text: str) -> str:
    """Gauge numbers under 0: 1/0 is 0, 2/0 is -1."""
    plain = re.sub(r"\s*(?:awg|ga|gauge|#)\s*", "", text.strip(), flags=re.I)
    aught = re.fullmatch(r"([1-4])/0", plain) or re.fullmatch(r"(0{2,4})", plain)
    if not aught:
        return plain
    return str(1 - (int(aught[1]) if aught[1].strip("0") else len(aught[1])))


def _dash(text: str) -> str:
    return re.sub(r"\s*(?:an|jic|dash)\s*-?", "", text.strip(), flags=re.I).lstrip("-")


def _ethanol(text: str) -> str:
    return re.sub(r"^\s*E\s?(?=[0-9])", "", text, flags=re.I)


def _thread(text: str) -> str:
    return re.sub(r"^\s*M\s?([0-9]+(?:\.[0-9]+)?)\s*$", r"\1mm", text, flags=re.I)


def amount(text: str) -> str:
    """An amount of money without its sign: '$1,750.00' is 1750.00, '85/h' is 85.

    >>> amount("$1,750.00"), amount("$85/hr"), amount("12,50")
    ('1750.00', '85', '12,50')
    """
    plain = re.sub(r"\s*/\s*(?:h|hr|hour)\s*$", "", text.strip(), flags=re.I)
    plain = re.sub(r"^([+-]?)\s*(?:\$|€|£|usd|eur|gbp)\s*|\s*(?:\$|€|£|usd|eur|gbp)$", r"\1", plain, flags=re.I)
    return plain.replace(",", "") if re.fullmatch(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?", plain) else plain


def hours(text: str) -> str:
    """Hours as a decimal number where a unit stands behind: '7.5h', '90min'."""
    found = re.fullmatch(r"\s*([0-9]*\.?[0-9]+)\s*(h|hr|hrs|hours?|min|mins|minutes)\s*", text, re.I)
    if not found:
        return text
    return found[1] if found[2][0] in "hH" else f"0:{int(found[1]):02d}" if float(found[1]) < 60 else _over(found[1])


def _over(minutes: str) -> str:
    whole, rest = divmod(int(float(minutes)), 60)
    return f"{whole}:{rest:02d}"


SPECIAL: Mapping[str, Callable[[str], str]] = MappingProxyType(
    {"awg": _wire, "dash": _dash, "ethanol": _ethanol, "nominal": _thread}
)
"""How the values of some inputs are written in the trade, by the first word of the input's name."""
