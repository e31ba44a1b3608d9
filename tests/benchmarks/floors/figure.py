"""Floor of a figure: a fresh Figure with subplots, saved as SVG, as the library's own documentation does it."""

import io

from matplotlib.figure import Figure


def draw(spec):
    panels = getattr(spec, "panels", None)
    if panels:
        return stacked(panels)
    fig = Figure(figsize=(4.9, 3.1))
    ax = fig.subplots()
    for series in spec.series:
        marks = list(series.marks)
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


def stacked(panels):
    fig = Figure(figsize=(4.9, 1.2 * len(panels)))
    for ax, panel in zip(fig.subplots(len(panels), sharex=True, squeeze=False)[:, 0], panels, strict=True):
        for series in panel.series:
            ax.plot([m.x for m in series.marks], [m.y for m in series.marks], label=series.name)
        ax.set_title(panel.label, loc="left")
    file = io.BytesIO()
    fig.savefig(file, format="svg")
    return file.getvalue()
