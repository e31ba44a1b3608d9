"""Geometry of the engine plan, over every engine that a card can describe."""

from __future__ import annotations

import math
import re
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from logbook.job.model import Bank, Engine, Layout
from logbook.pages.plan import (
    SMALL_RADIUS,
    Bore,
    engine_name,
    hatch,
    mark_id,
    marks,
    plan,
    small_plan,
    states_listed,
    states_summed,
)
from pages.example_job import ENGINE
from pages.site import page_html  # noqa: F401  (the package must be importable the same way everywhere)

STATES = ("fires", "weak", "dead", "not known")


def engine_of(layout: Layout, count: int, sides: tuple[str, str] = ("left", "right")) -> Engine:
    """An engine with as many cylinders, odd and even numbers on a bank where there are two."""
    numbers = tuple(range(1, count + 1))
    if layout == "inline":
        return Engine("", layout, (Bank("", numbers),), numbers)
    banks = (Bank(sides[0], numbers[0::2]), Bank(sides[1], numbers[1::2]))
    return Engine("", layout, tuple(b for b in banks if b.cylinders), numbers)


engines = st.builds(
    engine_of,
    st.sampled_from(("inline", "v", "flat")),
    st.integers(1, 16),
    st.sampled_from((("left", "right"), ("rear", "front"), ("right", "left"))),
)


def apart(bores: tuple[Bore, ...], radius: float) -> bool:
    return all(math.hypot(a.x - b.x, a.y - b.y) > 2 * radius for a, b in combinations(bores, 2))


@given(engines, st.dictionaries(st.integers(1, 16), st.sampled_from(STATES)))
def test_every_cylinder_stands_once_and_none_covers_another(engine: Engine, states: dict[int, str]) -> None:
    drawn = plan(engine, states, {})  # type: ignore[arg-type]
    assert drawn is not None
    assert sorted(b.cylinder for b in drawn.bores) == list(engine.cylinders)
    assert apart(drawn.bores, drawn.radius)
    for bore in drawn.bores:
        assert drawn.radius < bore.x < drawn.width - drawn.radius
        assert drawn.radius < bore.y < drawn.height - drawn.radius
        assert bore.state == states.get(bore.cylinder, "not known")


@given(engines)
def test_each_bore_lies_in_its_bank_s_block(engine: Engine) -> None:
    drawn = plan(engine, {}, {})
    assert drawn is not None
    for bore in drawn.bores:
        inside = [
            block
            for block in drawn.blocks
            if block.x < bore.x - drawn.radius
            and bore.x + drawn.radius < block.x + block.width
            and block.y < bore.y - drawn.radius
            and bore.y + drawn.radius < block.y + block.height
        ]
        assert len(inside) == 1
    assert len(drawn.blocks) == len(engine.banks)


def test_the_front_is_at_the_left_and_the_right_bank_above_whatever_the_card_names_first() -> None:
    drawn = plan(Engine("", "v", (Bank("left", (1, 3)), Bank("right", (2, 4))), ()), {}, {})
    assert drawn is not None
    at = {b.cylinder: (b.x, b.y) for b in drawn.bores}
    assert max(at[2][1], at[4][1]) < min(at[1][1], at[3][1])
    assert at[1][0] < at[3][0] and at[2][0] < at[4][0]


def test_an_engine_across_the_vehicle_has_its_front_bank_above() -> None:
    drawn = plan(Engine("", "v", (Bank("rear", (1, 3, 5)), Bank("front", (2, 4, 6))), ()), {}, {})
    assert drawn is not None
    y = {b.cylinder: b.y for b in drawn.bores}
    assert max(y[2], y[4], y[6]) < min(y[1], y[3], y[5])


def test_flat_banks_have_the_crank_between_them() -> None:
    drawn = plan(engine_of("flat", 4), {}, {})
    assert drawn is not None
    upper, lower = sorted({b.y for b in drawn.bores})
    crank = [float(line.split(" ")[1].split("H")[0]) for line in drawn.centre_lines]
    assert any(upper < y < lower for y in crank)


