"""Boost, air and fuel for what is wanted, each against its limit, and which part gives out first."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.cranking import place_air
from logbook.findings.fuels import fuel_of
from logbook.findings.injector_work import bsfc
from logbook.findings.making import Did, Fed, number
from logbook.findings.making import usual as assumed
from logbook.findings.measures import single
from logbook.findings.model import Number
from logbook.findings.outlook import Outlook, Share, feed_line, outlook_of, pump_rating, wanted
from logbook.findings.pulls import curves, summaries
from logbook.findings.saying import figures, in_unit, listed, with_spread
from logbook.findings.sheet import sheet
from logbook.job.model import Job
from logbook.units import UNITS

GROUP = "limits"
NO_KNOCK = (
    "No knock margin, no timing and no safe boost is worked out here, or anywhere. Measure the intake temperature, "
    "start rich and retarded, listen, and stop at the first rattle."
)
_HP = UNITS["hp"].factor


def first(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Which part gives out first."""
    found = outlook_of(job)
    if found is None or not found.shares:
        return
    share = found.first
    yield number(
        job, share.calculation, GROUP, "What runs out first", _feeds(job, found, share),
        f"{share.name}, {100 * max(share.values):.0f} % of its limit", _first_words(job, found),
        out=max(share.values) > 1, cautions=(NO_KNOCK,),
    )  # fmt: skip


def _first_words(job: Job, found: Outlook) -> str:
    rows = sorted(found.shares, key=lambda s: (-round(max(s.values), 9), s.name))
    top = rows[0]
    peak, at = max(top.values), found.speed_of(top)
    doubt = 2 * top.u * peak
    words = f"At {found.goal} boost" if found.boost_pa and max(found.boost_pa) > 0 else "At full load"
    passes = "pass their" if top.name == "injectors" else "passes its"
    if peak >= 1:
        words += f" the {top.name} {passes} limit ({top.limit}) at {at:.0f} rpm: change that first, by {top.change}."
    else:
        words += f" nothing passes its limit; nearest is the {top.name} ({top.limit}) with {100 * peak:.0f} ± "
        words += f"{100 * doubt:.0f} % at {at:.0f} rpm. To go further, first {top.change}."
    rest = [f"{s.name} {100 * max(s.values):.0f} %" for s in rows[1:]]
    words = f"{words} Then {listed(rest)}." if rest else words
    unused = [f"'{job.entries[e].line_text}'" for e in summaries(job)]
    return f"{words} Not used, since the run has its points: {listed(unused)}." if unused else words


def _feeds(job: Job, found: Outlook, share: Share) -> list[Fed]:
    """The inputs of the first limit's own row, at the speed where it is highest."""
    index = found.rpm.index(found.speed_of(share))
    rpm = found.rpm[index]
    measured = sheet(job, job.engines[0])
    fuel = fuel_of(job)
    power = found.fuel_kg_s[index] / bsfc(job).value
    if share.calculation == "mean_piston_speed" and measured.stroke:
        limit = measured.rev_limit.entries if measured.rev_limit else ()
        return [Fed("stroke_mm", measured.stroke.value, measured.stroke.text, measured.stroke.entries),
                Fed("rpm", rpm, f"{rpm:.0f} rpm", limit)]  # fmt: skip
    fed_power = Fed(
        "power_hp", power, f"{figures(power / _HP)} hp (what that fuel carries)", share.entries, 0.1 * power
    )
    if share.calculation == "fuel_pump_flow":
        return [fed_power, bsfc(job), fuel.density("density_kg_m3"), assumed("margin", 1.0, "1")]
    if share.calculation == "injector_size_for_power":
        return [fed_power, bsfc(job), Fed("injectors", measured.cylinders, str(measured.cylinders)),
                assumed("max_duty", usual.DUTY, f"{100 * usual.DUTY:.0f} %")]  # fmt: skip
    if share.calculation == "line_velocity":
        line, rating = feed_line(job), pump_rating(job)
        assert line and rating
        return [Fed("flow_l_h", rating.value, rating.text, rating.entries),
                Fed("bore_mm", line[0].value, line[0].text, line[0].entries)]  # fmt: skip
    return _cooler(job, found, index)


