"""Live comparisons with Cantera and CoolProp over whole ranges. Without them these fail and say what to install."""

import importlib
import math
from types import ModuleType

import pytest

from logbook.formulas import air, boost, cranking, exhaust, leakdown, mixture, power
from logbook.formulas.quantities import Absolute, Fraction, Gauge

INSTALL = (
    "install the reference libraries: .venv/bin/python -m pip install -c tests/constraints.txt -e '.[test,oracles]'"
)


def oracle(name: str) -> ModuleType:
    try:
        return importlib.import_module(name)
    except ImportError:
        pytest.fail(f"{name} is not there; install it: {INSTALL}")


@pytest.fixture(scope="module")
def gas() -> object:
    return oracle("cantera").Solution("gri30.yaml")


@pytest.fixture(scope="module")
def dry_air() -> object:
    return oracle("cantera").Solution("air.yaml")


@pytest.fixture(scope="module")
def props() -> ModuleType:
    return oracle("CoolProp.CoolProp")


@pytest.mark.parametrize("kelvin", [260.0, 300.0, 340.0])
@pytest.mark.parametrize("ratio", [5.0, 9.0, 12.0])
def test_isentropic_bound_against_cantera(dry_air: object, kelvin: float, ratio: float) -> None:
    dry_air.TPX = kelvin, 100e3, "O2:0.2095,N2:0.7808,AR:0.0097"
    dry_air.SV = dry_air.entropy_mass, dry_air.volume_mass / ratio
    ours = cranking.isentropic_compression_bound(ratio, kelvin, Absolute(100e3))
    assert ours.end_k == pytest.approx(dry_air.T, rel=2e-3)
    assert ours.end_pa_abs == pytest.approx(dry_air.P, rel=2e-3)


@pytest.mark.parametrize("end", [1e6, 3e6, 7e6])
def test_end_gas_trend_against_cantera(dry_air: object, end: float) -> None:
    dry_air.TPX = 350.0, 180e3, "O2:0.2095,N2:0.7808,AR:0.0097"
    dry_air.SP = dry_air.entropy_mass, end
    assert boost.end_gas_temperature(350.0, Absolute(180e3), Absolute(end)) == pytest.approx(dry_air.T, rel=4e-3)


@pytest.mark.parametrize(
    ("fuel", "atoms"), [("CH4", (1, 4, 0)), ("C3H8", (3, 8, 0)), ("CH3OH", (1, 4, 1)), ("H2", (0, 2, 0))]
)
def test_true_ratio_against_cantera(gas: object, fuel: str, atoms: tuple[int, int, int]) -> None:
    theirs = gas.stoich_air_fuel_ratio(fuel, "O2:0.2095,N2:0.7808,AR:0.0097")
    assert mixture.stoich_afr(*atoms) == pytest.approx(theirs, rel=3e-3)


@pytest.mark.parametrize(("fuel", "species", "oxygen"), [
    ("methane", "CH4", 2.0), ("propane", "C3H8", 5.0), ("ethane", "C2H6", 3.5), ("hydrogen", "H2", 0.5),
    ("methanol vapour", "CH3OH", 1.5),
])  # fmt: skip
def test_heating_values_against_cantera(gas: object, fuel: str, species: str, oxygen: float) -> None:
    """Lower heating value: enthalpy of fuel and oxygen less that of CO2 and water vapour at 25 degrees C."""
    gas.TPX = 298.15, 101325.0, f"{species}:1,O2:{oxygen}"
    before, share = gas.enthalpy_mass, gas.mass_fraction_dict()[species]
    carbon = gas.n_atoms(species, "C") if "C" in gas.element_names else 0
    water = gas.n_atoms(species, "H") / 2
    gas.TPX = 298.15, 101325.0, f"CO2:{carbon},H2O:{water}"
    assert power.lower_heating_value(fuel) == pytest.approx((before - gas.enthalpy_mass) / share, rel=3e-3)


@pytest.mark.parametrize("lambda_", [1.0, 1.15, 1.5, 2.2])
def test_lean_exhaust_against_cantera_equilibrium(gas: object, lambda_: float) -> None:
    """Propane has 8/3 hydrogen per carbon; at 700 K it is burned completely."""
    gas.set_equivalence_ratio(1 / lambda_, "C3H8", "O2:0.2095,N2:0.7905")
    gas.TP = 700.0, 101325.0
    gas.equilibrate("TP")
    dry = 1 - gas["H2O"].X[0]
    ours = exhaust.exhaust_o2_dry(lambda_, 8 / 3)
    assert ours.o2_percent_dry == pytest.approx(100 * gas["O2"].X[0] / dry, abs=0.02)
    assert ours.co2_percent_dry == pytest.approx(100 * gas["CO2"].X[0] / dry, rel=3e-3)


