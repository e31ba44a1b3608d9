"""A stack of panels over one level axis: each with its least and greatest, and what was heard drawn through all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.output.pen import SIZE, Pen
from logbook.pages.figure_values import Panel, Series, Stack
from logbook.pages.letters import width

_LEFT, _RIGHT = 46.0, 48.0  # room for numbers at both sides
_KEY, _AXIS = 22.0, 38.0
_APART = 40.0  # between numbers of the level axis
_HEAD, _AIR = 20.0, 8.0  # of a panel: its name, and what is left free below


@dataclass(frozen=True, slots=True)
class _Room:
    """Where one panel lies and what its edges mean."""

    x0: float
    x1: float
    low: float
    high: float
    bottom: float
    top: float

    def x(self, value: float) -> float:
        return _LEFT + (value - self.x0) / (self.x1 - self.x0) * (Stack.width - _LEFT - _RIGHT)

    def y(self, value: float) -> float:
        return self.bottom + (value - self.low) / ((self.high - self.low) or 1.0) * (self.top - self.bottom)


def draw_stack(spec: Stack) -> bytes:
    """``spec`` as an SVG file; the caller has set the library's settings."""
    height = float(spec.height)
    pen = Pen(float(spec.width), height)
    _key(pen, spec.panels[0].series if spec.panels else (), height)
    for number, panel in enumerate(spec.panels):
        top = height - _KEY - Stack.panel * number
        room = _Room(*spec.x_span, *_reach(panel), top - Stack.panel + _AIR, top - _HEAD)
        _panel(pen, panel, room, spec.event)
    _level(pen, spec)
    return pen.finish(spec.title, spec.alt)


def _reach(panel: Panel) -> tuple[float, float]:
    values = [m.y for s in panel.series for m in s.marks]
    return min(values, default=0.0), max(values, default=1.0)


def _key(pen: Pen, series: Sequence[Series], height: float) -> None:
    x = _LEFT
    for one in series:
        pen.line([(x, height - 9), (x + 20, height - 9)], one.tone, 2.0 if one.wide else 1.3, one.dash)
        pen.words(x + 24, height - 13, one.name)
        x += 38 + width(one.name, SIZE)


def _panel(pen: Pen, panel: Panel, room: _Room, event: float | None) -> None:
    pen.words(_LEFT, room.top + 6, panel.label)
    pen.line([(_LEFT, room.bottom - 3), (Stack.width - _RIGHT, room.bottom - 3)], "hair")
    for value in dict.fromkeys((room.low, room.high)):
        pen.words(_LEFT - 6, room.y(value) - 4.5, f"{value:.3g}".replace("-", "−"), "soft", "right")
    for series in panel.series:
        points = [(room.x(m.x), room.y(m.y)) for m in series.marks]
        pen.line(points, series.tone, 2.2 if series.wide else 1.3, series.dash)
        at = [p for p, m in zip(points, series.marks, strict=True) if m.x == event]
        if at and series.wide and panel.at_event:
            pen.dots(at, "rust", False, 4.0)
            pen.words(at[0][0] + 8, at[0][1] - 4.5, panel.at_event, "rust")


def _level(pen: Pen, spec: Stack) -> None:
    room = _Room(*spec.x_span, 0.0, 1.0, _AXIS, spec.height - _KEY)
    low, high = spec.x_span
    step = 1000.0 if high - low >= 2000 else 500.0
    round_ones = [n * step for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
    taken = -1e9
    for value in round_ones or [low, high]:
        far = spec.event is None or abs(room.x(value) - room.x(spec.event)) > _APART
        if far and room.x(value) - taken >= _APART:
            taken = room.x(value)
            pen.words(taken, _AXIS - 15, f"{value:.0f}", "soft", "center")
    pen.words(4, _AXIS - 15, spec.x_label, "soft")
    if spec.event is not None:
        x = room.x(spec.event)
        pen.line([(x, _AXIS), (x, spec.height - _KEY - 4)], "rust", 1.2, "dotted")
        pen.words(x, _AXIS - 15, f"{spec.event:.0f}", "rust", "center")
        pen.words(min(x, Stack.width - 4.0), _AXIS - 33, spec.event_label, "rust", "center")
