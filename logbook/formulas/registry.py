"""The table of every calculation. Pages, terminal and reference are made from it; nothing else lists them.

Books and standards that a row names are cited from memory: none was opened while writing. That holds for all of them
and is said here once.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable
from functools import cache
from types import MappingProxyType
from typing import Any

from logbook.formulas import (
    air,
    bolts,
    boost,
    cam,
    clearances,
    compression,
    conversion,
    cooling,
    cranking,
    drivetrain,
    electrical,
    exhaust,
    fasteners,
    firing,
    fuel_supply,
    fuelling,
    gas_flow,
    gearing,
    geometry,
    ignition,
    injector_pulses,
    injector_sets,
    injectors,
    leakdown,
    loads,
    mixture,
    money,
    power,
    pressures,
    pricing,
    torque_power,
    uncertainty,
    valvetrain,
)
from logbook.formulas.refusals import UnknownCalculation
from logbook.formulas.rows import Row, make

_Line = tuple[Callable[..., Any], str, str]

_TABLE: dict[str, tuple[_Line, ...]] = {
    "geometry": (
        (geometry.displacement, "bore_mm stroke_mm cylinders", "displacement_cc displacement_cu_in"),
        (
            geometry.clearance_volume,
            "bore_mm chamber_cc piston_cc gasket_bore_mm gasket_thickness_mm deck_clearance_mm stroke_mm",
            "gasket_cc deck_cc clearance_cc",
        ),
        (
            geometry.static_compression_ratio,
            "bore_mm stroke_mm chamber_cc piston_cc gasket_bore_mm gasket_thickness_mm deck_clearance_mm",
            "compression_ratio",
        ),
        (geometry.quench_height, "deck_clearance_mm gasket_thickness_mm", "quench_mm quench_in"),
        (geometry.piston_position, "stroke_mm rod_mm crank_deg_after_crank_top pin_offset_mm", "depth_below_tdc_mm"),
        (geometry.effective_stroke, "crank_throw_mm rod_mm pin_offset_mm", "stroke_mm tdc_crank_deg"),
        (geometry.mean_piston_speed, "stroke_mm rpm", "speed_m_s speed_ft_min"),
        (geometry.rod_ratio, "stroke_mm rod_mm", "rod_ratio"),
        (cam.trapped_compression_ratio, "stroke_mm rod_mm static_cr ivc_deg_abdc", "trapped_cr"),
        (
            cam.cam_timing_from_events,
            "intake_open_deg_btdc intake_close_deg_abdc exhaust_open_deg_bbdc exhaust_close_deg_atdc",
            "intake_duration_deg exhaust_duration_deg intake_centreline_deg_atdc exhaust_centreline_deg_btdc "
            "lobe_separation_cam_deg overlap_deg",
        ),
        (valvetrain.valve_lift, "lobe_lift_mm rocker_ratio lash_mm", "lift_mm lift_in"),
    ),
    "cranking pressure": (
        (cranking.cranking_pressure, "trapped_cr exponent ambient_kpa", "gauge_kpa gauge_psi"),
        (
            cranking.isentropic_compression_bound,
            "volume_ratio start_k start_kpa",
            "end_kpa_abs end_k mean_exponent gauge_psi",
        ),
        (
            cranking.cranking_exponent_from_reading,
            "trapped_cr gauge_psi ambient_kpa",
            "effective_exponent inside_1_20_to_1_35",
        ),
        (cranking.gauge_dead_volume, "trapped_cr clearance_cc extra_cc", "trapped_cr_with_gauge"),
        (cranking.cranking_pressure_at_altitude, "trapped_cr exponent altitude_m", "gauge_psi ratio_to_sea_level"),
    ),
    "compression and leak-down": (
        (compression.compression_spread, "readings_psi", "spread_of_max low_over_high range_psi"),
        (compression.compression_deviation, "readings_psi", "median_psi deviation_fraction"),
        (compression.robust_outlier_score, "readings_psi gauge_uncertainty_psi", "mad_psi score outlier_cylinders"),
        (compression.wet_dry_rise, "dry_psi wet_psi", "rise_psi rise_fraction verdict"),
        (compression.adjacent_pair_flag, "readings_psi adjacent_pairs low_limit_of_median", "flagged_pairs"),
        (
            compression.compression_limits,
            "readings_psi altitude_m",
            "within_5_percent within_10_percent within_15_percent lowest_at_least_75_percent at_least_100_psi",
        ),
        (leakdown.leakdown_percent, "supply_gauge_psi cylinder_gauge_psi", "leak_percent"),
        (
            leakdown.leakdown_orifice_area,
            "supply_gauge_psi cylinder_gauge_psi ambient_kpa reference_orifice_mm discharge_ratio",
            "area_ratio leak_diameter_mm",
        ),
    ),
    "air": (
        (
            air.isa_atmosphere,
            "geometric_altitude_m geopotential_altitude_m",
            "pressure_kpa temperature_k density_kg_m3",
        ),
        (air.pressure_altitude, "station_pressure_kpa", "geopotential_altitude_m"),
        (air.density_altitude, "density_kg_m3", "geopotential_altitude_m"),
        (air.saturation_vapour_pressure, "temperature_k", "pressure_kpa"),
        (
            air.humid_air_vapour_pressure,
            "temperature_k pressure_kpa relative_humidity",
            "vapour_pressure_kpa dry_air_pressure_kpa",
        ),
        (air.humid_air_density, "temperature_k pressure_kpa relative_humidity", "density_kg_m3 dry_air_density_kg_m3"),
        (air.sae_j1349_factor, "dry_air_kpa inlet_c", "correction_factor in_valid_range"),
        (air.iso_1585_factor, "dry_air_kpa inlet_k", "correction_factor in_valid_range"),
        (pressures.gauge_to_absolute, "gauge_psi altitude_m ambient_kpa", "absolute_kpa absolute_psi ambient_kpa"),
        (pressures.absolute_to_gauge, "absolute_kpa altitude_m ambient_kpa", "gauge_psi vacuum_inhg ambient_kpa"),
        (pressures.vacuum_to_absolute, "vacuum_inhg altitude_m ambient_kpa", "absolute_kpa gauge_psi"),
    ),
    "mixture": (
        (mixture.stoich_afr, "C_atoms H_atoms O_atoms", "afr_mass"),
        (
            mixture.fuel_blend_by_volume,
            "ethanol_volume_percent gasoline_h_per_c gasoline_kg_m3 ethanol_kg_m3",
            "afr_mass ethanol_mass_fraction density_kg_m3",
        ),
        (mixture.lambda_from_afr, "afr_mass stoich_afr_mass", "lambda_ equivalence_ratio"),
        (mixture.displayed_afr, "lambda_ display_stoich_afr fuel_stoich_afr", "displayed_afr true_afr"),
        (exhaust.diluted_lambda_no_fuel, "cylinders firing firing_lambda", "mixture_lambda displayed_afr_at_14_7"),
        (
            exhaust.diluted_lambda_no_spark,
            "cylinders firing firing_lambda oxidised_share",
            "mixture_lambda lower_bound upper_bound",
        ),
        (
            exhaust.diluted_exhaust_dry_gas,
            "cylinders firing firing_lambda h_per_c dead_cylinder_fuel",
            "o2_percent_dry co_percent_dry co2_percent_dry hc_percent_c1_dry",
        ),
        (exhaust.exhaust_o2_dry, "lambda_ h_per_c", "o2_percent_dry co2_percent_dry"),
        (
            exhaust.lambda_from_gas_analysis,
            "co2_percent_dry co_percent_dry o2_percent_dry hc_percent_c1 no_percent h_per_c o_per_c",
            "lambda_",
        ),
        (mixture.fuel_trim_total, "short_trim_percent long_trim_percent", "factor total_percent sum_percent"),
        (
            mixture.fuel_table_correction,
            "measured_lambda target_lambda dead_or_suspected engine_cold trims_active",
            "table_factor",
        ),
        (fuelling.ethanol_mix, "fuel_l ethanol_percent target_percent added_ethanol_percent", "add_l add_gal total_l"),
        (fuelling.wideband_lambda, "output_v low_v low_lambda high_v high_lambda", "lambda_ displayed_afr"),
    ),
    "injectors": (
        (injectors.injector_flow_at_pressure, "flow reference_dp_kpa dp_kpa", "flow"),
        (injectors.injector_timed_flow, "volume_cc time_s", "flow_cc_min"),
        (injectors.injector_flow_units, "flow_cc_min density_kg_m3 flow_lb_h", "flow_g_s flow_lb_h flow_cc_min"),
        (
            injectors.injector_flow_other_fluid,
            "bench_flow_cc_min bench_kg_m3 fuel_kg_m3",
            "fuel_flow_cc_min mass_flow_ratio",
        ),
        (injector_pulses.injector_duty, "pulse_ms rpm pulses_per_cycle", "cycle_ms duty over_100_percent"),
        (injector_pulses.injector_effective_pulse, "pulse_ms dead_time_ms", "effective_ms"),
        (injector_pulses.injector_pulse_mass, "pulse_ms dead_time_ms static_flow_g_s", "fuel_mg"),
        (injectors.injector_size_for_power, "power_hp bsfc_lb_hp_h injectors max_duty", "flow_lb_h flow_g_s"),
        (injectors.injector_power_limit, "flow_lb_h bsfc_lb_hp_h injectors max_duty", "power_hp"),
        (injector_sets.injector_set_imbalance, "flows_cc_min", "imbalance"),
        (
            injector_sets.injector_best_subset,
            "flows_cc_min choose target_cc_min",
            "min_range_cc_min chosen chosen_mean_cc_min",
        ),
        (injector_sets.injector_bank_split, "flows_cc_min", "min_bank_difference_cc_min one_bank other_bank"),
        (injector_sets.injector_assignment, "flows_cc_min cylinder_air_relative", "cylinder_for_injector note"),
        (
            injector_pulses.injector_idle_pulse,
            "displacement_l cylinders rpm map_kpa charge_k ve_manifold static_flow_g_s lambda_ h_per_c dead_time_ms",
            "air_mg_per_cycle fuel_mg effective_ms logged_ms air_flow_g_s",
        ),
        (injectors.injector_coil_current, "voltage_v resistance_ohm", "current_a power_w"),
        (injectors.copper_temperature, "resistance_20c_ohm temperature_c", "resistance_ohm"),
        (
            fuelling.injectors_on_fuel,
            "power_hp ethanol_percent bsfc_lb_hp_h injectors max_duty",
            "flow_lb_h flow_cc_min more_than_petrol",
        ),
    ),
    "fuel supply": (
        (fuel_supply.fuel_pump_flow, "power_hp bsfc_lb_hp_h density_kg_m3 margin", "flow_l_h flow_gal_h"),
        (fuel_supply.line_velocity, "flow_l_h bore_mm", "velocity_m_s"),
        (fuel_supply.friction_factor_colebrook, "reynolds relative_roughness", "darcy_friction_factor laminar"),
        (
            fuel_supply.line_pressure_drop,
            "flow_l_h bore_mm length_m roughness_mm density_kg_m3 viscosity_pa_s fittings_k",
            "reynolds drop_kpa laminar",
        ),
        (fuel_supply.dash_size, "dash", "tube_od_in tube_od_mm hose_bore_in"),
        (fuel_supply.rail_pressure, "base_gauge_kpa manifold_gauge_kpa referenced", "rail_gauge_kpa injector_dp_kpa"),
        (
            fuelling.fuel_pump_at_pressure,
            "rated_flow_l_h rated_gauge_kpa base_gauge_kpa boost_gauge_kpa supply_v rated_v fall_per_bar",
            "flow_l_h flow_gal_h rail_gauge_kpa share_of_rating",
        ),
        (fuelling.fuel_pump_current, "flow_l_h rail_gauge_kpa supply_v efficiency", "hydraulic_w current_a"),
    ),
    "electrical": (
        (electrical.wire_diameter_awg, "awg", "diameter_mm"),
        (electrical.wire_resistance, "length_ft awg temperature_c area_mm2", "resistance_ohm"),
        (
            electrical.wire_voltage_drop,
            "one_way_ft current_a return_by_wire awg temperature_c joint_ohm area_mm2",
            "drop_v drop_percent_of_12v",
        ),
        (electrical.resistance_series, "resistances_ohm", "resistance_ohm"),
        (electrical.resistance_parallel, "resistances_ohm", "resistance_ohm"),
        (electrical.battery_rest_state, "open_circuit_v rested_hours temperature_c", "charge_percent"),
        (electrical.coil_current_rise, "inductance_h resistance_ohm supply_v dwell_s", "current_a"),
        (electrical.coil_energy, "inductance_h current_a", "energy_mj"),
        (loads.load_current, "power_w voltage_v", "current_a"),
        (loads.resistance_from_volts, "voltage_v current_a", "resistance_ohm power_w"),
        (loads.fuse_for_load, "current_a continuous", "fuse_a smallest_awg"),
        (
            loads.wire_for_load,
            "current_a length_ft supply_v allowed_drop return_by_wire temperature_c",
            "awg area_mm2 drop_v fuse_a",
        ),
        (ignition.dwell_time, "dwell_deg rpm cylinders", "dwell_ms share"),
        (ignition.dwell_angle, "dwell_ms rpm cylinders", "dwell_deg share"),
        (ignition.damper_mark_distance, "diameter_in angle_deg", "distance_mm"),
    ),
    "boost": (
        (
            boost.boost_pressure_ratio,
            "boost_gauge_psi inlet_loss_psi altitude_m ambient_kpa",
            "pressure_ratio manifold_kpa_abs",
        ),
        (
            boost.compressor_outlet_temperature,
            "inlet_k pressure_ratio isentropic_efficiency gamma",
            "outlet_k specific_work_kj_kg",
        ),
        (boost.intercooler_outlet, "hot_inlet_k coolant_inlet_k effectiveness", "outlet_k"),
        (boost.density_ratio, "ambient_kpa ambient_k manifold_kpa manifold_k", "density_ratio"),
        (boost.engine_air_flow, "displacement_l rpm ve_manifold manifold_kpa manifold_k", "air_g_s air_lb_min"),
        (boost.corrected_flow, "air_kg_s inlet_k inlet_kpa map_reference_k map_reference_kpa", "corrected_kg_s"),
        (boost.air_flow_units, "air_lb_min pressure_kpa temperature_k", "flow_cfm flow_g_s"),
        (boost.wastegate_balance, "diaphragm_mm valve_mm spring_rating_kpa exhaust_dp_kpa", "crack_boost_kpa"),
        (boost.end_gas_temperature, "start_k start_kpa end_kpa", "end_k"),
        (
            torque_power.boost_for_power,
            "power_hp displacement_l rpm ve_manifold manifold_k afr_mass bsfc_lb_hp_h ambient_kpa",
            "air_lb_min fuel_lb_h manifold_kpa boost_psi",
        ),
        (
            gas_flow.gas_pipe_loss,
            "gas_kg_s temperature_k pressure_kpa bore_mm length_m bends roughness_mm",
            "velocity_m_s reynolds drop_kpa drop_psi mach",
        ),
        (gas_flow.exhaust_flow, "air_kg_s afr_mass temperature_k pressure_kpa", "exhaust_lb_min flow_cfm"),
        (gas_flow.pipe_bore_for_speed, "gas_kg_s temperature_k pressure_kpa speed_m_s", "bore_mm bore_in"),
        (
            gas_flow.intercooler_pressure_loss,
            "known_drop_kpa known_air_kg_s air_kg_s known_kpa manifold_kpa known_k charge_k",
            "drop_kpa drop_psi",
        ),
    ),
    "power and torque": (
        (torque_power.power_from_torque, "torque_lbf_ft rpm", "power_hp power_kw"),
        (torque_power.torque_from_power, "power_hp rpm", "torque_lbf_ft torque_n_m"),
        (torque_power.mean_effective_pressure, "torque_lbf_ft displacement_l", "bmep_psi bmep_kpa"),
        (power.power_from_air, "air_lb_min afr_mass bsfc_lb_hp_h", "power_hp power_kw"),
        (power.bsfc_efficiency, "bsfc_lb_hp_h lhv_mj_kg", "efficiency bsfc_g_kwh"),
        (power.lower_heating_value, "fuel", "lhv_mj_kg"),
    ),
    "firing order": (
        (firing.engine_orders, "cylinders rpm", "cycle_hz firing_hz firing_order_of_crank firing_interval_deg"),
        (
            firing.firing_spectrum,
            "cylinders firing_sequence dead_cylinders",
            "relative_amplitude_by_cycle_harmonic harmonic_k_is_crank_order",
        ),
        (
            firing.power_balance,
            "rpm_drop_by_cylinder confidence weak_fraction idle_control_active engine_cold noise_rpm",
            "pooled_sd_rpm degrees_of_freedom dead_limit_rpm dead weak contribution",
        ),
    ),
    "drivetrain": (
        (drivetrain.road_speed, "rpm gear_ratio axle_ratio rolling_diameter_m", "speed_km_h speed_mph"),
        (drivetrain.tyre_diameter, "width_mm aspect_percent rim_in", "diameter_mm diameter_in"),
        (drivetrain.ujoint_speed_variation, "joint_angle_deg", "max_ratio min_ratio peak_to_peak_fraction"),
        (gearing.road_rpm, "speed_mph gear_ratio axle_ratio rolling_diameter_m", "rpm"),
        (
            gearing.axle_tyre_change,
            "old_axle new_axle old_diameter_in new_diameter_in",
            "rpm_ratio speedometer_error_percent axle_for_old_revs",
        ),
        (gearing.tyre_revolutions, "rolling_diameter_m", "per_km per_mile"),
    ),
    "fasteners": (
        (fasteners.bolt_stress_area, "nominal_mm pitch_mm threads_per_in", "stress_area_mm2 stress_area_in2"),
        (fasteners.bolt_torque, "nut_factor nominal_mm preload_kn", "torque_n_m torque_lbf_ft"),
        (fasteners.nut_factor, "nominal_mm pitch_mm friction_thread friction_head head_mean_diameter_mm", "nut_factor"),
        (fasteners.bolt_stretch, "preload_kn grip_mm area_mm2 modulus_gpa", "stretch_mm"),
        (fasteners.torque_angle_check, "angle_step_deg torque_rise_n_m wrench_uncertainty_n_m", "outlier_bolts score"),
        (conversion.torque_units, "value unit to", "value"),
        (bolts.bolt_strength, "grade area_mm2", "proof_kn yield_kn tensile_kn usual_preload_kn"),
        (
            bolts.torque_angle_preload,
            "angle_deg pitch_mm grip_mm area_mm2 modulus_gpa bolt_share",
            "stretch_mm preload_kn stress_mpa",
        ),
        (bolts.thread_strip_load, "nominal_mm engaged_mm shear_mpa", "strip_load_kn"),
    ),
    "valve springs and lash": (
        (valvetrain.spring_rate, "seat_force_n open_force_n lift_mm", "rate_n_mm rate_lb_in"),
        (valvetrain.spring_open_force, "seat_force_n rate_n_mm lift_mm", "open_force_n open_force_lbf"),
        (
            valvetrain.spring_rate_from_wire,
            "wire_mm mean_diameter_mm active_coils modulus_gpa",
            "rate_n_mm rate_lb_in",
        ),
        (valvetrain.spring_coil_bind, "installed_mm bind_mm lift_mm", "margin_mm margin_in"),
        (valvetrain.spring_shim, "measured_mm wanted_mm", "shim_mm shim_in"),
        (valvetrain.lash_shim, "shim_mm measured_mm wanted_mm", "shim_mm"),
    ),
    "clearances": (
        (clearances.ring_gap, "bore_mm use", "top_mm top_in second_mm second_in"),
        (clearances.bearing_clearance, "journal_mm", "least_mm least_in greatest_mm greatest_in"),
        (clearances.piston_clearance, "bore_mm material", "least_mm least_in greatest_mm greatest_in"),
    ),
    "coolant and oil": (
        (cooling.coolant_mix, "glycol_percent", "freeze_c freeze_f boil_c boil_f"),
        (cooling.coolant_boiling_point, "glycol_percent cap_gauge_psi altitude_m", "boil_c boil_f"),
        (cooling.coolant_correction, "system_l glycol_percent target_percent", "drain_l drain_qt"),
        (cooling.oil_pressure_rule, "rpm pressure_psi", "rule_psi share_of_rule meets_rule"),
    ),
    "money and time": (
        (money.money_round, "amount", "half_up half_even"),
        (money.labour_cost, "hours rate_per_hour", "cost"),
        (money.donor_cost_allocation, "donor_cost expected_values", "allocated sum"),
        (money.margin, "price cost", "profit margin_of_price markup_on_cost"),
        (
            pricing.job_price,
            "hours rate_per_hour parts_cost parts_markup_percent other",
            "labour parts_asked cost price profit_on_parts",
        ),
        (pricing.price_for_margin, "cost margin_percent", "price profit"),
        (pricing.shop_rate, "monthly_costs monthly_pay billed_hours", "rate_per_hour"),
    ),
    "uncertainty and units": (
        (uncertainty.resolution_uncertainty, "resolution", "standard_uncertainty"),
        (uncertainty.repeat_uncertainty, "readings", "mean standard_deviation standard_uncertainty_of_mean"),
        (uncertainty.propagate_uncertainty, "model values", "value standard_uncertainty"),
        (
            uncertainty.compare_readings,
            "before u_before after u_after",
            "difference u_difference ratio p_two_sided real_at_95",
        ),
        (uncertainty.compare_repeats, "before after", "t df p_two_sided real_at_95"),
        (uncertainty.coverage_factor, "degrees_of_freedom coverage", "k"),
        (conversion.unit_conversion, "value unit to", "value"),
    ),
}

_CALLED = {
    "convert": "unit_conversion",
    "horsepower": "power_from_torque",
    "wire_gauge": "wire_for_load",
    "fuse": "fuse_for_load",
    "tire_size": "tyre_diameter",
    "compression_ratio": "static_compression_ratio",
    "voltage_drop": "wire_voltage_drop",
    "duty_cycle": "injector_duty",
    "cid": "displacement",
}
"""Other names under which one calculation is asked for."""


@cache
def rows() -> MappingProxyType[str, Row]:
    """Every calculation by its name, in the order of the table."""
    made = (make(subject, *line) for subject, lines in _TABLE.items() for line in lines)
    return MappingProxyType({row.name: row for row in made})


def is_name(name: str) -> bool:
    """Whether a calculation has this name, written with blanks, hyphens or underscores."""
    return _folded(name) in rows() or _folded(name) in _CALLED


def _folded(name: str) -> str:
    return name.strip().casefold().replace("-", "_").replace(" ", "_")


def find(name: str) -> Row:
    """The row of this name; an unknown name is refused with the nearest ones."""
    folded = _folded(name)
    if folded in rows():
        return rows()[folded]
    if folded in _CALLED:
        return rows()[_CALLED[folded]]
    near = search(name)[:5] or [rows()[n] for n in difflib.get_close_matches(folded, rows(), 3, 0.5)]
    hint = "no such calculation" + (f"; near: {', '.join(r.name for r in near)}" if near else "")
    raise UnknownCalculation("calculation", name, hint)


def search(words: str) -> list[Row]:
    """Rows that hold every word in name, title, subject or formula's words."""
    wanted = words.casefold().replace("_", " ").split()
    return [row for row in rows().values() if all(w in _said(row) for w in wanted)]


def subjects() -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows().values():
        found.setdefault(row.subject, []).append(row)
    return found


@cache
def _said(row: Row) -> str:
    words = [row.name.replace("_", " "), row.title, row.subject, row.also, *(i.words for i in row.inputs)]
    return " ".join(words).casefold()
