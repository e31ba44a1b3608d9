"""What runs out first, drawn: each part's share of its own limit over engine speed, on one scale."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.findings.outlook import Outlook, Share, outlook
from logbook.job.model import Job
from logbook.pages.figure_pulls import PULLS
from logbook.pages.figure_units import number
from logbook.pages.figure_values import Dash, FigureSpec, Limit, Mark, Placed, Series, Tone
from logbook.pages.frame import Cell, Column, Table
from logbook.pages.words import capital

_PENS: tuple[tuple[Tone, Dash], ...] = (
    ("rust", "solid"),
    ("blue", "dashed"),
    ("ink", "dotted"),
    ("soft", "dot-dash"),
    ("ink", "dashed"),
)


def limit_figures(job: Job) -> tuple[Placed, ...]:
    """One figure of all shares, the nearest to its limit first and in rust; none where nothing is wanted or pulled."""
    found = outlook(job)
    if found is None or len(found.rpm) < 2 or not found.shares:
        return ()
    ranked = sorted(found.shares, key=lambda s: (-round(max(s.values), 9), s.name))
    spec = FigureSpec(
        kind="limits",
        name="what-gives-out-first",
        title="What runs out first",
        alt=_alt(found, ranked),
        unit="of its limit, %",
        series=tuple(_line(found, share, n) for n, share in enumerate(ranked)),
        limits=(Limit(100.0, 100.0, "the limit"),),
        x_label="rpm",
        x_span=(found.rpm[0], found.rpm[-1]),
        reach=(0.0, 110.0),
    )
    return (Placed(PULLS, spec, _table(found, ranked)),)


def _line(found: Outlook, share: Share, order: int) -> Series:
    tone, dash = _PENS[order % len(_PENS)]
    marks = []
    for speed, value in zip(found.rpm, share.values, strict=True):
        doubt = 200 * share.u * value
        marks.append(Mark(speed, 100 * value, 100 * value - doubt, 100 * value + doubt))
    return Series(share.name, tuple(marks), "line", tone, dash, wide=order == 0)


def _alt(found: Outlook, ranked: Sequence[Share]) -> str:
    peaks = "; ".join(f"{s.name} {100 * max(s.values):.0f} % of {s.limit}" for s in ranked)
    return f"Highest shares of their limits between {found.rpm[0]:.0f} and {found.rpm[-1]:.0f} rpm: {peaks}."


def _table(found: Outlook, ranked: Sequence[Share]) -> Table:
    columns = (Column("rpm"), *(Column(f"{_breakable(capital(s.name))}, % of {s.limit}", number=True) for s in ranked))
    rows = tuple(
        (Cell(number(speed)), *(Cell(f"{100 * s.values[n]:.0f} ± {200 * s.u * s.values[n]:.0f}") for s in ranked))
        for n, speed in enumerate(found.rpm)
    )
    return Table("Share of each limit, with its doubt", columns, rows)


def _breakable(name: str) -> str:
    """A phone may part the one long word of these names, where a reader would."""
    return name.replace("temperature", "tempera\u00adture")
