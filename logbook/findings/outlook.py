"""What gives out first: injectors, pump, line, piston speed and intake temperature as shares of their limits over rpm.

No knock margin, timing or safe boost is among them: none is ever computed.
"""

from __future__ import annotations

from dataclasses import dataclass

from logbook.findings import usual
from logbook.findings.cranking import place_air
from logbook.findings.fuels import fuel_of
from logbook.findings.injector_work import fuel_flow
from logbook.findings.making import Fed
from logbook.findings.measures import Measure, of_quantity, of_reading, usable
from logbook.findings.pulls import Curve, curves
from logbook.findings.sheet import Sheet, sheet
from logbook.formulas.boost import compressor_outlet_temperature, engine_air_flow, intercooler_outlet
from logbook.formulas.fuel_supply import line_velocity
from logbook.formulas.geometry import displacement
from logbook.formulas.quantities import DISPLAY_AFR, Absolute, Fraction
from logbook.job.model import Job
from logbook.units import UNITS

FULL_LOAD_LAMBDA = 0.82
_FILLING_SHARE = 0.10  # standard uncertainty of the filling, as a share
_STEP = 500.0


@dataclass(frozen=True, slots=True)
class Share:
    """One thing's share of its limit at each speed; 1 is the limit. ``u`` is its standard uncertainty as a share."""

    name: str
    limit: str  # the limit in words
    calculation: str  # row of the registry behind it
    change: str  # what to change when it gives out
    values: tuple[float, ...]
    u: float
    entries: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Outlook:
    """All shares of one engine on one axis of rpm; what the figure of this page draws."""

    engine: str
    rpm: tuple[float, ...]
    shares: tuple[Share, ...]
    goal: str  # '0.8 bar' or 'as pulled'
    boost_pa: tuple[float, ...]
    manifold_k: tuple[float, ...]
    air_kg_s: tuple[float, ...]
    fuel_kg_s: tuple[float, ...]

    @property
    def first(self) -> Share:
        """The one that is nearest to its limit anywhere."""
        return max(self.shares, key=lambda s: (round(max(s.values), 9), s.name))

    def speed_of(self, share: Share) -> float:
        """The speed at which a share is highest, or first passes its limit."""
        passed = [n for n, v in zip(self.rpm, share.values, strict=True) if v >= 1]
        return passed[0] if passed else self.rpm[share.values.index(max(share.values))]


def wanted(job: Job, slot: str) -> Measure | None:
    found = [r for r in job.readings if r.test == "wanted" and r.slot == slot and r.counts]
    for reading in reversed(found):
        quantity = reading.value.quantity
        if quantity is not None and quantity.unit in UNITS:
            return of_quantity(quantity, (reading.entry,))
    return None


def outlook(job: Job) -> Outlook | None:
    """The shares over rpm of a job as it stands in the log: what is doubted is left out."""
    return outlook_of(usable(job))


def outlook_of(job: Job) -> Outlook | None:
    """The shares over rpm, where the log holds displacement, a highest speed and something wanted or pulled."""
    if not job.engines:
        return None
    found, pulled = sheet(job, job.engines[0]), curves(job)
    boost = wanted(job, "boost")
    if found.bore is None or found.stroke is None or not (boost or wanted(job, "power") or pulled):
        return None
    top = found.rev_limit.value if found.rev_limit else max((max(c.rpm) for c in pulled.values()), default=0.0)
    if top < 2000:
        return None
    rpm = (*(n for n in (2000 + _STEP * i for i in range(30)) if n < top - 1), top)
    return _shares(job, found, pulled, boost, rpm)


def _shares(job: Job, found: Sheet, pulled: dict[str, Curve], boost: Measure | None, rpm: tuple[float, ...]) -> Outlook:
    air = place_air(job).value
    boosts = tuple(_boost(pulled.get("boost"), boost, n) for n in rpm)
    kelvins = tuple(_charge_k(job, pulled.get("intake-air"), air, b, n) for b, n in zip(boosts, rpm, strict=True))
    assert found.bore and found.stroke
    swept = displacement(found.bore.value, found.stroke.value, found.cylinders).displacement_m3
    flows = tuple(
        engine_air_flow(swept, n, Fraction(usual.FULL_FILLING), Absolute(air + b), k).air_kg_s
        for n, b, k in zip(rpm, boosts, kelvins, strict=True)
    )
    fuel = tuple(flow / _true_ratio(job, pulled, n) for flow, n in zip(flows, rpm, strict=True))
    parts = (
        _injectors(job, found, fuel, pulled.get("duty"), rpm),
        _pump(job, fuel),
        _line(job, rpm),
        _pistons(found, rpm),
        _intake(pulled.get("intake-air"), kelvins),
    )
    goal = boost.text if boost else "as pulled"
    shares = tuple(p for p in parts if p is not None)
    return Outlook(found.engine.name, rpm, shares, goal, boosts, kelvins, flows, fuel)


