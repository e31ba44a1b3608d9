"""Figures as SVG files: one look for all, fixed margins, no state kept between two drawings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.output.pen import SIZE, Pen, settings
from logbook.output.stacks import draw_stack
from logbook.pages.figure_values import Dash, Drawn, FigureSpec, Limit, Mark, Series, Stack
from logbook.pages.letters import width, wrapped

WIDTH = float(FigureSpec.width)
_LINE = 14.0
_END_ROOM = 96.0  # for names at the ends of lines, card units
_END_LINE, _END_LINES, _END_APART = 13.0, 4, 3.0


_Named = Series | Limit


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the plot lies on the sheet and what its edges mean."""

    left: float
    bottom: float
    right: float
    top: float
    x0: float
    x1: float
    y0: float
    y1: float

    def x(self, value: float) -> float:
        return self.left + (value - self.x0) / (self.x1 - self.x0) * (self.right - self.left)

    def y(self, value: float) -> float:
        share = (value - self.y0) / (self.y1 - self.y0)
        return self.bottom + min(max(share, -0.02), 1.02) * (self.top - self.bottom)


def draw(spec: Drawn) -> bytes:
    """``spec`` as an SVG file. The same spec gives the same bytes."""
    with settings():
        if isinstance(spec, Stack):
            return draw_stack(spec)
        height = float(spec.height)
        pen = Pen(WIDTH, height)
        levels = _levels(spec)
        frame = _frame(spec, levels, height)
        _key(pen, spec, height)
        _upright(pen, spec, frame, levels)
        _level(pen, spec, frame)
        for limit in spec.limits:
            _limit(pen, frame, limit)
        for series in spec.series:
            _series(pen, frame, series)
        if spec.label_ends:
            _end_labels(pen, spec, frame)
        return pen.finish(spec.title, spec.alt)


# -- where things go


LEAST_SPAN = 1e-200  # below it a range is no range: its tenth part would be nothing


def nice_levels(low: float, high: float, most: int = 6) -> tuple[float, ...]:
    """Round numbers from at or below ``low`` to at or above ``high``, at most ``most`` steps (1, 2 or 5 by tens)."""
    span = (high - low) or abs(high)
    span = span if span > LEAST_SPAN else 1.0
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(power * m for m in (1, 2, 5, 10) if span / (power * m) <= most)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(round(n * step, 12) for n in range(first, last + 1))


def _levels(spec: FigureSpec) -> tuple[float, ...]:
    if spec.y_span:
        return nice_levels(*spec.y_span)
    return nice_levels(*_reach(spec), 4 if spec.small else 6)


def _reach(spec: FigureSpec) -> tuple[float, float]:
    """The least and the greatest that must be on the sheet: marks, spreads and limits."""
    values = [v for s in spec.series for m in s.marks for v in (m.y, m.low, m.high) if v is not None]
    values += [v for limit in spec.limits for v in (limit.low, limit.high)]
    values += spec.reach
    low, high = min(values, default=0.0), max(values, default=1.0)
    return (low, high) if high - low > LEAST_SPAN or abs(high) > LEAST_SPAN else (0.0, 0.0)


def _frame(spec: FigureSpec, levels: Sequence[float], height: float) -> _Frame:
    left = 18 + max(_wide(_level_word(v)) for v in levels)
    right = WIDTH - (12 + _longest_end(spec) if spec.label_ends else 6 if spec.ticks else 20)
    bottom = 24 + (_LINE if spec.x_label else 0)
    top = height - 26 - _LINE * (len(_key_rows(spec)) - 1)
    x0, x1 = _x_span(spec)
    y0, y1 = _y_span(spec)
    return _Frame(left, bottom, right, top, x0, x1, y0, y1)


def _wide(text: str) -> float:
    return width(text, SIZE)


def _y_span(spec: FigureSpec) -> tuple[float, float]:
    """A little air over and under the marks; nothing under what stands on nought."""
    low, high = spec.y_span or _reach(spec)
    air = 0.06 * ((high - low) or abs(high) or 1.0)
    grounded = spec.y_span is not None or (low == 0 and _is_lines(spec))
    return low if grounded else low - air, high + air


