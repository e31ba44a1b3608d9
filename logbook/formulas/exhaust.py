"""What one pipe says about several cylinders, some of them dead."""

from __future__ import annotations

from typing import NamedTuple

from logbook.formulas.mixture import LAMBDA_AS_AFR, OXYGEN
from logbook.formulas.quantities import DISPLAY_AFR, PETROL_H_PER_C, Fraction
from logbook.formulas.refusals import NotPositive, OutsideRange, above_zero, finite, not_negative, usual, whole, within

WATER_GAS = 3.5
"""[CO][H2O]/([CO2][H2]) of exhaust as it freezes: Heywood sec. 4.9."""

_NITROGEN = (1 - OXYGEN) / OXYGEN


def _counts(cylinders: int, firing: int) -> None:
    whole(1, 64, cylinders=cylinders)
    finite(firing=firing)
    if firing < 1:
        raise NotPositive("firing", firing, "at least 1: with none firing there is no ratio")
    if firing > cylinders:
        raise OutsideRange("firing", firing, f"at most {cylinders}, the cylinders there are")
    whole(1, cylinders, firing=firing)


def _burning(firing_lambda: float) -> tuple[str, ...]:
    above_zero(firing_lambda=firing_lambda)
    asked = usual(0, 3, LAMBDA_AS_AFR, firing_lambda=firing_lambda)
    return asked or usual(0.5, 1.3, "outside 0.5 to 1.3, where petrol burns", firing_lambda=firing_lambda)


class Diluted(NamedTuple):
    mixture_lambda: float
    displayed_afr_at_14_7: float
    warnings: tuple[str, ...] = ()


def diluted_lambda_no_fuel(cylinders: int, firing: int, firing_lambda: float) -> Diluted:
    """Lambda in the pipe, dead cylinders without fuel

    Formula: λ = λf · N/n
    cylinders: cylinders on this pipe
    firing: of these, how many fire
    firing_lambda: lambda of the firing ones
    Range: firing lambda 0.5 to 1.3.
    Raises: none or more firing than there are; lambda not above 0.
    Caution: A lean display with dead cylinders must NOT be answered with fuel: the live ones are rich already.
    Source: mass balance of air and fuel
    Example: cylinders=8 firing=6 firing_lambda=.95

    >>> round(diluted_lambda_no_fuel(6, 4, 0.70).mixture_lambda, 2)
    1.05
    """
    _counts(cylinders, firing)
    odd = _burning(firing_lambda)
    mixed = firing_lambda * cylinders / firing
    return Diluted(mixed, DISPLAY_AFR * mixed, odd)


def firing_lambda_without_fuel(cylinders: int, firing: int, mixture_lambda: float) -> float:
    """The inverse: lambda of the firing cylinders where the dead ones pump bare air.

    >>> round(firing_lambda_without_fuel(6, 4, 1.05), 2)
    0.7
    """
    _counts(cylinders, firing)
    above_zero(mixture_lambda=mixture_lambda)
    return mixture_lambda * firing / cylinders


class Unfired(NamedTuple):
    mixture_lambda: float | None
    lower_bound: float
    upper_bound: float
    warnings: tuple[str, ...] = ()


def diluted_lambda_no_spark(
    cylinders: int, firing: int, firing_lambda: float, oxidised_share: Fraction | None = None
) -> Unfired:
    """Lambda in the pipe, dead cylinders fuelled but not fired

    Formula: λ = N λf/(n + s (N - n)), s from 1 (lower bound) to 0 (upper bound)
    cylinders: cylinders on this pipe
    firing: of these, how many fire
    firing_lambda: lambda of every cylinder
    oxidised_share: share of the dead ones' fuel that burns at the sensor
    Range: firing lambda 0.5 to 1.3.
    Raises: none or more firing than there are; lambda not above 0; share outside 0 to 1.
    Caution: Raw fuel slows and poisons the sensor and overheats the catalyst: unplug that injector. One reading cannot
        tell 'no fuel' from 'no spark'.
    Source: mass balance of air and fuel
    Example: cylinders=8 firing=6 firing_lambda=.95 oxidised_share=50%

    >>> round(diluted_lambda_no_spark(6, 4, 0.8).upper_bound, 2)
    1.2
    """
    _counts(cylinders, firing)
    odd = _burning(firing_lambda)
    mixed = None
    if oxidised_share is not None:
        within(0, 1, "0 to 1", oxidised_share=oxidised_share)
        mixed = cylinders * firing_lambda / (firing + oxidised_share * (cylinders - firing))
    return Unfired(mixed, firing_lambda, firing_lambda * cylinders / firing, odd)


