"""Air and fuel: lambda first; what a display shows and what the fuel's own ratio is are two things."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.quantities import DISPLAY_AFR, PETROL_H_PER_C
from logbook.formulas.refusals import Blocked, OutsideRange, above_zero, finite, not_negative, usual, within

OXYGEN = 0.2095
_AIR_MOLAR = 28.965
_C, _H, _O = 12.011, 1.008, 15.999

LAMBDA_AS_AFR = "above 3; was an air-fuel ratio given as lambda?"
AFR_AS_LAMBDA = "below 3; was a lambda given as air-fuel ratio?"


def stoich_afr(c_atoms: float, h_atoms: float, o_atoms: float = 0.0) -> float:
    """True air-fuel ratio of a fuel

    Formula: a = c + h/4 - o/2; AFR = a · (1/0.2095) · 28.965/(12.011 c + 1.008 h + 15.999 o)
    c_atoms: carbon atoms of the fuel
    h_atoms: hydrogen atoms
    o_atoms: oxygen atoms
    Range: any fuel of carbon, hydrogen and oxygen that needs air.
    Raises: no carbon or hydrogen; fuel that holds all the oxygen it needs.
    Caution: Pump petrol is 14.4 to 14.7; 14.7 is a convention of displays.
    Source: Heywood, Internal Combustion Engine Fundamentals, sec. 3.4; dry air of ISO 2533
    Example: C_atoms=1 H_atoms=1.87
    Also: E85, ethanol

    >>> round(stoich_afr(8, 18), 1)
    15.1
    """
    not_negative(c_atoms=c_atoms, h_atoms=h_atoms, o_atoms=o_atoms)
    if c_atoms + h_atoms == 0:
        raise OutsideRange("c_atoms", c_atoms, "some carbon or hydrogen: nothing burns here")
    need = c_atoms + h_atoms / 4 - o_atoms / 2
    if need <= 0:
        raise OutsideRange("o_atoms", o_atoms, f"under {2 * c_atoms + h_atoms / 2:g}: this is burned already")
    return need / OXYGEN * _AIR_MOLAR / (_C * c_atoms + _H * h_atoms + _O * o_atoms)


class Blend(NamedTuple):
    afr_mass: float
    ethanol_mass_fraction: float
    density_kg_m3: float


def fuel_blend_by_volume(
    ethanol_volume_percent: float,
    gasoline_h_per_c: float = PETROL_H_PER_C,
    gasoline_kg_m3: float = 745.0,
    ethanol_kg_m3: float = 793.7,
) -> Blend:
    """Petrol with ethanol

    Formula: w = v ρ/Σ(v ρ); AFR = Σ(w · AFR)
    ethanol_volume_percent: ethanol by volume
    gasoline_h_per_c: hydrogen per carbon of the petrol
    gasoline_kg_m3: density of the petrol
    ethanol_kg_m3: density of the ethanol
    Range: 0 to 100 %.
    Raises: share outside 0 to 100; densities or hydrogen not above 0.
    Caution: Shares of mass, not of volume. What is sold as E85 holds 51 to 83 % by season: measure it.
    Source: mass balance; ASTM D5798 for the range
    Example: ethanol=E85
    Also: E85, E10, ethanol, alcohol, flex fuel

    >>> round(fuel_blend_by_volume(10).afr_mass, 1)
    14.0
    """
    within(0, 100, "0 to 100 %", ethanol_volume_percent=ethanol_volume_percent)
    above_zero(gasoline_h_per_c=gasoline_h_per_c, gasoline_kg_m3=gasoline_kg_m3, ethanol_kg_m3=ethanol_kg_m3)
    share = ethanol_volume_percent / 100
    density = share * ethanol_kg_m3 + (1 - share) * gasoline_kg_m3
    mass = share * ethanol_kg_m3 / density
    afr = mass * stoich_afr(2, 6, 1) + (1 - mass) * stoich_afr(1, gasoline_h_per_c)
    return Blend(afr, mass, density)


class Lambda(NamedTuple):
    lambda_: float
    equivalence_ratio: float
    warnings: tuple[str, ...] = ()


def lambda_from_afr(afr_mass: float, stoich_afr_mass: float) -> Lambda:
    """Lambda from an air-fuel ratio

    Formula: λ = AFR/AFRs; φ = 1/λ
    afr_mass: air-fuel ratio by mass
    stoich_afr_mass: the fuel's true ratio, or the display's number for a displayed one
    Range: any.
    Raises: a ratio not above 0.
    Source: definition; Heywood, Internal Combustion Engine Fundamentals, sec. 3.4
    Example: afr_mass=12.5 stoich_afr_mass=14.7
    Also: afr, wideband

    >>> round(lambda_from_afr(11.025, 14.7).lambda_, 6)
    0.75
    """
    above_zero(afr_mass=afr_mass, stoich_afr_mass=stoich_afr_mass)
    ratio = afr_mass / stoich_afr_mass
    asked = usual(3, 1e9, AFR_AS_LAMBDA, afr_mass=afr_mass, stoich_afr_mass=stoich_afr_mass)
    return Lambda(ratio, 1 / ratio, asked)


class Displayed(NamedTuple):
    displayed_afr: float
    true_afr: float
    warnings: tuple[str, ...] = ()


def displayed_afr(lambda_: float, display_stoich_afr: float = DISPLAY_AFR, fuel_stoich_afr: float = 14.6) -> Displayed:
    """What a display shows, and the fuel's own ratio

    Formula: shown = λ · the display's number; true = λ · the fuel's number
    lambda_: lambda
    display_stoich_afr: the display's number, mostly 14.7
    fuel_stoich_afr: the fuel's true ratio at lambda 1
    Range: any.
    Raises: anything not above 0.
    Caution: A display turns lambda into a ratio by one fixed number, whatever the fuel. Keep lambda.
    Source: definition
    Example: lambda=.85 display_stoich_afr=14.7 fuel_stoich_afr=9.8
    Also: afr, wideband, E85

    >>> round(displayed_afr(0.748, 14.7, 14.008).displayed_afr, 3)
    10.996
    """
    above_zero(lambda_=lambda_, display_stoich_afr=display_stoich_afr, fuel_stoich_afr=fuel_stoich_afr)
    asked = usual(0, 3, LAMBDA_AS_AFR, lambda_=lambda_)
    asked += usual(3, 1e9, AFR_AS_LAMBDA, display_stoich_afr=display_stoich_afr, fuel_stoich_afr=fuel_stoich_afr)
    return Displayed(lambda_ * display_stoich_afr, lambda_ * fuel_stoich_afr, asked)


class Trim(NamedTuple):
    factor: float
    total_percent: float
    sum_percent: float
    warnings: tuple[str, ...] = ()


def fuel_trim_total(short_trim_percent: float, long_trim_percent: float) -> Trim:
    """Total fuel trim

    Formula: factor = (1 + s/100) · (1 + l/100)
    short_trim_percent: short trim, + where the controller adds fuel
    long_trim_percent: long trim
    Range: each -60 to +60 %.
    Raises: a trim at or below -100 %.
    Caution: Take the banks one by one, then compare them.
    Source: product of the two factors; common practice
    Example: short=+5 long=+12

    >>> round(fuel_trim_total(5, 10).total_percent, 6)
    15.5
    """
    finite(short_trim_percent=short_trim_percent, long_trim_percent=long_trim_percent)
    for field, value in (("short_trim_percent", short_trim_percent), ("long_trim_percent", long_trim_percent)):
        if value <= -100:
            raise OutsideRange(field, value, "above -100 %")
    factor = (1 + short_trim_percent / 100) * (1 + long_trim_percent / 100)
    odd = usual(-60, 60, "beyond 60 %", short_trim_percent=short_trim_percent, long_trim_percent=long_trim_percent)
    return Trim(factor, 100 * (factor - 1), float(short_trim_percent + long_trim_percent), odd)


class Correction(NamedTuple):
    table_factor: float
    warnings: tuple[str, ...] = ()


def fuel_table_correction(
    measured_lambda: float,
    target_lambda: float,
    dead_or_suspected: int = 0,
    engine_cold: bool = False,
    trims_active: bool = False,
) -> Correction:
    """Factor for the fuel table

    Formula: new = old · measured λ/target λ
    measured_lambda: measured lambda
    target_lambda: wanted lambda
    dead_or_suspected: cylinders that are dead or suspected of it
    engine_cold: whether the engine is not warm
    trims_active: whether the controller is still trimming
    Range: factor 0.7 to 1.4; a warning for a step beyond 15 %.
    Raises: lambda not above 0; reading outside 0.65 to 1.3; any cylinder dead or suspected; engine cold; trims active.
    Caution: With a dead cylinder a lean display means that the others run RICH: adding fuel washes them further. The
        factor holds for the fuel's mass: correct the effective pulse, then add the dead time.
    Source: mass balance
    Example: measured_lambda=1.05 target_lambda=1

    >>> round(fuel_table_correction(0.80, 0.88).table_factor, 4)
    0.9091
    """
    above_zero(measured_lambda=measured_lambda, target_lambda=target_lambda)
    not_negative(dead_or_suspected=dead_or_suspected)
    if dead_or_suspected:
        raise Blocked("dead_or_suspected", dead_or_suspected, "0: first every cylinder must fire")
    if engine_cold:
        raise Blocked("engine_cold", engine_cold, "a warm engine")
    if trims_active:
        raise Blocked("trims_active", trims_active, "trims folded in and set to zero first")
    limit = "0.65 to 1.3, where the reading can be trusted"
    within(0.65, 1.3, limit, measured_lambda=measured_lambda)
    within(0.65, 1.3, limit, target_lambda=target_lambda)
    factor = measured_lambda / target_lambda
    step = usual(0.85, 1.15, "a step beyond 15 %; go half of it and measure again", table_factor=factor)
    return Correction(factor, step + usual(0.7, 1.4, "outside 0.7 to 1.4", table_factor=factor))
