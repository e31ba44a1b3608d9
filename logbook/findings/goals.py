"""What a wanted power or boost takes: torque and mean pressure, boost, injectors on the fuel, pump under boost."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.diagnosis.answers import Diagnosis
from logbook.findings import usual
from logbook.findings.cranking import place_air
from logbook.findings.fuels import fuel_of
from logbook.findings.injector_work import bsfc
from logbook.findings.injectors import injectors_wanted
from logbook.findings.limits import GROUP, NO_KNOCK
from logbook.findings.making import Did, Fed, fed, number, run
from logbook.findings.making import usual as assumed
from logbook.findings.measures import Measure, sets, single
from logbook.findings.model import Number
from logbook.findings.outlook import FULL_LOAD_LAMBDA, outlook_of, wanted
from logbook.findings.saying import figures, in_unit, with_spread
from logbook.findings.sheet import Sheet, sheet
from logbook.job.model import Job
from logbook.units import UNITS

_LBFT, _HP = UNITS["lbft"].factor, UNITS["hp"].factor


def torque(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Torque of the wanted power at the highest speed, and the mean pressure that it means."""
    goal, limit = wanted(job, "power"), single(job, "rev limit")
    if goal is None or limit is None or not job.engines:
        return
    feeds = [fed("power_hp", goal), fed("rpm", limit)]
    yield number(
        job, "torque_from_power", GROUP, f"Torque of {goal.text} at {limit.text}", feeds,
        lambda did: in_unit(job, did.result["torque_n_m"], "torque"),
        "At the rev limit. Made at a lower speed the same power takes more torque.",
    )  # fmt: skip
    found = sheet(job, job.engines[0])
    swept = _swept(found)
    if swept is not None:
        made = run("torque_from_power", feeds).result["torque_n_m"]
        yield number(
            job, "mean_effective_pressure", GROUP, f"Mean pressure of {goal.text} at {limit.text}",
            [Fed("torque_lbf_ft", made, in_unit(job, made, "torque"), goal.entries), swept],
            lambda did: in_unit(job, did.result["bmep_kpa"] * 1e3, "pressure"),
            "Engines without boost make 8.5 to 10.5 bar, boosted ones 12.5 to 17: more than its kind is a goal for "
            "another engine or another speed.",
        )  # fmt: skip


def _swept(found: Sheet) -> Fed | None:
    if found.bore is None or found.stroke is None:
        return None
    volume = 0.7853981633974483 * found.bore.value**2 * found.stroke.value * found.cylinders
    return Fed("displacement_l", volume, f"{volume * 1e3:.3f} l", (*found.bore.entries, *found.stroke.entries))