def test_tags_stand_outside_the_blocks_two_at_most() -> None:
    drawn = plan(ENGINE, {}, {1: ("coil A1", "injector A2", "plug A3"), 2: ("coil A4",)})
    assert drawn is not None
    assert sorted(w.text for w in drawn.tags) == ["coil A1", "coil A4", "injector A2"]
    for words in drawn.tags:
        assert not any(b.y <= words.y <= b.y + b.height for b in drawn.blocks)


def test_no_plan_without_banks() -> None:
    assert plan(Engine(""), {}, {}) is None
    assert small_plan(Engine(""), {}) is None


@given(st.floats(5, 40), st.floats(2, 8), st.booleans())
def test_hatching_is_clipped_to_the_bore(radius: float, pitch: float, lower: bool) -> None:
    path = hatch(radius, pitch, lower_half=lower)
    chords = re.findall(r"M(-?[\d.]+) (-?[\d.]+)L(-?[\d.]+) (-?[\d.]+)", path)
    assert "".join(f"M{a} {b}L{c} {d}" for a, b, c, d in chords) == path
    for numbers in chords:
        x1, y1, x2, y2 = map(float, numbers)
        assert max(math.hypot(x1, y1), math.hypot(x2, y2)) <= radius
        assert math.isclose(x2 - x1, y1 - y2, abs_tol=0.21), "45 degrees"
        if lower:
            assert min(y1, y2) >= -0.1


def test_dead_is_hatched_whole_weak_half_and_the_others_not_at_all() -> None:
    by_state = {m.state: m for m in marks(35, 22)}
    assert len(by_state["dead"].hatch) > len(by_state["weak"].hatch) > 0
    assert by_state["fires"].hatch == by_state["not known"].hatch == ""
    assert by_state["weak"].level and by_state["dead"].knock == round(22 * 0.64, 1)
    assert len({m.id for m in marks(35) + marks(SMALL_RADIUS)}) == 8


@given(engines, st.booleans())
def test_small_plans_fit_their_frame(engine: Engine, lying: bool) -> None:
    small = small_plan(engine, {}, lying=lying)
    assert small is not None
    assert sorted(b.cylinder for b in small.bores) == list(engine.cylinders)
    assert apart(small.bores, SMALL_RADIUS)
    for bore in small.bores:
        assert SMALL_RADIUS < bore.x < small.width - SMALL_RADIUS
        assert SMALL_RADIUS < bore.y < small.height - SMALL_RADIUS


def test_on_the_shelf_the_engine_lies_with_its_front_at_the_left_and_the_right_bank_above() -> None:
    small = small_plan(ENGINE, {}, lying=True)
    assert small is not None
    at = {b.cylinder: (b.x, b.y) for b in small.bores}
    assert at[1][0] < at[3][0] < at[5][0]
    assert at[2][1] < at[1][1]


def test_states_in_words() -> None:
    assert states_listed(ENGINE, {1: "fires", 2: "dead"}).startswith("1 fires, 2 dead, 3 not known")
    assert states_summed(ENGINE, dict.fromkeys(range(1, 7), "fires")) == "all fire"  # type: ignore[arg-type]
    assert states_summed(ENGINE, {}) == "not run yet"
    seen = dict.fromkeys(range(1, 7), "fires") | {2: "dead", 4: "dead", 5: "weak"}
    assert states_summed(ENGINE, seen) == "2 and 4 dead, 5 weak"  # type: ignore[arg-type]


def test_engines_are_called_as_the_trade_does() -> None:
    names = [engine_name(engine_of(layout, n)) for layout, n in (("v", 8), ("inline", 6), ("flat", 4), ("inline", 1))]  # type: ignore[arg-type]
    assert names == ["V8", "inline six", "flat four", "single"]
    assert mark_id("not known", 9.4) == "not-known-9"
