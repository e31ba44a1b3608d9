"""Laws that hold for every value: units in and out, monotone where physics is, inverse pairs, scale, order, cents."""

import math
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from logbook.formulas import registry
from logbook.formulas.keys import ENDINGS, split
from logbook.formulas.refusals import Refusal
from logbook.formulas.rows import Input
from logbook.formulas.working import work

sizes = st.floats(0.5, 500, allow_nan=False)
psi = st.lists(st.floats(20, 250, allow_nan=False), min_size=4, max_size=16)
amounts = st.decimals(0, 10**6, places=2, allow_nan=False, allow_infinity=False)


@given(st.sampled_from(sorted(ENDINGS)), st.data())
def test_every_unit_goes_in_and_comes_out(dimension: str, data: st.DataObject) -> None:
    ending = data.draw(st.sampled_from(ENDINGS[dimension]))
    value = data.draw(st.floats(-1e6, 1e6, allow_nan=False))
    assert ending.give(ending.take(value)) == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_every_key_is_split_into_its_stem_and_unit() -> None:
    for dimension, endings in ENDINGS.items():
        for ending in endings:
            if ending.text:
                found = split(f"stem_{ending.text}", dimension)
                assert found is not None and found[0] == "stem" and found[1] == ending


@given(st.floats(60, 130), st.floats(60, 130), st.integers(1, 16))
def test_a_calculation_does_not_mind_the_unit_of_its_inputs(bore: float, stroke: float, count: int) -> None:
    metric = work("displacement", {"bore_mm": bore, "stroke_mm": stroke, "cylinders": count}).result
    inches = work("displacement", {"bore_in": bore / 25.4, "stroke_cm": stroke / 10, "cylinders": count}).result
    assert metric["displacement_cc"] == pytest.approx(inches["displacement_cc"], rel=1e-12)
    assert metric["displacement_cc"] == pytest.approx(metric["displacement_cu_in"] * 16.387064, rel=1e-12)


@given(psi, st.floats(0.01, 50))
def test_spreads_do_not_mind_the_scale_of_the_gauge(readings: list[float], scale: float) -> None:
    one = work("compression_spread", {"readings_psi": readings}).result
    other = work("compression_spread", {"readings_psi": [scale * r for r in readings]}).result
    assert one["spread_of_max"] == pytest.approx(other["spread_of_max"], abs=1e-9)
    assert one["spread_of_max"] + one["low_over_high"] == pytest.approx(1)


@given(psi, st.randoms(use_true_random=False))
def test_sets_do_not_mind_their_order(readings: list[float], shuffle: object) -> None:
    mixed = list(readings)
    shuffle.shuffle(mixed)  # type: ignore[attr-defined]
    for name in ("compression_spread", "compression_limits"):
        assert work(name, {"readings_psi": readings}).result == work(name, {"readings_psi": mixed}).result
    best = [
        work("injector_best_subset", {"flows_cc_min": flows, "choose": 3}).result["min_range_cc_min"]
        for flows in (readings, mixed)
    ]
    assert best[0] == pytest.approx(best[1])


@given(psi)
def test_the_best_set_is_no_worse_than_any_other(flows: list[float]) -> None:
    best = work("injector_best_subset", {"flows_cc_min": flows, "choose": 4}).result
    chosen = [flows[n - 1] for n in best["chosen"]]
    assert max(chosen) - min(chosen) == pytest.approx(best["min_range_cc_min"])
    assert best["min_range_cc_min"] <= max(flows[:4]) - min(flows[:4]) + 1e-9