def boost(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """The wanted boost as absolute pressure, and the boost that the wanted power takes."""
    pressure, goal = wanted(job, "boost"), wanted(job, "power")
    air = place_air(job)
    if pressure is not None and pressure.value > 0:
        yield number(
            job, "gauge_to_absolute", GROUP, f"{pressure.text} of boost as absolute pressure",
            [fed("gauge_psi", pressure), air],
            lambda did: f"{did.result['absolute_kpa']:.0f} kPa abs", "What a manifold sensor shows at that boost.",
        )  # fmt: skip
    found = outlook_of(job)
    swept = _swept(sheet(job, job.engines[0])) if job.engines else None
    if goal is None or found is None or swept is None:
        return
    fuel = fuel_of(job)
    limit = single(job, "rev limit")
    ratio = FULL_LOAD_LAMBDA * fuel.afr
    feeds = [
        fed("power_hp", goal),
        swept,
        Fed("rpm", found.rpm[-1], f"{found.rpm[-1]:.0f} rpm", limit.entries if limit else ()),
        assumed("ve_manifold", usual.FULL_FILLING, f"{usual.FULL_FILLING:g}", 0.1 * usual.FULL_FILLING),
        assumed("manifold_k", found.manifold_k[-1], f"{found.manifold_k[-1] - 273.15:.0f} °C", 8.0),
        assumed("afr_mass", ratio, f"{ratio:.1f} (λ {FULL_LOAD_LAMBDA:g})", 0.03 * ratio),
        bsfc(job),
        air,
    ]

    def sentence(did: Did) -> str:
        words = (
            f"It takes {figures(did.result['air_lb_min'])} lb/min of air and {figures(did.result['fuel_lb_h'])} lb/h "
        )
        words += f"of {fuel.name} at {found.rpm[-1]:.0f} rpm, by usual filling and fuel use."
        return words if pressure is None else f"{words} Wanted is {pressure.text}."

    yield number(
        job, "boost_for_power", GROUP, f"Boost that {goal.text} take", feeds,
        lambda did: in_unit(job, did.result["boost_psi"] * 6894.757293168361, "pressure",
                            did.u.get("boost_psi", 0.0) * 6894.757293168361),
        sentence, cautions=(NO_KNOCK,),
    )  # fmt: skip


def on_fuel(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """Injectors for the wanted power where the fuel holds alcohol."""
    goal, fuel, count = wanted(job, "power"), fuel_of(job), injectors_wanted(job)
    if goal is None or not fuel.ethanol or count == 0:
        return
    # the fuel use on petrol: what alcohol adds is worked out here
    petrol = bsfc(job).value / fuel.more_than_petrol
    use = assumed("bsfc_lb_hp_h", petrol, f"{petrol / usual.BSFC_KG_J * 0.5:.2f} lb/(hp h) on petrol",
                  petrol * usual.BSFC_SPREAD)  # fmt: skip
    yield number(
        job, "injectors_on_fuel", GROUP, f"Injectors for {goal.text} on {fuel.name}",
        [fed("power_hp", goal), Fed("ethanol_percent", fuel.ethanol, f"{fuel.ethanol:g} %", fuel.entries), use,
         Fed("injectors", count, str(count)), assumed("max_duty", usual.DUTY, f"{100 * usual.DUTY:.0f} %")],
        lambda did: f"{with_spread(did.result['flow_cc_min'], did.u.get('flow_cc_min', 0.0), 'cc/min')} each",
        lambda did: f"By mass {figures(100 * (did.result['more_than_petrol'] - 1), 2)} % more than on petrol, and pump "
        "and line must carry as much more.",
    )  # fmt: skip


def pump(job: Job, diagnosis: Diagnosis) -> Iterator[Number]:
    """What the pump gives at rail pressure plus boost and at the volts that reach it."""
    tests = [s for s in sets(job, "pump") if s.measures]
    boosts = wanted(job, "boost")
    if not tests or boosts is None:
        return
    rated = tests[-1]
    pressure, volts = rated.condition("pressure"), rated.condition("volt")
    if pressure is None:
        return
    base = single(job, "fuel pressure", qualifiers=("key-on",))
    there = _volts_at_pump(job)
    feeds = [
        fed("rated_flow_l_h", rated.measures[-1]),
        fed("rated_gauge_kpa", pressure),
        fed("base_gauge_kpa", base) if base else assumed("base_gauge_kpa", usual.BASE_PRESSURE_PA, "3 bar"),
        fed("boost_gauge_kpa", boosts),
        fed("supply_v", there) if there else assumed("supply_v", usual.CHARGING_V, f"{usual.CHARGING_V:g} V", 0.3),
        fed("rated_v", volts) if volts else assumed("rated_v", usual.CHARGING_V, f"{usual.CHARGING_V:g} V"),
        assumed("fall_per_bar", 0.08, "8 % a bar", 0.03),
    ]
    yield number(
        job, "fuel_pump_at_pressure", GROUP, "Pump at rail plus boost", feeds,
        lambda did: with_spread(did.result["flow_l_h"], did.u.get("flow_l_h", 0.0), "l/h"),
        lambda did: f"{100 * did.result['share_of_rating']:.0f} % of its rating, against "
        f"{in_unit(job, did.result['rail_gauge_kpa'] * 1e3, 'pressure')}. The pump's own curve comes first.",
    )  # fmt: skip


def _volts_at_pump(job: Job) -> Measure | None:
    found = [m for s in sets(job, "feed", part_kind="pump") for m in s.measures if m.dimension == "volt"]
    return found[-1] if found else None
