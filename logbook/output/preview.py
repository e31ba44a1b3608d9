"""The preview picture as PNG, drawn with matplotlib's own letters: the same bytes wherever the library is the same."""

from __future__ import annotations

import io
import math
from typing import Any

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, IdentityTransform
from PIL import Image

from logbook.pages.preview import HEIGHT, WIDTH, Preview, PreviewBore

_PAPER, _INK, _SOFT, _RUST = "#fdfbf5", "#1e1c19", "#5c564b", "#8e3a14"
_EDGE = 60.0
_TITLE, _LINE, _SMALL = 58.0, 32.0, 26.0  # letters, pixels
_SHEET_DPI = 72  # a point is a pixel
_PITCH = 9.0  # of the hatch, pixels


def draw_preview(shown: Preview) -> bytes:
    """``shown`` as a PNG of 1200 by 630 pixels."""
    sheet = _Sheet()
    sheet.line((_EDGE, 560.0), (WIDTH - _EDGE, 560.0), _INK, 6)
    sheet.words(_EDGE, 515, shown.shop, _SMALL, _SOFT)
    y = 430.0
    for line in sheet.wrapped(shown.title, _TITLE, WIDTH - 2 * _EDGE)[:2]:
        sheet.words(_EDGE, y, line, _TITLE, _INK)
        y -= 1.2 * _TITLE
    room = WIDTH - 3 * _EDGE - _plan_width(shown)
    for line in sheet.wrapped(shown.line, _LINE, room)[:3]:
        sheet.words(_EDGE, y - 10, line, _LINE, _RUST)
        y -= 1.35 * _LINE
    sheet.words(_EDGE, 62, shown.foot, _SMALL, _SOFT)
    sheet.line((_EDGE, 40.0), (WIDTH - _EDGE, 40.0), _INK, 6)
    _plan(sheet, shown)
    return sheet.png()


def _scale(shown: Preview) -> float:
    return min(4.5, 440 / shown.width, 210 / shown.height) if shown.width and shown.height else 0.0


def _plan_width(shown: Preview) -> float:
    return shown.width * _scale(shown)


def _plan(sheet: _Sheet, shown: Preview) -> None:
    scale = _scale(shown)
    left, top = WIDTH - _EDGE - shown.width * scale, 110 + shown.height * scale
    for bore in shown.bores:
        _bore(sheet, bore, left + bore.x * scale, top - bore.y * scale, shown.radius * scale)


def _bore(sheet: _Sheet, bore: PreviewBore, x: float, y: float, radius: float) -> None:
    """Dead is hatched, weak half hatched, not known dotted, one that fires plain."""
    sheet.ring(x, y, radius, dotted=bore.state == "not known")
    if bore.state in ("dead", "weak"):
        for chord in hatch(x, y, radius, half=bore.state == "weak"):
            sheet.line(*chord, _INK, 2.2)
    if bore.state == "weak":
        sheet.line((x - radius, y), (x + radius, y), _INK, 2.2)


Point = tuple[float, float]


def hatch(x: float, y: float, radius: float, *, half: bool) -> list[tuple[Point, Point]]:
    """Lines at 45 degrees across a circle; only its lower half (y upwards) where ``half``."""
    found = []
    steps = int(radius / _PITCH)
    for n in range(-steps, steps + 1):
        away = n * _PITCH
        reach = math.sqrt(radius * radius - away * away)
        middle = (x - away / math.sqrt(2), y + away / math.sqrt(2))
        along = reach / math.sqrt(2)
        start, end = (middle[0] - along, middle[1] - along), (middle[0] + along, middle[1] + along)
        if half:
            if start[1] >= y:
                continue
            over = max(0.0, end[1] - y)
            end = (end[0] - over, end[1] - over)
        found.append((start, end))
    return found


class _Sheet:
    """Paper with the origin at the lower left."""

    def __init__(self) -> None:
        make: Any = RendererAgg  # the library's own types stop here
        self._renderer = make(WIDTH, HEIGHT, _SHEET_DPI)
        paper = self._pen(_PAPER, 0)
        corners = Path([(0, 0), (0, HEIGHT), (WIDTH, HEIGHT), (WIDTH, 0), (0, 0)])
        self._renderer.draw_path(paper, corners, IdentityTransform(), _rgb(_PAPER))

    def line(self, start: Point, end: Point, tone: str, width: float) -> None:
        self._renderer.draw_path(self._pen(tone, width), Path([start, end]), IdentityTransform())

    def ring(self, x: float, y: float, radius: float, *, dotted: bool) -> None:
        pen = self._pen(_INK, 4 if dotted else 3)
        if dotted:
            pen.set_capstyle("round")
            pen.set_dashes(0, (0.1, 9))
        where = Affine2D().scale(radius).translate(x, y)
        self._renderer.draw_path(pen, Path.unit_circle(), where)

    def words(self, x: float, y: float, text: str, size: float, tone: str) -> None:
        """One line of words standing on ``y``, cut where the sheet ends."""
        fitting = self.wrapped(text, size, WIDTH - _EDGE - x)[:1]
        for line in fitting:
            self._renderer.draw_text(self._pen(tone, 1), x, HEIGHT - y, line, _font(size), 0)

    def wrapped(self, text: str, size: float, room: float) -> list[str]:
        lines: list[str] = []
        for word in "".join(c if c.isprintable() else " " for c in text).split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self._width(longer, size) <= room:
                lines[-1] = longer
            else:
                lines.append(word)
        return lines

    def png(self) -> bytes:
        """Few colours, no metadata."""
        picture = Image.frombuffer("RGBA", (WIDTH, HEIGHT), bytes(self._renderer.buffer_rgba()), "raw", "RGBA", 0, 1)
        file = io.BytesIO()
        few = picture.convert("RGB").quantize(32, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
        few.save(file, "PNG", optimize=True)
        return file.getvalue()

    def _width(self, text: str, size: float) -> float:
        return float(self._renderer.get_text_width_height_descent(text, _font(size), False)[0])

    def _pen(self, tone: str, width: float) -> Any:
        pen = self._renderer.new_gc()
        pen.set_foreground(_rgb(tone), isRGBA=True)
        pen.set_linewidth(width)
        return pen


def _font(size: float) -> FontProperties:
    return FontProperties(family="DejaVu Serif", size=size)  # comes with the library, so it is the same everywhere


def _rgb(tone: str) -> tuple[float, float, float, float]:
    value = int(tone[1:], 16)
    return (value >> 16) / 255, (value >> 8 & 255) / 255, (value & 255) / 255, 1.0