@pytest.mark.parametrize("lambda_", [0.75, 0.85, 0.95, 1.05, 1.3])
def test_lambda_from_gas_against_cantera(gas: object, lambda_: float) -> None:
    gas.set_equivalence_ratio(1 / lambda_, "C3H8", "O2:0.2095,N2:0.7905")
    gas.TP = 1740.0, 101325.0
    gas.equilibrate("TP")
    dry = 1 - gas["H2O"].X[0]
    co2, co, o2 = (100 * gas[s].X[0] / dry for s in ("CO2", "CO", "O2"))
    assert exhaust.lambda_from_gas_analysis(co2, co, o2, h_per_c=8 / 3).lambda_ == pytest.approx(lambda_, rel=6e-3)


@pytest.mark.parametrize("celsius", [-20.0, 0.0, 15.0, 30.0, 45.0])
def test_saturation_against_coolprop(props: ModuleType, celsius: float) -> None:
    if celsius > 0.01:
        theirs = props.PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    else:
        theirs = props.HAPropsSI("P_w", "T", celsius + 273.15, "P", 101325, "R", 1.0)
        # below freezing the library saturates over ice, Magnus over water: the quotient of the two is known
        theirs *= math.exp(17.62 * celsius / (243.12 + celsius) - 22.46 * celsius / (272.62 + celsius))
    assert air.saturation_vapour_pressure(celsius + 273.15) == pytest.approx(theirs, rel=8e-3)


@pytest.mark.parametrize("celsius", [5.0, 20.0, 40.0])
@pytest.mark.parametrize("humidity", [0.0, 0.4, 1.0])
def test_humid_air_against_coolprop(props: ModuleType, celsius: float, humidity: float) -> None:
    theirs = 1 / props.HAPropsSI("Vha", "T", celsius + 273.15, "P", 95000, "R", humidity)
    ours = air.humid_air_density(celsius + 273.15, Absolute(95000), Fraction(humidity))
    assert ours.density_kg_m3 == pytest.approx(theirs, rel=3e-3)


@pytest.mark.parametrize("ratio", [1.3, 1.8, 2.6])
@pytest.mark.parametrize("efficiency", [0.6, 0.78])
def test_compressor_against_coolprop_enthalpies(props: ModuleType, ratio: float, efficiency: float) -> None:
    start, pressure = 298.15, 100e3
    entropy = props.PropsSI("S", "T", start, "P", pressure, "Air")
    first = props.PropsSI("H", "T", start, "P", pressure, "Air")
    ideal = props.PropsSI("H", "S", entropy, "P", pressure * ratio, "Air")
    last = first + (ideal - first) / efficiency
    theirs = props.PropsSI("T", "H", last, "P", pressure * ratio, "Air")
    ours = boost.compressor_outlet_temperature(start, ratio, Fraction(efficiency))
    assert ours.outlet_k == pytest.approx(theirs, rel=3e-3)
    assert ours.specific_work_j_kg == pytest.approx(last - first, rel=6e-3)


@pytest.mark.parametrize("percent", [5.0, 20.0, 45.0, 70.0])
def test_leak_area_against_coolprop_nozzles(props: ModuleType, percent: float) -> None:
    """Two real-gas nozzles in series at one stagnation temperature; each flux is maximised over its throat."""
    ambient, supply = 95e3, 600e3
    cylinder = supply * (1 - percent / 100)
    ours = leakdown.leakdown_orifice_area(Gauge(supply), Gauge(cylinder), Absolute(ambient)).area_ratio
    theirs = _flux(props, supply + ambient, cylinder + ambient) / _flux(props, cylinder + ambient, ambient)
    assert ours == pytest.approx(theirs, rel=6e-3)


def _flux(props: ModuleType, upstream: float, downstream: float) -> float:
    entropy = props.PropsSI("S", "T", 293.15, "P", upstream, "Air")
    still = props.PropsSI("H", "T", 293.15, "P", upstream, "Air")
    best = 0.0
    for step in range(161):
        throat = max(downstream, upstream * 0.45) + (upstream - max(downstream, upstream * 0.45)) * step / 161
        speed = math.sqrt(max(0.0, 2 * (still - props.PropsSI("H", "S", entropy, "P", throat, "Air"))))
        best = max(best, speed * props.PropsSI("D", "S", entropy, "P", throat, "Air"))
    return best