def _outside_k(job: Job) -> float:
    return 293.15 if job.air_c is None else job.air_c + 273.15


def _cooler(job: Job, found: Outlook, index: int) -> list[Fed]:
    """Charge before the cooler by the compressor's efficiency; effectiveness as measured, where the intake was."""
    air = place_air(job).value
    outside = _outside_k(job)
    ratio = max(1.0, (air + found.boost_pa[index]) / (air - usual.INLET_LOSS_PA))
    hot = outside + outside * (ratio ** (0.4 / 1.4) - 1) / usual.COMPRESSOR_EFFICIENCY
    measured = curves(job).get("intake-air")
    effect = usual.COOLER_EFFECTIVENESS
    if measured is not None and hot > outside:
        effect = min(1.0, max(0.0, (hot - found.manifold_k[index]) / (hot - outside)))
    shown = f"{effect:.2f}" + (" (from the intake temperature measured)" if measured else "")
    source = "" if measured else "typical value, not measured"
    return [
        Fed("hot_inlet_k", hot, f"{hot - 273.15:.0f} °C", (), 8.0, "compressor of usual efficiency"),
        Fed("coolant_inlet_k", outside, f"{outside - 273.15:.0f} °C", _air_entries(job), 2.0),
        Fed("effectiveness", effect, shown, measured.entries if measured else (), 0.0, source),
    ]


def _air_entries(job: Job) -> tuple[int, ...]:
    return tuple(dict.fromkeys(r.entry for r in job.readings if r.test == "place" and r.slot == "air" and r.counts))


