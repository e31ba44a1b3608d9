"""Live comparisons with general reference libraries over whole ranges, not at single points.

Versions of the libraries are those of ``tests/constraints.txt``.
"""

import math
from fractions import Fraction
from itertools import combinations, permutations

import ambiance
import fluids
import numpy as np
import pint
import pytest
import scipy.integrate
import scipy.optimize
import scipy.stats
import uncertainties

from logbook.formulas import air, cranking, distributions, electrical, firing, fuel_supply, geometry, injector_sets
from logbook.formulas.quantities import Absolute
from logbook.formulas.working import work

UNITS = pint.UnitRegistry()


@pytest.mark.parametrize("height", [-400.0, 0.0, 250.0, 1200.0, 2500.0, 4400.0, 8000.0, 10_900.0])
def test_atmosphere_against_ambiance_and_fluids(height: float) -> None:
    ours, theirs = air.isa_atmosphere(height), ambiance.Atmosphere(height)
    assert ours.pressure_pa == pytest.approx(float(theirs.pressure[0]), rel=1e-5)
    assert ours.density_kg_m3 == pytest.approx(float(theirs.density[0]), rel=1e-5)
    assert ours.pressure_pa == pytest.approx(fluids.ATMOSPHERE_1976(height).P, rel=1e-5)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4.7, 9, 30, 200])
@pytest.mark.parametrize("share", [0.6, 0.9, 0.95, 0.975, 0.995, 0.9995])
def test_student_against_scipy(freedom: float, share: float) -> None:
    assert distributions.student_quantile(share, freedom) == pytest.approx(scipy.stats.t.ppf(share, freedom), rel=1e-9)


@pytest.mark.parametrize("t", [0.0, 0.01, 0.5, 1.96, 6.0, 40.0])
def test_student_tails_against_scipy(t: float) -> None:
    for freedom in (1, 3.3, 12, 90):
        ours = distributions.student_two_sided(t, freedom)
        assert ours == pytest.approx(2 * scipy.stats.t.sf(t, freedom), rel=1e-9)


@pytest.mark.parametrize("reynolds", [4100.0, 1e4, 7e4, 1e6, 9e7])
@pytest.mark.parametrize("roughness", [0.0, 1e-5, 1e-3, 0.04])
def test_friction_against_fluids(reynolds: float, roughness: float) -> None:
    ours = fuel_supply.friction_factor_colebrook(reynolds, roughness).darcy_friction_factor
    assert ours == pytest.approx(fluids.friction.Colebrook(reynolds, roughness), rel=1e-9)


@pytest.mark.parametrize("gauge", [2, 6, 12, 18, 24, 30, 36])
def test_wire_gauges_against_fluids(gauge: int) -> None:
    table = fluids.t_from_gauge(gauge, schedule="AWG")
    assert electrical.wire_diameter_awg(gauge) == pytest.approx(table, rel=5e-3)


@pytest.mark.parametrize("ratio", [5.0, 8.0, 11.0])
@pytest.mark.parametrize("exponent", [1.05, 1.25, 1.38])
def test_polytropic_against_its_differential_equation(ratio: float, exponent: float) -> None:
    solved = scipy.integrate.solve_ivp(
        lambda v, p: -exponent * p / v, (ratio, 1.0), [100e3], rtol=1e-10, atol=1e-3, method="DOP853"
    )
    ours = cranking.cranking_pressure(ratio, exponent, Absolute(100e3)).gauge_pa
    assert ours == pytest.approx(solved.y[0][-1] - 100e3, rel=1e-7)


@pytest.mark.parametrize("angle", [0.0, 17.0, 90.0, 145.0, 180.0, 233.0, 359.0])
@pytest.mark.parametrize("offset", [-2.0, 0.0, 1.5])
def test_piston_position_against_the_rod_length(angle: float, offset: float) -> None:
    throw, rod, turn = 45.0, 150.0, math.radians(angle)
    pin_x, pin_y = throw * math.sin(turn), throw * math.cos(turn)
    height = scipy.optimize.brentq(lambda y: math.hypot(pin_x - offset, y - pin_y) - rod, pin_y, pin_y + 2 * rod)
    top = math.sqrt((rod + throw) ** 2 - offset**2)
    ours = geometry.piston_position(0.090, 0.150, angle, offset / 1e3) * 1e3
    assert ours == pytest.approx(top - height, abs=1e-9)