class PipeGas(NamedTuple):
    o2_percent_dry: float
    co_percent_dry: float
    co2_percent_dry: float
    hc_percent_c1_dry: float | None = None
    warnings: tuple[str, ...] = ()


def _burned(h_per_c: float, lambda_: float) -> tuple[float, float, float, float]:
    """Moles of CO, CO2, H2 and O2 per mole of carbon after burning."""
    need = 1 + h_per_c / 4
    if lambda_ >= 1:
        return 0.0, 1.0, 0.0, (lambda_ - 1) * need
    # carbon: co + co2 = 1; hydrogen: h2 + h2o = y/2; oxygen: co + 2 co2 + h2o = 2 need λ; water-gas shift between them
    half, oxygen = h_per_c / 2, 2 * need * lambda_
    low, high = max(0.0, 2 - oxygen), min(1.0, 2 + half - oxygen)
    for _ in range(100):
        co = (low + high) / 2
        co2, water = 1 - co, oxygen - 2 + co
        if co * water > WATER_GAS * co2 * (half - water):
            high = co
        else:
            low = co
    co = (low + high) / 2
    return co, 1 - co, half - (oxygen - 2 + co), 0.0


def diluted_exhaust_dry_gas(
    cylinders: int,
    firing: int,
    firing_lambda: float,
    h_per_c: float = PETROL_H_PER_C,
    dead_cylinder_fuel: bool = False,
) -> PipeGas:
    """Dry gas in the pipe with dead cylinders

    Formula: burned gas of the firing ones (water-gas constant 3.5) + (N - n)/n · a λf/0.2095 mol of air; water dropped
    cylinders: cylinders on this pipe
    firing: of these, how many fire
    firing_lambda: lambda of the firing ones
    h_per_c: hydrogen per carbon of the fuel
    dead_cylinder_fuel: whether the dead ones get fuel too, which then leaves unburned
    Range: lambda 0.5 to 1.3; no reaction after the gases mix.
    Raises: none or more firing than there are; lambda so rich that soot is left; hydrogen per carbon not above 0.
    Caution: Much CO and much O2 together mean dead, unfuelled cylinders beside rich ones; a lean engine has O2 alone.
    Source: Heywood, Internal Combustion Engine Fundamentals, sec. 4.9
    Example: cylinders=8 firing=6 firing_lambda=.95

    >>> round(diluted_exhaust_dry_gas(6, 4, 0.7).o2_percent_dry, 1)
    6.8
    """
    _counts(cylinders, firing)
    odd = _burning(firing_lambda)
    above_zero(h_per_c=h_per_c)
    need = 1 + h_per_c / 4
    soot = 1 / (2 * need)  # oxygen for carbon monoxide alone
    if firing_lambda <= soot:
        raise OutsideRange("firing_lambda", firing_lambda, f"above {soot:.2f}, richer leaves soot")
    co, co2, h2, o2 = _burned(h_per_c, firing_lambda)
    nitrogen = need * firing_lambda * _NITROGEN
    dead = (cylinders - firing) / firing
    o2 += dead * need * firing_lambda
    nitrogen += dead * nitrogen
    raw = dead if dead_cylinder_fuel else 0.0
    percent = 100 / (co + co2 + h2 + o2 + nitrogen + raw)
    unburned = percent * raw if dead_cylinder_fuel else None
    return PipeGas(percent * o2, percent * co, percent * co2, unburned, odd)


