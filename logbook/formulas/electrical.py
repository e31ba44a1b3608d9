"""Wires, coils, battery."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from logbook.formulas.injectors import copper_temperature
from logbook.formulas.refusals import (
    MissingInput,
    NotPositive,
    OutsideRange,
    above_zero,
    finite,
    not_negative,
    readings,
    usual,
    whole,
    within,
)

COPPER_OHM_M = 1.7241e-8
"""Resistivity of annealed copper at 20 degrees C (100 % IACS), ohm m."""

ROOM_K = 293.15


def wire_diameter_awg(awg: int) -> float:
    """Diameter of a wire gauge

    Formula: d = 0.127 mm · 92^((36 - n)/39); 0 is 1/0, -1 is 2/0, -3 is 4/0
    awg: American wire gauge
    Range: -3 to 40.
    Raises: gauge outside -3 to 40.
    Caution: Metric cable is sold in square millimetres, not in gauges.
    Source: ASTM B258
    Example: awg=2/0

    >>> round(wire_diameter_awg(14) * 1e3, 3)
    1.628
    """
    whole(-3, 40, awg=awg)
    return float(0.000127 * 92 ** ((36 - awg) / 39))


def _section(awg: int | None, area_m2: float | None) -> float:
    """Area of the wire, by gauge or as given."""
    if (awg is None) == (area_m2 is None):
        raise MissingInput("awg", awg, "the wire's gauge or its area, one of them")
    if area_m2 is not None:
        within(1e-9, 1e-3, "0.001 to 1000 mm2", area_m2=area_m2)
        return area_m2
    return math.pi / 4 * wire_diameter_awg(awg or 0) ** 2


def wire_resistance(
    length_m: float, awg: int | None = None, temperature_k: float = ROOM_K, area_m2: float | None = None
) -> float:
    """Resistance of a wire

    Formula: R = 1.7241e-8 · L/A at 20 °C, then by temperature
    awg: American wire gauge
    length_m: length of the wire
    temperature_k: temperature of the wire
    area_m2: or the area of a metric cable
    Range: solid copper; stranded about 2 % more, tinned or alloy more still.
    Raises: gauge outside -3 to 40; length not above 0.
    Source: IEC 60028; NBS Handbook 100 copper wire tables
    Example: length=15ft awg=14
    Also: ohm

    >>> round(wire_resistance(304.8, 14), 3)
    2.525
    """
    above_zero(length_m=length_m)
    return copper_temperature(COPPER_OHM_M * length_m / _section(awg, area_m2), temperature_k)


class VoltageDrop(NamedTuple):
    drop_v: float
    drop_percent_of_12v: float
    warnings: tuple[str, ...] = ()


def wire_voltage_drop(
    one_way_m: float,
    current_a: float,
    return_by_wire: bool,
    awg: int | None = None,
    temperature_k: float = ROOM_K,
    joint_ohm: float = 0.0,
    area_m2: float | None = None,
) -> VoltageDrop:
    """Voltage lost in a feed

    Formula: V = I · R, R of the way out and, where a wire returns, of the way back, and of the joints
    awg: American wire gauge
    one_way_m: length one way
    current_a: current
    return_by_wire: whether the return is a wire of the same gauge; else the chassis returns it
    temperature_k: temperature of the wire
    joint_ohm: measured resistance of joints and chassis return
    area_m2: or the area of a metric cable
    Range: solid copper.
    Raises: gauge outside -3 to 40; length not above 0; current or joints under 0.
    Caution: The length is out AND back: the slip that everyone makes. 3 % of a feed and 0.2 V on a ground are common
        practice. Fuse the wire for its gauge; battery off while working on it.
    Source: Ohm's law; IEC 60028
    Example: one_way=15ft current=15A return_by_wire=no awg=14 joint=5mΩ
    Also: ohm, voltage drop

    >>> round(wire_voltage_drop(3.6576, 10.0, True, 14).drop_v, 3)
    0.606
    """
    above_zero(one_way_m=one_way_m)
    not_negative(current_a=current_a, joint_ohm=joint_ohm)
    ways = 2 if return_by_wire else 1
    drop = current_a * (ways * wire_resistance(one_way_m, awg, temperature_k, area_m2) + joint_ohm)
    percent = drop / 12 * 100
    odd = usual(0, 3, "more than 3 % of 12 V: a thicker wire or a relay near the load", current_a=percent)
    return VoltageDrop(drop, percent, odd)


def _resistances(resistances_ohm: Sequence[float]) -> None:
    readings(1, resistances_ohm=resistances_ohm)
    for value in resistances_ohm:
        if value <= 0:
            raise NotPositive("resistances_ohm", value, "above 0; zero is a short")


def resistance_series(resistances_ohm: Sequence[float]) -> float:
    """Resistances one after another

    Formula: R = Σ R
    resistances_ohm: the resistances
    Range: any.
    Raises: none given; a resistance not above 0 (a zero is a short).
    Source: Kirchhoff's voltage law
    Example: 'resistances=1.2 .8 ohm'
    Also: ohm, ohms law

    >>> resistance_series([10.0, 15.0, 30.0])
    55.0
    """
    _resistances(resistances_ohm)
    return math.fsum(resistances_ohm)


def resistance_parallel(resistances_ohm: Sequence[float]) -> float:
    """Resistances side by side

    Formula: R = 1/Σ (1/R)
    resistances_ohm: the resistances
    Range: any.
    Raises: none given; a resistance not above 0 (a zero is a short).
    Caution: Four coils on one driver draw four times the current.
    Source: Kirchhoff's current law
    Example: 'resistances=14.5 14.6 14.4 ohm'
    Also: ohm, ohms law

    >>> resistance_parallel([14.5, 14.5, 14.5, 14.5])
    3.625
    """
    _resistances(resistances_ohm)
    return 1 / math.fsum(1 / r for r in resistances_ohm)


class BatteryState(NamedTuple):
    charge_percent: float
    warnings: tuple[str, ...] = ()


_REST = ((11.89, 0.0), (12.06, 25.0), (12.24, 50.0), (12.45, 75.0), (12.65, 100.0))


def battery_rest_state(
    open_circuit_v: float, rested_hours: float = 12.0, temperature_k: float = 298.15
) -> BatteryState:
    """State of charge of a rested battery

    Formula: between 11.89 V = 0, 12.06 = 25, 12.24 = 50, 12.45 = 75, 12.65 V = 100 %
    open_circuit_v: voltage with nothing connected
    rested_hours: time since charge or load
    temperature_k: temperature of the battery
    Range: flooded lead-acid at 25 °C, rested 6 to 12 hours or more; within 10 points.
    Raises: under 9 or over 14.8 V (charging, another chemistry, or 24 V).
    Caution: Batteries give off gas that explodes: no spark. Under 10.5 V while cranking the battery comes first.
    Source: common practice, no source
    Example: open_circuit=12.4V rested=12h

    >>> round(battery_rest_state(12.24).charge_percent)
    50
    """
    finite(open_circuit_v=open_circuit_v)
    not_negative(rested_hours=rested_hours)
    above_zero(temperature_k=temperature_k)
    if not 9 <= open_circuit_v <= 14.8:
        raise OutsideRange("open_circuit_v", open_circuit_v, "9 to 14.8 V: charging, another chemistry, or 24 V")
    early = usual(6, 1e12, "rested less than 6 hours, so it reads high", rested_hours=rested_hours)
    odd = usual(283, 313, "far from 25 °C", temperature_k=temperature_k)
    full = usual(9, 12.9, "above a full battery at rest: it holds surface charge", open_circuit_v=open_circuit_v)
    return BatteryState(_between(open_circuit_v), early + odd + full)


def _between(volts: float) -> float:
    if volts <= _REST[0][0]:
        return 0.0
    for (low_v, low), (high_v, high) in itertools.pairwise(_REST):
        if volts <= high_v:
            return low + (high - low) * (volts - low_v) / (high_v - low_v)
    return 100.0


def coil_current_rise(inductance_h: float, resistance_ohm: float, supply_v: float, dwell_s: float) -> float:
    """Current of an ignition coil after its dwell

    Formula: i = V/R · (1 - exp(-R t/L))
    inductance_h: inductance of the primary
    resistance_ohm: resistance of the primary and its wiring
    supply_v: voltage at the coil
    dwell_s: time switched on
    Range: below saturation of the core; a saturating core draws more and stores less.
    Raises: inductance or resistance not above 0; voltage or dwell under 0.
    Source: first-order circuit, any textbook of electrical engineering
    Example: inductance=5mH resistance=.5ohm supply=13.5V dwell=3ms

    >>> round(coil_current_rise(0.003, 0.5, 12.0, 0.003), 3)
    9.443
    """
    above_zero(inductance_h=inductance_h, resistance_ohm=resistance_ohm)
    not_negative(supply_v=supply_v, dwell_s=dwell_s)
    return -supply_v / resistance_ohm * math.expm1(-resistance_ohm * dwell_s / inductance_h)


def coil_energy(inductance_h: float, current_a: float) -> float:
    """Energy stored in a coil

    Formula: E = L i²/2
    inductance_h: inductance of the primary
    current_a: current when it is switched off
    Range: below saturation of the core; about half of it arrives at the plug.
    Raises: inductance not above 0; current under 0.
    Caution: High voltage: enough to stop a heart. Never hold a lead while cranking; use a spark tester to ground.
    Source: definition of inductance; the half at the plug is common practice
    Example: inductance=3mH current=6.3A

    >>> round(coil_energy(0.003, 9.443) * 1e3, 1)
    133.8
    """
    above_zero(inductance_h=inductance_h)
    not_negative(current_a=current_a)
    return inductance_h * current_a**2 / 2
