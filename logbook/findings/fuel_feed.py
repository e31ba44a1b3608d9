"""From tank to rail for the wanted power: pump, feed line, regulator."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.fuels import fuel_of
from logbook.findings.injector_work import bsfc
from logbook.findings.making import Did, Fed, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, of_reading, single
from logbook.findings.model import Number
from logbook.findings.outlook import feed_line, pump_rating, wanted
from logbook.findings.saying import figures, in_unit, percent, plain, with_spread
from logbook.job.model import Job

GROUP = "limits"


def supply(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Pump, feed line and rail for the wanted power."""
    fuel, goal, rating, line = fuel_of(job), wanted(job, "power"), pump_rating(job), feed_line(job)
    if goal is not None:
        have = rating.value if rating else 0.0
        yield number(
            job, "fuel_pump_flow", GROUP, f"Pump for {goal.text}",
            [Fed("power_hp", goal.value, goal.text, goal.entries), bsfc(job), fuel.density("density_kg_m3"),
             assumed("margin", 1.2, "1.2")],
            lambda did: with_spread(did.result["flow_l_h"], did.u.get("flow_l_h", 0.0), "l/h"),
            lambda did: _pump_words(did, have), out=lambda did: 0 < have < did.result["flow_l_h"] / 3.6e6,
        )  # fmt: skip
        yield from _efficiency(job)
    if line is None or rating is None:
        return
    bore, length = line
    yield number(
        job, "line_velocity", GROUP, "Speed of the fuel in the feed line",
        [Fed("flow_l_h", rating.value, rating.text, rating.entries), Fed("bore_mm", bore.value, bore.text, bore.entries,
         bore.u)],
        lambda did: with_spread(did.result["velocity_m_s"], did.u.get("velocity_m_s", 0.0), "m/s"),
        lambda did: f"{percent(did.result['velocity_m_s'] / usual.LINE_SPEED_LIMIT_M_S)} of the 3 m/s of a delivery "
        "line; before the pump it should stay under 1 m/s.",
        out=lambda did: did.result["velocity_m_s"] > usual.LINE_SPEED_LIMIT_M_S,
    )  # fmt: skip
    if length is None:
        return
    feeds = [Fed("flow_l_h", rating.value, rating.text, rating.entries), Fed("bore_mm", bore.value, bore.text,
             bore.entries, bore.u), Fed("length_m", length.value, length.text, length.entries),
             fuel.density("density_kg_m3")]  # fmt: skip
    yield number(
        job, "line_pressure_drop", GROUP, "Pressure lost in the feed line", feeds,
        lambda did: with_spread(did.result["drop_kpa"], did.u.get("drop_kpa", 0.0), "kPa"),
        lambda did: f"Straight drawn tube without fittings, Reynolds number {figures(did.result['reynolds'], 2)}, "
        + ("laminar." if did.result["laminar"] else "turbulent."),
    )  # fmt: skip
    speed = rating.value / (0.7853981633974483 * bore.value**2)
    reynolds = fuel.density_kg_m3 * speed * bore.value / 0.00055
    yield number(
        job, "friction_factor_colebrook", GROUP, "Friction in the feed line",
        [Fed("reynolds", reynolds, figures(reynolds, 3), (*rating.entries, *bore.entries)),
         assumed("relative_roughness", 1.5e-6 / bore.value, f"{1.5e-6 / bore.value:.5f}")],
        lambda did: plain(did.result["darcy_friction_factor"], 4), "The factor behind the loss above (Darcy's).",
    )  # fmt: skip


def _pump_words(did: Did, have: float) -> str:
    need = did.result["flow_l_h"] / 3.6e6
    if have <= 0:
        return (
            "Add the pump ('pump: 255 l/h @ 3 bar') to hold it against. It holds at its rated pressure and volts only."
        )
    verdict = "enough" if have >= need else "too small"
    return f"The pump's {have * 3.6e6:.0f} l/h are {verdict} at its rated pressure and volts; boost and low volts cost."


def _efficiency(job: Job) -> Iterator[Number]:
    fuel = fuel_of(job)
    name = "ethanol" if (fuel.ethanol or 0) >= 50 else "gasoline"
    yield number(
        job, "lower_heating_value", GROUP, f"Heat in {name}", [Fed("fuel", name, name, fuel.entries)],
        lambda did: f"{plain(did.result['lhv_mj_kg'], 1)} MJ/kg", "What a kilogram gives when it burns.",
    )  # fmt: skip
    heat = fuel.heat_j_kg
    use = bsfc(job)
    yield number(
        job, "bsfc_efficiency", GROUP, "Efficiency that the usual fuel use means",
        [use, assumed("lhv_mj_kg", heat, f"{heat / 1e6:.1f} MJ/kg ({fuel.name})")],
        lambda did: percent(did.result["efficiency"], did.u.get("efficiency", 0.0)),
        "Between 20 and 40 % is believable; it checks the fuel use that the sizes rest on.",
    )  # fmt: skip


def rail(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """What the regulator should hold at idle and under boost, against what was read."""
    base = single(job, "fuel pressure", qualifiers=("key-on",))
    idle = single(job, "fuel pressure", qualifiers=("idle",))
    vacuum = _vacuum(job, idle or base)
    if base is None or vacuum is None:
        return

    def sentence(did: Did) -> str:
        words = "If the regulator feels the manifold. The pressure across the injectors then stays the same."
        if idle is None:
            return f"{words} Read it at idle to know ('fuel pressure idle: ...')."
        expected = did.result["rail_gauge_kpa"] * 1e3
        u = 2 * (did.u.get("rail_gauge_kpa", 0.0) ** 2 * 1e6 + idle.u**2 + 5e3**2) ** 0.5
        if abs(idle.value - expected) <= u:
            return f"Read was {idle.text}: the regulator feels the manifold, and does its work."
        if abs(idle.value - base.value) <= u:
            return f"Read was {idle.text}, as with the key on: its hose is off, split, or it has none."
        return f"Read was {idle.text}, which neither fits: look at the regulator, its hose and the return."

    yield number(
        job, "rail_pressure", GROUP, "Rail pressure at idle",
        [Fed("base_gauge_kpa", base.value, base.text, base.entries, base.u),
         Fed("manifold_gauge_kpa", -vacuum.value, f"−{vacuum.text}", vacuum.entries, vacuum.u),
         assumed("referenced", True, "yes", source="as most regulators at the rail")],
        lambda did: in_unit(
            job, did.result["rail_gauge_kpa"] * 1e3, "pressure", did.u.get("rail_gauge_kpa", 0.0) * 1e3
        ),
        sentence,
    )  # fmt: skip


def _vacuum(job: Job, beside: Measure | None) -> Measure | None:
    """The idle vacuum written nearest to another reading."""
    found = [
        m
        for r in job.readings
        if (r.test == "idle" and r.slot == "vacuum") or r.test == "vacuum"
        if (m := of_reading(r)) is not None
    ]
    if not found or beside is None:
        return None
    return min(found, key=lambda m: (abs(m.entries[0] - beside.entries[0]), m.entries[0]))