def test_every_choice_of_injectors_against_brute_force() -> None:
    draw = np.random.default_rng(20260101)
    for _ in range(30):
        flows = [float(x) for x in np.round(draw.normal(250, 8, draw.integers(5, 10)), 1)]
        choose = int(draw.integers(2, len(flows)))
        best = min(max(s) - min(s) for s in combinations(flows, choose))
        assert injector_sets.injector_best_subset(flows, choose).min_range_m3_s == pytest.approx(best, abs=1e-9)


def test_several_tests_at_once_against_brute_force() -> None:
    draw = np.random.default_rng(20260102)
    for _ in range(20):
        tests = [[float(x) for x in draw.normal(mean, mean / 30, 7)] for mean in (250.0, 60.0)]
        spread, chosen = injector_sets.best_over_tests(tests, 4)
        means = [sum(t) / len(t) for t in tests]
        ranges = (
            max((max(t[i] for i in s) - min(t[i] for i in s)) / m for t, m in zip(tests, means, strict=True))
            for s in combinations(range(7), 4)
        )
        assert spread == pytest.approx(min(ranges), abs=1e-9)
        assert len(set(chosen)) == 4


def test_assignment_against_scipy_and_every_permutation() -> None:
    draw = np.random.default_rng(20260103)
    for size in (2, 3, 5, 6):
        cost = draw.random((size, size))
        ours = injector_sets.cheapest(cost.tolist())
        rows, columns = scipy.optimize.linear_sum_assignment(cost)
        assert sum(cost[i][j] for i, j in enumerate(ours)) == pytest.approx(float(cost[rows, columns].sum()))
        least = min(sum(cost[i][j] for i, j in enumerate(p)) for p in permutations(range(size)))
        assert sum(cost[i][j] for i, j in enumerate(ours)) == pytest.approx(float(least))


def test_bank_split_against_every_half() -> None:
    draw = np.random.default_rng(20260104)
    for _ in range(15):
        flows = [float(x) for x in np.round(draw.normal(250, 8, 6), 1)]
        least = min(abs(sum(flows) - 2 * sum(half)) for half in combinations(flows, 3))
        assert injector_sets.injector_bank_split(flows).min_bank_difference_m3_s == pytest.approx(least, abs=1e-9)


@pytest.mark.parametrize("dead", [[], [2], [1, 4], [3, 5, 6]])
def test_firing_spectrum_against_numpy(dead: list[int]) -> None:
    order = [1, 5, 3, 6, 2, 4]
    pulses = np.array([0.0 if c in dead else 1.0 for c in order])
    ours = firing.firing_spectrum(6, order, dead).relative_amplitude_by_cycle_harmonic
    theirs = np.abs(np.fft.fft(pulses))
    assert list(ours) == pytest.approx([*theirs[1:], theirs[0]], abs=1e-9)


def test_welch_and_pooled_balance_against_scipy() -> None:
    before, after = [118.0, 121.0, 119.5, 122.0], [126.0, 124.5, 127.5]
    ours = work("compare_repeats", {"before": before, "after": after}).result
    theirs = scipy.stats.ttest_ind(after, before, equal_var=False)
    assert ours["t"] == pytest.approx(theirs.statistic)
    assert ours["p_two_sided"] == pytest.approx(theirs.pvalue)
    drops = [[50.0, 54.0, 49.0], [47.0, 44.0, 48.0], [1.0, 3.0, -2.0], [51.0, 53.0, 50.0]]
    balance = work("power_balance", {"rpm_drop_by_cylinder": drops}).result
    pooled = math.sqrt(float(np.mean([np.var(d, ddof=1) for d in drops])))
    assert balance["pooled_sd_rpm"] == pytest.approx(pooled)
    assert balance["dead_limit_rpm"] == pytest.approx(scipy.stats.t.ppf(0.95, 8) * pooled / math.sqrt(3))


