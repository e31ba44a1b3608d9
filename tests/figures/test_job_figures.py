"""Which figures a log gives, what they show, and that their words agree with the readings."""

from __future__ import annotations

import pytest

from logbook.diagnosis.answers import NOTHING, Cause, CylinderAnswer, Diagnosis, HistoryPoint
from logbook.job.model import Place
from logbook.output.figures import draw
from logbook.pages.figure_lines import history_figures
from logbook.pages.figure_places import Placed
from logbook.pages.figures import job_figures, shown_figure
from tests.parts.logs import BENCH, job_of

V6 = """\
job: Ice van
units: metric
engine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug

2026-05-04
cut-out: 1 70+-6, 2 65, 3 0, 4 60, 5 -, 6 stopped @ 690 rpm
spec compression: over 10.5
compression: 1 12.1, 2 12.0, 3 9.6, 4 11.9, 5 12, 6 12 @ warm
compression wet: 1 12.9, 2 12.6, 3 11.8, 4 12.5, 5 12.6, 6 12.7
leak-down: 1 8, 2 9, 3 70 (exhaust), 4 8, 5 7, 6 8 @ warm
mixture: left 16.2, right 14.6 @ idle
fuel pressure key-on: 3.0
fuel pressure held: 2.9 @ 5 min
fuel pressure held: 2.4 bar @ 20 min

2026-05-09
repair valve: 3
cut-out: 70 66 68 61 70 69 @ 690 rpm
proved mixture: left 14.7, right 14.6 @ idle
pull 1 rpm: 2500 3000 3500
pull 1 boost: 0.2 0.5 0.6
pull 2 boost: 0.3 @ 2500 rpm
pull 2 boost: 0.7 @ 3500 rpm
"""


def _figures(text: str = V6, copy: str = "shop") -> dict[str, Placed]:
    return {p.spec.name: p for p in job_figures(job_of(text, copy=copy), NOTHING)}


def test_a_job_has_a_figure_for_each_kind_that_was_measured() -> None:
    found = _figures()
    assert set(found) >= {"cut-out", "compression", "leak-down", "fuel-pressure-hold", "pull-boost"}
    assert {p.place for p in found.values()} >= {"readings", "before-after"}
    assert all(draw(p.spec).startswith(b"<svg") for p in found.values())


def test_cylinders_stand_in_the_order_of_the_plan_with_a_gap_between_banks() -> None:
    spec = _figures()["cut-out"].spec
    assert [t.label for t in spec.ticks] == ["1", "3", "5", "2", "4", "6"]
    steps = [round(b.at - a.at, 2) for a, b in zip(spec.ticks, spec.ticks[1:], strict=False)]
    assert steps == [1, 1, 1.6, 1, 1]
    assert [g.label for g in spec.groups] == ["left bank", "right bank"]


def test_a_written_spread_and_what_was_not_done_are_shown() -> None:
    spec = _figures()["cut-out"].spec
    marks = {t.label: m for t, m in zip(spec.ticks, spec.series[0].marks, strict=True)}
    assert (marks["1"].y, marks["1"].low, marks["1"].high) == (70, 64, 76)
    assert (marks["5"].y, marks["5"].word) == (None, "not tested")
    assert (marks["6"].y, marks["6"].word) == (None, "stopped")


def test_repeats_are_drawn_at_their_mean_with_their_spread_and_told_in_the_table() -> None:
    again = "cut-out: 2 71, 3 20 @ 690 rpm\ncut-out: 4 20 @ 900 rpm\nspec compression"
    placed = _figures(V6.replace("spec compression", again))["cut-out"]
    marks = {t.label: m for t, m in zip(placed.spec.ticks, placed.spec.series[0].marks, strict=True)}
    # Two tries: twice 6 rpm (common practice, no source) over the root of two is 8.49 rpm.
    assert (marks["2"].y, marks["2"].low, marks["2"].high) == (
        68,
        pytest.approx(59.51, abs=0.01),
        pytest.approx(76.49, abs=0.01),
    )
    # Tries that lie further apart than that show how far.
    assert (marks["3"].y, marks["3"].low, marks["3"].high) == (10, 0, 20)
    # At another speed it is another test, and one try.
    assert (marks["4"].y, marks["4"].low, marks["4"].high) == (20, 8, 32)
    assert placed.spec.scatter == "scatter: as written, all tries, usual ± 12 rpm"
    assert placed.table is not None
    cell = next(r[1] for r in placed.table.rows if r[0].text == "2")
    assert (cell.text, cell.note) == ("68", "mean of 65 and 71")
    drawn = draw(placed.spec).decode()
    assert "scatter: as written" in drawn and "range of those that fire" in drawn


def test_the_range_of_those_that_fire_leaves_out_the_dead_and_the_weak() -> None:
    spec = _figures("""\
engine: four in line, fires 1 3 4 2
2026-05-04
cut-out: 1 70, 2 25, 3 0, 4 60 @ 690 rpm
""")["cut-out"].spec
    # Dead: 0 is under 1.645 x 6 rpm. Weak: 25 is under 0.6 of the median, 42.5. Left are 60 and 70, 12 either way.
    assert [(k.low, k.high, k.label, k.tone) for k in spec.limits] == [(48, 82, "range of those that fire", "mid")]
    assert "Those that fire lose 48 to 82 rpm." in spec.alt