class LeanGas(NamedTuple):
    o2_percent_dry: float
    co2_percent_dry: float
    warnings: tuple[str, ...] = ()


def exhaust_o2_dry(lambda_: float, h_per_c: float = PETROL_H_PER_C) -> LeanGas:
    """Oxygen in lean exhaust

    Formula: O2 = 100 (λ - 1) a/(1 + (λ - 1) a + 3.7733 λ a), a = 1 + y/4, dry
    lambda_: lambda, 1 or more
    h_per_c: hydrogen per carbon of the fuel
    Range: lambda 1 to 3, burned completely.
    Raises: lambda under 1; hydrogen per carbon not above 0.
    Source: atom balance; Heywood, Internal Combustion Engine Fundamentals, sec. 3.4
    Example: lambda=1.05

    >>> round(exhaust_o2_dry(1.25).o2_percent_dry, 2)
    4.43
    """
    above_zero(h_per_c=h_per_c)
    finite(lambda_=lambda_)
    if lambda_ < 1:
        raise OutsideRange("lambda_", lambda_, "1 or more: rich exhaust has hardly any oxygen")
    need = 1 + h_per_c / 4
    left = (lambda_ - 1) * need
    total = 1 + left + _NITROGEN * lambda_ * need
    return LeanGas(100 * left / total, 100 / total, usual(0, 3, LAMBDA_AS_AFR, lambda_=lambda_))


class GasLambda(NamedTuple):
    lambda_: float
    warnings: tuple[str, ...] = ()


def lambda_from_gas_analysis(
    co2_percent_dry: float,
    co_percent_dry: float,
    o2_percent_dry: float,
    hc_percent_c1: float = 0.0,
    no_percent: float = 0.0,
    h_per_c: float = PETROL_H_PER_C,
    o_per_c: float = 0.0,
) -> GasLambda:
    """Lambda from an exhaust gas analysis

    Formula: λ = [CO2 + CO/2 + O2 + NO/2 + (h/4 · 3.5/(3.5 + CO/CO2) - o/2)(CO2 + CO)]/[(1 + h/4 - o/2)(CO2 + CO + HC)]
    co2_percent_dry: carbon dioxide, dry
    co_percent_dry: carbon monoxide, dry
    o2_percent_dry: oxygen, dry
    hc_percent_c1: hydrocarbons counted as single carbon atoms
    no_percent: nitrogen oxides
    h_per_c: hydrogen per carbon of the fuel
    o_per_c: oxygen per carbon of the fuel
    Range: carbon dioxide above 0; the oxygens together under about 21 %.
    Raises: carbon dioxide not above 0; a gas under 0.
    Caution: Hydrocarbons shown in ppm of hexane must be times 6 and over 10 000.
    Source: Brettschneider 1979
    Example: co2=14.2% co=.5% o2=.7%

    >>> round(lambda_from_gas_analysis(14.5, 0.016, 1.075).lambda_, 2)
    1.05
    """
    above_zero(co2_percent_dry=co2_percent_dry, h_per_c=h_per_c)
    not_negative(co_percent_dry=co_percent_dry, o2_percent_dry=o2_percent_dry, hc_percent_c1=hc_percent_c1)
    not_negative(no_percent=no_percent, o_per_c=o_per_c)
    carbon = co2_percent_dry + co_percent_dry
    water = h_per_c / 4 * WATER_GAS / (WATER_GAS + co_percent_dry / co2_percent_dry) - o_per_c / 2
    oxygen = co2_percent_dry + co_percent_dry / 2 + o2_percent_dry + no_percent / 2 + water * carbon
    need = (1 + h_per_c / 4 - o_per_c / 2) * (carbon + hc_percent_c1)
    if need <= 0:
        raise OutsideRange("o_per_c", o_per_c, f"under {2 + h_per_c / 2:g}: such a fuel is burned already")
    total = co2_percent_dry + co_percent_dry / 2 + o2_percent_dry
    much = usual(0, 21.5, "the gases hold more oxygen than air does", o2_percent_dry=total)
    return GasLambda(oxygen / need, much)
