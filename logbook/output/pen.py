"""A pen over matplotlib's SVG renderer: lines, marks and words in card units, in the colours of the sheet.

Axes, tick objects and layout engines cost ten times what a job card's figure needs, and keep state between figures.
The renderer alone keeps none: a figure is drawn with a fresh one and is the same bytes each time.
"""

from __future__ import annotations

import io
import math
import re
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from html import escape
from typing import Any, Literal

from matplotlib import rcParams
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.transforms import IdentityTransform

from logbook.pages.figure_values import Dash, Tone
from logbook.pages.letters import FREE, fitted

Anchor = Literal["left", "center", "right"]

SIZE = 13.0
"""Letters, in card units: 12 px where a phone shows the figure 328 px wide."""

_SETTINGS: dict[Any, Any] = {"svg.fonttype": "none", "svg.hashsalt": "logbook", "text.parse_math": False}
_ONE_AT_A_TIME = threading.RLock()  # the settings are the whole process's, whichever thread draws
_NO_METADATA = {"Date": None, "Creator": None, "Format": None, "Type": None}
_DASHES: dict[Dash, Sequence[float] | None] = {
    "solid": None,
    "dashed": (6.0, 3.0),
    "dotted": (1.2, 2.6),
    "dot-dash": (6.0, 2.4, 1.2, 2.4),
}
# Colours that no figure uses: each is swapped for a name of the stylesheet after drawing.
_SENTINELS = {
    "ink": "#010101",
    "soft": "#010102",
    "mid": "#010103",
    "hair": "#010104",
    "rust": "#010105",
    "blue": "#010106",
    "sheet": "#010107",
}
_TONES = "|".join(_SENTINELS)
_LIGHT = {
    "ink": "#1e1c19",
    "soft": "#5c564b",
    "mid": "#8a8272",
    "hair": "#c9c0ac",
    "rust": "#8e3a14",
    "blue": "#234a73",
    "sheet": "#fdfbf5",
}
_DARK = {
    "ink": "#ece6d8",
    "soft": "#b3ac9d",
    "mid": "#7c858b",
    "hair": "#39424a",
    "rust": "#eb9a6b",
    "blue": "#9cc0e6",
    "sheet": "#161c21",
}
_PRINT = {
    "ink": "#000",
    "soft": "#444",
    "mid": "#777",
    "hair": "#aaa",
    "rust": "#6e2c0e",
    "blue": "#1d3d60",
    "sheet": "#fff",
}
_LETTERS = "'Avenir Next Condensed','Arial Narrow','Liberation Sans Narrow','Roboto Condensed','Noto Sans',sans-serif"


_LETTERING = (
    f"text{{font:{SIZE:g}px {_LETTERS};fill:var(--ink);paint-order:stroke;stroke:var(--sheet);stroke-width:3px;"
    "stroke-linejoin:round;font-variant-numeric:tabular-nums}.m{text-anchor:middle}.e{text-anchor:end}"
    "path{stroke-linejoin:round}"
)
_WORDS_IN = {
    "soft": ".soft{fill:var(--soft)}",
    "blue": ".blue{fill:var(--blue)}",
    "rust": ".rust{fill:var(--rust);font-weight:600}",
}
# What XML 1.0 cannot hold (its Char production, W3C Recommendation, section 2.2).
_UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_TEXT = re.compile(r'<text style="([^"]*)" x="([^"]*)" y="([^"]*)"[^>]*>')
_DRAWN = re.compile(r' d="([^"]*)"')
_LONG = re.compile(r"-?\d+\.\d{3,}")
_STILL = re.compile(r"M(-?[\d.]+ -?[\d.]+)L\1(?![\d.])")
_BETWEEN = re.compile(r">\s+<")
_STYLE = re.compile(r' style="([^"]*)"')
_ANCHORS = {"middle": "m", "end": "e"}


