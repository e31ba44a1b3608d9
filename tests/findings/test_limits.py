"""What runs out first, the air and the fuel for it. No knock margin, timing or safe boost is among the numbers."""

import re

import pytest

from logbook.diagnosis.answers import NOTHING
from logbook.findings.outlook import outlook
from logbook.findings.work import work_out
from tests.findings.logs import log, numbers, one, result, sample

ENGINE = "bore: all 86.0 mm\nstroke: 86.0 mm\n"
PARTS = "injector rating: 550 cc/min @ 3 bar\npump: 255 l/h @ 3 bar\nhose feed: 7.9 mm @ 3 m\n"
WANTED = "wanted: power 250 hp, boost 0.8 bar\nrev limit: 6500"


def test_every_share_is_of_its_own_limit() -> None:
    found = outlook(log(ENGINE + PARTS, more=WANTED))
    assert found is not None
    shares = {s.name: s.values[-1] for s in found.shares}
    assert shares["piston speed"] == pytest.approx(2 * 0.086 * 6500 / 60 / 20)
    assert shares["feed line"] == pytest.approx(
        1.445 / 3, rel=1e-3
    )  # 255 l/h through 7.9 mm: pint value of the handbook
    # air by hand: 2.0 l, 54.2 cycles a second, filling .9, 181.3 kPa at the manifold's temperature
    kelvin = found.manifold_k[-1]
    air = 1.998e-3 / 2 * 6500 / 60 * 0.9 * (101325 + 80e3) / (287.05 * kelvin)
    assert found.air_kg_s[-1] == pytest.approx(air, rel=1e-3)
    fuel = air / (0.82 * 14.60)
    assert shares["injectors"] == pytest.approx(fuel / (4 * 550e-6 / 60 * 740 * 0.85), rel=5e-3)
    assert shares["pump"] == pytest.approx(fuel / 740 / (255e-3 / 3600), rel=5e-3)


def test_the_first_is_named_with_what_to_change() -> None:
    small = log(ENGINE + PARTS.replace("550", "250"), more=WANTED)
    first = next(n for n in work_out(small, NOTHING) if n.title == "What runs out first")
    assert first.shown.startswith("injectors") and first.out
    assert "a larger set of injectors" in first.sentence and "Then " in first.sentence
    assert any("No knock margin" in c for c in first.cautions)


@pytest.mark.parametrize(
    ("change", "first", "advice"),
    [
        (("255 l/h", "40 l/h"), "pump", "a larger pump"),
        (("7.9 mm", "4.0 mm"), "feed line", "a wider feed line"),
        (("limit: 6500", "limit: 9500"), "piston speed", "forged parts"),
        (("boost 0.8", "boost 2.4"), "intake temperature", "a larger charge cooler"),
    ],
)
def test_any_of_them_can_be_the_first(change: tuple[str, str], first: str, advice: str) -> None:
    parts, wanted = (text.replace(*change) for text in (PARTS.replace("550", "1800"), WANTED))
    found = [n for n in work_out(log(ENGINE + parts, more=wanted), NOTHING) if n.title == "What runs out first"]
    assert len(found) == 1 and found[0].shown.startswith(first), found
    assert advice in found[0].sentence and found[0].result


def test_the_duty_that_was_read_outranks_the_sum() -> None:
    found = outlook(sample("hill-climb-turbo"))
    assert found is not None
    injectors = next(s for s in found.shares if s.name == "injectors")
    at = dict(zip(found.rpm, injectors.values, strict=True))
    assert at[6000.0] == pytest.approx(0.74 / 0.85)
    assert at[7000.0] > at[6000.0]


def test_without_a_goal_or_a_pull_nothing_is_claimed() -> None:
    assert outlook(log(ENGINE + PARTS, more="rev limit: 6500")) is None
    assert outlook(log(PARTS, more=WANTED)) is None


def test_the_boost_numbers() -> None:
    """.8 bar at the sea over 98.3 kPa at the inlet; density by the ideal gas."""
    job = log(ENGINE + PARTS, more=WANTED)
    assert result(one(job, "boost_pressure_ratio"))["pressure_ratio"] == pytest.approx(181.325 / 98.325, rel=1e-4)
    assert " at a pressure ratio of 1.84" in one(job, "corrected_flow").shown
    power = one(job, "power_from_air")
    assert "250 hp wanted" in power.sentence


def test_rail_pressure_tells_a_lost_hose() -> None:
    body = "fuel pressure key-on: 3.0 bar\nidle: rpm 800, vacuum 60 kPa\nfuel pressure idle: {} bar"
    assert "does its work" in one(log(body.format("2.4")), "rail_pressure").sentence
    assert "hose is off" in one(log(body.format("3.0")), "rail_pressure").sentence
    assert "neither fits" in one(log(body.format("1.6")), "rail_pressure").sentence


def test_the_wastegate_opens_sooner_than_its_spring_says() -> None:
    job = log("wastegate: spring 0.6 bar, diaphragm 60 mm, valve 25 mm")
    crack = result(one(job, "wastegate_balance"))["crack_boost_kpa"]
    assert crack == pytest.approx(60 * (1 - (25 / 60) ** 2))


def test_line_and_pump() -> None:
    job = log(PARTS, more="wanted: power 350 hp")
    assert result(one(job, "line_velocity"))["velocity_m_s"] == pytest.approx(1.445, abs=0.001)
    assert one(job, "fuel_pump_flow").sentence.startswith("The pump's 255 l/h are enough")
    drop, friction = result(one(job, "line_pressure_drop")), result(one(job, "friction_factor_colebrook"))
    by_hand = friction["darcy_friction_factor"] * 3.0 / 0.0079 * 740 * 1.44509**2 / 2
    assert drop["drop_kpa"] * 1e3 == pytest.approx(by_hand, rel=1e-3)


def test_no_number_speaks_of_knock_margin_timing_or_safety() -> None:
    for job in (sample("hill-climb-turbo"), log(ENGINE + PARTS, more=WANTED)):
        for number in work_out(job, NOTHING):
            assert not re.search(r"knock|safe|advance|octane", " ".join(k for k, _ in number.result))
            assert not re.search(
                r"knock margin|safe boost|safe timing|can take", f"{number.title} {number.shown}", re.I
            )
            if number.calculation in ("boost_pressure_ratio", "wastegate_balance"):
                assert any("No knock margin" in c for c in number.cautions)


def test_end_gas_is_never_shown_on_a_page() -> None:
    """It stands in the terminal alone, with its caution: a page would be read as a margin."""
    assert not numbers(sample("hill-climb-turbo"), "end_gas_temperature")