def test_where_half_are_dead_no_range_is_drawn() -> None:
    spec = _figures("engine: four in line, fires 1 3 4 2\n2026-05-04\ncut-out: 1 70, 2 1, 3 0, 4 60\n")["cut-out"].spec
    assert spec.limits == () and "Those that fire" not in spec.alt


def test_no_other_test_has_a_usual_scatter() -> None:
    spec = _figures()["compression"].spec
    assert spec.scatter == "" and all(m.low is None for s in spec.series for m in s.marks)


def test_a_corrected_drop_stands_on_its_old_day() -> None:
    spec = _figures("""\
engine: four in line, fires 1 3 4 2
2026-05-04
cut-out: 1 70, 2 65, 3 0, 4 95 @ 690 rpm
2026-05-06
correct 2026-05-04 cut-out: 4 59
""")["cut-out"].spec
    (series,) = spec.series
    assert (series.name, [m.y for m in series.marks]) == ("4 May", [70, 65, 0, 59])


_OHMS = """\
engine: four in line, fires 1 3 4 2, coil near plug, leads
spec resistance injector: {spec}
2026-05-04
resistance injector: 1 14.2, 2 15.8, 3 12.9{own} @ {at}
"""


def test_limits_of_a_winding_go_with_the_temperature_of_the_reading() -> None:
    placed = _figures(_OHMS.format(spec="11-13", own="", at="70 C"))["resistance-injector"]
    # Copper, 0.00393 a degree from 20 degrees C (IEC 60028, from memory): 50 degrees more are 1.1965 times as much.
    (limit,) = placed.spec.limits
    assert (limit.low, limit.high) == (pytest.approx(13.1615), pytest.approx(15.5545))
    assert limit.label == "wanted, 13.2 to 15.6 Ω at 70 °C"
    assert [m.out for m in placed.spec.series[0].marks] == [False, True, True]
    assert placed.table is not None
    assert placed.table.caption == "Resistance injector, Ω; wanted 11 to 13 Ω at 20 °C, so 13.2 to 15.6 Ω at 70 °C"
    assert [r[1].text for r in placed.table.rows] == ["14.2", "15.8, over", "12.9, under"]
    assert "wanted, 13.2 to 15.6" in draw(placed.spec).decode()


@pytest.mark.parametrize(
    ("spec", "own", "at", "low", "label"),
    [
        ("over 11", "", "158 F", 13.1615, "wanted, at least 13.2 Ω at 70 °C"),
        ("11-13", "", "20 C", 11, "wanted, 11 to 13 Ω"),
        ("11-13", "", "key off", 11, "wanted, 11 to 13 Ω"),
        ("11-13", ", spec 12-14", "70 C", 12, "wanted, 12 to 14 Ω"),
    ],
    ids=["open and in F", "at 20", "no temperature", "of the line itself"],
)
def test_limits_stay_where_nothing_moves_them(spec: str, own: str, at: str, low: float, label: str) -> None:
    placed = _figures(_OHMS.format(spec=spec, own=own, at=at))["resistance-injector"]
    assert [(k.low, k.label) for k in placed.spec.limits] == [(pytest.approx(low), label)]


def test_a_lead_of_carbon_has_no_copper_limit() -> None:
    text = _OHMS.format(spec="11-13", own="", at="70 C").replace("injector", "lead")
    assert [k.label for k in _figures(text)["resistance-lead"].spec.limits] == ["wanted, 11 to 13 Ω"]


def test_the_two_windings_of_a_coil_stand_in_figures_of_their_own() -> None:
    windings = "resistance coil: 1 0.71, 2 0.70, 3 0.72\nresistance coil secondary: 1 12.1, 2 12.4, 3 open kohm\n"
    found = _figures(V6 + windings)
    primary, secondary = found["resistance-coil"], found["resistance-coil-secondary"]
    assert secondary.spec.title == "Resistance of the coils, secondary"
    assert max(m.y or 0 for s in primary.spec.series for m in s.marks) < 1
    assert min(m.y for s in secondary.spec.series for m in s.marks if m.y is not None) > 10


@pytest.mark.parametrize(("day", "column"), [("2026-05-09", "9 May"), ("2026-05-04", "later, 4 May")])
def test_one_cylinder_tried_again_stands_in_the_table_behind_dry_and_wet(day: str, column: str) -> None:
    first_day = V6.split("2026-05-09")[0]
    next_day = f"{day}\n" if day != "2026-05-04" else ""
    placed = _figures(first_day + next_day + "clean valve: 3\ncompression: 3 11.9\n")["compression"]
    assert [s.name for s in placed.spec.series] == ["dry", "wet"]
    assert placed.table is not None
    assert [c.text for c in placed.table.columns][1:] == ["4 May", "4 May, wet", column]
    assert [row[3].text for row in placed.table.rows if row[0].text in ("3", "1")] == ["not tested", "11.9"]