class Pen:
    """Draws on one sheet of ``width`` by ``height`` card units, the origin at the lower left."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self._out = io.StringIO()
        make: Any = RendererSVG  # the library's own types stop here
        self._renderer = make(width, height, self._out, image_dpi=72, metadata=_NO_METADATA)
        self._plain = IdentityTransform()
        self._font = FontProperties(family="letters", size=SIZE)
        self._anchor = Text()
        self._lengths: list[float] = []  # of the words, in the order of drawing; 0: as the font has it

    def line(self, points: Sequence[tuple[float, float]], tone: Tone, width: float = 1.0, dash: Dash = "solid") -> None:
        """One stroke through ``points``; fewer than two make none."""
        if len(points) < 2:
            return
        self._stroke(Path(_rounded(points)), tone, width, dash)

    def lines(
        self, pairs: Sequence[tuple[tuple[float, float], tuple[float, float]]], tone: Tone, width: float = 1.0
    ) -> None:
        """Many separate strokes of one look as one path."""
        if pairs:
            codes = [Path.MOVETO, Path.LINETO] * len(pairs)
            self._stroke(Path(_rounded([point for pair in pairs for point in pair]), codes), tone, width, "solid")

    def dots(self, points: Sequence[tuple[float, float]], tone: Tone, filled: bool, radius: float = 3.6) -> None:
        """Round marks: filled with their own tone, or with the paper's. Strokes of no length with round ends."""
        if points:
            self._rounds(points, tone, 2 * radius + 1.4)
            if not filled:
                self._rounds(points, "sheet", 2 * radius - 1.4)

    def words(
        self, x: float, y: float, text: str, tone: Tone = "ink", anchor: Anchor = "left", room: float = math.inf
    ) -> None:
        """One line of words, at most ``room`` long and never over the edge; ``y`` is the line the letters stand on."""
        text, length = fitted(_writable(text), SIZE, min(room, self.width - 2))
        if not text:
            return
        before = {"left": 0.0, "center": length / 2, "right": length}[anchor]
        x = round(min(max(x, 1 + before), self.width - 1 - length + before), 1)
        y = round(y, 1)
        self._anchor.set_position((x, y))
        self._anchor.set_horizontalalignment(anchor)
        self._lengths.append(length if len(text) > FREE else 0.0)
        pen = self._pen(tone, 0, "solid")
        self._renderer.draw_text(pen, x, self.height - y, text, self._font, 0, mtext=self._anchor)

    def finish(self, title: str, alt: str) -> bytes:
        """The sheet as SVG: words kept as words, colours as names with dark and print rules inside."""
        self._renderer.finalize()
        drawn = self._out.getvalue()
        body = drawn[drawn.index("</defs>") + len("</defs>") :]
        for name, colour in _SENTINELS.items():
            body = body.replace(colour, f"var(--{name})")
        lengths = iter(self._lengths)
        body = _TEXT.sub(lambda found: _short(found, next(lengths)), body).replace("xlink:href", "href")
        body = _BETWEEN.sub("><", _DRAWN.sub(_terse, body))
        body, looks = _looks_named(body)
        size = f'width="{self.width:g}" height="{self.height:g}" viewBox="0 0 {self.width:g} {self.height:g}"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img">'
        names = f"<title>{escape(_writable(title))}</title><desc>{escape(_writable(alt))}</desc>"
        return f"{head}{names}<style>{_sheet(body, looks)}</style>{body}\n".encode()

    def _stroke(self, path: Path, tone: Tone, width: float, dash: Dash) -> None:
        self._renderer.draw_path(self._pen(tone, width, dash), path, self._plain)

    def _rounds(self, points: Sequence[tuple[float, float]], tone: str, width: float) -> None:
        ends = [point for point in _rounded(points) for _ in range(2)]
        path = Path(ends, [Path.MOVETO, Path.LINETO] * len(points))
        path.should_simplify = False  # else strokes of no length are dropped
        pen = self._pen(tone, width, "solid")
        pen.set_capstyle("round")
        self._renderer.draw_path(pen, path, self._plain)

    def _pen(self, tone: str, width: float, dash: Dash) -> Any:
        pen = self._renderer.new_gc()
        pen.set_foreground(_rgb(tone), isRGBA=True)
        pen.set_linewidth(width)
        pen.set_dashes(0, _DASHES[dash])
        return pen


@contextmanager
def settings() -> Iterator[None]:
    """The library's settings while drawing, put back afterwards."""
    with _ONE_AT_A_TIME:
        before = {name: rcParams[name] for name in _SETTINGS}
        rcParams.update(_SETTINGS)
        try:
            yield
        finally:
            rcParams.update(before)


def _terse(found: re.Match[str]) -> str:
    """A drawn path with numbers to a hundredth of a card unit, and no blank that nothing needs."""
    short = _LONG.sub(lambda number: f"{float(number[0]):.2f}".rstrip("0").rstrip("."), found[1])
    steps = re.sub(" ?([MLCz]) ?", r"\1", " ".join(short.split()))
    return ' d="' + _STILL.sub(r"M\1h0", steps) + '"'


def _looks_named(body: str) -> tuple[str, str]:
    """Looks that come again and again get a name and stand once in the sheet of styles."""
    found = _STYLE.findall(body)
    often = [look for look in dict.fromkeys(found) if found.count(look) > 1]
    names = {look: f"k{number}" for number, look in enumerate(often)}
    named = _STYLE.sub(lambda m: f' class="{names[m[1]]}"' if m[1] in names else m[0], body)
    return named, "".join(
        f".{name}{{{look.replace('; ', ';').replace(': ', ':').replace('stroke-dashoffset:0;', '')}}}"
        for look, name in names.items()
    )


def _sheet(body: str, looks: str) -> str:
    """Lettering, looks and the colours that the figure uses, for light, dark and paper."""
    looks += "".join(rule for tone, rule in _WORDS_IN.items() if f'{tone}"' in body)
    tones = [name for name in _SENTINELS if f"var(--{name})" in body + looks + _LETTERING]

    def colours(table: dict[str, str]) -> str:
        return ":root{" + ";".join(f"--{name}:{table[name]}" for name in tones) + "}"

    dark = f"@media (prefers-color-scheme:dark){{{colours(_DARK)}}}"
    return f"{colours(_LIGHT)}{dark}@media print{{{colours(_PRINT)}}}{_LETTERING}{looks}"


def _writable(text: str) -> str:
    return _UNWRITABLE.sub("\ufffd", text).replace("\r", " ").replace("\n", " ")


def _rounded(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """To a tenth of a card unit: finer than any screen shows, and half the bytes."""
    return [(round(x, 1), round(y, 1)) for x, y in points]


def _rgb(name: str) -> tuple[float, float, float, float]:
    value = int(_SENTINELS[name][1:], 16)
    return (value >> 16) / 255, (value >> 8 & 255) / 255, (value & 255) / 255, 1.0


def _short(found: re.Match[str], length: float) -> str:
    """Words carry classes instead of a style of their own, and a length that holds in any font the reader has."""
    style, x, y = found.groups()
    anchor = re.search(r"text-anchor: (middle|end)", style)
    tone = re.search(rf"fill: var\(--({_TONES})\)", style)
    names = [_ANCHORS[anchor[1]]] if anchor else []
    names += [tone[1]] if tone and tone[1] != "ink" else []
    look = f' class="{" ".join(names)}"' if names else ""
    held = f' textLength="{length:g}" lengthAdjust="spacingAndGlyphs"' if length else ""
    return f'<text{look} x="{x}" y="{y}"{held}>'
