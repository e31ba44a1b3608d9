"""How long a figure takes against the plain way to draw the same picture, measured in one run.

``python -m tests.benchmarks.figures [FILE.json]`` prints the figures, and writes them where a file is named.
"""

from __future__ import annotations

import io
import json
import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import matplotlib

from logbook.output.figures import draw
from logbook.pages.figure_values import FigureSpec
from tests.figures.specs import SPREAD

ROUNDS = 40


def plain(spec: FigureSpec) -> bytes:
    """The floor: the picture as the library's own documentation draws it."""
    from matplotlib.figure import Figure

    fig = Figure(figsize=(4.9, 3.1))
    ax = fig.subplots()
    for series, shift, tone in zip(spec.series, (-0.15, 0.15), ("#1e1c19", "#234a73"), strict=True):
        marks = list(series.marks)
        reach = [(m.high - m.low) / 2 for m in marks if m.low is not None and m.high is not None]
        face = tone if series.look == "filled" else "none"
        x = [m.x + shift for m in marks]
        ax.errorbar(x, [m.y for m in marks], yerr=reach, fmt="o", color=tone, mfc=face, capsize=3, label=series.name)
    for limit in spec.limits:
        ax.axhline(limit.low, color="#8a8272", label=limit.label)
        ax.axhline(limit.high, color="#8a8272")
    ax.axhline(0, color="#8a8272", lw=0.8)
    ax.set_xticks([t.at for t in spec.ticks], [t.label for t in spec.ticks])
    ax.set_title(spec.unit, loc="left")
    for group in spec.groups:
        ax.text((group.start + group.end) / 2, -22, group.label, ha="center")
    ax.legend(frameon=False, loc="lower right", bbox_to_anchor=(1, 1))
    file = io.BytesIO()
    fig.savefig(file, format="svg")
    return file.getvalue()


def milliseconds(way: Callable[[FigureSpec], bytes]) -> float:
    way(SPREAD)
    took = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        way(SPREAD)
        took.append(time.perf_counter() - start)
    return statistics.median(took) * 1e3


def measure() -> dict[str, object]:
    floor, ours = milliseconds(plain), milliseconds(draw)
    return {
        "what": "one figure of two series with spreads",
        "floor_ms": round(floor, 2),
        "ours_ms": round(ours, 2),
        "ratio": round(ours / floor, 3),
        "goal": 0.45,
        "bytes": {"floor": len(plain(SPREAD)), "ours": len(draw(SPREAD))},
        "versions": {"matplotlib": matplotlib.__version__, "python": sys.version.split()[0]},
        "cores": os.cpu_count(),
    }


if __name__ == "__main__":
    text = json.dumps({"figures": measure()}, indent=2) + "\n"
    print(text, end="")
    if len(sys.argv) > 1:
        Path(sys.argv[1]).write_text(text, encoding="utf-8")
