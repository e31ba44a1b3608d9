"""Figures: same bytes each time, words as words, colours for both schemes and print, every mark on the sheet."""

from __future__ import annotations

import hashlib
import itertools
import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.output.figures import draw, nice_levels, spread_out
from logbook.pages.figure_values import Drawn, FigureSpec, Limit, Mark, Series, Tick
from tests.figures.specs import ALL, PULLS, SPREAD

_DOT = r"M(-?[\d.]+) (-?[\d.]+)h0"  # a stroke of no length with round ends
SVG = "{http://www.w3.org/2000/svg}"


def _root(spec: Drawn) -> ElementTree.Element:
    return ElementTree.fromstring(draw(spec).decode())


def _words(spec: Drawn) -> list[str]:
    return [element.text or "" for element in _root(spec).iter(SVG + "text")]


@pytest.mark.parametrize("spec", ALL, ids=lambda s: s.name)
def test_a_figure_is_well_formed_named_and_described(spec: Drawn) -> None:
    root = _root(spec)
    assert root.findtext(SVG + "title") == spec.title
    assert root.findtext(SVG + "desc") == spec.alt
    assert root.get("viewBox") == f"0 0 {spec.width} {spec.height}"


@pytest.mark.parametrize("spec", ALL, ids=lambda s: s.name)
def test_colours_are_names_with_rules_for_dark_and_print(spec: Drawn) -> None:
    text = draw(spec).decode()
    style = text[text.index("<style>") : text.index("</style>")]
    assert "prefers-color-scheme:dark" in style and "@media print" in style
    used = set(re.findall(r"var\(--(\w+)\)", text))
    assert used and all(style.count(f"--{name}:") == 3 for name in used)
    assert re.findall(r"#[0-9a-fA-F]{3,6}\b", text.replace(style, "")) == []


@pytest.mark.parametrize("spec", ALL, ids=lambda s: s.name)
def test_nothing_of_the_machine_or_the_day_is_in_the_file(spec: Drawn) -> None:
    text = draw(spec).decode()
    assert "metadata" not in text and "date" not in text.lower().replace("updated", "")
    assert len(text) < 16_000


def test_words_are_kept_and_signs_are_no_mathematics() -> None:
    spec = FigureSpec("hold", "d", "$2 & <3>", "a", "$x^2$", (Series("$5 & <6>", (Mark(0, 1), Mark(1, 2))),))
    assert "$x^2$" in _words(spec) and "$5 & <6>" in _words(spec)


def test_every_limit_and_series_is_named() -> None:
    words = " ".join(_words(SPREAD))
    for name in ("4 May", "9 May", "those that fire", "rpm", "stroke"):
        assert name in words


def test_a_stack_draws_what_was_heard_through_all_its_panels() -> None:
    words = _words(PULLS)
    for said in ("Boost, psi", "Intake air, F", "knock heard, pull 2", "9", "115", "1", "140", "pull 1"):
        assert said in words, said
    assert words.count("4000") == 1, "the speed where it was heard stands once on the axis"
    assert PULLS.height == PULLS.around + 2 * PULLS.panel


def test_drawing_one_figure_leaves_nothing_for_the_next() -> None:
    alone = draw(PULLS)
    for spec in ALL:
        draw(spec)
    assert draw(PULLS) == alone


def test_the_same_bytes_in_another_process_zone_and_hash_seed() -> None:
    code = (
        "import hashlib; from tests.figures.specs import ALL; from logbook.output.figures import draw;"
        "print(hashlib.sha256(b''.join(map(draw, ALL))).hexdigest())"
    )
    env = {**os.environ, "PYTHONHASHSEED": "77", "TZ": "Pacific/Auckland", "LC_ALL": "C"}
    out = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True).stdout
    assert out.strip() == hashlib.sha256(b"".join(map(draw, ALL))).hexdigest()


def test_the_plotting_interface_that_keeps_state_is_never_loaded() -> None:
    code = "import sys, logbook.output.figures; print('matplotlib.pyplot' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout.strip() == "False"


finite = st.floats(-1e5, 1e5, allow_nan=False)


@given(finite, st.floats(1e-6, 1e5), st.integers(2, 12))
def test_levels_are_round_rise_and_enclose(low: float, span: float, most: int) -> None:
    levels = nice_levels(low, low + span, most)
    steps = {round(b - a, 9) for a, b in itertools.pairwise(levels)}
    assert levels[0] <= low + 1e-6 * abs(low) + 1e-9 and levels[-1] >= low + span - 1e-6 * abs(low) - 1e-9
    assert len(levels) <= most + 2 and min(steps) > 0


@given(st.lists(st.tuples(st.floats(0, 200), st.sampled_from([12.5, 25.0])), min_size=1, max_size=7))
def test_names_at_line_ends_never_lie_over_each_other(blocks: list[tuple[float, float]]) -> None:
    low, high = -20.0, 220.0
    placed = spread_out(blocks, low, high)
    edges = sorted((p - h / 2, p + h / 2) for p, (_, h) in zip(placed, blocks, strict=True))
    assert all(a[1] <= b[0] + 1e-6 for a, b in itertools.pairwise(edges))
    assert edges[0][0] >= low - 1e-6 and edges[-1][1] <= high + 1e-6


words = st.text(st.characters(exclude_categories=["Cs"]), max_size=24)


@st.composite
def specs(draw_from: st.DrawFn) -> FigureSpec:
    places = draw_from(st.integers(1, 16))
    values = draw_from(st.lists(finite, min_size=places, max_size=places))
    marks = tuple(Mark(n, y, y - 1, y + 1) for n, y in enumerate(values))
    return FigureSpec(
        kind="any",
        name="any",
        title=draw_from(words),
        alt=draw_from(words),
        unit=draw_from(words),
        series=tuple(
            Series(draw_from(words), marks, draw_from(st.sampled_from(["open", "filled", "line"])))
            for _ in range(draw_from(st.integers(1, 4)))
        ),
        ticks=tuple(Tick(n, draw_from(words)) for n in range(places)),
        limits=(Limit(draw_from(finite), draw_from(finite), draw_from(words)),),
        label_ends=draw_from(st.booleans()),
        small=draw_from(st.booleans()),
    )


@given(specs())
def test_whatever_is_measured_makes_a_whole_figure_on_the_sheet(spec: Drawn) -> None:
    dots = [
        float(n) for path in _root(spec).iter(SVG + "path") for dot in re.findall(_DOT, path.get("d", "")) for n in dot
    ]
    assert all(-1 <= x <= spec.width + 1 for x in dots[::2])
    assert all(-1 <= y <= spec.height + 1 for y in dots[1::2])
    measured = sum(1 for s in spec.series for _ in s.marks if s.look in ("open", "filled"))
    assert len(dots) // 2 >= measured


def test_a_range_of_next_to_nothing_is_drawn_like_one_value() -> None:
    assert nice_levels(0.0, 5e-324) == (0.0,)
    spec = FigureSpec(
        "any", "any", "", "", "", (Series("", (Mark(0, 0.0),)),), (Tick(0, ""),), limits=(Limit(0.0, 5e-324, ""),)
    )
    assert _root(spec).tag == SVG + "svg"


def test_threads_that_draw_at_once_get_the_bytes_of_one_that_draws_alone() -> None:
    alone, interval = draw(SPREAD), sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    try:
        with ThreadPoolExecutor(4) as threads:
            assert set(threads.map(lambda _: draw(SPREAD), range(100))) == {alone}
    finally:
        sys.setswitchinterval(interval)
