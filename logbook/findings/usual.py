"""Values that a log seldom holds, named so on the page: what is usual, how far off it may be, and who says so."""

from __future__ import annotations

GAUGE_REPEAT_PA = 10e3
"""What a hand-held compression gauge does not repeat, about 1.5 psi: common practice, no source."""

GAUGE_SCALE = 0.025
"""Error of scale that all readings of one such gauge share: common practice, no source."""

LOW_EXPONENT, HIGH_EXPONENT, MIDDLE_EXPONENT = 1.20, 1.35, 1.28
"""Exponents of compression while cranking: common practice, no source."""

TACHOMETER_RPM = 2.0
"""What a tachometer can tell apart at idle: common practice, no source."""

CUT_OUT_NOISE_RPM = 6.0
"""What the drop of one cut-out does not repeat at a steady idle: common practice, no source."""

TESTER_ORIFICE_M = 0.001016
"""Orifice of a leak-down tester after the aircraft standard, .040 in; others differ."""

TEST_FLUID_KG_M3 = 780.0
"""Density of injector test fluid: common practice, no source; read it off the can."""

BSFC_KG_J = 0.5 * 0.45359237 / (745.6998715822702 * 3600)
"""Fuel use at full load on petrol, 0.50 lb/(hp h), give or take a tenth: common practice, no source."""

BOOSTED_MORE = 1.2
"""Fuel use under boost against that without: .60 for .50, since boost is run rich: common practice, no source."""

BOOSTED_FROM_PA = 20e3
"""Boost from which an engine counts as boosted."""

HOT_COIL_SPREAD_K = 12.0
"""Standard uncertainty of the temperature under a bonnet: 70 to 110 degrees C, common practice, no source."""

ORIFICE_SPREAD_M = 0.1e-3
"""Standard uncertainty of a tester's orifice that nobody measured: .8 to 1.2 mm, common practice, no source."""

CREVICE_SPREAD = 0.05
"""Standard uncertainty of a compression ratio by the crevice above the top ring: common practice, no source."""

BSFC_SPREAD = 0.05
"""Standard uncertainty of it, as a share."""

DUTY = 0.85
"""Highest duty that a set of injectors is planned for: common practice, no source."""

DEAD_TIME_S = 0.9e-3
"""Time before an injector flows at about 13.5 V and 3 bar; every type has its own: common practice, no source."""

BASE_PRESSURE_PA = 300e3
"""The pressure to which flows are brought before they are compared."""

CHARGE_K = 313.15
"""Charge temperature at idle, warm: 40 degrees C, common practice, no source."""

IDLE_FILLING = 0.6
"""Filling at idle against manifold air: common practice, no source."""

FULL_FILLING = 0.9
"""Filling at full load against manifold air, give or take a tenth: common practice, no source."""

COMPRESSOR_EFFICIENCY = 0.70
"""Efficiency of a compressor in the middle of its map: common practice, no source; read it off the map."""

COOLER_EFFECTIVENESS = 0.70
"""Effectiveness of a charge cooler: common practice, no source."""

PISTON_SPEED_LIMIT_M_S = 20.0
"""Mean piston speed that cast parts are used to: common practice, no source."""

LINE_SPEED_LIMIT_M_S = 3.0
"""Speed of fuel in a delivery line: common practice, no source."""

INTAKE_LIMIT_K = 333.15
"""Intake temperature beyond which a petrol engine is asked for less: 60 degrees C, common practice, no source."""

INLET_LOSS_PA = 3e3
"""Pressure lost in filter and pipe before the compressor: common practice, no source."""

BATTERY_V = 12.0
"""Battery with the key on."""

CHARGING_V = 13.5
"""Battery while the engine runs."""

HOT_COIL_K = 363.15
"""A coil under a warm bonnet: 90 degrees C, common practice, no source."""
