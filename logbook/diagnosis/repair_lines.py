"""How each repair is written into the log: the beginning of its line, by the name of its row."""

from __future__ import annotations

from types import MappingProxyType

LINES = MappingProxyType(
    {
        "fit_coil": "fit coil: new in {at}, now ",
        "fit_pack": "fit coil: new in {at}, now ",
        "fit_lead": "fit lead: new in {at}, now ",
        "fit_plug": "fit plug: new in {at}, now ",
        "mend_injector": "fit injector: new in {at}, now ",
        "fit_injector": "fit injector: new in {at}, now ",
        "mend_coil_wiring": "repair coil connector: {n}, now ",
        "mend_injector_wiring": "repair injector connector: {n}, now ",
        "mend_coil_control": "repair controller: now ",
        "mend_injector_control": "repair controller: now ",
        "dry_well": "clean coil connector: {n}, now ",
        "clear_rail": "repair rail: {n}, now ",
        "head_off": "repair valve: {n}, now ",
        "bottom_end": "repair piston: {n}, now ",
        "valve_train": "repair lifter: {n}, now ",
        "seal_intake": "repair manifold: {n}, now ",
        "sort_leads": "repair lead order: {n}, now ",
        "fit_cap": "fit cap: new, now ",
        "mend_injector_feed": "repair injector feed: {n}, now ",
        "mend_coil_feed": "repair coil feed: {n}, now ",
        "mend_coil_ground": "repair coil ground: {n}, now ",
        "mend_injector_ground": "repair injector ground: {n}, now ",
        "fuel_supply": "fit filter: new, now ",
        "flush_rail": "clean rail, now ",
        "drain_fuel": "fill fuel: ",
        "charge": "fit battery: new, now ",
        "set_timing": "adjust timing: ",
        "set_cam": "fit belt: new, now ",
        "mend_carburettor": "clean carburettor, now ",
        "mend_single_point": "repair throttle, now ",
        "fit_glow_plug": "fit glow plug: new in {at}, now ",
        "valve_seals": "repair valve: {n}, now ",
        "fit_sensor": "fit sensor: new, now ",
        "mend_control": "repair controller: now ",
        "fit_relay": "fit relay: new, now ",
        "fit_pump": "fit pump: new, now ",
        "mend_pump_feed": "repair feed pump: now ",
        "fit_regulator": "fit regulator: new, now ",
        "mend_injectors": "clean injector: {n}, now ",
        "mend_cable": "repair ground engine: now ",
        "fit_starter": "fit starter: new, now ",
        "mend_start_signal": "repair feed starter: now ",
        "clear_exhaust": "repair exhaust: now ",
        "clean_idle_valve": "clean throttle, now ",
        "clean_egr": "repair manifold: {n}, now ",
        "fit_points": "repair distributor: now ",
        "fit_pickup": "repair distributor: now ",
        "fit_module": "repair distributor: now ",
        "fit_ballast": "repair ballast: now ",
        "mend_advance": "repair distributor: now ",
        "fit_plugs": "fit plug: new in {n}, now ",
        "fit_leads": "fit lead: new in {n}, now ",
        "mend_glow_supply": "repair glow plug: now ",
        "seal_fuel_line": "repair fuel line: now ",
        "fit_high_pressure_pump": "fit pump: new, now ",
        "dry_plugs": "clean plug: {n}, now ",
        "clean_throttle": "clean throttle, now ",
        "seal_exhaust": "repair exhaust: now ",
        "mend_stop_valve": "repair stop valve: now ",
    }
)


def line(repair: str, at: int, cylinders: tuple[int, ...]) -> str:
    """``at``: where the part to be exchanged stands now; ``cylinders``: those that the fault concerns.

    Empty where no line records it: what no test has named can't be mended either.
    """
    template = LINES.get(repair, "")
    if template == LINES["head_off"] and len(cylinders) == 2:
        template = "repair gasket: {n}, now "
    return template.format(at=at, n=" ".join(map(str, cylinders)) or at)
