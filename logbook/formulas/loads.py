"""What a load needs of its feed: current, wire, fuse."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.electrical import ROOM_K, wire_diameter_awg, wire_voltage_drop
from logbook.formulas.quantities import Fraction
from logbook.formulas.refusals import OutsideRange, above_zero, not_negative

_FUSES = (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300)
"""Ratings that fuses of road vehicles are sold in, A: ISO 8820."""

_CARRIES = {  # gauge: amperes that a short wire in a loom carries without getting hot; common practice, no source
    20: 7.5, 18: 10, 16: 15, 14: 20, 12: 30, 10: 40, 8: 55, 6: 75, 4: 100, 2: 135, 1: 155, 0: 180, -1: 210, -3: 280,
}  # fmt: skip
ALLOWED_DROP = Fraction(0.03)
CONTINUOUS = 0.8
"""Share of a fuse's rating that it carries for hours: common practice, no source."""


class LoadCurrent(NamedTuple):
    current_a: float


def load_current(power_w: float, voltage_v: float = 13.5) -> LoadCurrent:
    """Current of a load

    Formula: I = P/U
    power_w: power of the load: a lamp, a fan, a heater
    voltage_v: voltage at the load, 13.5 V with the engine running
    Range: what runs steadily; motors and lamps draw several times as much for a moment as they start.
    Raises: power under 0; voltage not above 0.
    Source: Joule's law
    Example: power=110W voltage=12V
    Also: ohm, watts, amps

    >>> round(load_current(110.0, 12.0).current_a, 3)
    9.167
    """
    not_negative(power_w=power_w)
    above_zero(voltage_v=voltage_v)
    return LoadCurrent(power_w / voltage_v)


class Ohm(NamedTuple):
    resistance_ohm: float
    power_w: float


def resistance_from_volts(voltage_v: float, current_a: float) -> Ohm:
    """Resistance from voltage and current

    Formula: R = U/I; P = U · I
    voltage_v: voltage across the part
    current_a: current through it
    Range: direct current; a cold lamp has a tenth of its hot resistance.
    Raises: voltage under 0; current not above 0.
    Source: Ohm's law
    Example: voltage=.35V current=15A
    Also: ohm, ohms law, voltage drop

    >>> round(resistance_from_volts(0.35, 15.0).resistance_ohm * 1e3, 2)
    23.33
    """
    not_negative(voltage_v=voltage_v)
    above_zero(current_a=current_a)
    return Ohm(voltage_v / current_a, voltage_v * current_a)


class Fuse(NamedTuple):
    fuse_a: float
    smallest_awg: int


def fuse_for_load(current_a: float, continuous: bool = True) -> Fuse:
    """Fuse for a load

    Formula: the next rating of at least I/0.8 for a load of hours, of at least I for one of minutes
    current_a: current of the load
    continuous: whether it runs for more than some minutes
    Range: up to 300 A.
    Raises: current not above 0; a fuse over 300 A.
    Caution: A fuse protects the wire: the whole wire behind it must carry the fuse's rating. Put it at the battery's
        end. A fuse that blows is asking a question; never answer it with a larger one.
    Source: ratings of ISO 8820; 80 % for continuous loads and wire ratings are common practice, no source
    Example: current=12A
    Also: fuse, amps

    >>> fuse_for_load(12.0).fuse_a
    15.0
    """
    above_zero(current_a=current_a)
    need = current_a / CONTINUOUS if continuous else current_a
    rating = next((f for f in _FUSES if f >= need - 1e-9), None)
    gauge = next((g for g, amps in _CARRIES.items() if rating is not None and amps >= rating), None)
    if rating is None or gauge is None:
        raise OutsideRange("current_a", current_a, "a load that a fuse of 250 A carries; split it")
    return Fuse(float(rating), gauge)


class WireForLoad(NamedTuple):
    awg: int
    area_m2: float
    drop_v: float
    fuse_a: float


def wire_for_load(
    current_a: float,
    length_m: float,
    supply_v: float = 12.0,
    allowed_drop: Fraction = ALLOWED_DROP,
    return_by_wire: bool = False,
    temperature_k: float = ROOM_K + 40,
) -> WireForLoad:
    """Wire and fuse for a load and a length

    Formula: the thinnest gauge that loses no more than allowed and carries the fuse
    current_a: current of the load
    length_m: length one way
    supply_v: voltage of the system
    allowed_drop: share of the voltage that may be lost: 3 % for lamps and pumps, 10 % at most for a starter
    return_by_wire: whether the return is a wire of the same gauge; else the chassis returns it
    temperature_k: temperature of the wire, 60 °C under a bonnet
    Range: copper wire, up to 4/0.
    Raises: current, length or voltage not above 0; drop outside 0 to 0.2; no gauge that is thick enough.
    Caution: Fuse it at the battery's end, keep it off sharp edges and exhaust, disconnect the battery first.
    Source: IEC 60028 for the copper; ASTM B258 gauges; 3 % and wire ratings are common practice, no source
    Example: current=20A length=15ft
    Also: wire gauge, awg, fuse, amps

    >>> wire_for_load(20.0, 4.572).awg
    10
    """
    above_zero(current_a=current_a, length_m=length_m, supply_v=supply_v)
    if not 0 < allowed_drop <= 0.2:
        raise OutsideRange("allowed_drop", allowed_drop, "above 0 to 0.2; 3 % is 0.03")
    fuse = fuse_for_load(current_a)
    for gauge, amps in _CARRIES.items():
        drop = wire_voltage_drop(length_m, current_a, return_by_wire, gauge, temperature_k).drop_v
        if amps >= fuse.fuse_a and drop <= allowed_drop * supply_v:
            return WireForLoad(gauge, math.pi / 4 * wire_diameter_awg(gauge) ** 2, drop, fuse.fuse_a)
    raise OutsideRange("length_m", length_m, "shorter, or two wires side by side: 4/0 loses more than is allowed")