def test_propagation_against_uncertainties() -> None:
    bore, stroke = uncertainties.ufloat(86.02, 0.02), uncertainties.ufloat(86.0, 0.05)
    theirs = 4 * math.pi / 4 * bore**2 * stroke / 1000
    given = {"bore_mm": 86.02, "u_bore_mm": 0.02, "stroke_mm": 86.0, "u_stroke_mm": 0.05, "cylinders": 4}
    ours = work("propagate_uncertainty", {"model": "cylinders*pi/4*bore^2*stroke/1000", **given}).result
    assert ours["value"] == pytest.approx(theirs.nominal_value)
    assert ours["standard_uncertainty"] == pytest.approx(theirs.std_dev, rel=1e-5)


@pytest.mark.parametrize(
    ("model", "given"),
    [
        ("a*b/c", {"a": 3.0, "u_a": 0.1, "b": 7.0, "u_b": 0.3, "c": 2.0, "u_c": 0.05}),
        ("sqrt(a^2 + b^2)", {"a": 3.0, "u_a": 0.1, "b": 4.0, "u_b": 0.2}),
        ("log(a) - exp(-b)", {"a": 3.0, "u_a": 0.1, "b": 0.4, "u_b": 0.02}),
    ],
)
def test_expressions_against_uncertainties(model: str, given: dict[str, float]) -> None:
    names = {k: uncertainties.ufloat(v, given[f"u_{k}"]) for k, v in given.items() if not k.startswith("u_")}
    from uncertainties import umath

    scope = {"sqrt": umath.sqrt, "log": umath.log, "exp": umath.exp, **names}
    theirs = eval(model.replace("^", "**"), {"__builtins__": {}}, scope)
    ours = work("propagate_uncertainty", {"model": model, **given}).result
    assert ours["value"] == pytest.approx(theirs.nominal_value)
    assert ours["standard_uncertainty"] == pytest.approx(theirs.std_dev, rel=1e-4)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("psi", "psi"),
        ("bar", "bar"),
        ("inHg", "inHg"),
        ("mbar", "mbar"),
        ("lbft", "force_pound * foot"),
        ("kgm", "kilogram_force * meter"),
        ("hp", "horsepower"),
        ("PS", "metric_horsepower"),
        ("cu in", "inch**3"),
        ("gal", "gallon"),
        ("qt", "quart"),
        ("lb/h", "pound / hour"),
        ("gal/h", "gallon / hour"),
        ("cfm", "foot**3 / minute"),
        ("mph", "mile / hour"),
        ("ft/min", "foot / minute"),
        ("lb/ft3", "pound / foot**3"),
        ("lb/hp h", "pound / horsepower / hour"),
        ("ksi", "kpsi"),
        ("lbf", "force_pound"),
    ],
)
def test_units_against_pint(ours: str, theirs: str) -> None:
    from logbook.units import UNITS as TABLE
    from logbook.units import find

    unit = find(ours)
    assert unit is not None and unit.name in TABLE
    assert unit.factor == pytest.approx(UNITS(theirs).to_base_units().magnitude, rel=1e-6)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("gallon/hour", "liter/minute"),
        ("pound/hour", "gram/second"),
        ("lbf/inch**2", "psi"),
        ("N*m", "lbf*ft"),
        ("mile/hour", "km/hour"),
        ("lb/hp/hour", "g/kW/hour"),
        ("inch**3", "cm**3"),
        ("kg/m**3", "lb/ft**3"),
        ("mmHg", "kPa"),
        ("degC", "degF"),
        ("metric_horsepower", "watt"),
    ],
)
def test_units_put_together_against_pint(one: str, other: str) -> None:
    ours = work("unit_conversion", {"value": 3.7, "unit": one, "to": other}).result["value"]
    assert ours == pytest.approx(UNITS.Quantity(3.7, UNITS(one).units).to(other).magnitude, rel=1e-6)


def test_shares_of_a_donor_are_the_nearest_whole_cents() -> None:
    """Largest remainder against exact fractions: no share is a cent or more from its exact value."""
    given = {"donor_cost": "437.19", "expected_values": ["28", "28", "22", "0", "61.5"]}
    got = work("donor_cost_allocation", given).result["allocated"]
    total = sum(Fraction(v) for v in given["expected_values"])
    for share, value in zip(got, given["expected_values"], strict=True):
        exact = Fraction(given["donor_cost"]) * Fraction(value) / total
        assert abs(Fraction(share) - exact) < Fraction(1, 100)
    assert sum(Fraction(s) for s in got) == Fraction("437.19")