def _x_span(spec: FigureSpec) -> tuple[float, float]:
    if spec.x_span:
        return spec.x_span
    values = [m.x for s in spec.series for m in s.marks] + [t.at for t in spec.ticks]
    low, high = min(values, default=0.0), max(values, default=1.0)
    return (low, high) if high > low else (low - 0.5, high + 0.5)


def _is_lines(spec: FigureSpec) -> bool:
    return any(s.look == "line" for s in spec.series)


def _level_word(value: float) -> str:
    return f"{value:g}".replace("-", "−")


# -- the key: one row of names over the plot, one for each limit


def _key_rows(spec: FigureSpec) -> list[list[_Named]]:
    """Names right of the unit while they fit, then rows of their own."""
    items: list[_Named] = [] if spec.label_ends else [s for s in spec.series if s.name]
    items += [limit for limit in spec.limits if limit.label]
    rows: list[list[_Named]] = [[]]
    room = WIDTH - 20 - _wide(spec.unit)
    for item in items:
        wide = _item_width(item)
        if wide > room and (rows[-1] or len(rows) == 1):
            rows.append([])
            room = WIDTH - 8
        rows[-1].append(item)
        room -= wide
    return rows


def _name(item: _Named) -> str:
    return item.label if isinstance(item, Limit) else item.name


def _item_width(item: _Named) -> float:
    return min(36 + _wide(_name(item)), WIDTH - 8)


def _key(pen: Pen, spec: FigureSpec, height: float) -> None:
    pen.words(2, height - 13, spec.unit, "soft")
    for number, row in enumerate(_key_rows(spec)):
        y = height - 13 - _LINE * number
        x = WIDTH - 4 - sum(_item_width(item) for item in row) + 12
        for item in row:
            _sample(pen, item, x, y + 4)
            tone = item.tone if isinstance(item, Limit) and item.tone == "rust" else "ink"
            pen.words(x + 24, y, _name(item), tone, room=WIDTH - 44)
            x += _item_width(item)


def _sample(pen: Pen, item: _Named, x: float, y: float) -> None:
    if isinstance(item, Limit):
        for line in (y,) if item.low == item.high else (y - 3, y + 3):
            ends = [(x + 3, line), (x + 18, line)]
            pen.line(ends, item.tone, 1.2, "dashed" if item.tone == "rust" else "solid")
    elif item.look == "line":
        pen.line([(x, y), (x + 20, y)], item.tone, 2.0 if item.wide else 1.3, item.dash)
    else:
        pen.dots([(x + 14, y)], item.tone, item.look == "filled")


# -- axes


def _upright(pen: Pen, spec: FigureSpec, frame: _Frame, levels: Sequence[float]) -> None:
    pen.line([(frame.left, frame.bottom), (frame.left, frame.top)], "mid")
    shown = [v for v in levels if frame.y0 <= v <= frame.y1]
    pen.lines([((frame.left - 4, frame.y(v)), (frame.left, frame.y(v))) for v in shown], "mid")
    for value in shown:
        pen.words(frame.left - 7, frame.y(value) - 4.5, _level_word(value), anchor="right")


def _level(pen: Pen, spec: FigureSpec, frame: _Frame) -> None:
    pen.line([(frame.left, frame.bottom), (frame.right, frame.bottom)], "mid")
    if frame.y0 < 0 < frame.y1:
        pen.line([(frame.left, frame.y(0)), (frame.right, frame.y(0))], "mid", 0.8)
    if not spec.ticks:
        values = [v for v in nice_levels(frame.x0, frame.x1, 5) if frame.x0 <= v <= frame.x1]
        pen.lines([((frame.x(v), frame.bottom - 4), (frame.x(v), frame.bottom)) for v in values], "mid")
        for value in values:
            pen.words(frame.x(value), frame.bottom - 17, f"{value:g}", anchor="center")
    else:
        _ticks(pen, spec, frame)
    if spec.x_label:
        pen.words((frame.left + frame.right) / 2, frame.bottom - 17 - _LINE, spec.x_label, "soft", "center")


