"""Boosted engines: pressures, temperatures, air. No knock margin, timing or safe boost is computed anywhere."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.air import isa_atmosphere
from logbook.formulas.heat import isentropic_temperature
from logbook.formulas.quantities import AIR_PA, R_DRY, Absolute, Fraction, Gauge, PressureStep
from logbook.formulas.refusals import (
    OutsideRange,
    above_zero,
    finite,
    not_negative,
    usual,
    within,
)

NO_LOSS = PressureStep(0.0)


SEA_LEVEL = Absolute(AIR_PA)


class BoostRatio(NamedTuple):
    pressure_ratio: float
    manifold_pa_abs: Absolute
    warnings: tuple[str, ...] = ()


def boost_pressure_ratio(
    boost_gauge_pa: Gauge,
    inlet_loss_pa: PressureStep = NO_LOSS,
    altitude_m: float | None = None,
    ambient_pa: Absolute | None = None,
) -> BoostRatio:
    """Pressure ratio of a compressor

    Formula: PR = (boost + pa)/(pa - loss), pa the air of the place
    boost_gauge_pa: boost, above the air of the place
    inlet_loss_pa: pressure lost before the compressor
    altitude_m: height of the place
    ambient_pa: or its air pressure (absolute)
    Range: 1 to 4.
    Raises: inlet pressure not above 0; boost at or below a full vacuum; both height and air pressure.
    Caution: A boost gauge starts at the air of the place: 10 psi at 1600 m is 152.5 kPa abs, not 170.3. At the
        compressor's flange the pressure is higher by the intercooler's loss: add it.
    Source: definition; ambient from ISO 2533
    Example: boost_gauge=10psi altitude=1000ft
    Also: turbo, turbocharger, supercharger, blower

    >>> round(boost_pressure_ratio(Gauge(68947.57), PressureStep(3447.38), 1600.0).pressure_ratio, 3)
    1.904
    """
    finite(boost_gauge_pa=boost_gauge_pa)
    not_negative(inlet_loss_pa=inlet_loss_pa)
    if ambient_pa is not None and altitude_m is not None:
        raise OutsideRange("ambient_pa", ambient_pa, "height or air pressure, not both")
    if ambient_pa is not None:
        above_zero(ambient_pa=ambient_pa)
    air = isa_atmosphere(altitude_m or 0.0).pressure_pa if ambient_pa is None else ambient_pa
    if boost_gauge_pa <= -air:
        raise OutsideRange("boost_gauge_pa", boost_gauge_pa, "above a full vacuum")
    if inlet_loss_pa >= air:
        raise OutsideRange("inlet_loss_pa", inlet_loss_pa, "under the air pressure")
    ratio = (boost_gauge_pa + air) / (air - inlet_loss_pa)
    odd = usual(0, 4, "a pressure ratio above 4; is the unit right?", boost_gauge_pa=ratio)
    return BoostRatio(ratio, Absolute(boost_gauge_pa + air), odd)


class CompressorOutlet(NamedTuple):
    outlet_k: float
    specific_work_j_kg: float
    warnings: tuple[str, ...] = ()


def compressor_outlet_temperature(
    inlet_k: float, pressure_ratio: float, isentropic_efficiency: Fraction, gamma: float = 1.4
) -> CompressorOutlet:
    """Temperature after a compressor

    Formula: T2 = T1 · (1 + (PR^((γ-1)/γ) - 1)/η)
    inlet_k: temperature at the inlet
    pressure_ratio: pressure ratio of the compressor
    isentropic_efficiency: efficiency read from the map, 0.5 to 0.8
    gamma: ratio of the heat capacities of air
    Range: PR 1 to 4, efficiency 0.5 to 0.8.
    Raises: efficiency outside 0 to 1; PR under 1; temperature not above 0.
    Caution: Hotter charge knocks sooner: measure the intake temperature.
    Source: isentropic compression with efficiency, Moran & Shapiro ch. 6
    Example: inlet=77F pressure_ratio=1.7 isentropic_efficiency=72%
    Also: turbo, turbocharger, supercharger, charge temperature

    >>> round(compressor_outlet_temperature(298.15, 1.7, Fraction(0.72)).outlet_k, 2)
    365.94
    """
    above_zero(inlet_k=inlet_k, isentropic_efficiency=isentropic_efficiency)
    finite(pressure_ratio=pressure_ratio, gamma=gamma)
    if isentropic_efficiency > 1:
        raise OutsideRange("isentropic_efficiency", isentropic_efficiency, "above 0 to 1")
    if pressure_ratio < 1:
        raise OutsideRange("pressure_ratio", pressure_ratio, "1 or more")
    if not 1 < gamma < 1.7:
        raise OutsideRange("gamma", gamma, "above 1 to 1.67")
    rise = inlet_k * (pressure_ratio ** ((gamma - 1) / gamma) - 1) / isentropic_efficiency
    work = gamma * R_DRY / (gamma - 1) * rise
    odd = usual(0.5, 0.85, "outside 0.5 to 0.8", isentropic_efficiency=isentropic_efficiency)
    odd += usual(1, 4, "above 4, beyond one stage", pressure_ratio=pressure_ratio)
    return CompressorOutlet(inlet_k + rise, work, odd)


class Cooled(NamedTuple):
    outlet_k: float
    warnings: tuple[str, ...] = ()


def intercooler_outlet(hot_inlet_k: float, coolant_inlet_k: float, effectiveness: Fraction) -> Cooled:
    """Temperature after an intercooler

    Formula: T3 = T2 - ε · (T2 - Tc)
    hot_inlet_k: temperature of the charge before it
    coolant_inlet_k: temperature of the air or water that cools it
    effectiveness: effectiveness, 0 to 1
    Range: 0.5 to 0.85 in use.
    Raises: effectiveness outside 0 to 1; a temperature not above 0.
    Caution: The pressure that it costs is a separate matter.
    Source: definition of effectiveness, any text on heat transfer
    Example: hot_inlet=250F coolant_inlet=85F effectiveness=70%
    Also: turbo, intercooler, charge cooler

    >>> round(intercooler_outlet(380.0, 300.0, Fraction(0.7)).outlet_k, 6)
    324.0
    """
    above_zero(hot_inlet_k=hot_inlet_k, coolant_inlet_k=coolant_inlet_k)
    within(0, 1, "0 to 1", effectiveness=effectiveness)
    told = ("coolant_inlet_k: hotter than the charge: it heats",) if hot_inlet_k < coolant_inlet_k else ()
    return Cooled(hot_inlet_k - effectiveness * (hot_inlet_k - coolant_inlet_k), told)


def density_ratio(ambient_pa: Absolute, ambient_k: float, manifold_pa: Absolute, manifold_k: float) -> float:
    """Density of the charge against the air outside

    Formula: (p2/p1) · (T1/T2)
    ambient_pa: air pressure at the place (absolute)
    ambient_k: temperature of the air outside
    manifold_pa: manifold pressure (absolute)
    manifold_k: temperature in the manifold
    Range: ideal gas.
    Raises: anything not above 0.
    Caution: The pressure ratio overstates it by T2/T1.
    Source: ideal gas
    Example: ambient=14.7psi ambient=77F manifold=24.7psia manifold=120F
    Also: turbo

    >>> round(density_ratio(Absolute(101325.0), 298.15, Absolute(172e3), 325.0), 3)
    1.557
    """
    above_zero(ambient_pa=ambient_pa, ambient_k=ambient_k, manifold_pa=manifold_pa, manifold_k=manifold_k)
    return manifold_pa / ambient_pa * ambient_k / manifold_k


class AirFlow(NamedTuple):
    air_kg_s: float
    warnings: tuple[str, ...] = ()


def engine_air_flow(
    displacement_m3: float, rpm: float, ve_manifold: Fraction, manifold_pa: Absolute, manifold_k: float
) -> AirFlow:
    """Air that the engine takes

    Formula: m = Vd/2 · n · VE · p/(R T), n in turns a second
    displacement_m3: displacement of the engine
    rpm: speed of the crank
    ve_manifold: filling against the air in the manifold
    manifold_pa: manifold pressure (absolute)
    manifold_k: temperature in the manifold
    Range: four-stroke.
    Raises: anything not above 0; filling above 1.4.
    Caution: With much overlap and boost some air blows through: filling is then not what is trapped.
    Source: Heywood, Internal Combustion Engine Fundamentals, sec. 2.10
    Example: displacement=350CID rpm=5500 ve=85% manifold=24.7psia manifold=120F
    Also: turbo, cfm, volumetric efficiency

    >>> round(engine_air_flow(5.7e-3, 5500, 0.85, Absolute(99e3), 308.15).air_kg_s * 1e3, 1)
    248.5
    """
    above_zero(displacement_m3=displacement_m3, rpm=rpm, ve_manifold=ve_manifold)
    above_zero(manifold_pa=manifold_pa, manifold_k=manifold_k)
    if ve_manifold > 1.4:
        raise OutsideRange("ve_manifold", ve_manifold, "above 0 to 1.4")
    flow = displacement_m3 / 2 * rpm / 60 * ve_manifold * manifold_pa / (R_DRY * manifold_k)
    odd = usual(0.2, 1.2, "outside 0.2 to 1.2", ve_manifold=ve_manifold)
    return AirFlow(flow, odd)


def corrected_flow(
    air_kg_s: float,
    inlet_k: float,
    inlet_pa: Absolute,
    map_reference_k: float = 298.15,
    map_reference_pa: Absolute = SEA_LEVEL,
) -> float:
    """Flow for a compressor's map

    Formula: mc = m · √(T/Tref)/(p/pref)
    air_kg_s: air flow
    inlet_k: temperature at the compressor's inlet
    inlet_pa: pressure at the compressor's inlet (absolute)
    map_reference_k: the map's own reference temperature
    map_reference_pa: the map's own reference pressure (absolute)
    Range: inside the map; never drawn on beyond it.
    Raises: anything not above 0.
    Caution: The reference is the map's, printed on it: 298.15 K and 101.325 kPa, 302.8 K and 96.17 kPa and 288.15 K are
        all in use. Keep about 15 % from the surge and choke lines (common practice).
    Source: similarity of compressors, any text on turbomachines
    Example: air=40lb/min inlet=85F inlet=14.2psi
    Also: turbo map, compressor map

    >>> round(corrected_flow(0.30, 308.15, Absolute(98e3)), 5)
    0.31534
    """
    above_zero(air_kg_s=air_kg_s, inlet_k=inlet_k, inlet_pa=inlet_pa)
    above_zero(map_reference_k=map_reference_k, map_reference_pa=map_reference_pa)
    return air_kg_s * math.sqrt(inlet_k / map_reference_k) / (inlet_pa / map_reference_pa)


class AirFlowUnits(NamedTuple):
    flow_m3_s: float
    flow_kg_s: float


def air_flow_units(air_kg_s: float, pressure_pa: Absolute = SEA_LEVEL, temperature_k: float = 288.15) -> AirFlowUnits:
    """Air flow by volume and by mass

    Formula: volume flow = mass flow/ρ, ρ = p/(R T) at the inlet
    air_kg_s: air flow by mass
    pressure_pa: pressure at the inlet (absolute)
    temperature_k: temperature at the inlet
    Range: dry air.
    Raises: anything not above 0.
    Caution: 1 lb/min is 13.07 ft3/min at 15 °C and 13.53 at 25 °C at sea level: state the inlet.
    Source: ideal gas
    Example: air=40lb/min pressure=14.7psi temperature=77F

    >>> round(air_flow_units(0.45359237 / 60, Absolute(101325.0), 298.15).flow_m3_s / 0.3048**3 * 60, 2)
    13.53
    """
    above_zero(air_kg_s=air_kg_s, pressure_pa=pressure_pa, temperature_k=temperature_k)
    return AirFlowUnits(air_kg_s * R_DRY * temperature_k / pressure_pa, air_kg_s)


class Wastegate(NamedTuple):
    crack_boost_pa: Gauge
    warnings: tuple[str, ...] = ()


def wastegate_balance(
    diaphragm_m: float, valve_m: float, spring_rating_pa: Gauge, exhaust_dp_pa: PressureStep
) -> Wastegate:
    """Boost at which a wastegate cracks open

    Formula: p = rating - Δpexhaust · Av/Ad
    diaphragm_m: diameter of the diaphragm
    valve_m: diameter of the valve
    spring_rating_pa: boost the spring is rated for, without exhaust pressure
    exhaust_dp_pa: pressure in the exhaust over that behind the valve
    Range: valve opened by exhaust pressure.
    Raises: a diameter not above 0; rating or exhaust pressure under 0.
    Caution: The spring sets the lowest boost. Boost creep, a split hose or a stuck valve overboosts and breaks engines:
        watch the gauge, lift at once. This is no statement of a safe boost. Where the valve hangs on a lever, the
        arms multiply the force: then it cracks elsewhere, and only the gauge tells.
    Source: balance of forces
    Example: diaphragm=60mm valve=25mm spring_rating=9psi exhaust_dp=9psi
    Also: turbo, wastegate

    >>> wastegate_balance(0.060, 0.025, Gauge(60e3), PressureStep(90e3)).crack_boost_pa
    44375.0
    """
    above_zero(diaphragm_m=diaphragm_m, valve_m=valve_m)
    not_negative(spring_rating_pa=spring_rating_pa, exhaust_dp_pa=exhaust_dp_pa)
    crack = spring_rating_pa - exhaust_dp_pa * (valve_m / diaphragm_m) ** 2
    told = () if crack > 0 else ("exhaust_dp_pa: exhaust pressure alone holds the valve open",)
    return Wastegate(Gauge(crack), told)


def end_gas_temperature(start_k: float, start_pa: Absolute, end_pa: Absolute) -> float:
    """End-gas temperature, as a trend

    Formula: ∫(cp/R)/T dT = ln(p2/p1) from T1 to T2
    start_k: temperature of the charge at the start of compression
    start_pa: its pressure (absolute)
    end_pa: pressure in the cylinder later (absolute)
    Range: air without heat loss, up to about 1000 K.
    Raises: anything not above 0; end pressure under the start.
    Caution: A trend only: it shows what a hotter charge does. It is NO knock margin, and says nothing of a safe timing
        or boost. Measure the intake temperature, start rich and retarded, listen, stop at the first knock.
    Source: heat capacity from Moran & Shapiro Table A-21
    Example: start=140F start=170kPaa end=5000kPaa

    >>> round(end_gas_temperature(330.0, Absolute(170e3), Absolute(5e6)), -1)
    840.0
    """
    above_zero(start_k=start_k, start_pa=start_pa, end_pa=end_pa)
    within(200, 700, "200 to 700 K", start_k=start_k)
    if end_pa < start_pa:
        raise OutsideRange("end_pa", end_pa, "not under the start")
    return isentropic_temperature(start_k, math.log(end_pa / start_pa), by_volume=False)
