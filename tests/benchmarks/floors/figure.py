"""Floor of a figure: a fresh Figure with subplots, saved as SVG, as the library's own documentation does it."""

import io

from matplotlib.figure import Figure


def draw(spec):
    fig = Figure(figsize=(4.9, 3.1))
    ax = fig.subplots()
    for series in spec.series:
        marks = [m for m in series.marks if m.y is not None]
        spread = [((m.high or m.y) - (m.low or m.y)) / 2 for m in marks]
        ax.errorbar([m.x for m in marks], [m.y for m in marks], yerr=spread, fmt="o", capsize=3, label=series.name)
    for limit in spec.limits:
        ax.axhline(limit.low)
    if spec.ticks:
        ax.set_xticks([t.at for t in spec.ticks], [t.label for t in spec.ticks])
    ax.set_title(spec.unit, loc="left")
    ax.legend(frameon=False)
    file = io.BytesIO()
    fig.savefig(file, format="svg")
    return file.getvalue()
