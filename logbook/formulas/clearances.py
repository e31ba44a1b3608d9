"""Gaps and clearances by rule of thumb: a range to check a build by, never in place of the maker's figure."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.refusals import OutsideRange, WrongKind, above_zero

# inch of gap per inch of bore: top, second. Common practice, no source
_GAPS = {
    "street": (0.0040, 0.0050),
    "towing": (0.0045, 0.0055),
    "race": (0.0050, 0.0060),
    "boost": (0.0060, 0.0063),
    "nitrous": (0.0070, 0.0073),
}
# least and greatest clearance per bore. Common practice, no source
_PISTONS = {
    "cast": (0.00040, 0.00060),
    "hypereutectic": (0.00035, 0.00050),
    "forged 4032": (0.00050, 0.00085),
    "forged 2618": (0.00090, 0.00135),
}


class RingGap(NamedTuple):
    top_m: float
    second_m: float


def ring_gap(bore_m: float, use: str = "street") -> RingGap:
    """Ring gap by bore and use

    Formula: gap = factor · bore; top .0040 street, .0045 towing, .0050 race, .0060 boost, .0070 nitrous; second wider
    bore_m: bore of the cylinder
    use: street, towing, race, boost or nitrous
    Range: iron rings in a round bore, measured square in it; the ring maker's figure comes first.
    Raises: bore outside 30 to 250 mm; another use.
    Caution: The ring maker's figure comes first. A gap that closes when hot breaks the land; one a little wide costs
        nothing that can be felt.
    Source: common practice, no source
    Example: bore=4.03in use=boost
    Also: turbo, piston ring, end gap

    >>> round(ring_gap(0.1, "street").top_m * 1e3, 3)
    0.4
    """
    above_zero(bore_m=bore_m)
    if not 0.03 <= bore_m <= 0.25:
        raise OutsideRange("bore_m", bore_m, "30 to 250 mm")
    top, second = _row("use", use, _GAPS)
    return RingGap(top * bore_m, second * bore_m)


class Clearance(NamedTuple):
    least_m: float
    greatest_m: float


def bearing_clearance(journal_m: float) -> Clearance:
    """Oil clearance of a bearing

    Formula: .00075 to .0012 of the journal's diameter
    journal_m: diameter of the journal
    Range: plain main and rod bearings, 40 to 90 mm, usual oils.
    Raises: journal outside 20 to 150 mm.
    Caution: Measure with a bore gauge in a torqued housing; plastic thread only confirms. The maker's figure comes
        first.
    Source: common practice, no source: a thousandth for each inch
    Example: journal=2.1in
    Also: main bearing, rod bearing, oil clearance

    >>> [round(x * 1e3, 3) for x in bearing_clearance(0.05)]
    [0.038, 0.06]
    """
    above_zero(journal_m=journal_m)
    if not 0.02 <= journal_m <= 0.15:
        raise OutsideRange("journal_m", journal_m, "20 to 150 mm")
    return Clearance(0.00075 * journal_m, 0.0012 * journal_m)


def piston_clearance(bore_m: float, material: str) -> Clearance:
    """Clearance of a piston

    Formula: cast .0004 to .0006 of the bore, hypereutectic .00035 to .0005, forged 4032 .0005 to .00085, forged 2618
        .0009 to .00135
    bore_m: bore of the cylinder
    material: cast, hypereutectic, forged 4032 or forged 2618
    Range: street use, measured at the skirt where the piston's maker says.
    Raises: bore outside 30 to 250 mm; another material.
    Caution: The piston maker's figure comes first; boost and nitrous want more. Too tight seizes, too loose rattles.
    Source: common practice, no source
    Example: bore=4.03in 'material=forged 4032'
    Also: piston to wall, skirt

    >>> [round(x * 1e3, 3) for x in piston_clearance(0.1, "cast")]
    [0.04, 0.06]
    """
    above_zero(bore_m=bore_m)
    if not 0.03 <= bore_m <= 0.25:
        raise OutsideRange("bore_m", bore_m, "30 to 250 mm")
    low, high = _row("material", material, _PISTONS)
    return Clearance(low * bore_m, high * bore_m)


def _row(field: str, word: str, table: dict[str, tuple[float, float]]) -> tuple[float, float]:
    folded = " ".join(word.casefold().replace("_", " ").replace("-", " ").split())
    if folded not in table:
        raise WrongKind(field, word, "one of " + ", ".join(table))
    return table[folded]