def _boost(pulled: Curve | None, goal: Measure | None, rpm: float) -> float:
    """The boost to be held against: the wanted one, risen to as the last pull did; else as pulled; else none."""
    if pulled is None:
        return goal.value if goal else 0.0
    scale = goal.value / pulled.peak if goal and pulled.peak > 0 else 1.0
    return pulled.at(rpm) * scale


def _charge_k(job: Job, measured: Curve | None, air: float, boost: float, rpm: float) -> float:
    if measured is not None:
        return measured.at(rpm)
    outside = 293.15 if job.air_c is None else job.air_c + 273.15
    if boost <= 0:
        return outside + 10
    ratio = (air + boost) / (air - usual.INLET_LOSS_PA)
    hot = compressor_outlet_temperature(outside, ratio, Fraction(usual.COMPRESSOR_EFFICIENCY)).outlet_k
    return intercooler_outlet(hot, outside, Fraction(usual.COOLER_EFFECTIVENESS)).outlet_k


def _true_ratio(job: Job, pulled: dict[str, Curve], rpm: float) -> float:
    shown = pulled.get("afr")
    value = shown.at(rpm) / DISPLAY_AFR if shown is not None else FULL_LOAD_LAMBDA
    return value * fuel_of(job).afr


def _injectors(
    job: Job, found: Sheet, fuel: tuple[float, ...], duty: Curve | None, rpm: tuple[float, ...]
) -> Share | None:
    """From the duty that the last pull read, carried on with the fuel beyond its points; else from flow and fuel."""
    limit, change = f"{100 * usual.DUTY:.0f} % duty", "a larger set of injectors"
    if duty is not None:
        fuel_at = dict(zip(rpm, fuel, strict=True))
        last = max((n for n in rpm if n <= duty.rpm[-1]), default=rpm[0])
        shares = tuple(
            duty.at(n) / 100 / usual.DUTY * (fuel_at[n] / fuel_at[last] if n > duty.rpm[-1] else 1.0) for n in rpm
        )
        return Share("injectors", limit, "injector_size_for_power", change, shares, 0.03, duty.entries)
    flow = fuel_flow(job)
    if flow is None:
        return None
    most = flow.value * found.cylinders * usual.DUTY
    shares = tuple(f / most for f in fuel)
    return Share("injectors", limit, "injector_size_for_power", change, shares, _FILLING_SHARE, flow.entries)


def pump_rating(job: Job) -> Fed | None:
    reading = next((r for r in reversed(job.readings) if r.test == "pump" and r.counts and r.value.quantity), None)
    measure = of_reading(reading) if reading is not None else None
    return (
        None
        if measure is None or measure.value <= 0
        else Fed("flow_l_h", measure.value, measure.text, measure.entries, measure.u)
    )


def _pump(job: Job, fuel: tuple[float, ...]) -> Share | None:
    rating = pump_rating(job)
    if rating is None:
        return None
    density = fuel_of(job).density_kg_m3
    shares = tuple(f / density / rating.value for f in fuel)
    return Share("pump", f"{rating.text} as rated", "fuel_pump_flow", "a larger pump, or a second one", shares,
                 _FILLING_SHARE, rating.entries)  # fmt: skip


def feed_line(job: Job) -> tuple[Measure, Measure | None] | None:
    """Bore and length of the feed line."""
    for reading in reversed(job.readings):
        if reading.test != "hose" or "return" in reading.qualifiers:
            continue
        bore = of_reading(reading)
        if bore is not None and bore.value > 0:
            lengths = [of_quantity(c.quantity, (reading.entry,)) for c in reading.conditions if c.quantity]
            return bore, next((m for m in lengths if m.dimension in ("length", "distance")), None)
    return None


def _line(job: Job, rpm: tuple[float, ...]) -> Share | None:
    line, rating = feed_line(job), pump_rating(job)
    if line is None or rating is None:
        return None
    speed = line_velocity(rating.value, line[0].value).velocity_m_s
    limit = usual.LINE_SPEED_LIMIT_M_S
    return Share("feed line", f"{limit:g} m/s", "line_velocity", "a wider feed line",
                 tuple(speed / limit for _ in rpm), 0.03, line[0].entries)  # fmt: skip


def _pistons(found: Sheet, rpm: tuple[float, ...]) -> Share | None:
    assert found.stroke
    stroke, limit = found.stroke, usual.PISTON_SPEED_LIMIT_M_S
    shares = tuple(2 * stroke.value * n / 60 / limit for n in rpm)
    return Share("piston speed", f"{limit:g} m/s for cast parts", "mean_piston_speed", "forged parts, or a lower limit",
                 shares, 0.01, stroke.entries)  # fmt: skip


def _intake(measured: Curve | None, kelvins: tuple[float, ...]) -> Share | None:
    limit = usual.INTAKE_LIMIT_K - 273.15
    shares = tuple((k - 273.15) / limit for k in kelvins)
    entries = measured.entries if measured else ()
    return Share("intake temperature", f"{limit:.0f} °C", "intercooler_outlet", "a larger charge cooler", shares,
                 0.03 if measured else 0.15, entries)  # fmt: skip
