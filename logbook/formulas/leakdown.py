"""Leak-down: what a tester's two gauges say, and how large the hole is."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.quantities import Absolute, Gauge, absolute
from logbook.formulas.refusals import OutsideRange, above_zero, not_negative, usual

_GAMMA = 1.4
CHOKED = (2 / (_GAMMA + 1)) ** (_GAMMA / (_GAMMA - 1))
_READABLE_PA = 0.01 * 6894.757293168361  # a reading this much above supply is rounding, not a swapped gauge


class Leak(NamedTuple):
    leak_percent: float
    warnings: tuple[str, ...] = ()


def leakdown_percent(supply_gauge_pa: Gauge, cylinder_gauge_pa: Gauge) -> Leak:
    """Leak-down

    Formula: 100 · (p1 - p2)/p1, gauge pressures before and after the tester's orifice
    supply_gauge_pa: regulated pressure before the orifice
    cylinder_gauge_pa: pressure after it, at the cylinder
    Range: 60 to 110 psi supply.
    Raises: supply not above 0; cylinder above supply or under 0.
    Caution: The piston must be at top on compression and the crank held: it can turn. 10 % good, 20 % worn, over 30 %
        bad hold for one tester only; the percentage depends on its orifice.
    Source: differential pressure test, FAA AC 43.13-1B ch. 8; the limits are common practice
    Example: supply_gauge=100psi cylinder_gauge=92psi

    >>> leakdown_percent(Gauge(100e3), Gauge(92e3)).leak_percent
    8.0
    """
    above_zero(supply_gauge_pa=supply_gauge_pa)
    not_negative(cylinder_gauge_pa=cylinder_gauge_pa)
    if cylinder_gauge_pa > supply_gauge_pa + _READABLE_PA:
        raise OutsideRange("cylinder_gauge_pa", cylinder_gauge_pa, "not above supply: gauges swapped or out of zero")
    low, high = 60 * 6894.757, 110 * 6894.758
    odd = usual(low, high, "outside the usual 60 to 110 psi", supply_gauge_pa=supply_gauge_pa)
    return Leak(max(0.0, 100 * (supply_gauge_pa - cylinder_gauge_pa) / supply_gauge_pa), odd)


def flux(upstream_pa: float, downstream_pa: float) -> float:
    """Mass flow of air through a nozzle over all factors that two orifices in series share.

    >>> flux(2e5, 1e5) == flux(2e5, 0.5e5)  # both choked
    True
    """
    x = max(downstream_pa / upstream_pa, CHOKED)
    return upstream_pa * math.sqrt(x ** (2 / _GAMMA) - x ** ((_GAMMA + 1) / _GAMMA))


class LeakArea(NamedTuple):
    area_ratio: float
    leak_diameter_m: float


def leakdown_orifice_area(
    supply_gauge_pa: Gauge,
    cylinder_gauge_pa: Gauge,
    ambient_pa: Absolute,
    reference_orifice_m: float = 0.001016,
    discharge_ratio: float = 1.0,
) -> LeakArea:
    """Size of the leak

    Formula: A/Aref = flux(p1, p2)/flux(p2, pa), flux = p · √(x^(2/γ) - x^((γ+1)/γ)), x = max(pdown/pup, 0.528),
        absolute pressures
    supply_gauge_pa: regulated pressure before the orifice
    cylinder_gauge_pa: pressure after it, at the cylinder
    ambient_pa: air pressure at the place (absolute)
    reference_orifice_m: bore of the tester's orifice, 1.016 mm (.040 in) in the aircraft standard
    discharge_ratio: discharge of the leak against the orifice
    Range: any leak that leaves some pressure.
    Raises: cylinder not above 0 (the area has no bound) or not under supply; orifice not above 0.
    Caution: The formula for water, √((p1 - p2)/p2), gives about half of it.
    Source: Saint-Venant and Wantzel, any gas dynamics text; equal discharge assumed
    Example: supply_gauge=100psi cylinder_gauge=92psi ambient=14.7psi

    >>> round(leakdown_orifice_area(Gauge(689475.7), Gauge(634317.7), Absolute(101325.0)).area_ratio, 2)
    0.56
    """
    above_zero(supply_gauge_pa=supply_gauge_pa, cylinder_gauge_pa=cylinder_gauge_pa, ambient_pa=ambient_pa)
    above_zero(reference_orifice_m=reference_orifice_m, discharge_ratio=discharge_ratio)
    if cylinder_gauge_pa >= supply_gauge_pa:
        raise OutsideRange("cylinder_gauge_pa", cylinder_gauge_pa, "under the supply, else nothing leaks")
    supply, cylinder = absolute(supply_gauge_pa, ambient_pa), absolute(cylinder_gauge_pa, ambient_pa)
    ratio = flux(supply, cylinder) / (flux(cylinder, ambient_pa) * discharge_ratio)
    return LeakArea(ratio, reference_orifice_m * math.sqrt(ratio))
