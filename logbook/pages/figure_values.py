"""What a drawn figure shows, as frozen values: already rounded, already private-free, nothing of how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from logbook.pages.frame import Table

Tone = Literal["ink", "soft", "mid", "hair", "rust", "blue"]
Look = Literal["open", "filled", "line"]
Dash = Literal["solid", "dashed", "dotted", "dot-dash"]


@dataclass(frozen=True, slots=True)
class Mark:
    """One reading in a figure, in the units of the axes; ``low`` and ``high`` are the ends of its spread."""

    x: float
    y: float
    low: float | None = None
    high: float | None = None


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


@dataclass(frozen=True, slots=True)
class FigureSpec:
    """A figure: ``name`` is its file's stem, ``alt`` gives its message, ``unit`` stands over the upright axis.

    ``ticks`` empty: the level axis is a scale of numbers named by ``x_label``. ``x_span`` and ``y_span`` fix the axes
    where several figures must share them.
    """

    kind: str
    name: str
    title: str
    alt: str
    unit: str
    series: tuple[Series, ...]
    ticks: tuple[Tick, ...] = ()
    limits: tuple[Limit, ...] = ()
    x_label: str = ""
    x_span: tuple[float, float] | None = None
    y_span: tuple[float, float] | None = None
    reach: tuple[float, ...] = ()  # values that must be on the upright axis beside the marks
    label_ends: bool = False  # names at the ends of the lines instead of a key
    small: bool = False

    width: ClassVar[int] = 352  # card units; one file serves phone and desk

    @property
    def height(self) -> int:
        """In the same units as ``width``, for the picture's place on the page before it has loaded."""
        return 150 if self.small else 232


@dataclass(frozen=True, slots=True)
class Panel:
    """One quantity of a stack: its runs in the order of the key. ``at_event`` is its value there, "" for none."""

    label: str
    series: tuple[Series, ...]
    at_event: str = ""


@dataclass(frozen=True, slots=True)
class Stack:
    """Several quantities over one level axis, with what was heard at one place of it drawn through all of them."""

    name: str
    title: str
    alt: str
    panels: tuple[Panel, ...]
    x_label: str
    x_span: tuple[float, float]
    event: float | None = None
    event_label: str = ""

    kind: ClassVar[str] = "stack"
    width: ClassVar[int] = FigureSpec.width
    panel: ClassVar[int] = 84  # the height of one
    around: ClassVar[int] = 60  # the key over them and the axis under them

    @property
    def height(self) -> int:
        return self.around + self.panel * len(self.panels)


Drawn = FigureSpec | Stack


@dataclass(frozen=True, slots=True)
class Placed:
    """A figure with the place it belongs to and its numbers as a table."""

    place: str
    spec: Drawn
    table: Table | None = None