Law = tuple[str, str, float, float, dict[str, object], str]
_RISING: tuple[Law, ...] = (
    ("cranking_pressure", "trapped_cr", 3.0, 12.0, {"exponent": 1.28, "ambient_kpa": 100}, "gauge_kpa"),
    ("cranking_pressure", "exponent", 1.0, 1.4, {"trapped_cr": 8, "ambient_kpa": 100}, "gauge_kpa"),
    ("mean_piston_speed", "rpm", 0, 9000, {"stroke_mm": 80}, "speed_m_s"),
    ("injector_flow_at_pressure", "dp_kpa", 100, 900, {"flow": 200, "reference_dp_kpa": 300}, "flow"),
    ("compressor_outlet_temperature", "pressure_ratio", 1, 4, {"inlet_k": 300, "isentropic_efficiency": 1}, "outlet_k"),
    ("line_velocity", "flow_l_h", 1, 900, {"bore_mm": 8}, "velocity_m_s"),
    ("line_pressure_drop", "length_m", 0.1, 20, {"flow_l_h": 200, "bore_mm": 8}, "drop_kpa"),
    ("copper_temperature", "temperature_c", -50, 150, {"resistance_20c_ohm": 14}, "resistance_ohm"),
    ("coil_current_rise", "dwell_ms", 0, 20, {"inductance_mh": 3, "resistance_ohm": 0.5, "supply_v": 12}, "current_a"),
    ("battery_rest_state", "open_circuit_v", 9, 14.8, {}, "charge_percent"),
    ("end_gas_temperature", "start_k", 280, 450, {"start_kpa": 150, "end_kpa": 5000}, "end_k"),
    ("saturation_vapour_pressure", "temperature_c", -40, 50, {}, "pressure_kpa"),
    ("diluted_lambda_no_fuel", "firing_lambda", 0.6, 1.3, {"cylinders": 8, "firing": 6}, "mixture_lambda"),
    ("bolt_torque", "preload_kn", 1, 100, {"nut_factor": 0.2, "nominal_mm": 10}, "torque_n_m"),
    ("ujoint_speed_variation", "joint_angle_deg", 0, 45, {}, "peak_to_peak_fraction"),
    ("road_speed", "rpm", 0, 8000, {"gear_ratio": 1, "axle_ratio": 4, "rolling_diameter_m": 0.7}, "speed_km_h"),
    ("boost_pressure_ratio", "altitude_m", 0, 4000, {"boost_gauge_psi": 10}, "pressure_ratio"),
    ("fuel_blend_by_volume", "ethanol_volume_percent", 0, 100, {}, "density_kg_m3"),
)  # fmt: skip


@pytest.mark.parametrize("law", _RISING, ids=[f"{law[0]}-{law[1]}" for law in _RISING])
@given(data=st.data())
def test_rises_where_physics_does(law: Law, data: st.DataObject) -> None:
    name, key, low, high, rest, out = law
    first, second = sorted(data.draw(st.tuples(st.floats(low, high), st.floats(low, high))))
    assume(second - first > 1e-6 * (high - low))
    before, after = (work(name, {**rest, key: v}).result[out] for v in (first, second))
    assert after >= before - 1e-12 * abs(before)


@given(st.floats(4, 12), st.floats(1.0, 1.4), st.floats(60, 105))
def test_pressure_and_exponent_are_inverse(ratio: float, exponent: float, ambient: float) -> None:
    pressed = work("cranking_pressure", {"trapped_cr": ratio, "exponent": exponent, "ambient_kpa": ambient}).result
    back = work(
        "cranking_exponent_from_reading",
        {"trapped_cr": ratio, "gauge_kpa": pressed["gauge_kpa"], "ambient_kpa": ambient},
    ).result
    assert back["effective_exponent"] == pytest.approx(exponent, rel=1e-9)


@given(st.floats(-400, 10_000))
def test_height_and_pressure_are_inverse(height: float) -> None:
    pressure = work("isa_atmosphere", {"geopotential_altitude_m": height}).result["pressure_kpa"]
    back = work("pressure_altitude", {"station_pressure_kpa": pressure}).result["geopotential_altitude_m"]
    assert back == pytest.approx(height, abs=1e-6)


@given(st.floats(50, 1000), st.floats(0.42, 0.9), st.integers(1, 12), st.floats(0.5, 0.9))
def test_size_and_power_are_inverse(power: float, bsfc: float, count: int, duty: float) -> None:
    rest = {"bsfc_lb_hp_h": bsfc, "injectors": count, "max_duty": duty}
    size = work("injector_size_for_power", {"power_hp": power, **rest}).result["flow_lb_h"]
    back = work("injector_power_limit", {"flow_lb_h": size, **rest}).result["power_hp"]
    assert back == pytest.approx(power, rel=1e-12)


@given(st.floats(50, 2000), st.floats(680, 820))
def test_volume_and_mass_are_inverse(flow: float, density: float) -> None:
    mass = work("injector_flow_units", {"flow_cc_min": flow, "density_kg_m3": density}).result["flow_g_s"]
    back = work("injector_flow_units", {"flow_g_s": mass, "density_kg_m3": density}).result["flow_cc_min"]
    assert back == pytest.approx(flow, rel=1e-12)


@given(st.integers(1, 12), st.data(), st.floats(0.6, 1.2))
def test_dilution_turns_back(cylinders: int, data: st.DataObject, lambda_: float) -> None:
    from logbook.formulas.exhaust import firing_lambda_without_fuel

    firing = data.draw(st.integers(1, cylinders))
    given_ = {"cylinders": cylinders, "firing": firing, "firing_lambda": lambda_}
    mixed = work("diluted_lambda_no_fuel", given_).result["mixture_lambda"]
    assert firing_lambda_without_fuel(cylinders, firing, mixed) == pytest.approx(lambda_)
    band = work("diluted_lambda_no_spark", given_).result
    assert band["lower_bound"] <= mixed + 1e-12 and mixed <= band["upper_bound"] + 1e-12