def test_dry_is_a_bar_wet_a_filled_mark_and_the_limit_is_named() -> None:
    placed = _figures()["compression"]
    assert [(s.name, s.look) for s in placed.spec.series] == [("dry", "bar"), ("wet", "filled")]
    labels = {limit.label: limit for limit in placed.spec.limits}
    assert labels["wanted, at least 10.5 bar"].low == 10.5
    # 75 % of the highest, 12.1 bar: common practice, no source.
    assert labels["75 % of the highest"].low == pytest.approx(9.075)
    out = [m for m in placed.spec.series[0].marks if m.out]
    assert [(m.word, m.y) for m in out] == [("9.6", 9.6)]
    assert placed.table is not None
    row = next(r for r in placed.table.rows if r[0].text == "3")
    assert (row[1].text, row[1].out) == ("9.6, under", True)


def test_the_text_alternative_says_what_the_figure_shows() -> None:
    assert "lowest 9.6 at 3, highest 12.1 bar at 1" in _figures()["compression"].spec.alt
    assert "Wanted: at least 10.5 bar." in _figures()["compression"].spec.alt


def test_before_and_after_have_one_scale_and_their_names() -> None:
    spec = _figures()["cut-out-before-after"].spec
    assert [s.name for s in spec.series] == ["before, 4 May", "after, 9 May"]
    assert [s.look for s in spec.series] == ["open", "filled"]


def test_pressure_is_drawn_over_the_minutes() -> None:
    spec = _figures()["fuel-pressure-hold"].spec
    assert [(m.x, m.y) for m in spec.series[0].marks] == [(0, 3.0), (5, 2.9), (20, 2.4)]
    assert "from 3 to 2.4 bar in 20 minutes" in spec.alt


def test_pulls_take_their_speed_from_their_line_or_from_their_own_mark() -> None:
    spec = _figures()["pull-boost"].spec
    assert {s.name: [(m.x, m.y) for m in s.marks] for s in spec.series} == {
        "pull 1": [(2500, 0.2), (3000, 0.5), (3500, 0.6)],
        "pull 2": [(2500, 0.3), (3500, 0.7)],
    }
    assert spec.small and spec.x_span == (2500, 3500)


def test_where_air_is_heard_stands_beside_the_mark() -> None:
    words = [m.word for m in _figures()["leak-down"].spec.series[0].marks if m.word]
    assert words == ["exhaust"]


def test_more_injectors_than_cylinders_have_their_best_set_underlined() -> None:
    spec = _figures(BENCH)["flow"].spec
    chosen = {t.label for t in spec.ticks if t.chosen}
    assert len(chosen) == 4 and spec.chosen == "the best matched four"
    assert "A6" not in chosen and "A4" not in chosen  # scrapped, sent away


def test_spray_is_told_in_words_from_worst_to_best() -> None:
    spec = _figures(BENCH)["spray"].spec
    assert spec.y_words == ("jet", "cone")
    assert "cone at A1, A3, A4, A5 and A6; jet at A2" in spec.alt


def test_private_readings_are_in_no_public_figure() -> None:
    text = V6.replace("compression wet:", "private compression wet:").replace("leak-down:", "private leak-down:")
    public = _figures(text, "public")
    assert "leak-down" not in public
    assert [s.name for s in public["compression"].spec.series] == ["dry"]
    assert "leak-down" in _figures(text)


def _history(*points: tuple[float, float]) -> Diagnosis:
    from dataclasses import replace

    causes = (Cause("coil_dead", "the coil found in 3 dead", points[-1][0]), Cause("plug", "plug worn", points[-1][1]))
    history = tuple(HistoryPoint(n + 8, "", p) for n, p in enumerate(points))
    answer = CylinderAnswer(Place("", 3), "dead", "dead", causes, 0.0, 0.0, history=history)
    return replace(NOTHING, cylinders=(answer,))


def test_how_the_case_closed_in_leads_with_the_first_cause() -> None:
    (placed,) = history_figures(job_of(V6), _history((0.3, 0.3), (0.6, 0.2), (0.95, 0.01)))
    assert placed.place == "remains-3"
    first, second = placed.spec.series
    assert (first.tone, first.wide, first.name) == ("rust", True, "A the coil found in 3 dead")
    assert [m.y for m in first.marks] == [30, 60, 95]
    assert second.tone != "rust" and second.dash != first.dash
    assert "from 30 to 95 in 100" in placed.spec.alt


def test_one_entry_alone_is_no_history() -> None:
    assert history_figures(job_of(V6), _history((0.3, 0.3))) == ()


def test_a_shown_figure_has_its_place_its_size_and_its_numbers() -> None:
    shown = shown_figure("ice-van", _figures()["cut-out"])
    assert shown.path == "ice-van/figures/cut-out.svg"
    assert (shown.width, shown.height) == (352, 232)
    assert shown.table is not None and shown.table.csv == "barge/tables/cut-out.csv"
