"""Which figures a log gives, what they show, and that their words agree with the readings."""

from __future__ import annotations

from logbook.diagnosis.answers import NOTHING, Cause, CylinderAnswer, Diagnosis, HistoryPoint
from logbook.job.model import Place
from logbook.output.figures import draw
from logbook.pages.figure_lines import history_figures
from logbook.pages.figure_values import FigureSpec, Placed, Stack
from logbook.pages.figures import job_figures, shown_figure
from tests.parts.logs import job_of

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


def test_figures_are_of_what_a_table_says_worse() -> None:
    found = _figures()
    assert set(found) == {"fuel-pressure-hold", "pulls"}
    assert all(draw(p.spec).startswith(b"<svg") for p in found.values())


def test_private_readings_are_in_no_public_figure() -> None:
    assert "pulls" not in _figures(V6.replace("\npull ", "\nprivate pull "), "public")


def test_pressure_is_drawn_over_the_minutes() -> None:
    spec = _figures()["fuel-pressure-hold"].spec
    assert isinstance(spec, FigureSpec)
    assert [(m.x, m.y) for m in spec.series[0].marks] == [(0, 3.0), (5, 2.9), (20, 2.4)]
    assert "from 3 to 2.4 bar in 20 minutes" in spec.alt


def test_pulls_take_their_speed_from_their_line_or_from_their_own_mark() -> None:
    placed = _figures()["pulls"]
    assert isinstance(placed.spec, Stack)
    (panel,) = placed.spec.panels
    assert {s.name: [(m.x, m.y) for m in s.marks] for s in panel.series} == {
        "pull 1": [(2500, 0.2), (3000, 0.5), (3500, 0.6)],
        "pull 2": [(2500, 0.3), (3500, 0.7)],
    }
    assert placed.spec.x_span == (2500, 3500)
    assert placed.table is not None
    assert [[c.text for c in row] for row in placed.table.rows][:2] == [
        ["pull 1", "2500", "0.2"],
        ["pull 1", "3000", "0.5"],
    ]


def test_what_was_heard_in_a_pull_leads_its_words_with_the_value_of_each_there() -> None:
    spec = _figures(f"{V6}pull 1 knock: heard @ 3000 rpm\n")["pulls"].spec
    assert isinstance(spec, Stack)
    assert (spec.event, spec.event_label, spec.panels[0].at_event) == (3000, "knock heard, pull 1", "0.5")
    assert spec.alt == "Knock heard in pull 1 at 3000 rpm, with boost 0.5 bar."
    assert _figures()["pulls"].spec.alt == "Highest in pull 1 and pull 2: boost 0.7 bar at 3500 rpm."


def test_what_is_the_same_at_all_speeds_is_not_drawn() -> None:
    alike = (
        V6.replace("0.2 0.5 0.6", "0.5 0.5 0.5").replace("boost: 0.3", "boost: 0.5").replace("boost: 0.7", "boost: 0.5")
    )
    assert "pulls" in _figures() and "pulls" not in _figures(alike)


def _history(*points: tuple[float, float]) -> Diagnosis:
    from dataclasses import replace

    causes = (Cause("coil_dead", "the coil found in 3 dead", points[-1][0]), Cause("plug", "plug worn", points[-1][1]))
    history = tuple(HistoryPoint(n + 8, "", p) for n, p in enumerate(points))
    answer = CylinderAnswer(Place("", 3), "dead", "dead", causes, 0.0, 0.0, history=history)
    return replace(NOTHING, cylinders=(answer,))


def test_how_the_odds_moved_leads_with_the_first_cause() -> None:
    (placed,) = history_figures(job_of(V6), _history((0.3, 0.3), (0.6, 0.2), (0.95, 0.01)))
    assert placed.place == "cylinder-3"
    assert isinstance(placed.spec, FigureSpec)
    first, second = placed.spec.series
    assert (first.tone, first.wide, first.name) == ("rust", True, "coil 3 dead")
    assert [m.y for m in first.marks] == [30, 60, 95]
    assert second.tone != "rust" and second.dash != first.dash
    assert "from 30% to 95%" in placed.spec.alt


def test_one_entry_alone_is_no_history() -> None:
    assert history_figures(job_of(V6), _history((0.3, 0.3))) == ()


def test_a_shown_figure_has_its_place_its_size_and_its_numbers() -> None:
    shown = shown_figure("ice-van", _figures()["pulls"])
    assert shown.path == "ice-van/figures/pulls.svg"
    assert (shown.width, shown.height) == (352, 144)
    assert shown.table is not None and shown.table.csv == "barge/tables/pull.csv"