@given(amounts, st.lists(st.decimals(0, 10**4, places=2), min_size=1, max_size=20))
def test_cents_add_up(cost: Decimal, values: list[Decimal]) -> None:
    assume(sum(values) > 0)
    shares = work(
        "donor_cost_allocation", {"donor_cost": str(cost), "expected_values": [str(v) for v in values]}
    ).result
    assert sum(Decimal(s) for s in shares["allocated"]) == cost == Decimal(shares["sum"])
    assert all(Decimal(s) == 0 for s, v in zip(shares["allocated"], values, strict=True) if v == 0)


@given(st.decimals(-(10**6), 10**6, places=5, allow_nan=False, allow_infinity=False))
def test_rounding_mirrors_and_stays_within_half_a_cent(amount: Decimal) -> None:
    one = work("money_round", {"amount": str(amount)}).result
    other = work("money_round", {"amount": str(-amount)}).result
    assert Decimal(one["half_up"]) == -Decimal(other["half_up"])
    assert abs(Decimal(one["half_up"]) - amount) <= Decimal("0.005")


@given(st.lists(st.integers(1, 12), min_size=1, max_size=12, unique=True), st.data())
def test_a_shake_does_not_mind_where_the_order_begins(numbers: list[int], data: st.DataObject) -> None:
    order = [sorted(numbers).index(n) + 1 for n in numbers]
    dead = data.draw(st.lists(st.sampled_from(order), unique=True, max_size=len(order) - 1)) if len(order) > 1 else []
    turn = data.draw(st.integers(0, len(order) - 1))
    given_ = {"cylinders": len(order), "dead_cylinders": dead}
    key = "relative_amplitude_by_cycle_harmonic"
    one = work("firing_spectrum", {**given_, "firing_sequence": order}).result[key]
    other = work("firing_spectrum", {**given_, "firing_sequence": order[turn:] + order[:turn]}).result[key]
    assert one == pytest.approx(other, abs=1e-9)
    assert one[-1] == pytest.approx(len(order) - len(dead))


@given(st.floats(-5, 5), st.floats(0.1, 3), st.floats(-5, 5), st.floats(0.1, 3))
def test_before_and_after_change_places(before: float, u_before: float, after: float, u_after: float) -> None:
    one = work("compare_readings", {"before": before, "u_before": u_before, "after": after, "u_after": u_after}).result
    other = work(
        "compare_readings", {"before": after, "u_before": u_after, "after": before, "u_after": u_before}
    ).result
    assert one["difference"] == -other["difference"]
    assert one["p_two_sided"] == pytest.approx(other["p_two_sided"])


_BAD = (math.nan, math.inf, -math.inf, "12", "", None, True, [[1.0]], {"a": 1}, object())


@pytest.mark.parametrize("name", sorted(registry.rows()))
def test_no_bad_value_gets_in_anywhere(name: str) -> None:
    """NaN, infinity, text, nothing, true, lists and objects in each input in turn: a named refusal, never a number."""
    row = registry.find(name)
    good = {i.key: _plausible(i) for i in row.inputs if i.sort != "open"}
    for place in row.inputs:
        if place.sort in ("open", "text"):
            continue
        for bad in _BAD:
            if (place.sort == "flag" and bad is True) or (place.sort == "money" and bad == "12"):
                continue
            with pytest.raises(Refusal) as caught:
                work(name, {**good, place.key: bad if place.depth == 0 else [bad]})
            assert caught.value.limit
        if place.depth:
            with pytest.raises(Refusal):
                work(name, {**good, place.key: "150"})


def _plausible(place: Input) -> object:
    value: object = {"number": 1.0, "whole": 4, "flag": False, "text": "psi", "money": "10.00"}[place.sort]
    for _ in range(place.depth):
        value = [value, value, value, value]
    return value


@pytest.mark.parametrize("name", sorted(registry.rows()))
def test_a_missing_and_an_unknown_input_are_named(name: str) -> None:
    row = registry.find(name)
    for place in (i for i in row.inputs if not i.optional and i.sort != "open"):
        rest = {i.key: _plausible(i) for i in row.inputs if i is not place and i.sort != "open"}
        with pytest.raises(Refusal) as caught:
            work(name, rest)
        assert caught.value.field
        break
    if not any(i.sort == "open" for i in row.inputs):
        with pytest.raises(Refusal) as caught:
            work(name, {"no_such_thing": 1.0})
        assert caught.value.field == "no_such_thing"
