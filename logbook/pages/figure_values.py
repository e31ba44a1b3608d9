"""What a drawn figure shows, as frozen values: already rounded, already private-free, nothing of how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from logbook.pages.frame import Table

Tone = Literal["ink", "soft", "mid", "hair", "rust", "blue"]
Look = Literal["open", "filled", "bar", "line"]
Dash = Literal["solid", "dashed", "dotted", "dot-dash"]


@dataclass(frozen=True, slots=True)
class Mark:
    """One reading in a figure, in the units of the axes.

    ``y`` is None where nothing was measured; then ``word`` says why ('stopped', 'not tested').
    ``low`` and ``high`` are the ends of the spread. ``out``: outside what is wanted; ``word`` is then drawn beside it.
    """

    x: float
    y: float | None
    low: float | None = None
    high: float | None = None
    word: str = ""
    out: bool = False


@dataclass(frozen=True, slots=True)
class Series:
    """Marks of one moment or one thing. Open is first or before, filled is second or after, in every figure."""

    name: str
    marks: tuple[Mark, ...]
    look: Look = "open"
    tone: Tone = "ink"
    dash: Dash = "solid"
    wide: bool = False  # the leading line


@dataclass(frozen=True, slots=True)
class Limit:
    """A line (``low`` equal to ``high``) or the two ends of a range, named in the key."""

    low: float
    high: float
    label: str
    tone: Tone = "rust"


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    label: str
    chosen: bool = False  # of the set that was chosen: underlined


@dataclass(frozen=True, slots=True)
class Group:
    """A name under several ticks: 'left bank'."""

    start: float
    end: float
    label: str


@dataclass(frozen=True, slots=True)
class FigureSpec:
    """A figure: ``name`` is its file's stem, ``alt`` says what it shows, ``unit`` stands over the upright axis.

    ``ticks`` empty: the level axis is a scale of numbers named by ``x_label``. ``y_words``: the upright axis counts
    words from 0. ``x_span`` and ``y_span`` fix the axes where several figures must share them.
    ``chosen`` names in the key what an underlined tick means, ``scatter`` what the whiskers of the marks are.
    """

    kind: str
    name: str
    title: str
    alt: str
    unit: str
    series: tuple[Series, ...]
    ticks: tuple[Tick, ...] = ()
    groups: tuple[Group, ...] = ()
    limits: tuple[Limit, ...] = ()
    x_label: str = ""
    y_words: tuple[str, ...] = ()
    x_span: tuple[float, float] | None = None
    y_span: tuple[float, float] | None = None
    reach: tuple[float, ...] = ()  # values that must be on the upright axis beside the marks
    label_ends: bool = False  # names at the ends of the lines instead of a key
    small: bool = False
    chosen: str = ""
    scatter: str = ""
    private: bool = False

    width: ClassVar[int] = 352  # card units; one file serves phone and desk

    @property
    def height(self) -> int:
        """In the same units as ``width``, for the picture's place on the page before it has loaded."""
        return 150 if self.small else 232


@dataclass(frozen=True, slots=True)
class Placed:
    """A figure with the place it belongs to and its numbers as a table."""

    place: str
    spec: FigureSpec
    table: Table | None = None
