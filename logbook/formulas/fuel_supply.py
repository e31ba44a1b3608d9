"""From tank to rail: pump, lines, pressures."""

from __future__ import annotations

import math
from typing import NamedTuple

from logbook.formulas.quantities import PETROL_KG_M3, Gauge, PressureStep
from logbook.formulas.refusals import (
    OutsideRange,
    above_zero,
    finite,
    not_negative,
    usual,
    within,
)


class PumpFlow(NamedTuple):
    flow_m3_s: float
    warnings: tuple[str, ...] = ()


def fuel_pump_flow(
    power_w: float, bsfc_kg_j: float, density_kg_m3: float = PETROL_KG_M3, margin: float = 1.2
) -> PumpFlow:
    """Fuel pump for a power

    Formula: q = P · BSFC/ρ · margin
    power_w: power at the crank
    bsfc_kg_j: fuel used per power and time at that mixture
    density_kg_m3: density of the fuel
    margin: reserve, 1.2 for a fifth more
    Range: BSFC 0.42 to 0.65 lb/(hp h) on petrol.
    Raises: power, BSFC or density not above 0; margin under 1.
    Caution: A pump's rating holds at its stated pressure and volts: take its own curve at rail pressure and line loss.
    Source: mass balance
    Example: power=400hp bsfc=.5lb/hp-hr density=740kg/m3 margin=1.2
    Also: horsepower, hp, gph, lph

    >>> one = 0.45359237 / (745.6998715822702 * 3600)
    >>> round(fuel_pump_flow(350 * 745.6998715822702, 0.5 * one).flow_m3_s * 3.6e6, 2)
    128.72
    """
    above_zero(power_w=power_w, bsfc_kg_j=bsfc_kg_j, density_kg_m3=density_kg_m3)
    finite(margin=margin)
    if margin < 1:
        raise OutsideRange("margin", margin, "1 or more")
    odd = usual(600, 900, "outside 600 to 900 kg/m3", density_kg_m3=density_kg_m3)
    return PumpFlow(power_w * bsfc_kg_j / density_kg_m3 * margin, odd)


class LineVelocity(NamedTuple):
    velocity_m_s: float
    warnings: tuple[str, ...] = ()


def line_velocity(flow_m3_s: float, bore_m: float) -> LineVelocity:
    """Speed of fuel in a line

    Formula: v = 4 q/(π d²)
    flow_m3_s: flow
    bore_m: inner diameter of the line, measured
    Range: suction under 0.5 to 1 m/s, delivery under 3 m/s.
    Raises: bore not above 0; flow under 0.
    Source: continuity; the limits are common practice
    Example: flow=255l/h bore=5/16in

    >>> round(line_velocity(255e-3 / 3600, 0.0079).velocity_m_s, 4)
    1.4451
    """
    above_zero(bore_m=bore_m)
    not_negative(flow_m3_s=flow_m3_s)
    velocity = 4 * flow_m3_s / (math.pi * bore_m**2)
    if velocity > 3:
        return LineVelocity(velocity, ("faster than 3 m/s, too fast even for a delivery line",))
    if velocity > 1:
        return LineVelocity(velocity, ("faster than 1 m/s: too fast for a suction line",))
    return LineVelocity(velocity)


class Friction(NamedTuple):
    darcy_friction_factor: float
    laminar: bool
    warnings: tuple[str, ...] = ()


def _colebrook(reynolds: float, relative_roughness: float) -> float:
    """1/sqrt(f) solved for f by Newton's steps on x = 1/sqrt(f)."""
    x = 6.0
    for _ in range(60):
        inside = relative_roughness / 3.7 + 2.51 * x / reynolds
        slope = 1 + 2 * 2.51 / (reynolds * inside * math.log(10))
        step = (x + 2 * math.log10(inside)) / slope
        x -= step
        if abs(step) < 1e-14 * x:
            break
    return 1 / x**2


def friction_factor_colebrook(reynolds: float, relative_roughness: float = 0.0) -> Friction:
    """Friction factor of a pipe

    Formula: 1/√f = -2 log10(e/3.7 D + 2.51/(Re √f)); laminar f = 64/Re under Re 2300
    reynolds: Reynolds number
    relative_roughness: roughness over diameter
    Range: Re up to 1e8, roughness up to 0.05; between 2300 and 4000 the greater of the two, with a warning.
    Raises: Reynolds number not above 0; roughness outside 0 to 0.1.
    Caution: This is the Darcy factor, four times the Fanning one.
    Source: Colebrook 1939, in White, Fluid Mechanics ch. 6
    Example: reynolds=4000 relative_roughness=0.001

    >>> round(friction_factor_colebrook(1e5, 1e-4).darcy_friction_factor, 6)
    0.018514
    """
    above_zero(reynolds=reynolds)
    within(0, 0.1, relative_roughness=relative_roughness)
    if reynolds < 2300:
        return Friction(64 / reynolds, True)
    turbulent = _colebrook(reynolds, relative_roughness)
    if reynolds < 4000:
        between = "reynolds: between 2300 and 4000 the flow may be either; the greater friction is taken"
        return Friction(max(turbulent, 64 / reynolds), False, (between,))
    return Friction(turbulent, False)


