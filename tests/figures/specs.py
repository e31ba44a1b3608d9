"""One figure of each kind, in an invented scenario, for the tests and the benchmark."""

from __future__ import annotations

from logbook.pages.figure_values import Drawn, FigureSpec, Limit, Mark, Panel, Series, Stack, Tick

_RPM = (2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0)


def _line(name: str, values: tuple[float, ...], tone: str, dash: str, wide: bool = False) -> Series:
    marks = tuple(Mark(n, v) for n, v in enumerate(values))
    return Series(name, marks, "line", tone, dash, wide)  # type: ignore[arg-type]


def _spread(name: str, values: tuple[float, ...], look: str, tone: str) -> Series:
    marks = tuple(Mark(n, v, v - 5, v + 5) for n, v in enumerate(values))
    return Series(name, marks, look, tone)  # type: ignore[arg-type]


SPREAD = FigureSpec(
    "recording",
    "recording",
    "Strength of each stroke",
    "Stroke 2 has gone in the wet.",
    "rpm",
    (
        _spread("4 May, dry", (70, 68, 41, 52, 60, 66), "open", "ink"),
        _spread("9 May, wet", (70, 4, 38, 54, 68, 64), "filled", "blue"),
    ),
    limits=(Limit(46, 78, "those that fire", "mid"),),
    x_label="stroke",
)
HISTORY = FigureSpec(
    "history",
    "history",
    "How the odds moved",
    "The coil ends at 68%.",
    "%",
    (
        _line("A coil A3", (20, 29, 31, 32, 36, 31, 68), "rust", "solid", True),
        _line("B wiring of the injector at 4", (14, 12, 9, 9, 10, 8, 17), "blue", "solid"),
        _line("C boot tracks", (24, 12, 12, 13, 2, 0, 15), "ink", "dotted"),
        _line("D injector feed", (28, 41, 43, 44, 50, 60, 15), "ink", "dashed"),
    ),
    tuple(Tick(n, label) for n, label in enumerate(("start", "", "4 May", "", "", "9 May", ""))),
    y_span=(0, 100),
    label_ends=True,
)
HOLD = FigureSpec(
    "hold",
    "hold",
    "Fuel pressure after the pump has stopped",
    "Pressure falls by half in 20 minutes.",
    "bar, gauge",
    (Series("4 May", (Mark(0, 3.0), Mark(5, 2.4), Mark(20, 1.5)), "line"),),
    x_label="minutes",
    y_span=(0, 3),
    small=True,
)


def _pulls(first: tuple[float, ...], second: tuple[float, ...]) -> tuple[Series, ...]:
    return (
        Series("pull 1", tuple(map(Mark, _RPM, first)), "line", "ink", "dashed"),
        Series("pull 2", tuple(map(Mark, _RPM, second)), "line", "ink", "solid", True),
    )


PULLS = Stack(
    "pulls",
    "Pulls",
    "Knock heard in pull 2 at 4000 rpm, with boost 9 psi.",
    (
        Panel("Boost, psi", _pulls((1.0, 3.5, 6.2, 7.0, 7.1, 7.0), (1.2, 4.5, 8.2, 9.0, 8.6, 8.0)), "9"),
        Panel("Intake air, F", _pulls((80, 84, 90, 99, 110, 118), (82, 88, 99, 115, 131, 140)), "115"),
    ),
    "rpm",
    (2500, 5000),
    4000,
    "knock heard, pull 2",
)
ALL: tuple[Drawn, ...] = (SPREAD, HISTORY, HOLD, PULLS)