def boosted(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Pressure ratio, temperatures, density and the point on a compressor's map at the highest speed."""
    found = outlook_of(job)
    if found is None or max(found.boost_pa) <= 0:
        return
    index = max(range(len(found.rpm)), key=lambda i: (found.boost_pa[i], found.rpm[i]))
    boost = found.boost_pa[index]
    goal = wanted(job, "boost")
    pulled = curves(job).get("boost")
    entries = goal.entries if goal else pulled.entries if pulled else ()
    gauge = Fed("boost_gauge_psi", boost, in_unit(job, boost, "pressure"), entries, 2e3)
    air = place_air(job)
    loss = assumed("inlet_loss_psi", usual.INLET_LOSS_PA, f"{usual.INLET_LOSS_PA / 1e3:g} kPa", 1e3)
    yield number(
        job, "boost_pressure_ratio", GROUP, "Pressure ratio", [gauge, loss, air],
        lambda did: with_spread(did.result["pressure_ratio"], did.u.get("pressure_ratio", 0.0)),
        lambda did: f"{did.result['manifold_kpa_abs']:.0f} kPa abs in the manifold. What the cooler loses comes on "
        "top at the compressor.",
        cautions=(NO_KNOCK,),
    )  # fmt: skip
    ratio = (boost + air.value) / (air.value - usual.INLET_LOSS_PA)
    outside = _outside_k(job)
    inlet = Fed("inlet_k", outside, f"{outside - 273.15:.0f} °C", _air_entries(job), 2.0)
    pressure_ratio = Fed("pressure_ratio", ratio, figures(ratio), entries, 0.03)
    efficiency = usual.COMPRESSOR_EFFICIENCY
    yield number(
        job, "compressor_outlet_temperature", GROUP, "Temperature behind the compressor",
        [inlet, pressure_ratio, assumed("isentropic_efficiency", efficiency, f"{100 * efficiency:.0f} %", 0.04)],
        lambda did: in_unit(job, did.result["outlet_k"], "temperature", did.u.get("outlet_k", 0.0)),
        "Before the cooler; read the efficiency off the compressor's map.",
    )  # fmt: skip
    yield number(
        job, "intercooler_outlet", GROUP, "Temperature behind the cooler", _cooler(job, found, index),
        lambda did: in_unit(job, did.result["outlet_k"], "temperature", did.u.get("outlet_k", 0.0)),
        _cooler_words(found, index),
    )  # fmt: skip
    yield from _air_numbers(job, found, index, air, entries)


def _cooler_words(found: Outlook, index: int) -> str:
    celsius, limit = found.manifold_k[index] - 273.15, usual.INTAKE_LIMIT_K - 273.15
    side = "above" if celsius > limit else "below"
    return f"{celsius:.0f} °C in the manifold is {side} the {limit:.0f} °C beyond which an engine is asked for less."


def _air_numbers(job: Job, found: Outlook, index: int, air: Fed, entries: tuple[int, ...]) -> Iterator[Number]:
    top = len(found.rpm) - 1
    outside = _outside_k(job)
    manifold = found.boost_pa[index] + air.value
    kelvin = found.manifold_k[index]
    yield number(
        job, "density_ratio", GROUP, "Density of the charge against outside",
        [Fed("ambient_kpa", air.value, air.text, air.entries, air.u, air.source),
         Fed("ambient_k", outside, f"{outside - 273.15:.0f} °C", _air_entries(job), 2.0),
         Fed("manifold_kpa", manifold, f"{manifold / 1e3:.0f} kPa abs", entries, 2e3),
         Fed("manifold_k", kelvin, f"{kelvin - 273.15:.0f} °C", entries, 3.0)],
        lambda did: with_spread(did.result["density_ratio"], did.u.get("density_ratio", 0.0)),
        lambda did: f"The pressure ratio promises {figures(manifold / air.value)}; the heat takes the rest.",
    )  # fmt: skip
    measured = sheet(job, job.engines[0])
    assert measured.bore and measured.stroke
    swept = 0.7853981633974483 * measured.bore.value**2 * measured.stroke.value * measured.cylinders
    boost_top = found.boost_pa[top] + air.value
    feeds = [
        Fed("displacement_l", swept, f"{swept * 1e3:.3f} l", (*measured.bore.entries, *measured.stroke.entries)),
        Fed(
            "rpm", found.rpm[top], f"{found.rpm[top]:.0f} rpm", measured.rev_limit.entries if measured.rev_limit else ()
        ),
        assumed("ve_manifold", usual.FULL_FILLING, f"{usual.FULL_FILLING:g}", 0.1 * usual.FULL_FILLING),
        Fed("manifold_kpa", boost_top, f"{boost_top / 1e3:.0f} kPa abs", entries, 2e3),
        Fed("manifold_k", found.manifold_k[top], f"{found.manifold_k[top] - 273.15:.0f} °C", entries, 3.0),
    ]
    yield number(
        job, "engine_air_flow", GROUP, "Air at the highest speed", feeds,
        lambda did: in_unit(job, did.result["air_g_s"] * 1e-3, "air flow", did.u.get("air_g_s", 0.0) * 1e-3),
        "The filling is a guess of a tenth either way and carries straight through.",
    )  # fmt: skip
    flow = Fed(
        "air_kg_s", found.air_kg_s[top], f"{found.air_kg_s[top] * 1e3:.0f} g/s", entries, 0.1 * found.air_kg_s[top]
    )
    inlet = air.value - usual.INLET_LOSS_PA
    ratio = (found.boost_pa[top] + air.value) / inlet
    yield number(
        job, "corrected_flow", GROUP, "Point on the compressor's map",
        [flow, Fed("inlet_k", outside, f"{outside - 273.15:.0f} °C", _air_entries(job), 2.0),
         Fed("inlet_kpa", inlet, f"{inlet / 1e3:.1f} kPa abs", air.entries, 1e3)],
        lambda did: f"{with_spread(did.result['corrected_kg_s'], did.u.get('corrected_kg_s', 0.0), 'kg/s')} at a "
        f"pressure ratio of {ratio:.2f}",
        "Put this point on the compressor's own map, at the map's own reference (25 °C and 101.325 kPa here). Keep "
        "about 15 % from its surge and choke lines, and never draw the map on.",
    )  # fmt: skip
    yield number(
        job, "air_flow_units", GROUP, "The same air by volume",
        [Fed("air_lb_min", flow.value, flow.text, flow.entries, flow.u),
         Fed("pressure_kpa", inlet, f"{inlet / 1e3:.1f} kPa abs", air.entries, 1e3),
         Fed("temperature_k", outside, f"{outside - 273.15:.0f} °C", _air_entries(job), 2.0)],
        lambda did: f"{with_spread(did.result['flow_cfm'], did.u.get('flow_cfm', 0.0), 'ft³/min')}",
        "At the compressor's inlet; without the inlet's state the figure means nothing.",
    )  # fmt: skip
    yield from _power(job, found, top, flow)


def _power(job: Job, found: Outlook, top: int, flow: Fed) -> Iterator[Number]:
    ratio = found.air_kg_s[top] / found.fuel_kg_s[top]
    source = "from the pulls" if curves(job).get("afr") else "typical value, not measured"
    afr = Fed("afr_mass", ratio, f"{ratio:.1f} (true)", (), 0.02 * ratio, source)
    goal = wanted(job, "power")

    def sentence(did: Did) -> str:
        watts, u = did.result["power_kw"] * 1e3, did.u.get("power_kw", 0.0) * 1e3
        words = "Linear in three guesses: air, mixture and fuel use. It is what the air can carry, no promise."
        if goal is None:
            return words
        if goal.value > watts + 2 * u:
            return f"Less than the {goal.text} wanted, beyond the doubt: it takes more air. {words}"
        if goal.value > watts - 2 * u:
            return f"The {goal.text} wanted lie within the doubt. {words}"
        return f"More than the {goal.text} wanted. {words}"

    yield number(
        job, "power_from_air", GROUP, "Power this much air allows", [flow, afr, bsfc(job)],
        lambda did: in_unit(job, did.result["power_kw"] * 1e3, "power", did.u.get("power_kw", 0.0) * 1e3), sentence,
    )  # fmt: skip


def in_other_words(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The wanted power in the unit that is not in the log."""
    goal = wanted(job, "power")
    if goal is None:
        return
    to = "kW" if goal.unit in ("hp", "PS") else "hp"
    value = UNITS[goal.unit].from_si(goal.value)
    yield number(
        job, "unit_conversion", GROUP, "The power wanted",
        [Fed("value", value, figures(value), goal.entries, goal.u / UNITS[goal.unit].factor),
         Fed("unit", goal.unit, goal.unit), Fed("to", to, to)],
        lambda did: f"{figures(did.result['value'])} {to}",
        "At the crank, as the log wants it.",
    )  # fmt: skip


def gate(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """At which boost the wastegate cracks, with as much pressure before the turbine as boost."""
    slots = {slot: single(job, "wastegate", slot=slot) for slot in ("spring", "diaphragm", "valve")}
    spring, diaphragm, valve = slots["spring"], slots["diaphragm"], slots["valve"]
    if spring is None or diaphragm is None or valve is None:
        return
    back = assumed(
        "exhaust_dp_kpa", spring.value, f"{spring.value / 1e3:.0f} kPa, as much as the boost", 0.3 * spring.value
    )
    yield number(
        job, "wastegate_balance", GROUP, "Boost where the wastegate opens",
        [Fed("diaphragm_mm", diaphragm.value, diaphragm.text, diaphragm.entries, diaphragm.u),
         Fed("valve_mm", valve.value, valve.text, valve.entries, valve.u),
         Fed("spring_rating_kpa", spring.value, spring.text, spring.entries, spring.u), back],
        lambda did: in_unit(job, did.result["crack_boost_kpa"] * 1e3, "pressure",
                            did.u.get("crack_boost_kpa", 0.0) * 1e3),
        "The lowest boost it can hold; a controller only raises it. No statement of what the engine stands.",
        cautions=(NO_KNOCK,),
    )  # fmt: skip