class LineDrop(NamedTuple):
    reynolds: float
    drop_pa: PressureStep
    laminar: bool
    warnings: tuple[str, ...] = ()


def line_pressure_drop(
    flow_m3_s: float,
    bore_m: float,
    length_m: float,
    roughness_m: float = 1.5e-6,
    density_kg_m3: float = PETROL_KG_M3,
    viscosity_pa_s: float = 0.00055,
    fittings_k: float = 0.0,
) -> LineDrop:
    """Pressure lost in a line

    Formula: Δp = (f L/D + ΣK) · ρ v²/2
    flow_m3_s: flow
    bore_m: inner diameter of the line, measured
    length_m: length
    roughness_m: roughness of the wall, 0.0015 mm for drawn tube
    density_kg_m3: density of the fuel
    viscosity_pa_s: viscosity of the fuel, 0.00055 Pa s for petrol at 20 °C
    fittings_k: sum of the loss factors of the fittings
    Range: round lines, steady flow.
    Raises: flow, bore, length, density or viscosity not above 0; roughness or fittings under 0.
    Source: Darcy and Weisbach; Colebrook 1939, in White, Fluid Mechanics ch. 6
    Example: flow=255l/h bore=5/16in length=10ft

    >>> round(line_pressure_drop(255e-3 / 3600, 0.0079, 3.0, 1.5e-6, 702.87, 545.8e-6).drop_pa / 1e3, 1)
    7.9
    """
    above_zero(flow_m3_s=flow_m3_s, bore_m=bore_m, length_m=length_m)
    above_zero(density_kg_m3=density_kg_m3, viscosity_pa_s=viscosity_pa_s)
    not_negative(roughness_m=roughness_m, fittings_k=fittings_k)
    velocity = 4 * flow_m3_s / (math.pi * bore_m**2)
    reynolds = density_kg_m3 * velocity * bore_m / viscosity_pa_s
    if roughness_m / bore_m > 0.1:
        raise OutsideRange("roughness_m", roughness_m, "at most a tenth of the bore")
    friction = friction_factor_colebrook(reynolds, roughness_m / bore_m)
    losses = friction.darcy_friction_factor * length_m / bore_m + fittings_k
    drop = losses * density_kg_m3 * velocity**2 / 2
    return LineDrop(reynolds, PressureStep(drop), friction.laminar, friction.warnings)


class Dash(NamedTuple):
    tube_od_m: float
    hose_bore_m: float | None


_HOSE_BORES_IN = {4: 3 / 16, 6: 5 / 16, 8: 13 / 32, 10: 1 / 2, 12: 5 / 8}


def dash_size(dash: int) -> Dash:
    """Dash size

    Formula: tube outer diameter = n/16 in
    dash: the number after the dash
    Range: 2 to 32.
    Raises: a number not above 0.
    Caution: The tube's outer diameter, not the bore. Bores differ by hose family (shown: 100R5 type); measure for flow.
    Source: common practice; bores of SAE J517 100R5
    Example: dash=-6
    Also: AN fitting, hose

    >>> round(dash_size(6).tube_od_m * 1e3, 3)
    9.525
    """
    above_zero(dash=dash)
    inches = _HOSE_BORES_IN.get(dash)
    return Dash(dash / 16 * 0.0254, None if inches is None else inches * 0.0254)


class Rail(NamedTuple):
    rail_gauge_pa: Gauge
    injector_dp_pa: PressureStep
    warnings: tuple[str, ...] = ()


def rail_pressure(base_gauge_pa: Gauge, manifold_gauge_pa: Gauge, referenced: bool) -> Rail:
    """Rail pressure and pressure across the injectors

    Formula: referenced: rail = base + manifold, across = base. Not referenced: rail = base, across = base - manifold
    base_gauge_pa: regulator's pressure with its hose off
    manifold_gauge_pa: manifold pressure, - for vacuum
    referenced: whether the regulator feels the manifold
    Range: 200 to 500 kPa base.
    Raises: base not above 0; nothing left across the injectors.
    Caution: Fuel under pressure: eye protection, no spark, extinguisher at hand.
    Source: difference of pressures
    Example: base_gauge=43.5psi 'manifold_gauge=18inHg vacuum' referenced=yes

    >>> rail_pressure(Gauge(300e3), Gauge(80e3), False).injector_dp_pa
    220000.0
    """
    above_zero(base_gauge_pa=base_gauge_pa)
    finite(manifold_gauge_pa=manifold_gauge_pa)
    across = base_gauge_pa if referenced else base_gauge_pa - manifold_gauge_pa
    if across <= 0:
        raise OutsideRange("manifold_gauge_pa", manifold_gauge_pa, "under the base pressure, else no fuel flows")
    rail = base_gauge_pa + manifold_gauge_pa if referenced else base_gauge_pa
    if rail <= 0:
        raise OutsideRange("manifold_gauge_pa", manifold_gauge_pa, "above minus the base pressure")
    odd = usual(-105e3, 500e3, "outside -105 to 500 kPa", manifold_gauge_pa=manifold_gauge_pa)
    return Rail(Gauge(rail), PressureStep(across), odd)
