"""One figure of each kind, in an invented scenario, for the tests and the benchmark."""

from __future__ import annotations

from logbook.pages.figure_values import FigureSpec, Group, Limit, Mark, Series, Tick

_V6 = ((0.0, "1"), (1.0, "3"), (2.0, "5"), (3.6, "2"), (4.6, "4"), (5.6, "6"))
_TICKS = tuple(Tick(at, name) for at, name in _V6)
_BANKS = (Group(0, 2, "left bank"), Group(3.6, 5.6, "right bank"))
_RPM = (2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0)


def _marks(values: tuple[float | None, ...], spread: float) -> tuple[Mark, ...]:
    return tuple(
        Mark(t.at, None, word="not tested") if v is None else Mark(t.at, v, v - spread, v + spread)
        for t, v in zip(_TICKS, values, strict=True)
    )


def _line(name: str, values: tuple[float, ...], tone: str, dash: str, wide: bool = False) -> Series:
    marks = tuple(Mark(n, v) for n, v in enumerate(values))
    return Series(name, marks, "line", tone, dash, wide)  # type: ignore[arg-type]


CUT_OUT = FigureSpec(
    "cut-out",
    "cut-out",
    "Cut-out: speed lost at each cylinder",
    "On 9 May 4 has come back and 2 has gone.",
    "rpm lost when cut",
    (
        Series("4 May, dry", _marks((70, 68, 41, 52, 0, 66), 5)),
        Series("9 May, wet", _marks((70, 70, 38, 4, 68, None), 5), "filled", "blue"),
    ),
    _TICKS,
    _BANKS,
    (Limit(46, 78, "range of those that fire", "mid"),),
)
COMPRESSION = FigureSpec(
    "compression",
    "compression",
    "Compression, dry and with oil",
    "5 is under the limit and rises with oil.",
    "bar, gauge",
    (
        Series(
            "dry",
            (
                Mark(0, 12.1),
                Mark(1, 11.8),
                Mark(2, 9.6, word="9.6", out=True),
                Mark(3.6, 12.0),
                Mark(4.6, 11.9),
                Mark(5.6, None, word="stopped"),
            ),
            "bar",
        ),
        Series("with oil", (Mark(0, 12.9), Mark(1, 12.6), Mark(2, 11.9), Mark(3.6, 12.7)), "filled", "blue"),
    ),
    _TICKS,
    _BANKS,
    (Limit(10.5, 10.5, "wanted, at least 10.5"),),
)
HISTORY = FigureSpec(
    "history",
    "history",
    "How the case closed in on 2",
    "The coil ends at 68 in 100.",
    "in 100",
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
PULL = FigureSpec(
    "pull",
    "pull-boost",
    "Boost in two pulls",
    "Pull 2 holds 9 psi at 4000 rpm.",
    "psi",
    (
        Series("pull 1", tuple(map(Mark, _RPM, (1.0, 3.5, 6.2, 7.0, 7.1, 7.0))), "line"),
        Series("pull 2", tuple(map(Mark, _RPM, (1.2, 4.5, 8.2, 9.0, 8.6, 8.0))), "line", "blue", "dashed"),
    ),
    x_label="rpm",
    x_span=(2000, 6000),
    small=True,
)
SPRAY = FigureSpec(
    "spray",
    "spray",
    "Spray by eye",
    "Three dripped before cleaning; all make a cone after it.",
    "spray",
    (
        Series("before", tuple(Mark(n, n % 3) for n in range(8))),
        Series("after", tuple(Mark(n, 2) for n in range(8)), "filled", "blue"),
    ),
    tuple(Tick(n, f"A{n + 1}", n in (1, 3, 4, 6)) for n in range(8)),
    y_words=("drip", "jet", "cone"),
    chosen="the chosen set",
)
ALL = (CUT_OUT, COMPRESSION, HISTORY, PULL, SPRAY)