def _ticks(pen: Pen, spec: FigureSpec, frame: _Frame) -> None:
    pen.lines([((frame.x(t.at), frame.bottom - 4), (frame.x(t.at), frame.bottom)) for t in spec.ticks], "mid")
    taken = -1e9
    end = frame.right + 7 if spec.label_ends else WIDTH - 2  # names at the ends of lines may reach down to the ticks
    for tick in (t for t in spec.ticks if t.label):
        half = _wide(tick.label) / 2
        x = min(max(frame.x(tick.at), half + 2), end - half)
        if x - half >= taken + 4:
            taken = x + half
            pen.words(x, frame.bottom - 17, tick.label, anchor="center")


# -- what was measured


def _limit(pen: Pen, frame: _Frame, limit: Limit) -> None:
    for value in dict.fromkeys((limit.low, limit.high)):
        dash: Dash = "dashed" if limit.tone == "rust" else "solid"
        width = 1.2 if limit.low == limit.high or limit.tone == "rust" else 0.8
        pen.line([(frame.left, frame.y(value)), (frame.right, frame.y(value))], limit.tone, width, dash)


def _series(pen: Pen, frame: _Frame, series: Series) -> None:
    if series.look == "line":
        pen.line([_at(frame, m) for m in series.marks], series.tone, 2.2 if series.wide else 1.3, series.dash)
        if len(series.marks) <= 16:
            pen.dots([_at(frame, m) for m in series.marks], series.tone, False, 2.0)
        return
    _spreads(pen, frame, series)
    pen.dots([_at(frame, m) for m in series.marks], series.tone, series.look == "filled")


def _at(frame: _Frame, mark: Mark) -> tuple[float, float]:
    return frame.x(mark.x), frame.y(mark.y)


def _spreads(pen: Pen, frame: _Frame, series: Series) -> None:
    pairs = []
    for mark in series.marks:
        if mark.low is None or mark.high is None or mark.low == mark.high:
            continue
        x, low, high = frame.x(mark.x), frame.y(mark.low), frame.y(mark.high)
        pairs += [((x, low), (x, high)), ((x - 3, low), (x + 3, low)), ((x - 3, high), (x + 3, high))]
    pen.lines(pairs, series.tone, 1.3)


# -- names at the ends of lines


def _longest_end(spec: FigureSpec) -> float:
    return min(_END_ROOM, max((_wide(line) for lines in _end_lines(spec) for line in lines), default=0.0))


def _end_lines(spec: FigureSpec) -> list[list[str]]:
    """The name of each series in a few short lines, fewer where there are many."""
    each = (spec.height - 15) / max(1, len(spec.series)) - _END_APART
    most = max(1, min(_END_LINES, int(each / _END_LINE)))
    return [wrapped(s.name, SIZE, _END_ROOM, most) for s in spec.series]


def spread_out(wanted: Sequence[tuple[float, float]], low: float, high: float) -> list[float]:
    """Middles for blocks of (middle, height), moved as little as needed so that none overlaps, within the two ends."""
    order = sorted(range(len(wanted)), key=lambda n: (wanted[n][0], n))
    placed, floor = [0.0] * len(wanted), low
    for n in order:
        middle, size = wanted[n]
        placed[n] = max(middle, floor + size / 2)
        floor = placed[n] + size / 2
    ceiling = max(high, low)
    for n in reversed(order):
        size = wanted[n][1]
        placed[n] = min(placed[n], ceiling - size / 2)
        ceiling = placed[n] - size / 2
    return placed


def _end_labels(pen: Pen, spec: FigureSpec, frame: _Frame) -> None:
    told = zip(spec.series, _end_lines(spec), strict=True)
    named = [(series, lines, _at(frame, series.marks[-1])) for series, lines in told if series.marks]
    blocks = [(y, _END_LINE * len(lines) + _END_APART) for _, lines, (_, y) in named]
    for (series, lines, (x, y)), middle in zip(named, spread_out(blocks, 2, frame.top + SIZE), strict=True):
        if abs(middle - y) > 5:
            pen.line([(x + 3, y), (frame.right + 7, middle)], "mid", 0.6)
        for row, line in enumerate(lines):
            base = middle - 4.5 + _END_LINE / 2 * (len(lines) - 1) - _END_LINE * row
            pen.words(frame.right + 9, base, line, series.tone, room=_END_ROOM)
